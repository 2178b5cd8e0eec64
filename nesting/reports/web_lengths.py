"""Lengths for the tablet page: stacked as on the ruler for the eye, in words for the ear.

In: lengths and a unit. Out: Markup that is safe to put into a page, and plain spoken text. The fact of the trade: a
screen reader that says "one slash sixteen" is misheard at the trimmer.
"""

from __future__ import annotations

from markupsafe import Markup

from nesting.lengths import Length, Unit, as_fraction, write_length
from nesting.reports.lettering import TIMES

_UNITS = {Unit.INCH: ("inch", "inches"), Unit.MILLIMETRE: ("millimetre", "millimetres"),
          Unit.CENTIMETRE: ("centimetre", "centimetres")}  # fmt: skip
_PARTS = {2: ("half", "halves"), 4: ("quarter", "quarters"), 8: ("eighth", "eighths"), 16: ("sixteenth", "sixteenths"),
          32: ("thirty-second", "thirty-seconds"), 64: ("sixty-fourth", "sixty-fourths")}  # fmt: skip


def spoken(length: Length, unit: Unit, *, with_unit: bool = True) -> str:
    """Such as "5 and 3 sixteenths inches", "1 half inch", "47.5 millimetres"."""
    parts = as_fraction(length) if unit is Unit.INCH else None
    if parts is None:
        off_ruler = unit is Unit.INCH
        number = write_length(length, unit).removesuffix(" mm")
        one, many = _UNITS[Unit.MILLIMETRE if off_ruler else unit]
        named = with_unit or off_ruler
        return f"{number} {one if number == '1' else many}" if named else number
    whole, top, bottom = parts
    said = f"{top} {_PARTS[bottom][top > 1]}" if top else ""
    text = f"{whole} and {said}" if whole and top else said or str(whole)
    single = (whole, top) == (1, 0) or not whole
    return f"{text} {_UNITS[unit][not single]}" if with_unit else text


def length_html(length: Length, unit: Unit) -> Markup:
    """One length."""
    return Markup('<span class="length"><span aria-hidden="true">{}</span><span class="heard">{}</span></span>').format(
        _figures(length, unit), spoken(length, unit)
    )


def size_html(width: Length, height: Length, unit: Unit) -> Markup:
    """Across by up."""
    said = f"{spoken(width, unit, with_unit=False)} by {spoken(height, unit)}"
    return Markup(
        '<span class="length"><span aria-hidden="true">{} {} {}</span><span class="heard">{}</span></span>'
    ).format(_figures(width, unit), TIMES, _figures(height, unit), said)


def _figures(length: Length, unit: Unit) -> Markup:
    parts = as_fraction(length) if unit is Unit.INCH else None
    if parts is None or not parts[1]:
        return Markup("{}").format(write_length(length, unit))
    whole, top, bottom = parts
    fraction = Markup('<span class="fraction"><span>{}</span><span>{}</span></span>').format(top, bottom)
    return Markup("{}{}").format(whole or "", fraction)
