"""A pocket for a tag or a gift card: the lower end is folded up and held by a glue tab on each side."""

from __future__ import annotations

from nesting.describe.designs import Area, Fold, Line, Panel
from nesting.describe.families.family import SIZE, Family, Given, Parameter, Shape, Takes, names
from nesting.describe.families.rows import VALLEY, base_of, need_more
from nesting.lengths import ZERO, inches, mm

DEPTH = Parameter("depth", Takes.LENGTH, "how deep the pocket is", 'depth = "2 1/2"')
TAB = Parameter(
    "tab", Takes.LENGTH, "how wide the glue tabs at its sides are", 'tab = "1/2"', default=(inches("1/2"), mm(12))
)


def build(given: Given) -> Shape:
    """The back, the pocket below it, a tab on each side of the pocket; beside the back the paper is cut away."""
    width, height = given.size()
    depth, tab = given.length("depth"), given.length("tab")
    need_more(height, depth, "depth", "The pocket is as deep as the card is high", given)
    need_more(width, 2 * tab, "tab", "The glue tabs would lie on each other", given)
    right, bottom = tab + width, height + depth
    panels = (
        Panel(1, tab, ZERO, width, height),
        Panel(2, tab, height, width, depth),
        Panel(3, ZERO, height, tab, depth),
        Panel(4, right, height, tab, depth),
    )
    folds = (
        Fold(VALLEY, Line(tab, height, tab, bottom)),
        Fold(VALLEY, Line(right, height, right, bottom)),
        Fold(VALLEY, Line(tab, height, right, height)),
    )
    away = (Area(ZERO, ZERO, tab, height), Area(right, ZERO, tab, height))
    base = base_of(width + 2 * tab, bottom, panels, folds, cut_away=away)
    return Shape((base,), names(back=1, pocket=2, front=2, tabs=(3, 4), outside=(1, 2), inside=1, all=(1, 2)))


FAMILY = Family("pocket", "A panel whose lower end is folded up into a pocket.", (SIZE, DEPTH, TAB), build)
