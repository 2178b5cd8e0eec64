"""How often one setting is needed when all others are free of charge, to be used at any time between two runs.

In: needs. Out: a number per setting, all of them packed in one integer: a field of ones per setting, so that the
most of several needs is their bitwise or, and the sum over all settings is a count of ones.
"""

from __future__ import annotations

from nesting.cutting.needs import Needs, State, children, members

UNARY = 12  # bits for how often one setting is needed; more is cut off, which keeps the bound true
FIELD = (1 << UNARY) - 1


class Alone:
    """The counts for the needs of one register, remembered need by need."""

    def __init__(self, needs: Needs) -> None:
        self._needs = needs
        self._counts: dict[int, int] = {}
        self._in_runs: dict[tuple[int, int], int] = {}

    def of(self, state: State) -> int:
        """How often each setting is needed when all others are free: that many ones in each setting's field."""
        counts = 0
        for number in members(state):
            counts |= self._of_need(number)
        return counts

    def times(self, state: State, size: int) -> int:
        """How often one setting is needed when all others are free."""
        return (self.of(state) & field(size)).bit_count()

    def _of_need(self, number: int) -> int:
        known = self._counts.get(number)
        if known is None:
            need = self._needs[number]
            known = self.of(children(need))
            for entry in need.entries:
                if need.rest is None and not entry.many and len(need.entries) > 1:
                    continue  # this one may be what is left over
                most = 0
                for child in members(entry.frees | (need.rest or 0)):
                    most |= self._in_run(child, entry.size) >> entry.size * UNARY & FIELD
                known |= ((most << 1 | 1) & FIELD) << entry.size * UNARY
            self._counts[number] = known
        return known

    def _in_run(self, number: int, size: int) -> int:
        """The count of one setting for a part that comes off in the midst of its run; other fields mean nothing."""
        if not self._needs.now[number] >> size & 1:
            return self._of_need(number)
        key = number, size
        known = self._in_runs.get(key)
        if known is None:
            need = self._needs[number]
            others = [entry for entry in need.entries if entry.size != size]
            at_once = later = known = 0
            for entry in need.entries:
                if entry.size == size:
                    at_once |= entry.frees
                else:
                    later |= entry.frees
            if not others:
                at_once |= need.rest or 0
            elif need.rest is None and len(others) == 1 and not others[0].many:
                at_once, later = at_once | later, 0
            else:
                later |= need.rest or 0
            for child in members(at_once):
                known |= self._in_run(child, size)
            known |= self.of(later)
            self._in_runs[key] = known
        return known


def field(size: int) -> int:
    """The bits of one setting's count."""
    return FIELD << size * UNARY
