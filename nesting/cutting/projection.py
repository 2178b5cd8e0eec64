"""A small problem inside a large one: only a few settings are counted, all others are free of charge.

In: needs, and the few settings. Out: needs in which the free settings are one more setting, used after every run.
"""

from __future__ import annotations

from nesting.cutting.alone import Alone
from nesting.cutting.needs import Entry, Need, Needs, State, members


class Projection:
    """The needs of a register as far as a few settings (bits of `settings`) matter."""

    def __init__(self, needs: Needs, count: int, settings: int) -> None:
        self._settings = settings
        self._sizes = members(settings)
        self.needs = Needs(count + 1)
        self.alone = Alone(self.needs)
        self._whole = needs
        self._free = count
        self._projected: dict[int, State] = {}

    def __len__(self) -> int:
        return len(self._projected)

    def of(self, state: State) -> State:
        """What a state of the whole register comes to when everything that is free has been cut."""
        return self._freed(self._project_all(state))

    def after(self, small: State, size: int) -> State:
        """The state after a run of one of the few settings, and of all that are free."""
        return self._freed(self.needs.step(small, size))

    def _project_all(self, state: State) -> State:
        came = 0
        for number in members(self._whole.holding(state, self._sizes)):
            came |= self._project(number)
        return self.needs.reduced(came)

    def _project(self, number: int) -> State:
        known = self._projected.get(number)
        if known is None:
            known = self._projected[number] = 1 << self.needs.intern(self._find(self._whole[number]))
        return known

    def _find(self, need: Need) -> Need:
        kept: list[Entry] = []
        freed = strips = 0
        for entry in need.entries:
            inside = self._project_all(entry.frees)
            if self._settings >> entry.size & 1:
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
            entries = self.needs[number].entries
            came |= entries[0].frees if entries[0].size == self._free else 1 << number
        return self.needs.reduced(came)

    def _freed(self, small: State) -> State:
        """The state when everything that is free has been cut."""
        while self.needs.cuts(small, self._free):
            small = self.needs.step(small, self._free)
        return small
