"""What still has to be cut, stripped of all that does not matter when settings are counted.

In: the register of parts. Out: needs. A need is a part without its width, its axis and its numbers: which settings
cut it, whether once or more often, what each sets free, and whether something is left over that is never measured.
The fact of the trade: at one setting everything that can be cut is cut, so only the kinds of parts count. That
making every cut at hand never costs a setting later is an exchange argument: whatever a sequence of settings
does to a part, it does to the same part when it lies there earlier.
"""

from __future__ import annotations

from dataclasses import dataclass

from nesting.cutting.parts import Block, Parts, measured

State = tuple[int, ...]  # needs, sorted, none implied by another


@dataclass(frozen=True, slots=True)
class Entry:
    """One setting of a need: `size` (its place in the list of settings), more than one strip, what they set free."""

    size: int
    many: bool
    frees: State


@dataclass(frozen=True, slots=True)
class Need:
    """The entries by size; `rest`: what the part left over needs, or None where any single strip may be left over."""

    entries: tuple[Entry, ...]
    rest: State | None


class Needs:
    """The register of needs, and what each setting makes of each."""

    def __init__(self, parts: Parts, roots: tuple[int, ...]) -> None:
        self._parts = parts
        self._needs: list[Need] = []
        self._numbers: dict[Need, int] = {}
        self._of_part: dict[int, int] = {}
        self._after: dict[tuple[int, int], State] = {}
        self._implied: dict[tuple[int, int], bool] = {}
        self.occur: list[int] = []  # per need: settings anywhere in it, as bits
        self.now: list[int] = []  # per need: settings that cut it now, as bits
        self.sizes = _all_sizes(parts, roots)
        self._place = {size: place for place, size in enumerate(self.sizes)}

    def __getitem__(self, number: int) -> Need:
        return self._needs[number]

    def __len__(self) -> int:
        return len(self._needs)

    def of(self, part: int) -> int:
        """The need of a block."""
        known = self._of_part.get(part)
        if known is None:
            block = self._parts.block(part)
            bags: dict[int, list[int]] = {}
            for child in measured(block):
                bags.setdefault(self._place[self._parts.extent(child, block.axis)], []).append(child)
            entries = tuple(Entry(size, len(bag) > 1, self._of_all(bag)) for size, bag in sorted(bags.items()))
            rest = None if block.rest is None else self._of_all([block.rest])
            known = self._of_part[part] = self.intern(Need(entries, rest))
        return known

    def _of_all(self, parts: list[int]) -> State:
        return self.state({self.of(part) for part in parts if self._parts.is_block(part)})

    def intern(self, need: Need) -> int:
        """The number of a need."""
        number = self._numbers.get(need)
        if number is None:
            number = self._numbers[need] = len(self._needs)
            self._needs.append(need)
            now = occur = 0
            for entry in need.entries:
                now |= 1 << entry.size
            for child in children(need):
                occur |= self.occur[child]
            self.now.append(now)
            self.occur.append(now | occur)
        return number

    def state(self, numbers: set[int]) -> State:
        """The needs as a state: those that are met by meeting another one are dropped."""
        kept: list[int] = []
        for number in sorted(numbers):
            if any(self.implied(number, other) for other in kept):
                continue
            kept = [other for other in kept if not self.implied(other, number)]
            kept.append(number)
        return tuple(kept)

    def after(self, number: int, size: int) -> State:
        """What a need becomes when everything that can be cut at this setting is cut."""
        if not self.now[number] >> size & 1:
            return (number,)
        key = number, size
        known = self._after.get(key)
        if known is None:
            need = self._needs[number]
            others = tuple(entry for entry in need.entries if entry.size != size)
            freed = [entry.frees for entry in need.entries if entry.size == size]
            came: set[int] = set()
            if not others:
                freed.append(need.rest or ())
            elif need.rest is None and len(others) == 1 and not others[0].many:
                freed.append(others[0].frees)
            else:
                came.add(self.intern(Need(others, need.rest)))
            for free in freed:
                for child in free:
                    came.update(self.after(child, size))
            known = self._after[key] = tuple(sorted(came))
        return known

    def step(self, state: State, size: int) -> State:
        """The state after one run of this setting."""
        came: set[int] = set()
        for number in state:
            came.update(self.after(number, size))
        return self.state(came)

    def available(self, state: State) -> list[int]:
        """The settings that cut anything now."""
        bits = 0
        for number in state:
            bits |= self.now[number]
        return [size for size in range(len(self.sizes)) if bits >> size & 1]

    def implied(self, one: int, other: int) -> bool:
        """Whether every sequence of settings that meets `other` meets `one` too (sure when True)."""
        if one == other:
            return True
        if self.occur[one] & ~self.occur[other]:
            return False
        key = one, other
        known = self._implied.get(key)
        if known is None:
            known = self._mapped(self._needs[one], self._needs[other]) or any(
                self.implied(one, child) for child in children(self._needs[other])
            )
            self._implied[key] = known
        return known

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
        return all(any(self.implied(one, other) for other in others) for one in ones)


def children(need: Need) -> list[int]:
    """Every need that is set free by this one, sooner or later."""
    freed = [child for entry in need.entries for child in entry.frees]
    return freed if need.rest is None else [*freed, *need.rest]


def _all_sizes(parts: Parts, roots: tuple[int, ...]) -> tuple[int, ...]:
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
