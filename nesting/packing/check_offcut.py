"""Is the largest offcut said rightly? Every larger one is shown to cost more, by bounds that are added up again.

In: what was asked (PackingTask), the needs that were met, the plan's cost, an OffcutBound. Out: sentences, one for each
thing that is wrong. The method: shrink all that lies beside a free part, at every cut above it, to the pieces in it;
then each side of the part is the sheet's less a sum of sides of pieces, and the part has only grown. So it suffices
that of these sizes each larger one contains a piece that no plan of this cost can cut besides all others. Sheets beyond
a limit may be taken too, at more than the plan's cost each: to rule a size out is to show that it costs more, also
where there is no paper for it at all.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import replace
from fractions import Fraction
from math import gcd

import numpy as np

from nesting.packing.check_bound import verify_bound
from nesting.packing.layout import Allowed, CutRules, OffcutBound, PackingTask, PieceKind, SheetKind

Size = tuple[int, int]


def wrong_offcut(task: PackingTask, needs: Sequence[int], cost: int, offcut: OffcutBound) -> Iterable[str]:
    """All that is wrong with the claim that no plan of this cost leaves a larger free part."""
    if not task.sheets or any(sheet.cost < 1 for sheet in task.sheets):
        yield "A largest offcut is said of paper that costs nothing."
        return
    unit = gcd(*(sheet.cost for sheet in task.sheets))
    beyond = [replace(sheet, cost=cost + unit, limit=None) for sheet in task.sheets if sheet.limit is not None]
    anywhere = tuple(Allowed(paper, may_turn=False) for paper in {sheet.paper for sheet in task.sheets})
    for out in offcut.ruled_out:
        extra = PieceKind(out.width, out.height, 1, anywhere)
        more = PackingTask((*task.pieces, extra), (*task.sheets, *beyond), CutRules(kerf=task.rules.kerf))
        if out.width < 1 or out.height < 1 or verify_bound(more, out.bound, (*needs, 1)).cost <= cost:
            yield f"An offcut of {out.width} x {out.height} is ruled out, and its bound does not say so."
    room = _room(task, needs, cost)
    for sheet in task.sheets:
        for width, height in _smallest_larger(task, needs, sheet, offcut.area):
            fits = (width + task.rules.kerf) * (height + task.rules.kerf) <= room
            if fits and not any(out.width <= width and out.height <= height for out in offcut.ruled_out):
                yield f"No offcut is said to be larger than {offcut.area}, and {width} x {height} is not ruled out."
                return


def _room(task: PackingTask, needs: Sequence[int], cost: int) -> int:
    """The paper that can be had for this cost, less all pieces; the kerf is added to every length."""
    kerf = task.rules.kerf
    best = max(Fraction(wide * high, sheet.cost) for sheet in task.sheets for wide, high in [_inside(sheet, kerf)])
    pieces = zip(task.pieces, needs, strict=True)
    return int(best * cost) - sum(need * (piece.width + kerf) * (piece.height + kerf) for piece, need in pieces)


def _inside(sheet: SheetKind, kerf: int) -> Size:
    """Width and height inside the margins, the kerf added; a first margin costs a whole kerf at least."""
    m = sheet.margins
    left, top = (max(m.left, kerf) if m.left else 0), (max(m.top, kerf) if m.top else 0)
    return max(0, sheet.width - left - m.right + kerf), max(0, sheet.height - top - m.bottom + kerf)


def _smallest_larger(task: PackingTask, needs: Sequence[int], sheet: SheetKind, area: int) -> Iterable[Size]:
    """For each width that a free part can have, the least height with which it is larger than `area`."""
    width, height = _inside(sheet, task.rules.kerf)
    widths = _sides(task, needs, sheet.paper, width, across=True)
    heights = _sides(task, needs, sheet.paper, height, across=False)
    for wide in widths:
        place = bisect_right(heights, area // wide)
        if place < len(heights):
            yield wide, heights[place]


def _sides(task: PackingTask, needs: Sequence[int], paper: int, whole: int, *, across: bool) -> list[int]:
    """All lengths that a free part of a paper can have along one side, shortest first."""
    kerf = task.rules.kerf
    steps: list[tuple[int, int]] = []  # side of a piece with the kerf, how often it counts
    for piece, need in zip(task.pieces, needs, strict=True):
        allowed = [one for one in piece.allowed if one.paper == paper]
        sides = {piece.width if across else piece.height} if allowed else set()
        if any(one.may_turn for one in allowed):
            sides = {piece.width, piece.height}
        steps += [(side + kerf, min(need, whole // (side + kerf))) for side in sides if side + kerf > 0]
    unit = gcd(whole, *(step for step, _ in steps)) or 1
    sums, most = 1, (1 << (whole // unit + 1)) - 1  # bit n: pieces side by side can be n units long
    for step, count in steps:
        times = 1
        while count > 0:  # once, twice, four times, ..., and what is left
            times = min(times, count)
            sums |= (sums << (step // unit * times)) & most
            count, times = count - times, 2 * times
    bits = np.frombuffer(sums.to_bytes(whole // unit // 8 + 1, "little"), dtype=np.uint8)
    ends = np.flatnonzero(np.unpackbits(bits, bitorder="little"))
    return [side for side in (whole - int(at) * unit - kerf for at in ends[::-1]) if side > 0]
