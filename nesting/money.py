"""Money in whole cents: read from what people write, shared out so that the parts add up to the cent.

In: "0.95", 12, "1,20". Out: a whole number of the smallest coins of the user's currency, whose sign is only written.
No float ever holds a price. The facts of the trade: some currencies have cents and some have none, and prices in two of
them cannot be added up.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from math import floor

from nesting.quoting import quoted

# At most two decimals, so that 1,200 is never taken for 1.20.
_PRICE = re.compile(r"(?=[.,]?[0-9])([0-9]{0,10})(?:[.,]([0-9]{0,2}))?")
_NAMED = re.compile(r"([^\s0-9.,+-][^0-9.,]{0,7})?([0-9., ]+?)([^\s0-9.,][^0-9.,]{0,7})?")


@dataclass(frozen=True, slots=True)
class Currency:
    """What the user counts in: the sign that is written before prices, and two decimals or none.

    Amounts are whole numbers of its smallest coin: cents, or of a currency without decimals the unit itself.
    """

    sign: str = ""
    decimals: int = 2

    def read(self, value: str | int | Decimal) -> int:
        """Read a price of 0 or more, with this sign or none; ValueError with a sentence for all else."""
        text = str(value).strip()
        named = _NAMED.fullmatch(text)
        sign = "" if named is None else (named[1] or named[3] or "").strip()
        if named is not None and sign and not (named[1] and named[3]):
            if sign != self.sign:
                own = f"this project counts in {quoted(self.sign)}" if self.sign else "this project names no currency"
                raise ValueError(f"{quoted(value)} is in {quoted(sign)}, and {own}; write all prices in one currency.")
            text = named[2].strip()
        match = _PRICE.fullmatch(text)
        like = "with at most two decimals, like 0.95 or 12" if self.decimals else "without decimals, like 120"
        if match is None:
            raise ValueError(f"{quoted(value)} is not a price; write 0 or more, {like}.")
        if not self.decimals and (match[2] or "").strip("0"):
            raise ValueError(f"{quoted(value)} has decimals, and this project's currency has none; write it {like}.")
        return int(match[1] or 0) * self.units + int((match[2] or "").ljust(2, "0")) * self.units // 100

    @property
    def units(self) -> int:
        """The smallest coins in one: 100, or 1."""
        return 100 if self.decimals else 1

    def amount(self, cents: int) -> str:
        """An amount without the sign: "12.50", or "1250"."""
        whole, rest = divmod(abs(cents), self.units)
        return f"{'-' if cents < 0 else ''}{whole}{f'.{rest:02d}' if self.decimals else ''}"

    def write(self, cents: int) -> str:
        """An amount after the sign where there is one: "$ 12.50"."""
        return f"{self.sign} {self.amount(cents)}" if self.sign else self.amount(cents)


UNNAMED = Currency()


def whole_cents(amount: Fraction) -> int:
    """The nearest whole number of cents, half a cent up."""
    return floor(amount + Fraction(1, 2))


def share(cents: int, weights: Sequence[int]) -> tuple[int, ...]:
    """Share an amount out by whole weights so that the shares add up exactly (largest remainder, first wins ties).

    Weights are 0 or more and not all 0, or ValueError is raised.
    """
    total = sum(weights)
    if total <= 0 or any(weight < 0 for weight in weights):
        raise ValueError("An amount is shared out by weights of 0 or more that are not all 0.")
    shares = [cents * weight // total for weight in weights]
    order = sorted(range(len(weights)), key=lambda i: (-(cents * weights[i] % total), i))
    for i in order[: cents - sum(shares)]:
        shares[i] += 1
    return tuple(shares)
