"""A base turned by a quarter with the clock, so that its top is at the right: the same lines, read from other edges.

In: a Base. Out: a Base. The fact of the trade: a card that opens sideways is wider than a printer's paper, and fits
it upright.
"""

from __future__ import annotations

from dataclasses import replace

from nesting.describe.designs import Area, Base, Line, Panel


def turned(base: Base) -> Base:
    """The base as it lies after a quarter turn; what was measured from its left edge is measured from the top."""

    def area(one: Area) -> Area:
        return Area(base.height - one.y - one.height, one.x, one.height, one.width)

    def line(one: Line) -> Line:
        xs, ys = sorted((base.height - one.y1, base.height - one.y2)), (one.x1, one.x2)
        return Line(xs[0], ys[0], xs[1], ys[1])

    def panel(one: Panel) -> Panel:
        lying = area(Area(one.x, one.y, one.width, one.height))
        return Panel(one.number, lying.x, lying.y, lying.width, lying.height)

    return replace(
        base,
        width=base.height,
        height=base.width,
        scores_across=tuple(sorted(base.height - score for score in base.scores_down)),
        scores_down=base.scores_across,
        panels=tuple(panel(each) for each in base.panels),
        folds=tuple(replace(fold, line=line(fold.line)) for fold in base.folds),
        slits=tuple(line(slit) for slit in base.slits),
        cut_away=tuple(area(each) for each in base.cut_away),
        windows=tuple(area(each) for each in base.windows),
    )
