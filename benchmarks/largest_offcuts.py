"""The largest offcut that any plan with so few sheets leaves: the offcut is asked for as one more piece.

In: a task of one sheet kind, without kerf or limits of the trimmer, and a plan proven best. Out: the largest offcut
there is, as far as can be told. Why finitely many sizes suffice: shrink all that lies beside a free part, at every cut
above it, to the pieces in it; then each side of the part is the sheet's less a sum of sides of pieces, and the part
has only grown. Whether a size can be had is one more packing task, whose bound the checker adds up by itself.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import gcd

from nesting.packing.layout import Allowed, PackingTask, PieceKind, Use, sheets_of
from nesting.packing.solve import Effort, solve
from nesting.packing.trees import largest_free_of

Size = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Largest:
    """Areas in the task's unit: what can be had, what is not ruled out, and how many tasks it took to tell."""

    had: int
    possible: int
    tasks: int


def largest_offcut(task: PackingTask, uses: tuple[Use, ...]) -> Largest:
    """Ask for the smallest offcut that would be larger than the best known, until none is left to ask for."""
    assert len(task.sheets) == 1
    assert task.rules == type(task.rules)()
    small, unit = _in_large_units(task)
    sheets, best = sheets_of(uses), largest_free_of(uses) // unit**2
    width, height = small.sheets[0].usable
    free = sheets * width * height - sum(piece.width * piece.height * piece.need for piece in small.pieces)
    sizes = sorted(
        ((w, h) for w in _sides(small, width, across=True) for h in _sides(small, height, across=False)),
        key=lambda size: (size[0] * size[1], size),
    )
    sizes = [size for size in sizes if best < size[0] * size[1] <= free]
    doubtful: list[Size] = []
    tasks = 0
    while sizes:
        wide, high = sizes[0]
        with_it = replace(small, pieces=(*small.pieces, PieceKind(wide, high, 1, (Allowed(0, may_turn=False),))))
        answer = solve(with_it, effort=Effort.QUICK)
        tasks += 1
        if answer.bound.sheets > sheets:  # then nothing that contains it can be had either
            sizes = [size for size in sizes if size[0] < wide or size[1] < high]
            continue
        if sheets_of(answer.uses) <= sheets and not any(answer.missing):
            best = wide * high
        else:
            doubtful.append((wide, high))
        sizes = [size for size in sizes[1:] if size[0] * size[1] > best]
    return Largest(best * unit**2, max([best, *(w * h for w, h in doubtful)]) * unit**2, tasks)


def _in_large_units(task: PackingTask) -> tuple[PackingTask, int]:
    """The same task in the largest unit that all sizes are whole numbers of."""
    sheet = task.sheets[0]
    unit = gcd(sheet.width, sheet.height, *(side for piece in task.pieces for side in (piece.width, piece.height)))
    pieces = tuple(replace(one, width=one.width // unit, height=one.height // unit) for one in task.pieces)
    smaller = replace(sheet, width=sheet.width // unit, height=sheet.height // unit)
    return replace(task, pieces=pieces, sheets=(smaller,)), unit


def _sides(task: PackingTask, whole: int, *, across: bool) -> list[int]:
    """The sheet's side less all sums of sides of pieces."""
    reached = 1  # bit n: pieces side by side can be n long
    for piece in task.pieces:
        sides = {piece.width if across else piece.height}
        if any(one.may_turn for one in piece.allowed):
            sides = {piece.width, piece.height}
        for _ in range(min(piece.need, whole // min(sides))):
            for side in sides:  # more sums than there are do no harm
                reached |= reached << side
            reached &= (1 << (whole + 1)) - 1
    return [whole - at for at in range(whole) if reached >> at & 1]
