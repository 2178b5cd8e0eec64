"""Is it true that no plan costs less? All ways to cut a sheet that such a plan could use, tried again by other code.

In: what the checker knows of each sheet kind (the value of every part, the cuts), prices, needs, a cost. Out: True
where no sheets up to that cost give all needs; False where some do, or where trying would take too long. It shares
nothing with the search whose word it doubts. The fact behind it: at given prices every sheet of a plan loses something
against what its cost could buy, and the losses of all sheets together follow from the plan's cost alone. Of large
batches the remainders are looked at: what is given by threes does not add up to twenty thousand (Gomory 1969, Linear
Algebra and its Applications 2, 451-558).
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
Left = tuple[int, ...]  # of each limited sheet kind
MOST_TRIALS = 5_000_000
MOST_MOVES = 200_000
MOST_SHEETS = 1_000  # put together one by one


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
    sheets: Sequence[tuple[Cuts | None, int, int | None]], prices: Sequence[int], needs: Sequence[int], cost: int
) -> bool:
    """Whether no choice of sheets (cuts, cost of one, how many) of at most `cost` gives all needs.

    No cuts: a sheet that holds nothing. No number: as many as wanted.
    """
    some = [(cuts, price, limit) for cuts, price, limit in sheets if cuts is not None and limit != 0]
    if any(price < 1 for _, price, limit in some if limit is None):
        return False
    endless = [entry for entry in some if entry[2] is None]
    rate = max((-(-int(cuts.worth[-1, -1]) // max(1, price)) for cuts, price, _ in endless or some), default=0)
    unit = gcd(*(price for _, price, _ in some)) or 1
    slack = rate * (cost // unit * unit) - sum(need * price for need, price in zip(needs, prices, strict=True))
    counts = _Counts(prices, needs)
    trial = _Trial(counts)
    try:
        full = [max(rate * price, int(cuts.worth[-1, -1])) for cuts, price, _ in some]
        limits = [None if limit is None else min(limit, sum(needs)) for _, _, limit in some]
        gains = [worth - rate * price for worth, (_, price, _) in zip(full, some, strict=True)]
        slack += sum(gain * limit for gain, limit in zip(gains, limits, strict=True) if limit is not None)
        for (cuts, _, _), worth, limit, gain in zip(some, full, limits, gains, strict=True):
            spare = slack - (worth - int(cuts.worth[-1, -1]))
            trial.allow(worth, limit, gain, trial.sets_of(cuts, spare) if spare >= 0 else ())
        if _between(trial, prices, needs, slack):
            return True
        few = cost <= MOST_SHEETS * max((price for _, price, _ in some), default=0)
        return few and not trial.can_cover(slack)
    except _TooMany:
        return False


def _between(trial: _Trial, prices: Sequence[int], needs: Sequence[int], slack: int) -> bool:
    """Whether the needs lie between all that sheets can add up to.

    What fits often is taken any number of times, forth and back, so that only remainders count; what fits seldom, and
    pieces left out, as often as the losses allow.
    """
    digit, places = trial.counts.digit, trial.counts.places
    moves = {(tuple(pieces >> at & digit for at in places), loss) for loss, pieces, _, _ in trial.sheets}
    moves |= {(tuple(-int(k == kind) for k in range(len(needs))), prices[kind]) for kind in range(len(needs))}
    for times in (1, 10, 100):
        free = [list(counts) for counts, loss in moves if loss * times <= slack]
        few = sorted((loss, counts) for counts, loss in moves if slack < loss * times <= slack * times)
        if not _reaches(_echelon(free, len(needs)), few, needs, slack):
            return True
    return False


def _echelon(rows: list[list[int]], kinds: int) -> list[tuple[int, list[int]]]:
    """Rows with the same sums and differences: each with a last place of its own, that place above 0 and named."""
    kept = []
    for place in range(kinds - 1, -1, -1):
        while sum(1 for row in rows if row[place]) > 1:
            least = min((row for row in rows if row[place]), key=lambda row: abs(row[place]))
            rows = [
                row if row is least else [a - row[place] // least[place] * b for a, b in zip(row, least, strict=True)]
                for row in rows
            ]
            rows = [row for row in rows if any(row)]
        for row in [row for row in rows if row[place]]:
            kept.append((place, row if row[place] > 0 else [-value for value in row]))
        rows = [row for row in rows if not row[place]]
    return kept


def _reaches(
    basis: list[tuple[int, list[int]]], few: Sequence[tuple[int, tuple[int, ...]]], needs: Sequence[int], slack: int
) -> bool:
    """Whether moves that lose no more than `slack` together lead to the needs, but for sums of the basis."""

    def remainder(counts: Sequence[int]) -> tuple[int, ...]:
        for place, row in basis:
            times = counts[place] // row[place]
            counts = [a - times * b for a, b in zip(counts, row, strict=True)] if times else counts
        return tuple(counts)

    goal, start = remainder(needs), remainder([0] * len(needs))
    known, todo, trials = {start: 0}, [start], 0
    for at in todo:  # grows on the way
        if at == goal:
            return True
        for loss, counts in few:
            trials += 1
            if trials > MOST_MOVES:
                return True  # perhaps: nothing is shown
            lost = known[at] + loss
            if lost > slack:
                break
            after = remainder([a + b for a, b in zip(at, counts, strict=True)])
            if lost < known.get(after, slack + 1):
                known[after] = lost
                todo.append(after)
    return False


class _Counts:
    """How many of each piece kind, written in one number: `bits` for each kind, the highest of them left free."""

    def __init__(self, prices: Sequence[int], needs: Sequence[int]) -> None:
        self.prices = tuple(prices)
        self.bits = (2 * max(needs, default=1)).bit_length() + 1
        self.places = [self.bits * kind for kind in range(len(needs))]
        self.needs = sum(need << place for need, place in zip(needs, self.places, strict=True))
        self.free = sum(1 << (place + self.bits - 1) for place in self.places)
        self.digit = (1 << (self.bits - 1)) - 1

    def value(self, counts: int) -> int:
        return sum([(counts >> at & self.digit) * price for at, price in zip(self.places, self.prices, strict=True)])

    def cut_to(self, counts: int, most: int) -> int:
        """No more than `most` of each kind: the highest bit of a kind tells where there are more."""
        more = self.free & ~((most | self.free) - counts)
        digits = more - (more >> (self.bits - 1))
        return (counts & ~digits) | (most & digits)


class _Trial:
    def __init__(self, counts: _Counts) -> None:
        self.counts, self.trials = counts, 0
        self.sheets: list[tuple[int, int, int, int]] = []  # loss, pieces, number among the limited or -1, full price
        self.limits: list[int] = []
        self.gains: list[int] = []

    def allow(self, full: int, limit: int | None, gain: int, sets: Iterable[tuple[int, int]]) -> None:
        number = -1 if limit is None else len(self.limits)
        if limit is not None:
            self.limits.append(limit)
            self.gains.append(gain)
        self.sheets += [(full - value, counts, number, full) for value, counts in sets]

    def count(self, trials: int) -> None:
        self.trials += trials
        if self.trials > MOST_TRIALS:
            raise _TooMany

    # ------------------------------------------------------------------------------------- sets of one sheet

    def sets_of(self, cuts: Cuts, loss: int) -> list[tuple[int, int]]:
        """The sets of pieces, up to the needs, that a sheet gives at this loss or less, each with its value.

        A set contained in another of the same part is left out, since the larger one serves wherever it does.
        """
        last = cuts.worth.shape[0] - 1, cuts.worth.shape[1] - 1
        losses = self.losses(cuts, last, loss)
        sets: dict[State, list[tuple[int, int]]] = {}
        for state in sorted(losses):
            least = int(cuts.worth[state]) - losses[state]
            found = {1 << self.counts.places[kind] for kind, parts in cuts.pieces if parts[state]} | {0}
            values = {counts: self.counts.value(counts) for counts in found}
            for parts in self.cuts_of(cuts, state):
                if any(part not in losses for part in parts) or sum(int(cuts.worth[part]) for part in parts) < least:
                    continue
                if len(parts) == 1:
                    values.update((counts, value) for value, counts in sets[parts[0]])
                else:
                    self.join(values, sets[parts[0]], sets[parts[1]], least)
            rich = [counts for counts, value in values.items() if value >= least]
            sets[state] = sorted(((values[counts], counts) for counts in self.maximal(rich)), reverse=True)
        return sets[last]

    def join(
        self, values: dict[int, int], first: list[tuple[int, int]], second: list[tuple[int, int]], least: int
    ) -> None:
        """Add the sets that two parts give together, where they are worth enough; both fall in value."""
        free, needs, top = self.counts.free, self.counts.needs, self.counts.bits - 1
        most = needs | free
        for value, one in first:
            tries = 1
            for more, two in second:
                if value + more < least:
                    break
                tries += 1
                both = one + two
                above = free & ~(most - both)
                if not above:
                    values[both] = value + more
                    continue
                digits = above - (above >> top)  # as `cut_to` does
                both = (both & ~digits) | (needs & digits)
                if both not in values:
                    values[both] = self.counts.value(both)
            self.count(tries)

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

    def maximal(self, sets: list[int]) -> list[int]:
        """Those contained in no other; in 63 bits by tables of all that are greater, else one by one."""
        free, sets = self.counts.free, sorted(sets, reverse=True)  # a set that contains another is the larger number
        kept: list[int] = []
        if len(sets) > 1 and free < 1 << 62:
            self.count(len(sets) * (1 + len(sets) // 16))
            rows = np.array(sets)
            for some in np.array_split(rows, 1 + len(rows) // 100):
                above = (rows | free)[:, None] - some[None, :]
                kept += some[np.count_nonzero(above & free == free, axis=0) < 2].tolist()
            return kept
        for counts in sets:
            self.count(1 + len(kept) // 8)
            for other in kept:
                if (other - counts) & free == free:
                    break
            else:
                kept.append(counts | free)
        return [counts & ~free for counts in kept]

    # ----------------------------------------------------------------------------------------- many sheets

    def can_cover(self, slack: int) -> bool:
        """Whether sheets that lose no more than `slack` together, those left untouched too, give all needs."""
        counts, places = self.counts, self.counts.places
        holding = [[sheet for sheet in sorted(self.sheets) if sheet[1] >> at & counts.digit] for at in places]
        todo = [(counts.needs, tuple(self.limits), slack)]
        hopeless: dict[tuple[int, Left], int] = {}  # what was left, and the most slack that it was looked at with
        while todo:
            left, limits, slack = todo.pop()
            if not left and sum(gain * limit for gain, limit in zip(self.gains, limits, strict=True)) <= slack:
                return True
            if hopeless.get((left, limits), -1) >= slack or not left:
                continue
            hopeless[left, limits] = slack  # unless what is pushed here succeeds, and then all is over
            for loss, pieces, number, full in min(
                (some for some, at in zip(holding, places, strict=True) if left >> at & counts.digit), key=len
            ):
                self.count(1)
                if loss > slack:
                    break
                if number >= 0 and not limits[number]:
                    continue
                given = counts.cut_to(pieces, left)
                lost = loss if given == pieces else full - counts.value(given)
                if lost <= slack:
                    fewer = tuple([limit - (place == number) for place, limit in enumerate(limits)])
                    todo.append((left - given, fewer, slack - lost))
        return False
