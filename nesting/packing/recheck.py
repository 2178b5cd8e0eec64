"""Is it true that no plan costs less? All ways to cut a sheet that such a plan could use, tried again by other code.

In: what the checker knows of each sheet kind (the value of every part, the cuts), prices, needs, a cost. Out: True
where no sheets up to that cost give all needs; False where some do, or where trying would take too long. It shares
nothing with the search whose word it doubts. The fact behind it: at given prices every sheet of a plan loses something
against what its cost could buy, and the losses of all sheets together follow from the plan's cost alone.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import gcd

import numpy as np
import numpy.typing as npt

Table = npt.NDArray[np.int64]
Mask = npt.NDArray[np.bool_]
Pairs = Sequence[tuple[Sequence[int], Sequence[int]]]
State = tuple[int, int]
Counts = tuple[int, ...]
MOST_TRIALS = 1_000_000


@dataclass(frozen=True, slots=True)
class Cuts:
    """One sheet kind: the most that each part (row: width, column: height) is worth, the whole sheet last.

    x_pairs[i]: numbers of widths that a cut across turns width i into, those that would fit into the next smaller
    width left out where that can be cut as well; can_across: the parts that the trimmer can cut
    so; y_pairs and can_down alike. pieces: a piece kind and the parts that can be trimmed to it.
    """

    worth: Table
    x_pairs: Pairs
    y_pairs: Pairs
    can_across: Mask
    can_down: Mask
    pieces: Sequence[tuple[int, Mask]]


class _TooMany(Exception):
    pass


def none_within(
    sheets: Sequence[tuple[Cuts | None, int]], prices: Sequence[int], needs: Sequence[int], cost: int
) -> bool:
    """Whether no choice of sheets (cuts, cost of one; None: it holds nothing) of at most `cost` gives all needs."""
    some = [(cuts, price) for cuts, price in sheets if cuts is not None]
    if any(price < 1 for _, price in some):
        return False
    rate = max((-(-int(cuts.worth[-1, -1]) // price) for cuts, price in some), default=0)
    unit = gcd(*(price for _, price in some)) or 1
    slack = rate * (cost // unit * unit) - sum(need * price for need, price in zip(needs, prices, strict=True))
    trial = _Trial(tuple(prices), tuple(needs))
    try:
        for cuts, price in some:
            lost = rate * price - int(cuts.worth[-1, -1])
            if lost <= slack:
                trial.allow(rate * price, trial.sets_of(cuts, slack - lost))
        return not trial.can_cover(tuple(needs), slack)
    except _TooMany:
        return False


class _Trial:
    def __init__(self, prices: Counts, needs: Counts) -> None:
        self.prices, self.needs, self.trials = prices, needs, 0
        self.sheets: list[tuple[int, Counts]] = []

    def allow(self, cost: int, sets: Iterable[Counts]) -> None:
        self.sheets += [(cost, counts) for counts in sets]

    def count(self, trials: int) -> None:
        self.trials += trials
        if self.trials > MOST_TRIALS:
            raise _TooMany

    def value(self, counts: Counts) -> int:
        return sum(each * price for each, price in zip(counts, self.prices, strict=True))

    # ------------------------------------------------------------------------------------- sets of one sheet

    def sets_of(self, cuts: Cuts, loss: int) -> Iterable[Counts]:
        """The sets of pieces, up to the needs, that a sheet gives at this loss or less; smaller ones may be left out.

        A set contained in another of the same part is left out, since the larger one serves wherever it does.
        """
        last = cuts.worth.shape[0] - 1, cuts.worth.shape[1] - 1
        losses = self.losses(cuts, last, loss)
        sets: dict[State, list[tuple[int, Counts]]] = {}
        for state in sorted(losses):
            least = int(cuts.worth[state]) - losses[state]
            found = {self.one(kind) for kind, parts in cuts.pieces if parts[state]}
            found.add((0,) * len(self.needs))
            for parts in self.cuts_of(cuts, state):
                if any(part not in losses for part in parts) or sum(int(cuts.worth[part]) for part in parts) < least:
                    continue
                first, second = sets[parts[0]], sets[parts[1]] if len(parts) == 2 else [(0, (0,) * len(self.needs))]
                for value, one in first:
                    rich = [two for more, two in second if value + more >= least]
                    self.count(1 + len(rich))
                    found |= {self.both(one, two) for two in rich}
            kept = self.maximal([counts for counts in found if self.value(counts) >= least])
            sets[state] = [(self.value(counts), counts) for counts in kept]
        return [counts for _, counts in sets[last]]

    def losses(self, cuts: Cuts, last: State, loss: int) -> dict[State, int]:
        """How much each part may lose when the whole sheet may lose so much; parts that can take no part are left."""
        losses = {last: loss}
        for i in range(last[0], -1, -1):
            for j in range(last[1], -1, -1):
                if (i, j) not in losses:
                    continue
                for parts in self.cuts_of(cuts, (i, j)):
                    self.count(1)
                    rest = losses[i, j] - int(cuts.worth[i, j]) + sum(int(cuts.worth[part]) for part in parts)
                    for part in parts:
                        if rest >= losses.get(part, 0):
                            losses[part] = rest
        return losses

    def cuts_of(self, cuts: Cuts, state: State) -> Iterable[tuple[State, ...]]:
        i, j = state
        if cuts.can_across[state]:
            yield from [((i - 1, j),)] if i else []
            yield from (((a, j), (b, j)) for a, b in zip(*cuts.x_pairs[i], strict=True))
        if cuts.can_down[state]:
            yield from [((i, j - 1),)] if j else []
            yield from (((i, a), (i, b)) for a, b in zip(*cuts.y_pairs[j], strict=True))

    def one(self, kind: int) -> Counts:
        return tuple(int(other == kind) for other in range(len(self.needs)))

    def both(self, one: Counts, two: Counts) -> Counts:
        return tuple([min(a + b, need) for a, b, need in zip(one, two, self.needs, strict=True)])

    def maximal(self, sets: list[Counts]) -> list[Counts]:
        kept: list[Counts] = []
        for counts in sorted(sets, key=sum, reverse=True):
            self.count(1 + len(kept) // 8)
            if not any(all(a >= b for a, b in zip(other, counts, strict=True)) for other in kept):
                kept.append(counts)
        return kept

    # ----------------------------------------------------------------------------------------- many sheets

    def can_cover(self, needs: Counts, slack: int) -> bool:
        """Whether sheets that lose no more than `slack` together give all needs."""
        holding = [[sheet for sheet in self.sheets if sheet[1][kind]] for kind in range(len(needs))]
        todo = [(needs, slack)]
        hopeless: dict[Counts, int] = {}  # what was left, and the most slack that it was looked at with
        while todo:
            left, slack = todo.pop()
            if not any(left):
                return True
            if hopeless.get(left, -1) >= slack:
                continue
            hopeless[left] = slack  # unless what is pushed here succeeds, and then all is over
            for cost, counts in min((holding[kind] for kind, need in enumerate(left) if need), key=len):
                self.count(1)
                given = tuple([min(a, b) for a, b in zip(counts, left, strict=True)])
                loss = cost - self.value(given)
                if loss <= slack:
                    todo.append((tuple([a - b for a, b in zip(left, given, strict=True)]), slack - loss))
        return False
