"""How few settings any order could do with: a bound that is added up from small problems solved exactly.

In: needs. Out: a whole number that no order of these layouts can beat. The idea: let all settings but a few be free
of charge, to be used at any time between two runs; how often the few are needed then is a problem small enough to
be solved exactly, and no order can do with fewer runs of them. Settings that do not share a run may be added up, so
the settings are shared out into groups, and the least of each group is added to the least of the others. (Additive
pattern databases are the same idea: Korf & Felner 2002, Artificial Intelligence 134, 9-22; from memory.)
"""

from __future__ import annotations

from itertools import combinations

from nesting.cutting.alone import Alone, field
from nesting.cutting.group import Group
from nesting.cutting.needs import Needs, State

LARGEST_GROUP = 7
GROUPING_WORK = 40_000  # what groups may take while they are chosen, at most


class Bounds:
    """Bounds for states of one register; `share_out` chooses the groups for a start state."""

    def __init__(self, needs: Needs, count: int, work: int = GROUPING_WORK) -> None:
        self._needs = needs
        self._work = min(4 * work, GROUPING_WORK)
        self._count = count
        self._spent = 0
        self._alone = Alone(needs)
        self._groups: dict[int, Group] = {}
        self._counts: dict[State, int] = {}
        self._states: dict[State, int] = {}

    def of(self, state: State) -> int:
        """No sequence of settings that meets all these needs is shorter."""
        known = self._states.get(state)
        if known is None:
            counts = self.counts(state)
            known = counts.bit_count() + sum(group.gain(state, counts) for group in self._groups.values())
            self._states[state] = known
        return known

    def counts(self, state: State) -> int:
        """How often each setting is needed when all others are free; their sum is a bound that is quickly found."""
        known = self._counts.get(state)
        if known is None:
            known = self._counts[state] = self._alone.of(state)
        return known

    def times(self, state: State, size: int) -> int:
        """How often one setting is needed when all others are free."""
        return (self.counts(state) & field(size)).bit_count()

    def share_out(self, state: State, together: int, enough: int | None = None) -> None:
        """Group the settings so that the bound for this state grows, joining up to so many groups at a time.

        It ends when no joining helps, when the bound is `enough`, or when the work is spent.
        """
        inside = sum(self._groups)
        worth = {1 << size: self.times(state, size) for size in range(self._count) if not inside >> size & 1}
        worth |= {settings: group.least(state) for settings, group in self._groups.items()}
        tried: dict[int, Group] = dict(self._groups)
        self._spent = 0
        width = 2
        while (enough is None or sum(worth.values()) < enough) and width <= together:
            joined = self._join(state, worth, tried, width)
            width = 2 if joined else width + 1
        self._groups = {settings: tried[settings] for settings in sorted(worth) if settings.bit_count() > 1}
        self._states.clear()

    def _join(self, state: State, worth: dict[int, int], tried: dict[int, Group], width: int) -> bool:
        """Join those `width` groups whose least together is most above the sum of theirs; whether there were such."""
        best: tuple[int, int, tuple[int, ...]] | None = None
        for few in combinations(sorted(worth), width):
            joined = sum(few)
            if joined.bit_count() > LARGEST_GROUP:
                continue
            if joined not in tried:
                if self._spent > self._work:
                    break
                tried[joined] = Group(self._needs, self._count, joined)
                tried[joined].least(state)
                self._spent += tried[joined].cost
            gain = tried[joined].least(state) - sum(worth[settings] for settings in few)
            rank = -gain, joined.bit_count(), few
            if gain > 0 and (best is None or rank < best):
                best = rank
        if best is None:
            return False
        worth[sum(best[2])] = sum(worth.pop(settings) for settings in best[2]) - best[0]
        return True
