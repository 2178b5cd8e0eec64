"""Counts, shares and sizes as words, so that all reports write them alike.

In: numbers, lengths in ticks. Out: short texts without markup.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from nesting.lengths import Length, Unit, write_length, write_size

UNITS = {Unit.INCH: "inches", Unit.MILLIMETRE: "millimetres", Unit.CENTIMETRE: "centimetres"}


def plural(count: int, word: str) -> str:
    """A count with its noun: "1 sheet", "12 sheets"."""
    if word.endswith(("s", "h", "x")) and not word.endswith("th"):
        return f"{count:,} {word}{'' if count == 1 else 'es'}".replace(",", " ")
    return f"{count:,} {word}{'' if count == 1 else 's'}".replace(",", " ")


def several(word: str, numbers: Sequence[int]) -> str:
    """Things by their numbers: "layout 3", "layouts 2, 3"."""
    return f"{word}{'' if len(numbers) == 1 else 's'} {', '.join(map(str, numbers))}"


def percent(share: Fraction) -> str:
    """A share in percent, rounded half up to whole percent, and to tenths below ten."""
    if share < Fraction(1, 10):
        tenths = int(share * 1000 + Fraction(1, 2))
        return f"{tenths // 10}.{tenths % 10} %" if tenths % 10 else f"{tenths // 10} %"
    return f"{int(share * 100 + Fraction(1, 2))} %"


def size(width: int, height: int, unit: Unit, *, with_unit: bool = False) -> str:
    """A size in ticks as words, across x up."""
    return write_size(Length(width), Length(height), unit, with_unit=with_unit)


def length(ticks: int, unit: Unit, *, with_unit: bool = False) -> str:
    """A length in ticks as words."""
    return write_length(Length(ticks), unit, with_unit=with_unit)


def duration(seconds: int) -> str:
    """A time in whole minutes, rounded up: "1 minute", "45 minutes", "1 h 10"."""
    minutes = -(-seconds // 60)
    return plural(minutes, "minute") if minutes < 60 else f"{minutes // 60} h {minutes % 60:02d}"


def listed(names: Sequence[str]) -> str:
    """Names in a row: a, b and c."""
    return " and ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)
