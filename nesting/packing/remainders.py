"""What no number of sheets can add up to: layouts that fill their sheet give pieces by steps, and needs lie between.

In: the sets of pieces that one sheet of a plan of a given cost can give, with what each loses; prices, needs, what all
may lose together. Out: True where no numbers of sheets give the needs, False where some may. The fact of the trade:
where every full sheet gives a piece by threes, twenty thousand of it leave two, and these take one sheet more. (The
group relaxation: Gomory 1969, Linear Algebra and its Applications 2, 451-558.)
"""

from __future__ import annotations

import heapq
from collections.abc import Callable, Sequence

Counts = tuple[int, ...]
Lossy = tuple[Counts, int]  # pieces, what is lost by it
OFTEN = (1, 8, 64)  # what can be used so often or more is taken to be free, and to be used any number of times


def none_adds_up(
    sets: Sequence[Lossy], prices: Sequence[int], needs: Sequence[int], slack: int, take: Callable[[int], None]
) -> bool:
    """Whether no number of sheets of each set, losing `slack` together at most, gives the needs exactly.

    A piece may be left out of a set at the loss of its price. `take` is told how much work is done, and may raise.
    """
    units = [tuple(-(kind == other) for other in range(len(needs))) for kind in range(len(needs))]
    steps = [*sets, *zip(units, prices, strict=True)]
    steps = sorted({step for step in steps if step[1] <= slack}, key=lambda step: (step[1], step[0]))
    return any(_none_with(often, steps, needs, slack, take) for often in OFTEN)


def _none_with(
    often: int, steps: Sequence[Lossy], needs: Sequence[int], slack: int, take: Callable[[int], None]
) -> bool:
    """The same where steps that can be made `often` or more are free, forward and back: then only remainders count."""
    lattice = Lattice(len(needs))
    for counts, loss in steps:
        if loss * often <= slack:
            take(len(needs))
            lattice.add(counts)
    lossy = [step for step in steps if step[1] * often > slack]
    goal, start = lattice.remainder(needs), lattice.remainder([0] * len(needs))
    least, row = {start: 0}, [(0, start)]
    while row:
        lost, at = heapq.heappop(row)
        if at == goal:
            return False
        if lost > least[at]:
            continue
        for counts, loss in lossy:
            take(1)
            if lost + loss > slack:
                break
            after = lattice.remainder([some + more for some, more in zip(at, counts, strict=True)])
            if lost + loss < least.get(after, slack + 1):
                least[after] = lost + loss
                heapq.heappush(row, (lost + loss, after))
    return True


class Lattice:
    """All sums and differences of some rows of whole numbers; kept as rows in steps (Hermite's normal form)."""

    def __init__(self, length: int) -> None:
        self.rows: list[list[int] | None] = [None] * length

    def add(self, some: Sequence[int]) -> None:
        """Take one more row in."""
        rest = list(self.remainder(some))
        for place, row in enumerate(self.rows):
            if not rest[place]:
                continue
            if row is None:
                self.rows[place] = rest if rest[place] > 0 else [-value for value in rest]
                break
            while rest[place]:
                times = row[place] // rest[place]
                row, rest = rest, [a - times * b for a, b in zip(row, rest, strict=True)]
            self.rows[place] = row if row[place] > 0 else [-value for value in row]
        for place in range(len(self.rows) - 1, -1, -1):
            row = self.rows[place]
            if row is not None:
                self.rows[place] = [*row[: place + 1], *self._less(row, place + 1)[place + 1 :]]

    def remainder(self, some: Sequence[int]) -> Counts:
        """The one row that stands for all that differ from this by sums and differences."""
        return tuple(self._less(some, 0))

    def _less(self, some: Sequence[int], start: int) -> list[int]:
        """What is left of a row when the rows from number `start` on are taken off as often as they go."""
        rest = list(some)
        for place in range(start, len(rest)):
            row = self.rows[place]
            if row is not None and rest[place]:
                times = rest[place] // row[place]
                if times:
                    rest = [a - times * b for a, b in zip(rest, row, strict=True)]
        return rest
