"""Money in whole cents: read from what people write, shared out so that the parts add up to the cent.

In: "0.95", 12, "1,20". Out: a whole number of hundredths of the user's currency, whose sign is kept elsewhere and
only written. No float ever holds a price.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from math import floor

from nesting.quoting import quoted

# At most two decimals, so that 1,200 is never taken for 1.20.
_PRICE = re.compile(r"(?=[.,]?[0-9])([0-9]{0,10})(?:[.,]([0-9]{0,2}))?")


def read_cents(value: str | int | Decimal) -> int:
    """Read a price of 0 or more with at most two decimals; ValueError with a sentence for all else."""
    match = _PRICE.fullmatch(str(value).strip())
    if match is None:
        how = "write 0 or more, with at most two decimals, like 0.95 or 12."
        raise ValueError(f"{quoted(value)} is not a price; {how}")
    return int(match[1] or 0) * 100 + int((match[2] or "").ljust(2, "0"))


def write_cents(cents: int, sign: str = "") -> str:
    """Write an amount with two decimals, after the currency's sign where there is one: "$ 12.50"."""
    whole, rest = divmod(abs(cents), 100)
    amount = f"{'-' if cents < 0 else ''}{whole}.{rest:02d}"
    return f"{sign} {amount}" if sign else amount


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
