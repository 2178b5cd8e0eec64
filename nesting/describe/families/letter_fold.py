"""Three panels of which one is folded in between the other two, as a letter is.

The panel folded in is shorter, or it would push against the fold and buckle: by 1/16 to 3/32 in as printers' folding
guides have it, by 1/8 in for cover weight in one of them.
"""

from __future__ import annotations

from nesting.describe.families.family import (
    FLAT,
    FOLD,
    SIXTEENTH,
    SIZE_OR_FLAT,
    Family,
    Given,
    Parameter,
    Shape,
    Takes,
    names,
)
from nesting.describe.families.rows import VALLEY, along_and_breadth, need_more, row_of_panels

SHORTER = Parameter(
    "shorter", Takes.LENGTH, "by how much a panel that is folded in is shorter, so that it does not buckle"
    " (1/8 in for heavy cardstock)", 'shorter = "1/8"', default=SIXTEENTH, may_be_nothing=True,
)  # fmt: skip


def build(given: Given) -> Shape:
    """Front, back, and the panel folded in, which stands on the right or at the bottom."""
    shorter = given.length("shorter")
    along, breadth = along_and_breadth(given, 3, shorter)
    need_more(along, shorter, "shorter", "Nothing is left of the panel that is folded in", given)
    panels = [along, along, along - shorter]
    base = row_of_panels(panels, breadth, [VALLEY, VALLEY], down=given.word("fold") == "top")
    return Shape((base,), names(front=1, back=2, folded_in=3, outside=(1, 2), inside=(1, 2, 3), all=(1, 2, 3)))


FAMILY = Family(
    "letter fold", "Three panels, one folded in between the others and shorter for it.",
    (SIZE_OR_FLAT, FLAT, FOLD, SHORTER), build,
)  # fmt: skip
