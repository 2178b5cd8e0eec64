"""The card shut: where every panel lies when all folds are folded, and whether it can be shut flat at all.

In: a Base. Out: for each panel its place in the closed card, or NotFlat with a reason. The fact of the trade: a fold
turns everything beyond it over, so the closed size and the number of plies follow from the scores alone; where two
ways round lead to different places, or a fold ends in the middle of a panel, the paper would tear.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from nesting.describe.designs import Area, Base, Fold, Line, Panel
from nesting.lengths import Length


class NotFlat(Exception):
    """The base cannot be shut flat; the text is a sentence that says where."""


@dataclass(frozen=True, slots=True)
class Turned:
    """A move that keeps right angles: x -> sign_x * x + shift_x, and the same for y, in ticks."""

    sign_x: int = 1
    shift_x: int = 0
    sign_y: int = 1
    shift_y: int = 0

    def over(self, line: Line) -> Turned:
        """What lies beyond a fold: first turned over at the fold, then moved as this side of it is."""
        if line.runs_down:
            return Turned(-self.sign_x, self.shift_x + 2 * self.sign_x * line.x1.ticks, self.sign_y, self.shift_y)
        return Turned(self.sign_x, self.shift_x, -self.sign_y, self.shift_y + 2 * self.sign_y * line.y1.ticks)

    def moved(self, x: int, y: int) -> Turned:
        """The same, moved further."""
        return Turned(self.sign_x, self.shift_x + x, self.sign_y, self.shift_y + y)

    def area(self, x: Length, y: Length, width: Length, height: Length) -> Area:
        """Where a rectangle of the flat base comes to lie."""
        xs = sorted(self.sign_x * at + self.shift_x for at in (x.ticks, (x + width).ticks))
        ys = sorted(self.sign_y * at + self.shift_y for at in (y.ticks, (y + height).ticks))
        return Area(Length(xs[0]), Length(ys[0]), width, height)


def fold_shut(base: Base) -> dict[int, Turned]:
    """How each panel is moved when the base is folded shut, its first panel lying at `base.lies[0]`.

    Raises NotFlat where the folds contradict each other.
    """
    first = base.panels[0]
    found = {first.number: Turned()}
    ahead = [first]
    neighbours = _neighbours(base)
    while ahead:
        panel = ahead.pop()
        for other, fold in neighbours[panel.number]:
            moved = found[panel.number]
            beyond = moved.over(fold.line) if fold is not None and fold.shut else moved
            if other.number not in found:
                found[other.number] = beyond
                ahead.append(other)
            elif found[other.number] != beyond:
                raise NotFlat(f"Shut, panel {other.number} would have to lie in two places at once.")
    loose = [panel.number for panel in base.panels if panel.number not in found]
    if loose:
        raise NotFlat(f"Panel {loose[0]} is cut off from panel {first.number} all round.")
    x, y = base.lies[0]
    corner = found[first.number].area(first.x, first.y, first.width, first.height)
    return {number: moved.moved((x - corner.x).ticks, (y - corner.y).ticks) for number, moved in found.items()}


def _neighbours(base: Base) -> dict[int, list[tuple[Panel, Fold | None]]]:
    """For each panel those it hangs together with: over a fold, or (None) without one."""
    found: dict[int, list[tuple[Panel, Fold | None]]] = {panel.number: [] for panel in base.panels}
    for i, panel in enumerate(base.panels):
        for other in base.panels[i + 1 :]:
            border = _border(panel, other) or _border(other, panel)
            if border is None:
                continue
            links = _links(base, border)
            if len(links) > 1:
                raise NotFlat(f"A fold ends in the middle of the border of panels {panel.number} and {other.number}.")
            for fold in links:
                found[panel.number].append((other, fold))
                found[other.number].append((panel, fold))
    return found


def _border(first: Panel, second: Panel) -> Line | None:
    """The border where the second panel lies right of, or below, the first one."""
    if first.x + first.width == second.x:
        top = max(first.y, second.y)
        end = min(first.y + first.height, second.y + second.height)
        return Line(second.x, top, second.x, end) if top < end else None
    if first.y + first.height == second.y:
        left = max(first.x, second.x)
        end = min(first.x + first.width, second.x + second.width)
        return Line(left, second.y, end, second.y) if left < end else None
    return None


def _links(base: Base, border: Line) -> list[Fold | None]:
    """How the paper hangs together along a border: folded, unfolded (None), both, or, where it is slit, not at all."""
    start, end = _span(border)
    folds = [fold for fold in base.folds if _on_one_line(fold.line, border)]
    slits = [slit for slit in base.slits if _on_one_line(slit, border)]
    marks = {start, end}
    for line in [fold.line for fold in folds] + slits:
        marks |= {mark for mark in _span(line) if start < mark < end}
    found: list[Fold | None] = []
    for double in (a + b for a, b in pairwise(sorted(marks))):  # twice the middle of a stretch
        if any(2 * _span(slit)[0] < double < 2 * _span(slit)[1] for slit in slits):
            continue
        over = next((f for f in folds if 2 * _span(f.line)[0] < double < 2 * _span(f.line)[1]), None)
        if not any(_same(over, known) for known in found):
            found.append(over)
    return found


def _same(one: Fold | None, other: Fold | None) -> bool:
    return one is other or (one is not None and other is not None and one.shut == other.shut)


def _span(line: Line) -> tuple[int, int]:
    return (line.y1.ticks, line.y2.ticks) if line.runs_down else (line.x1.ticks, line.x2.ticks)


def _on_one_line(one: Line, other: Line) -> bool:
    if one.runs_down != other.runs_down:
        return False
    return one.x1 == other.x1 if one.runs_down else one.y1 == other.y1


def main_fold_runs_down(base: Base) -> bool | None:
    """Whether most of what is folded runs from top to bottom; None where nothing is folded."""
    if not base.folds:
        return None
    down = sum(fold.line.length.ticks for fold in base.folds if fold.line.runs_down)
    return 2 * down >= sum(fold.line.length.ticks for fold in base.folds)
