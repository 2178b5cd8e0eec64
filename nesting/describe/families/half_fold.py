"""A card folded once in the middle, at its side or at its top."""

from __future__ import annotations

from nesting.describe.families.family import FLAT, FOLD, SIZE_OR_FLAT, Family, Given, Shape, names
from nesting.describe.families.rows import VALLEY, along_and_breadth, row_of_panels


def build(given: Given) -> Shape:
    """Two equal panels. Seen from the inside, the front is the left or the top one."""
    along, breadth = along_and_breadth(given, 2)
    down = given.word("fold") == "top"
    first, second = ("inside_top", "inside_bottom") if down else ("inside_left", "inside_right")
    base = row_of_panels([along, along], breadth, [VALLEY], down=down)
    panels = names(front=1, back=2, **{first: 1, second: 2}, outside=(1, 2), inside=(1, 2), all=(1, 2))
    return Shape((base,), panels)


FAMILY = Family("half fold", "Two equal panels with one fold.", (SIZE_OR_FLAT, FLAT, FOLD), build)
