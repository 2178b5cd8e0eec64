"""Panels folded to and fro, all equal or stepped, so that the edges of the panels behind show beside the front."""

from __future__ import annotations

from nesting.describe.families.family import FLAT, FOLD, SIZE_OR_FLAT, Family, Given, Parameter, Shape, Takes
from nesting.describe.families.rows import MOUNTAIN, VALLEY, along_and_breadth, need_more, row_of_panels
from nesting.lengths import ZERO

PANELS = Parameter("count", Takes.COUNT, "how many panels", "count = 4", lowest=2, highest=40)
STEP = Parameter(
    "step", Takes.LENGTH, "for a stepped card: by how much each pair of panels is narrower than the pair behind it",
    'step = "1/2"', default=ZERO, may_be_nothing=True,
)  # fmt: skip


def build(given: Given) -> Shape:
    """Panels 1 and 2 are one pair, 3 and 4 the next; with an odd number the last panel is alone and the widest."""
    count = given.count("count")
    step = given.length("step")
    back = (count - 1) // 2
    less = [step * (back - i // 2) for i in range(count)]
    along, breadth = along_and_breadth(given, count, sum(less, ZERO))
    need_more(along, less[0], "step", "Nothing is left of the narrowest panel", given)
    panels = [along - narrower for narrower in less]
    kinds = [MOUNTAIN if i % 2 else VALLEY for i in range(count - 1)]
    base = row_of_panels(panels, breadth, kinds, down=given.word("fold") == "top")
    every = tuple(range(1, count + 1))
    return Shape((base,), (("front", (1,)), ("back", (count,)), ("outside", (1, count)), ("inside", every),
                           ("fronts", every[::2]), ("all", every)))  # fmt: skip


FAMILY = Family(
    "accordion", "Panels folded to and fro, equal or stepped.", (SIZE_OR_FLAT, FLAT, FOLD, PANELS, STEP), build
)
