"""The keys shape, top and to_a_blank of a blank: which shape is taken from it, and how many may share it.

In: a part's table. Out: Outline, shorter side, number. The fact of the trade: only a shape whose sides are known can be
laid beside another one turned round.
"""

from __future__ import annotations

from nesting.describe.designs import Outline
from nesting.describe.tables import Table
from nesting.describe.values import one_of, positive_length, whole
from nesting.lengths import Length

MOST_TO_A_BLANK = 100
USUAL_TO_A_BLANK = 2


def read_shape(table: Table) -> tuple[Outline, Length | None, int]:
    """A trapezoid needs its shorter side, and only shapes that are named share a blank."""
    outline = table.take("shape", one_of(Outline)) or Outline.ANY
    top = table.take("top", positive_length)
    most = table.take("to_a_blank", whole(1, MOST_TO_A_BLANK))
    has_top = outline in (Outline.TRAPEZOID, Outline.RIGHT_TRAPEZOID)
    if has_top and not table.meant("top"):
        table.missing.append(("top", 'top = "1"'))
    if table.has("top") and not has_top:
        table.refuse("top", "Only a trapezoid has a “top”, its shorter side.", "Take it out, or name that shape.")
    if table.has("to_a_blank") and not table.has("shape"):
        todo = 'Add the shape, like shape = "triangle", or take it out.'
        table.refuse("to_a_blank", "What shape shares the blank is not said.", todo)
    return outline, top, most or USUAL_TO_A_BLANK
