"""How often each setting must be run, shown by clashes: sets of settings that cannot all be done with so few runs.

In: needs. Out: an order that is proven the shortest, or a number that no order can beat. The fact of the trade: where
one strip gives 3 by 2 and another 2 by 3, one of the two settings comes up twice. Each clash says that one of a few
settings is run once more; the fewest runs that settle all clashes known are tried, and where they do not suffice
either, there is another clash (implicit hitting sets: Moreno-Centeno & Karp 2013, Operations Research 61, 453-468; from
memory).
"""

from __future__ import annotations

from collections.abc import Callable

from nesting.cutting.alone import UNARY, Alone, field
from nesting.cutting.needs import Needs, State, members
from nesting.cutting.projection import Projection

Runs = tuple[int, ...]  # per setting: how often it is run
Clash = dict[int, int]  # one of these settings is run at least so often

FREE = 1 << 20  # so many runs are no limit
COMPARED = 8  # so many pairs of needs compared count as one state


class _Spent(Exception):
    """The work that was allowed is done."""


class Clashes:
    """All clashes known for one start state; `left` counts the states that may still be looked at."""

    def __init__(
        self, needs: Needs, count: int, start: State, work: int, stop: Callable[[], bool] | None = None
    ) -> None:
        self.left = work
        self._stop = stop
        self.known: list[Clash] = []
        self._needs, self._count, self._start = needs, count, start
        counts = Alone(needs).of(start)
        self.least: Runs = tuple((counts & field(size)).bit_count() for size in range(count))
        self.bound = sum(self.least)
        self._trials: dict[State, tuple[_Trial, State]] = {}

    def shortest(self) -> tuple[int, ...] | None:
        """The shortest order, where it is found in time; `bound` is raised on the way."""
        try:
            while True:
                order = self._tried(self._settled())
                if order is not None:
                    return order
        except _Spent:
            return None

    def _tried(self, runs: Runs) -> tuple[int, ...] | None:
        """An order with at most so many runs, else more clashes, no two of them with a setting in common."""
        capped = (1 << self._count) - 1
        order, clash = self._meet(runs, capped)
        if order is not None:
            return order
        while order is None:
            clash = self._smaller(runs, clash)
            self.known.append({size: runs[size] + 1 for size in members(clash)})
            capped &= ~clash
            order, clash = self._meet(runs, capped)
        return None

    def _smaller(self, runs: Runs, clash: State) -> State:
        """A clash without settings that it can do without."""
        for size in members(clash):
            if clash >> size & 1:
                order, smaller = self._meet(runs, clash & ~(1 << size))
                clash = smaller if order is None else clash
        return clash

    # --------------------------------------------------------------------------------------- with so many runs

    def _meet(self, runs: Runs, capped: State) -> tuple[tuple[int, ...] | None, State]:
        """An order of the capped settings (as bits) with at most so many runs of each, all others free, or a clash."""
        if max(runs, default=0) >= UNARY:
            raise _Spent
        trial = self._trials.get(capped)
        if trial is None:
            small = Projection(self._needs, self._count, capped)
            trial = self._trials[capped] = _Trial(self, small), small.of(self._start)
            self.spend(len(small))
        trial[0].count()
        left = sum((1 << runs[size]) - 1 << size * UNARY for size in members(capped)) | field(self._count)
        order = trial[0].order(trial[1], left)
        return order, 0 if order is not None else trial[0].why[trial[1], left]

    def spend(self, states: int) -> None:
        """Count states that were looked at."""
        self.left -= states
        if self.left <= 0 or (self._stop is not None and self._stop()):
            raise _Spent

    # --------------------------------------------------------------------------------------- settling clashes

    def _settled(self) -> Runs:
        """The fewest runs that settle all clashes known; `bound` becomes their sum."""
        while True:
            found = self._settle(list(self.least), self.bound - sum(self.least), {})
            if found is not None:
                return tuple(found)
            self.bound += 1

    def _settle(self, runs: list[int], more: int, never: Clash) -> list[int] | None:
        """Runs that settle all clashes with so many more, or None; `never`: settings that stay below a number."""
        self.spend(1)
        worst: list[tuple[int, int]] | None = None
        sure, taken = 0, set[int]()
        for clash in self.known:
            if any(runs[size] >= least for size, least in clash.items()):
                continue
            ways = [(size, least) for size, least in clash.items() if least < never.get(size, FREE)]
            if not ways:
                return None
            if worst is None or len(ways) < len(worst):
                worst = ways
            if taken.isdisjoint(size for size, _ in ways):
                taken.update(size for size, _ in ways)
                sure += min(least - runs[size] for size, least in ways)
        if sure > more:
            return None
        if worst is None:
            return runs
        never = dict(never)
        for size, least in worst:
            step = least - runs[size]
            if step <= more:
                found = self._settle([*runs[:size], least, *runs[size + 1 :]], more - step, never)
                if found is not None:
                    return found
            never[size] = least
        return None


class _Trial:
    """Orders of a few settings, all others free; what is known to fail is remembered with the settings to blame."""

    def __init__(self, clashes: Clashes, small: Projection) -> None:
        self.why: dict[tuple[State, int], State] = {}
        self._clashes, self._small = clashes, small
        self._counted = 0

    def count(self) -> None:
        """Count the pairs of needs compared since the last time."""
        states = (self._small.needs.compared - self._counted) // COMPARED
        self._counted += states * COMPARED
        self._clashes.spend(states)

    def order(self, state: State, left: int) -> tuple[int, ...] | None:
        """An order with so many runs at most, as many ones in each setting's field; None where there is none."""
        if not state:
            return ()
        if (state, left) in self.why:
            return None
        over = self._small.alone.of(state) & ~left
        if over:
            self.why[state, left] = 1 << (over.bit_length() - 1) // UNARY
            return None
        blame, several = 0, list[tuple[int, State, int]]()
        sizes = self._small.needs.available(state)
        self._clashes.spend(len(sizes))
        self.count()
        for size in sizes:
            runs = left & field(size)
            less = left ^ runs | runs >> 1 & field(size)
            following = self._small.after(state, size) if runs else state
            if runs and not self._small.needs.holding(following, [size]):
                found = self.order(following, less)
                if found is not None:
                    return (size, *found)
                self.why[state, left] = self.why[following, less]
                return None
            if not runs or self._small.alone.of(following) & ~less & field(size):
                blame |= 1 << size
            else:
                several.append((size, following, less))
        for size, following, less in several:
            found = self.order(following, less)
            if found is not None:
                return (size, *found)
            why = self.why[following, less]
            if not why >> size & 1:
                blame = why
                break
            blame |= why
        self.why[state, left] = blame
        return None
