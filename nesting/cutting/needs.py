"""What still has to be cut, stripped of all that does not matter when settings are counted.

In: the register of parts. Out: needs. A need is a part without its width, its axis and its numbers: which settings
cut it, whether once or more often, what each sets free, and whether something is left over that is never measured.
The fact of the trade: at one setting everything that can be cut is cut, so only the kinds of parts count. That
making every cut at hand never costs a setting later is an exchange argument: whatever a sequence of settings
does to a part, it does to the same part when it lies there earlier.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from nesting.cutting.parts import Block, Parts, measured

State = int  # a set of needs as bits, by their numbers
MOST_COMPARED = 100_000  # pairs of needs in a register; beyond it a few needs too many are kept, which only costs time


@dataclass(frozen=True, slots=True)
class Entry:
    """One setting of a need: `size` (its place in the list of settings) and what its strips set free.

    many: more than one strip, or one that may not be left over, so that this setting must come whatever else does.
    """

    size: int
    many: bool
    frees: State


@dataclass(frozen=True, slots=True)
class Need:
    """The entries by size; `rest`: what the part left over needs, or None where any single strip may be left over."""

    entries: tuple[Entry, ...]
    rest: State | None


class Needs:
    """A register of needs over so many settings, and what each setting makes of each need."""

    def __init__(self, settings: int) -> None:
        self._needs: list[Need] = []
        self._numbers: dict[Need, int] = {}
        self._after: dict[tuple[int, int], State] = {}
        self._below: list[State] = []  # per need: the needs that are met whenever it is met
        self._above: list[State] = []  # per need: the needs that meet it too
        self._compared: list[State] = []  # per need: those it was compared with
        self.compared = 0  # pairs of needs compared so far, a measure of work
        self.occur: list[int] = []  # per need: settings anywhere in it, as bits
        self.now: list[int] = []  # per need: settings that cut it now, as bits
        self._cut_by: list[State] = [0] * settings  # per setting: the needs that it cuts now
        self._holding: list[State] = [0] * settings  # per setting: the needs that it cuts sooner or later

    def __getitem__(self, number: int) -> Need:
        return self._needs[number]

    def intern(self, need: Need) -> int:
        """The number of a need."""
        number = self._numbers.get(need)
        if number is None:
            number = self._numbers[need] = len(self._needs)
            self._needs.append(need)
            self._below.append(0)
            self._above.append(0)
            self._compared.append(1 << number)
            now = occur = 0
            for entry in need.entries:
                now |= 1 << entry.size
                self._cut_by[entry.size] |= 1 << number
            for child in members(children(need)):
                occur |= self.occur[child]
            self.now.append(now)
            self.occur.append(now | occur)
            for size in members(now | occur):
                self._holding[size] |= 1 << number
        return number

    # ------------------------------------------------------------------------------------------ runs

    def after(self, number: int, size: int) -> State:
        """What a need becomes when everything that can be cut at this setting is cut."""
        if not self.now[number] >> size & 1:
            return 1 << number
        key = number, size
        known = self._after.get(key)
        if known is None:
            need = self._needs[number]
            others = tuple(entry for entry in need.entries if entry.size != size)
            freed = known = 0
            for entry in need.entries:
                if entry.size == size:
                    freed |= entry.frees
            if not others:
                freed |= need.rest or 0
            elif need.rest is None and len(others) == 1 and not others[0].many:
                freed |= others[0].frees
            else:
                known |= 1 << self.intern(Need(others, need.rest))
            for child in members(freed):
                known |= self.after(child, size)
            self._after[key] = known
        return known

    def step(self, state: State, size: int) -> State:
        """The state after one run of this setting."""
        cut = state & self._cut_by[size]
        came = 0
        for number in members(cut):
            came |= self.after(number, size)
        return self.reduced(state & ~cut, came)

    def cuts(self, state: State, size: int) -> bool:
        """Whether this setting cuts anything now."""
        return bool(self._cut_by[size] & state)

    def available(self, state: State) -> list[int]:
        """The settings that cut anything now."""
        return [size for size, cut in enumerate(self._cut_by) if cut & state]

    def holding(self, state: State, sizes: list[int]) -> State:
        """Those needs of a state that any of these settings cuts sooner or later."""
        held = 0
        for size in sizes:
            held |= self._holding[size]
        return state & held

    def occurring(self, state: State) -> int:
        """The settings anywhere in a state, as bits."""
        return sum(1 << size for size, holding in enumerate(self._holding) if holding & state)

    # ------------------------------------------------------------------------------------------ what is implied

    def reduced(self, state: State, added: State | None = None) -> State:
        """A state without needs that are met by meeting another one; with `added`, where that was done before."""
        if added is None:
            state, added = 0, state
        added &= ~state
        state |= added
        for number in members(added):
            if state >> number & 1:
                unknown = state & ~self._compared[number]
                if unknown:
                    self._compare(number, unknown)
                if self._above[number] & state:
                    state &= ~(1 << number)
                else:
                    state &= ~self._below[number]
        return state

    def _compare(self, number: int, others: State) -> None:
        for other in members(others):
            if self.compared >= MOST_COMPARED:
                return
            self.compared += 1
            self._compared[number] |= 1 << other
            self._compared[other] |= 1 << number
            if self._implied(number, other):
                self._below[other] |= 1 << number
                self._above[number] |= 1 << other
            elif self._implied(other, number):
                self._below[number] |= 1 << other
                self._above[other] |= 1 << number

    def _implied(self, one: int, other: int) -> bool:
        """Whether every sequence of settings that meets `other` meets `one` too (sure when True)."""
        if one == other:
            return True
        if self.occur[one] & ~self.occur[other]:
            return False
        theirs = children(self._needs[other])
        return self._mapped(self._needs[one], self._needs[other]) or self._covered(1 << one, theirs)

    def _mapped(self, one: Need, other: Need) -> bool:
        if one.rest is not None and (other.rest is None or not self._covered(one.rest, other.rest)):
            return False
        theirs = {entry.size: entry for entry in other.entries}
        for entry in one.entries:
            match = theirs.get(entry.size)
            if match is None or (entry.many and not match.many) or not self._covered(entry.frees, match.frees):
                return False
        return True

    def _covered(self, ones: State, others: State) -> bool:
        """Whether each of the ones is implied by one of the others."""
        return all(any(self._known_implied(one, other) for other in members(others)) for one in members(ones & ~others))

    def _known_implied(self, one: int, other: int) -> bool:
        if not self._compared[one] >> other & 1:
            self._compare(one, 1 << other)
        return one == other or bool(self._below[other] >> one & 1)


def members(state: State) -> list[int]:
    """The numbers in a set of bits, smallest first."""
    found = []
    while state:
        low = state & -state
        found.append(low.bit_length() - 1)
        state ^= low
    return found


def children(need: Need) -> State:
    """Every need that is set free by this one, sooner or later."""
    freed = need.rest or 0
    for entry in need.entries:
        freed |= entry.frees
    return freed


class PartNeeds:
    """The needs of the parts of some layouts; `sizes` are their settings, smallest first.

    left_over: for some blocks the children of which one must be left over, in a bound on orders that keep to that.
    """

    def __init__(
        self, parts: Parts, roots: Iterable[int], left_over: Mapping[int, frozenset[int]] = MappingProxyType({})
    ) -> None:
        self.sizes = all_sizes(parts, roots)
        self.needs = Needs(len(self.sizes))
        self._parts = parts
        self._left_over = left_over
        self._of_part: dict[int, int] = {}
        self._place = {size: place for place, size in enumerate(self.sizes)}

    def of_all(self, parts: Iterable[int]) -> State:
        """What several parts need together; leaves need nothing."""
        state = 0
        for part in parts:
            if self._parts.is_block(part):
                state |= 1 << self._of(part)
        return self.needs.reduced(state)

    def _of(self, part: int) -> int:
        known = self._of_part.get(part)
        if known is None:
            block = self._parts.block(part)
            stays = self._left_over.get(part) or self._parts.may_be_left_over(block)
            if block.rest is None and len(stays) == 1:
                block = replace(block, rest=min(stays))
            bags: dict[int, list[int]] = {}
            for child in measured(block):
                bags.setdefault(self._place[self._parts.extent(child, block.axis)], []).append(child)
            many = {size: len(bag) > 1 or stays.isdisjoint(bag) for size, bag in bags.items()}
            entries = tuple(Entry(size, many[size], self.of_all(bag)) for size, bag in sorted(bags.items()))
            rest = None if block.rest is None else self.of_all([block.rest])
            known = self._of_part[part] = self.needs.intern(Need(entries, rest))
        return known


def all_sizes(parts: Parts, roots: Iterable[int]) -> tuple[int, ...]:
    """Every setting that the parts take, smallest first."""
    sizes: set[int] = set()
    seen: set[int] = set()
    todo = list(roots)
    while todo:
        number = todo.pop()
        part = parts[number]
        if number in seen or not isinstance(part, Block):
            continue
        seen.add(number)
        todo.extend(part.children)
        sizes.update(parts.extent(child, part.axis) for child in measured(part))
    return tuple(sorted(sizes))
