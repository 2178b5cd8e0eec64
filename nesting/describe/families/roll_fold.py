"""Panels rolled up one inside the other, each shorter than the one before so that none buckles."""

from __future__ import annotations

from nesting.describe.families.family import (
    FLAT,
    FOLD,
    SIXTEENTH,
    SIZE_OR_FLAT,
    CannotBe,
    Family,
    Given,
    Parameter,
    Shape,
    Takes,
)
from nesting.describe.families.rows import VALLEY, along_and_breadth, need_more, row_of_panels
from nesting.lengths import ZERO

PANELS = Parameter("count", Takes.COUNT, "how many panels", "count = 4", lowest=3, highest=12)
SHORTER = Parameter(
    "shorter", Takes.LENGTHS, "by how much each inner panel is shorter than the one before it, from the third on:"
    " one length for all, or a list", 'shorter = ["3/32", "1/16"]', default=SIXTEENTH, may_be_nothing=True,
)  # fmt: skip


def build(given: Given) -> Shape:
    """Front and back are full, the others follow on the right or below, the last one being the innermost."""
    count = given.count("count")
    steps = given.lengths("shorter")
    if len(steps) == 1:
        steps = steps * (count - 2)
    if len(steps) != count - 2:
        what = f"{len(steps)} lengths are given for {count - 2} inner panels."
        raise CannotBe("shorter", what, "Give one length for all, or one for each.")
    less = [sum(steps[: i + 1], ZERO) for i in range(count - 2)]
    along, breadth = along_and_breadth(given, count, sum(less, ZERO))
    need_more(along, less[-1], "shorter", "Nothing is left of the innermost panel", given)
    panels = [along, along, *(along - shorter for shorter in less)]
    base = row_of_panels(panels, breadth, [VALLEY] * (count - 1), down=given.word("fold") == "top")
    every = tuple(range(1, count + 1))
    return Shape((base,), (("front", (1,)), ("back", (2,)), ("rolled in", every[2:]), ("outside", (1, 2)),
                           ("inside", every), ("all", every)))  # fmt: skip


FAMILY = Family(
    "roll fold", "Panels rolled up, each inner one shorter than the one before.",
    (SIZE_OR_FLAT, FLAT, FOLD, PANELS, SHORTER), build,
)  # fmt: skip
