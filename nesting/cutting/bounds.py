"""How few settings any order could do with: a bound that is added up from small problems solved exactly.

In: needs. Out: a whole number that no order of these layouts can beat. The idea: let all settings but a few be free
of charge, to be used at any time between two runs; how often the few are needed then is a problem small enough to
be solved exactly, and no order can do with fewer runs of them. Settings that do not share a run may be added up, so
the settings are shared out into groups, and the least of each group is added to the least of the others. (Additive
pattern databases are the same idea: Korf & Felner 2002, Artificial Intelligence 134, 9-22; from memory.)
"""

from __future__ import annotations

from itertools import combinations

from nesting.cutting.needs import Entry, Need, Needs, State, children

UNARY = 16  # bits for how often one setting is needed; more is cut off, which keeps the bound true
FIELD = (1 << UNARY) - 1
GROUP_WORK = 400  # states looked at for the least of one group; beyond it what is sure so far is taken
GROUPING_WORK = 20_000  # states looked at while groups are chosen
LARGEST_GROUP = 7


class Bounds:
    """Bounds for states, remembered need by need; `share_out` chooses the groups for a start state."""

    def __init__(self, needs: Needs) -> None:
        self.groups: tuple[int, ...] = ()  # settings as bits
        self._needs = needs
        self._free = len(needs.sizes)  # stands for every setting that is free of charge
        self._alone: dict[int, int] = {}
        self._within: dict[tuple[int, int], int] = {}
        self._projected: dict[tuple[int, int], State] = {}
        self._least: dict[State, int] = {}
        self._hopeless: dict[State, int] = {}
        self._states: dict[State, int] = {}
        self._left = 0

    def of(self, state: State) -> int:
        """No sequence of settings that meets all these needs is shorter."""
        known = self._states.get(state)
        if known is None:
            unary = self.unary(state)
            known = unary.bit_count() + sum(self._gain(state, unary, group) for group in self.groups)
            self._states[state] = known
        return known

    def unary(self, state: State) -> int:
        """How often each setting is needed when all others are free: that many ones in each setting's field."""
        unary = 0
        for number in state:
            unary |= self._all_free(number)
        return unary & (1 << self._free * UNARY) - 1

    @staticmethod
    def times(unary: int, size: int) -> int:
        """How often one setting is needed, read from the fields that `unary` gives."""
        return (unary >> size * UNARY & FIELD).bit_count()

    def _gain(self, state: State, unary: int, group: int) -> int:
        """What the least of a group adds to its settings counted one by one."""
        single = sum(self.times(unary, size) for size in range(self._free) if group >> size & 1)
        return max(0, self._least_of(self._project_all(state, group)) - single)

    # ------------------------------------------------------------------------------------------ groups

    def share_out(self, state: State, together: int, enough: int) -> None:
        """Group the settings so that the bound for this state grows, joining up to so many groups at a time.

        It ends when no joining helps, when the bound is `enough`, or when GROUPING_WORK is spent.
        """
        unary = self.unary(state)
        inside = sum(self.groups)
        worth = {1 << size: self.times(unary, size) for size in range(self._free) if not inside >> size & 1}
        worth |= {group: self._least_of(self._project_all(state, group)) for group in self.groups}
        self._left = GROUPING_WORK
        width = 2
        while sum(worth.values()) < enough and width <= together:
            joined = self._join(state, worth, width)
            width = 2 if joined else width + 1
        self.groups = tuple(sorted(group for group in worth if group.bit_count() > 1))
        self._states.clear()

    def _join(self, state: State, worth: dict[int, int], width: int) -> bool:
        """Join those `width` groups whose least together is most above the sum of theirs; whether there were such."""
        best: tuple[int, int, tuple[int, ...]] | None = None
        for few in combinations(sorted(worth), width):
            joined = sum(few)
            if joined.bit_count() > LARGEST_GROUP:
                continue
            if self._left <= 0:
                break
            gain = self._least_of(self._project_all(state, joined)) - sum(worth[group] for group in few)
            rank = -gain, joined.bit_count(), few
            if gain > 0 and (best is None or rank < best):
                best = rank
        if best is None:
            return False
        joined = sum(best[2])
        worth[joined] = sum(worth.pop(group) for group in best[2]) - best[0]
        return True

    def _project_all(self, state: State, group: int) -> State:
        came: set[int] = set()
        for number in state:
            came.update(self._project(number, group))
        return self._freed(self._needs.state(came))

    def _project(self, number: int, group: int) -> State:
        """A need with all settings outside the group made one that is free; nothing where the group is not needed."""
        if not self._needs.occur[number] & group:
            return ()
        key = number, group
        known = self._projected.get(key)
        if known is None:
            known = self._projected[key] = self._find_projected(self._needs[number], group)
        return known

    def _find_projected(self, need: Need, group: int) -> State:
        kept: list[Entry] = []
        freed: set[int] = set()
        strips = 0
        for entry in need.entries:
            inside = self._project_states(entry.frees, group)
            if group >> entry.size & 1:
                kept.append(Entry(entry.size, entry.many, self._needs.state(inside)))
            else:
                freed |= inside
                strips += 2 if entry.many else 1
        rest = None if need.rest is None else self._project_states(need.rest, group)
        if not kept:
            freed |= rest or set()
            freed = self._flat(freed)
            return (self._needs.intern(Need((Entry(self._free, True, self._needs.state(freed)),), None)),)
        if strips:
            kept.append(Entry(self._free, strips > 1, self._needs.state(self._flat(freed))))
        return (self._needs.intern(Need(tuple(kept), None if rest is None else self._needs.state(rest))),)

    def _project_states(self, state: State, group: int) -> set[int]:
        came: set[int] = set()
        for number in state:
            came.update(self._project(number, group))
        return came

    def _flat(self, numbers: set[int]) -> set[int]:
        """Free cuts after free cuts are one."""
        came: set[int] = set()
        for number in numbers:
            entries = self._needs[number].entries
            came.update(entries[0].frees if entries[0].size == self._free else (number,))
        return came

    def _freed(self, state: State) -> State:
        """The state when everything that is free has been cut."""
        while any(self._needs.now[number] >> self._free & 1 for number in state):
            state = self._needs.step(state, self._free)
        return state

    # ------------------------------------------------------------------------------------------ small problems

    def _least_of(self, state: State) -> int:
        """The fewest runs for a projected state, exactly; or a number that is sure when that takes too long."""
        known = self._least.get(state)
        if known is None:
            known = self.unary(state).bit_count()
            work = [GROUP_WORK]
            while not self._meets(state, known, work) and work[0] > 0:
                known += 1
            self._least[state] = known
        return known

    def _meets(self, state: State, most: int, work: list[int]) -> bool:
        if not state:
            return True
        known = self._least.get(state)
        if (self.unary(state).bit_count() if known is None else known) > most:
            return False
        if self._hopeless.get(state, -1) >= most or work[0] <= 0:
            return False
        work[0] -= 1
        self._left -= 1
        for size in self._needs.available(state):
            if self._meets(self._freed(self._needs.step(state, size)), most - 1, work):
                return True
        if work[0] > 0:
            self._hopeless[state] = most
        return False

    # ------------------------------------------------------------------------------------------ one setting

    def _all_free(self, number: int) -> int:
        known = self._alone.get(number)
        if known is None:
            need = self._needs[number]
            known = 0
            for child in children(need):
                known |= self._all_free(child)
            for entry in need.entries:
                if need.rest is None and not entry.many and len(need.entries) > 1:
                    continue  # this one may be what is left over
                known |= self._one_more(entry.size, (*entry.frees, *(need.rest or ())))
            self._alone[number] = known
        return known

    def _one_more(self, size: int, freed: State) -> int:
        """One run of a setting, and what the parts that come off in it need of the same setting after it."""
        most = 0
        for child in freed:
            most |= self._in_run(child, size) >> size * UNARY & FIELD
        return ((most << 1 | 1) & FIELD) << size * UNARY

    def _in_run(self, number: int, size: int) -> int:
        """As `unary`, for one setting in the midst of whose run the part comes off; other fields mean nothing."""
        if not self._needs.now[number] >> size & 1:
            return self._all_free(number)
        key = number, size
        known = self._within.get(key)
        if known is None:
            need = self._needs[number]
            others = [entry for entry in need.entries if entry.size != size]
            at_once = [child for entry in need.entries if entry.size == size for child in entry.frees]
            later = [child for entry in others for child in entry.frees]
            if not others:
                at_once += need.rest or ()
            elif need.rest is None and len(others) == 1 and not others[0].many:
                at_once, later = at_once + later, []
            else:
                later += need.rest or ()
            known = 0
            for child in at_once:
                known |= self._in_run(child, size)
            for child in later:
                known |= self._all_free(child)
            self._within[key] = known
        return known
