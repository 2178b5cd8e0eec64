"""An envelope to cut and fold from a sheet: front, back flap, closing flap, and a glue tab on each side."""

from __future__ import annotations

from nesting.describe.designs import Area, Fold, Line, Panel
from nesting.describe.families.family import Family, Given, Parameter, Shape, Takes, names
from nesting.describe.families.rows import VALLEY, base_of, need_more
from nesting.lengths import ZERO, Length, inches, mm, rounded_down

SIZE = Parameter("size", Takes.SIZE, "the envelope when closed, across x up", 'size = "5 3/4 x 4 3/8"')
BACK = Parameter(
    "back", Takes.LENGTH, "how high the lower flap is, which makes the back; usually three quarters of the height",
    'back = "3 1/4"', optional=True,
)  # fmt: skip
FLAP = Parameter(
    "flap", Takes.LENGTH, "how high the closing flap is; usually half the height", 'flap = "2"', optional=True
)
TAB = Parameter("tab", Takes.LENGTH, "how wide the glue tabs are", 'tab = "5/8"', default=(inches("5/8"), mm(16)))


def build(given: Given) -> Shape:
    """Seen from the inside: the closing flap at the top, the front, the back below it, a tab on each side."""
    width, height = given.size()
    back, flap = _flap(given, "back", 3, height), _flap(given, "flap", 2, height)
    tab = given.length("tab")
    need_more(back + flap, height, "flap", "The closing flap does not reach over the back", given)
    need_more(height, min(back, flap), "back", "Both flaps are as high as the envelope", given)
    need_more(width, 2 * tab, "tab", "The glue tabs would lie on each other", given)
    right, bottom = tab + width, flap + height
    panels = (
        Panel(1, tab, ZERO, width, flap),
        Panel(2, tab, flap, width, height),
        Panel(3, tab, bottom, width, back),
        Panel(4, ZERO, flap, tab, height),
        Panel(5, right, flap, tab, height),
    )
    folds = tuple(
        Fold(VALLEY, line)
        for line in (
            Line(tab, flap, tab, bottom),
            Line(right, flap, right, bottom),
            Line(tab, flap, right, flap),
            Line(tab, bottom, right, bottom),
        )
    )
    away = tuple(
        Area(x, y, tab, side) for y, side in ((ZERO, flap), (bottom, back)) for x in (ZERO, right)
    )  # fmt: skip
    base = base_of(width + 2 * tab, bottom + back, panels, folds, cut_away=away)
    return Shape((base,), names(flap=1, front=2, back=3, tabs=(4, 5), outside=(1, 2, 3), inside=2, liner=(1, 2), all=2))


def _flap(given: Given, key: str, quarters: int, height: Length) -> Length:
    """As said, or so many quarters of the height, down to a sixteenth of an inch or a millimetre."""
    usual = rounded_down(Length(height.ticks * quarters // 4), given.unit)
    return given.length(key) if given.has(key) else usual


FAMILY = Family("envelope", "An envelope to cut and fold from a sheet.", (SIZE, BACK, FLAP, TAB), build)
