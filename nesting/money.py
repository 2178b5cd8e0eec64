"""Money in whole cents: read from what people write, shared out so that the parts add up to the cent.

In: "0.95", 12, "1,20". Out: a whole number of hundredths of the user's currency, whose sign is kept elsewhere and
only written. No float ever holds a price.
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal, InvalidOperation

LARGEST_CENTS = 10**12


def read_cents(value: str | int | Decimal) -> int:
    """Read a price of 0 or more with at most two decimals; ValueError with a sentence for all else."""
    try:
        amount = Decimal(str(value).strip().replace(",", "."))
        cents = amount * 100
        whole = int(cents)
    except (InvalidOperation, ValueError, OverflowError):
        raise ValueError(f"“{value}” is not a price; write it like 0.95 or 12.") from None
    if cents != whole or not 0 <= whole <= LARGEST_CENTS:
        raise ValueError(f"“{value}” is not a price; write 0 or more, with at most two decimals, like 0.95.")
    return whole


def write_cents(cents: int, sign: str = "") -> str:
    """Write an amount with two decimals, after the currency's sign where there is one: "$ 12.50"."""
    whole, rest = divmod(abs(cents), 100)
    amount = f"{'-' if cents < 0 else ''}{whole}.{rest:02d}"
    return f"{sign} {amount}" if sign else amount


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
