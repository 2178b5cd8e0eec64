"""A card that stands: the front is glued to the first half of a stand that folds back and down.

The stand is a half fold whose upper panel is folded once more in the middle.
"""

from __future__ import annotations

from nesting.describe.families.family import SIZE, Family, Given, Shape, names
from nesting.describe.families.rows import MOUNTAIN, VALLEY, row_of_panels, shared


def build(given: Given) -> Shape:
    """The stand, of which panel 1 carries the front and panel 3 lies on the table, and the front, panel 4."""
    width, height = given.size()
    half = shared(height, 2, "size", given)
    stand = row_of_panels([half, half, height], width, [MOUNTAIN, VALLEY], down=True, name="stand")
    front = row_of_panels([height], width, [], down=True, first=4, name="front")
    panels = names(glued=1, back=2, bottom=3, front=4, outside=(4, 3), inside=3, all=(3, 4))
    return Shape((stand, front), panels)


FAMILY = Family("easel", "A front glued to a stand that folds back and down.", (SIZE,), build)
