"""Lengths as whole ticks: read as people write them, written as a ruler shows them.

In: "7", "1 7/8", '1-7/8"', "6.875 in", "47.5 mm", "10,5 cm". Out: Length, a whole number of ticks of 1/3200 mm, so
that 1 in = 81 280 ticks (25.4 mm by the international yard and pound agreement of 1959), 1/64 in = 1 270 and
0.01 mm = 32 are all whole. What does not fall on a tick, a third of 11 in say, is refused and never rounded:
cards are measured in sixteenths and in millimetres at once, and both must stay exact.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction

from nesting.quoting import quoted

TICKS_PER_MM = 3200
TICKS_PER_INCH = 81280
LARGEST_TICKS = 100_000 * TICKS_PER_MM  # 100 m: longer than any roll a crafter handles


class Unit(Enum):
    """A unit that lengths are read and written in."""

    INCH = "in"
    MILLIMETRE = "mm"
    CENTIMETRE = "cm"

    @property
    def ticks(self) -> int:
        """Ticks in one unit."""
        return _TICKS[self]


_TICKS = {Unit.INCH: TICKS_PER_INCH, Unit.MILLIMETRE: TICKS_PER_MM, Unit.CENTIMETRE: 10 * TICKS_PER_MM}
_UNIT_WORDS = {
    "in": Unit.INCH, "inch": Unit.INCH, "inches": Unit.INCH, '"': Unit.INCH, "″": Unit.INCH, "”": Unit.INCH,
    "''": Unit.INCH, "mm": Unit.MILLIMETRE, "cm": Unit.CENTIMETRE,
}  # fmt: skip
_SINGLE_SIGNS = {
    "½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8", "⅓": "1/3", "⅔": "2/3",
    "⅕": "1/5", "⅖": "2/5", "⅗": "3/5", "⅘": "4/5", "⅙": "1/6", "⅚": "5/6",
}  # fmt: skip
_PATTERN = re.compile(
    r"""(?: (?P<whole>\d{1,9}) (?:\s+|\s*-\s*|\s+and\s+) )? (?P<top>\d{1,9}) \s*/\s* (?P<bottom>\d{1,9})
      | (?P<decimal> \d{1,9} (?:[.,]\d{1,12})? | [.,]\d{1,12})""",
    re.VERBOSE,
)
_WHOLE_TEXT = re.compile(rf"\s*(?:{_PATTERN.pattern})\s*(?P<unit>[a-zA-Z\"″”']*)\.?\s*", re.VERBOSE | re.ASCII)
_UNIT_AT_END = re.compile(r"([a-zA-Z\"″”']+)\.?$")


@dataclass(frozen=True, slots=True, order=True)
class Length:
    """A length as a whole number of ticks (1/3200 mm). Floats are refused."""

    ticks: int

    def __post_init__(self) -> None:
        if type(self.ticks) is not int:
            raise TypeError(f"A length is a whole number of ticks, not {self.ticks!r}.")

    def __add__(self, other: Length) -> Length:
        return Length(self.ticks + other.ticks)

    def __sub__(self, other: Length) -> Length:
        return Length(self.ticks - other.ticks)

    def __mul__(self, times: int) -> Length:
        return Length(self.ticks * times)

    __rmul__ = __mul__

    def __neg__(self) -> Length:
        return Length(-self.ticks)

    def __bool__(self) -> bool:
        return self.ticks != 0

    def in_unit(self, unit: Unit) -> Fraction:
        """The exact number of units."""
        return Fraction(self.ticks, unit.ticks)


ZERO = Length(0)


def inches(number: int | str | Fraction) -> Length:
    """A length from a number of inches, exact or refused with ValueError."""
    return _exact(Fraction(number), Unit.INCH)


def mm(number: int | str | Fraction) -> Length:
    """A length from a number of millimetres, exact or refused with ValueError."""
    return _exact(Fraction(number), Unit.MILLIMETRE)


def _exact(number: Fraction, unit: Unit) -> Length:
    ticks = number * unit.ticks
    if ticks.denominator != 1:
        raise ValueError(
            f"{_plain(number)} {unit.value} is finer than this program's grid of 1/3200 mm;"
            " write it in 64ths of an inch or hundredths of a millimetre."
        )
    if ticks > LARGEST_TICKS:
        raise ValueError(f"{_plain(number)} {unit.value} is longer than 100 m; check the number and its unit.")
    return Length(int(ticks))


def _plain(number: Fraction) -> str:
    whole, rest = divmod(number, 1)
    if not rest:
        return str(whole)
    return f"{whole} {rest}" if whole else str(rest)


def read_length(text: str, default: Unit) -> Length:
    """Read a length as people write it; a number without a unit is in the default unit.

    Raises ValueError with a sentence that quotes the text and says how to write it. Negative lengths, zero
    with a denominator of zero, and anything off the grid are refused.
    """
    spelled = " ".join(text.replace("\N{FRACTION SLASH}", "/").split())  # spreadsheets put in hard blanks
    for sign, fraction in () if spelled.isascii() else _SINGLE_SIGNS.items():
        spelled = re.sub(rf"(\d)\s*{sign}", rf"\1 {fraction}", spelled).replace(sign, fraction)
    match = _WHOLE_TEXT.fullmatch(spelled)
    word = match["unit"].lower() if match else ""
    if match is None or (word and word not in _UNIT_WORDS):
        raise ValueError(f"{quoted(text)} is not a length; write it like 1 7/8, 6.875 in, 47.5 mm or 10.5 cm.")
    unit = _UNIT_WORDS[word] if word else default
    if match["decimal"]:
        number = Fraction(match["decimal"].replace(",", "."))
    elif int(match["bottom"]) == 0:
        raise ValueError(f"{quoted(text)} divides by zero; write it like 1 7/8.")
    else:
        number = int(match["whole"] or 0) + Fraction(int(match["top"]), int(match["bottom"]))
    try:
        return _exact(number, unit)
    except ValueError as wrong:
        raise ValueError(f"{quoted(text)}: {wrong}") from None


def unit_of(text: str) -> Unit | None:
    """The unit that ends a length as people write it; None where none does."""
    match = _UNIT_AT_END.search(text.strip())
    return _UNIT_WORDS.get(match[1].lower()) if match else None


def as_fraction(length: Length) -> tuple[int, int, int] | None:
    """Whole inches, numerator, denominator for a length on the ruler (64ths or coarser), else None."""
    whole, rest = divmod(length.in_unit(Unit.INCH), 1)
    if rest.denominator > 64 or 64 % rest.denominator:
        return None
    return int(whole), rest.numerator, rest.denominator


def write_length(length: Length, unit: Unit, *, with_unit: bool = False) -> str:
    """Write a length in the unit asked for: reduced fractions of an inch, decimals of a mm or cm.

    A length that is no whole number of 64ths is written in exact millimetres with its unit, never rounded.
    """
    sign = "-" if length.ticks < 0 else ""
    size = Length(abs(length.ticks))
    if unit is Unit.INCH:
        parts = as_fraction(size)
        if parts is None:
            return f"{sign}{_decimal(size, Unit.MILLIMETRE)} mm"
        whole, top, bottom = parts
        number = f"{whole} {top}/{bottom}" if whole and top else f"{top}/{bottom}" if top else str(whole)
    else:
        number = _decimal(size, unit)
    return f"{sign}{number} {unit.value}" if with_unit else f"{sign}{number}"


def write_size(width: Length, height: Length, unit: Unit, *, with_unit: bool = False) -> str:
    """Write "width x height" (across, then up), with the unit once at the end where it is asked for.

    Where one of the two is told in millimetres, since no ruler shows it in inches, each has its own unit.
    """
    exact = unit is not Unit.INCH or (as_fraction(width) is not None and as_fraction(height) is not None)
    if not exact:
        return f"{write_length(width, unit, with_unit=True)} x {write_length(height, unit, with_unit=True)}"
    size = f"{write_length(width, unit)} x {write_length(height, unit)}"
    return f"{size} {unit.value}" if with_unit else size


def rounded_down(length: Length, unit: Unit) -> Length:
    """The next lower sixteenth of an inch, or whole millimetre: for words about room, never for a piece."""
    step = Unit.INCH.ticks // 16 if unit is Unit.INCH else Unit.MILLIMETRE.ticks
    return Length(length.ticks // step * step)


def _decimal(length: Length, unit: Unit) -> str:
    """Exact decimal digits: every tick is a whole number of 10^-8 m, so they always end."""
    whole, rest = divmod(length.ticks, unit.ticks)
    digits = f"{rest * 10**12 // unit.ticks:012d}".rstrip("0")
    return f"{whole}.{digits}" if digits else str(whole)
