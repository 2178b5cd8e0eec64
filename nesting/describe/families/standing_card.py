"""A card folded at the top of which a part is slit free of the back, so that it stands up above the fold."""

from __future__ import annotations

from nesting.describe.designs import Fold, Line, Panel
from nesting.describe.families.family import SIZE, CannotBe, Family, Given, Parameter, Shape, Takes, names
from nesting.describe.families.rows import VALLEY, base_of, need_more, shared
from nesting.lengths import ZERO

STANDS = Parameter("stands", Takes.SIZE, "the part that stands above the fold, across x up", 'stands = "2 x 1 1/2"')
AT = Parameter(
    "at", Takes.LENGTH, "where it begins, from the left edge; usually in the middle", 'at = "1 1/2"', optional=True
)


def build(given: Given) -> Shape:
    """Front, back below the part that stands, that part, and what is left of the back on its two sides."""
    width, height = given.size()
    wide, high = given.size("stands")
    need_more(width, wide, "stands", "The part that stands is as wide as the card", given)
    need_more(height, high, "stands", "The part that stands is as high as the back that it is cut from", given)
    left = given.length("at") if given.has("at") else shared(width - wide, 2, "stands", given)
    right, end = left + wide, height + high
    if not left or right >= width:
        raise CannotBe("at", "The part that stands would reach the edge of the card.", "Leave some fold on both sides.")
    panels = (
        Panel(1, ZERO, ZERO, width, height),
        Panel(2, ZERO, end, width, height - high),
        Panel(3, left, height, wide, high),
        Panel(4, ZERO, height, left, high),
        Panel(5, right, height, width - right, high),
    )
    folds = (Fold(VALLEY, Line(ZERO, height, left, height)), Fold(VALLEY, Line(right, height, width, height)))
    slits = (Line(left, height, left, end), Line(left, end, right, end), Line(right, height, right, end))
    base = base_of(width, 2 * height, panels, folds, slits=slits)
    return Shape((base,), names(front=1, back=2, stands=3, outside=(1, 2, 3), inside=(1, 2), all=(1, 2, 3)))


FAMILY = Family(
    "standing card", "Folded at the top, with a part slit free that stands above the fold; “size” is the front"
    " without it.", (SIZE, STANDS, AT), build,
)  # fmt: skip
