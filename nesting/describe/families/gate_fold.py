"""Two gates that meet in the middle of the front.

They leave a gap, or they would lie on each other: 1/8 in in all, as a printers' folding guide has it.
"""

from __future__ import annotations

from nesting.describe.families.family import EIGHTH, FOLD, SIZE, Family, Given, Parameter, Shape, Takes, names
from nesting.describe.families.rows import VALLEY, need_more, row_of_panels, shared

GAP = Parameter("gap", Takes.LENGTH, "what is left open between the gates", 'gap = "1/8"', default=EIGHTH,
                may_be_nothing=True)  # fmt: skip


def build(given: Given) -> Shape:
    """A gate, the back, a gate."""
    width, height = given.size()
    down = given.word("fold") == "top"
    along, breadth = (height, width) if down else (width, height)
    gap = given.length("gap")
    need_more(along, gap, "gap", "The gap leaves no gates", given)
    gate = shared(along - gap, 2, "gap", given)
    base = row_of_panels([gate, along, gate], breadth, [VALLEY, VALLEY], down=down)
    first, last = ("top_gate", "bottom_gate") if down else ("left_gate", "right_gate")
    panels = names(
        **{first: 1, last: 3}, gates=(1, 3), front=(1, 3), back=2, middle=2, outside=(1, 2, 3), inside=(1, 2, 3),
        all=(1, 2, 3),
    )  # fmt: skip
    return Shape((base,), panels)


FAMILY = Family("gate fold", "Two gates that meet in the middle of the front.", (SIZE, FOLD, GAP), build)
