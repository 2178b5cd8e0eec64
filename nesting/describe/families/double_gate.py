"""A gate fold that is folded once more in the middle: four panels, the two gates folded in and shorter for it."""

from __future__ import annotations

from nesting.describe.families.family import FLAT, FOLD, SIZE_OR_FLAT, Family, Given, Shape, names
from nesting.describe.families.letter_fold import SHORTER
from nesting.describe.families.rows import VALLEY, along_and_breadth, need_more, row_of_panels


def build(given: Given) -> Shape:
    """A gate, front, back, a gate; with the gates folded in, the card is shut in the middle."""
    shorter = given.length("shorter")
    along, breadth = along_and_breadth(given, 4, 2 * shorter)
    need_more(along, shorter, "shorter", "Nothing is left of the gates", given)
    gate = along - shorter
    down = given.word("fold") == "top"
    base = row_of_panels([gate, along, along, gate], breadth, [VALLEY, VALLEY, VALLEY], down=down)
    first, last = ("top_gate", "bottom_gate") if down else ("left_gate", "right_gate")
    panels = names(
        **{first: 1, last: 4}, gates=(1, 4), front=2, back=3, outside=(2, 3), inside=(1, 2, 3, 4), all=(1, 2, 3, 4)
    )
    return Shape((base,), panels)


FAMILY = Family(
    "double gate", "Two gates folded in, then the card folded in the middle; the gates are shorter for it.",
    (SIZE_OR_FLAT, FLAT, FOLD, SHORTER), build,
)  # fmt: skip
