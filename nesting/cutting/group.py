"""A small problem inside a large one: only a few settings are counted, all others are free of charge.

In: needs, and the few settings. Out: the fewest runs of these settings, exactly where that is soon found, else a
number that is sure. Free settings are taken as one more setting that is used after every run.
"""

from __future__ import annotations

from nesting.cutting.alone import Alone, field
from nesting.cutting.needs import Entry, Need, Needs, State, members

GROUP_WORK = 400  # states looked at for one least; beyond it what is sure so far is taken


class Group:
    """The projection of a register of needs on a few settings (bits of `settings`)."""

    def __init__(self, needs: Needs, count: int, settings: int) -> None:
        self.settings = settings
        self.work = 0  # states looked at
        self._whole = needs
        self._sizes = members(settings)
        self._free = count
        self._small = Needs(count + 1)
        self._alone = Alone(self._small)
        self._mask = sum(field(size) for size in range(count) if settings >> size & 1)
        self._projected: dict[int, State] = {}
        self._seen: dict[State, State] = {}
        self._least: dict[State, int] = {}
        self._hopeless: dict[State, int] = {}

    @property
    def cost(self) -> int:
        """What it took so far: states looked at, and needs projected."""
        return self.work + len(self._projected) + 1

    def gain(self, state: State, counts: int) -> int:
        """What the least adds to the settings counted one by one."""
        single = (counts & self._mask).bit_count()
        return max(0, self.least(state) - single)

    def least(self, state: State) -> int:
        """No sequence of settings has fewer runs of these."""
        small = self._seen.get(state)
        if small is None:
            small = self._seen[state] = self._freed(self._project_all(state))
        known = self._least.get(small)
        if known is None:
            known = self._one_by_one(small)
            until = self.work + GROUP_WORK
            while not self._meets(small, known, until) and self.work < until:
                known += 1
            self._least[small] = known
        return known

    def _one_by_one(self, small: State) -> int:
        return (self._alone.of(small) & self._mask).bit_count()

    def _meets(self, small: State, most: int, until: int) -> bool:
        if not small:
            return True
        known = self._least.get(small)
        if (self._one_by_one(small) if known is None else known) > most:
            return False
        if self._hopeless.get(small, -1) >= most or self.work >= until:
            return False
        self.work += 1
        for size in self._small.available(small):
            if self._meets(self._freed(self._small.step(small, size)), most - 1, until):
                return True
        if self.work < until:
            self._hopeless[small] = most
        return False

    # ------------------------------------------------------------------------------------------ projection

    def _project_all(self, state: State) -> State:
        came = 0
        for number in members(self._whole.holding(state, self._sizes)):
            came |= self._project(number)
        return self._small.reduced(came)

    def _project(self, number: int) -> State:
        known = self._projected.get(number)
        if known is None:
            known = self._projected[number] = 1 << self._small.intern(self._find(self._whole[number]))
        return known

    def _find(self, need: Need) -> Need:
        kept: list[Entry] = []
        freed = strips = 0
        for entry in need.entries:
            inside = self._project_all(entry.frees)
            if self.settings >> entry.size & 1:
                kept.append(Entry(entry.size, entry.many, inside))
            else:
                freed |= inside
                strips += 2 if entry.many else 1
        rest = None if need.rest is None else self._project_all(need.rest)
        if not kept:
            return Need((Entry(self._free, True, self._flat(freed | (rest or 0))),), None)
        if strips:
            kept.append(Entry(self._free, strips > 1, self._flat(freed)))
        return Need(tuple(kept), rest)

    def _flat(self, state: State) -> State:
        """Free cuts after free cuts are one."""
        came = 0
        for number in members(state):
            entries = self._small[number].entries
            came |= entries[0].frees if entries[0].size == self._free else 1 << number
        return self._small.reduced(came)

    def _freed(self, small: State) -> State:
        """The state when everything that is free has been cut."""
        while self._small.cuts(small, self._free):
            small = self._small.step(small, self._free)
        return small
