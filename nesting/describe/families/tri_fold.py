"""Three equal panels folded to and fro, so that none lies inside another and none must be shorter."""

from __future__ import annotations

from nesting.describe.families.family import FLAT, FOLD, SIZE_OR_FLAT, Family, Given, Shape, names
from nesting.describe.families.rows import MOUNTAIN, VALLEY, along_and_breadth, row_of_panels


def build(given: Given) -> Shape:
    """Panel 1 folds over panel 2, panel 3 behind it: seen from the inside, the back of the closed card is panel 3."""
    along, breadth = along_and_breadth(given, 3)
    base = row_of_panels([along] * 3, breadth, [VALLEY, MOUNTAIN], down=given.word("fold") == "top")
    return Shape((base,), names(front=1, middle=2, back=3, outside=(1, 3), inside=(1, 2), all=(1, 2, 3)))


FAMILY = Family("tri-fold", "Three equal panels folded to and fro.", (SIZE_OR_FLAT, FLAT, FOLD), build)
