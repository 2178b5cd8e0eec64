"""Exact amounts become whole cents that add up.

In: amounts as fractions of cents. Out: one whole number of cents and its shares. The fact it serves: a sum that is
one cent off under its own column is not believed.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from math import floor, lcm

from nesting.money import share


def share_exactly(cents: int, weights: Sequence[Fraction]) -> tuple[int, ...]:
    """Share cents out by weights of 0 or more; where all are 0, there must be nothing to share."""
    if not cents:
        return (0,) * len(weights)
    common = lcm(*(weight.denominator for weight in weights))
    return share(cents, [int(weight * common) for weight in weights])


def rounded_up(amount: Fraction, step: int) -> int:
    """The lowest whole number of steps that is not below the amount."""
    return -(floor(-amount / step)) * step
