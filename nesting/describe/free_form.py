"""A base of the user's own: scores across and down, panels joined or cut away, slits made with the knife.

In: score positions with the way they fold, slits, panels. Out: the folds as far as they really run. The fact of the
trade: a score stops where two panels are one, and where a slit or a part cut away takes its place.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from itertools import pairwise

from nesting.describe.designs import Fold, FoldKind, Line, Panel
from nesting.lengths import Length


def folds_between(
    panels: Iterable[Panel], across: Mapping[Length, FoldKind], down: Mapping[Length, FoldKind], slits: Iterable[Line]
) -> tuple[Fold, ...]:
    """Every fold between two panels on a score line, in stretches as long as can be, slits left out."""
    panels, slits = tuple(panels), tuple(slits)
    folds = []
    for runs_down, scores in ((True, across), (False, down)):
        for at, kind in scores.items():
            folds += [Fold(kind, line) for line in _stretches(panels, slits, at, runs_down)]
    return tuple(folds)


def _stretches(panels: tuple[Panel, ...], slits: tuple[Line, ...], at: Length, runs_down: bool) -> list[Line]:
    before = [_span(panel, runs_down) for panel in panels if _ends(panel, runs_down)[1] == at]
    after = [_span(panel, runs_down) for panel in panels if _ends(panel, runs_down)[0] == at]
    cuts = [_slit_span(slit) for slit in slits if slit.runs_down is runs_down and _where(slit) == at]
    marks = sorted({mark for span in before + after + cuts for mark in span})
    found: list[tuple[Length, Length]] = []
    for start, end in pairwise(marks):
        folded = all(any(a <= start and end <= b for a, b in side) for side in (before, after))
        if not folded or any(a <= start and end <= b for a, b in cuts):
            continue
        if found and found[-1][1] == start:
            found[-1] = (found[-1][0], end)
        else:
            found.append((start, end))
    return [Line(at, a, at, b) if runs_down else Line(a, at, b, at) for a, b in found]


def _ends(panel: Panel, runs_down: bool) -> tuple[Length, Length]:
    """Where a panel begins and ends across the line."""
    return (panel.x, panel.x + panel.width) if runs_down else (panel.y, panel.y + panel.height)


def _span(panel: Panel, runs_down: bool) -> tuple[Length, Length]:
    """Where a panel begins and ends along the line."""
    return (panel.y, panel.y + panel.height) if runs_down else (panel.x, panel.x + panel.width)


def _where(slit: Line) -> Length:
    return slit.x1 if slit.runs_down else slit.y1


def _slit_span(slit: Line) -> tuple[Length, Length]:
    return (slit.y1, slit.y2) if slit.runs_down else (slit.x1, slit.x2)
