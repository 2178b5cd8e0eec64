"""Sizes and pairs of lengths as people write them: "5 1/2 x 8 1/2", "210 x 297 mm", "A4 landscape".

In: words and the unit of bare numbers. Out: two exact Lengths, across then up. The fact of the trade: width comes
first, and a unit at the end speaks for both sides.
"""

from __future__ import annotations

import re

from nesting.lengths import Length, Unit, read_length, unit_of
from nesting.quoting import quoted
from nesting.standards import sheet_size

_BETWEEN = re.compile(r"\s*(?:[xX\u00d7*]|\bby\b)\s*")


def read_sheet(text: str, default: Unit) -> tuple[Length, Length]:
    """Width and height of "W x H" or of a named sheet, both above 0; ValueError with a sentence."""
    named = sheet_size(text)
    if named is not None:
        return named
    sides = _two_sides(text, default)
    if sides is None:
        raise ValueError(f"{quoted(text)} is not a size; write it like 5 1/2 x 8 1/2, 210 x 297 mm or A4.")
    if not (sides[0] and sides[1]):
        raise ValueError(f"{quoted(text)} has a side of nothing; write two lengths above 0.")
    return sides


def read_pair(text: str, default: Unit) -> tuple[Length, Length]:
    """One length for both ways or "across x up", 0 allowed; ValueError with a sentence."""
    sides = _two_sides(text, default)
    if sides is not None:
        return sides
    both = read_length(text, default)
    return both, both


def _two_sides(text: str, default: Unit) -> tuple[Length, Length] | None:
    parts = _BETWEEN.split(text.strip())
    if len(parts) != 2:
        return None
    first, last = parts
    if not first or not last:
        raise ValueError(f"{quoted(text)} has one side only; write both, like 5 1/2 x 8 1/2.")
    if unit_of(first) is None:
        return read_length(first, unit_of(last) or default), read_length(last, default)
    width, height = read_length(first, default), read_length(last, default)
    if width and unit_of(last) is None and unit_of(first) is not default:
        raise ValueError(f"{quoted(text)} gives a unit for one side only; write it after both, or once at the end.")
    return width, height
