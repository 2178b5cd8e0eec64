"""A drawer's life step by step, worked out with plain dicts, and a writer that lives it in a real file.

Run as `python stash_steps.py FILE SEED`: goes on where the file's ledger ends, for ever, and says the number of
each step once it is done. Whoever kills it knows from `Life` what the file must hold after so many steps.
"""

from __future__ import annotations

import random
import sys
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from nesting.describe.papers import Sheet
from nesting.lengths import inches
from nesting.stash.drawer import Lot, Stash
from nesting.stash.items import Change, Details

Step = Callable[[Stash], object]


def details(kind: int) -> Details:
    """One of many different lots."""
    return Details(("pine", "kraft", "apples")[kind % 3], Sheet(inches(3 + kind % 7), inches(4 + kind % 5)))


@dataclass
class Done:
    """What an entry did: changes of counts, kinds before it, whether it was undone or is an undo."""

    changes: dict[int, int]
    before: dict[int, int] = field(default_factory=dict)
    closed: bool = False


class Life:
    """The state after each step; every step is exactly one entry. `kinds` says which details an item has."""

    def __init__(self, seed: int) -> None:
        self.choice = random.Random(seed)
        self.counts: dict[int, int] = {}
        self.kinds: dict[int, int] = {}
        self.entries: list[Done] = []

    def next(self) -> Step:
        """Take one step in the dicts, and give the same step for a drawer."""
        act = self.choice.choice(("add", "add", "out", "back", "correct", "cut", "cut", "undo"))
        there = [number for number, count in self.counts.items() if count]
        if act == "undo" and (number := self._to_undo()):
            return self._undo(number)
        if act == "out" and there:
            number = self.choice.choice(there)
            return self._out(number, self.choice.randint(1, self.counts[number]))
        if act == "back" and self.counts:
            return self._back(self.choice.choice(list(self.counts)))
        if act == "correct" and self.counts:
            return self._correct(self.choice.choice(list(self.counts)))
        return self._put_in(self.choice.sample(there, min(len(there), 2)) if act == "cut" else None)

    def _move(self, changes: dict[int, int]) -> None:
        for number, change in changes.items():
            self.counts[number] += change
            assert self.counts[number] >= 0

    def _write(self, changes: dict[int, int], before: dict[int, int] | None = None) -> None:
        self._move(changes)
        self.entries.append(Done({n: c for n, c in changes.items() if c}, before or {}))

    def _out(self, number: int, count: int) -> Step:
        self._write({number: -count})
        return lambda stash: stash.take_out(number, count)

    def _back(self, number: int) -> Step:
        self._write({number: 2})
        return lambda stash: stash.put_back(number, 2)

    def _correct(self, number: int) -> Step:
        kind = (self.kinds[number] + 1) % 105
        count = self.choice.randint(0, 9)
        before = {number: self.kinds[number]}
        self.kinds[number] = kind
        self._write({number: count - self.counts[number]}, before)
        return lambda stash: stash.correct(number, details(kind), count)

    def _put_in(self, used: list[int] | None) -> Step:
        """Put three lots in, as an addition, or as the offcuts of a plan that takes one of each item used."""
        kinds = [self.choice.randrange(105) for _ in range(3)]
        changes = dict.fromkeys(used or (), -1)
        for kind in kinds:
            number = next((n for n, k in sorted(self.kinds.items()) if k == kind), 0)
            if not number:
                number = len(self.kinds) + 1
                self.kinds[number], self.counts[number] = kind, 0
            changes[number] = changes.get(number, 0) + 2
        self._write(changes)
        lots = [Lot(details(kind), 2) for kind in kinds]
        if used is None:
            return lambda stash: stash.add(lots)
        mark = f"plan {len(self.entries)}"
        return lambda stash: stash.record_cut(mark, [Change(number, 1) for number in used], lots)

    def _to_undo(self) -> int:
        """The number of the latest entry that may be undone, 0 where it would go below zero or was overtaken."""
        for index in range(len(self.entries) - 1, -1, -1):
            entry = self.entries[index]
            if not entry.closed:
                overtaken = any(n in later.before for later in self.entries[index + 1 :] for n in entry.before)
                short = any(self.counts[n] < change for n, change in entry.changes.items())
                return 0 if overtaken or short else index + 1
        return 0

    def _undo(self, number: int) -> Step:
        entry = self.entries[number - 1]
        entry.closed = True
        before = {n: self.kinds[n] for n in entry.before}
        self.kinds.update(entry.before)
        self._write({n: -change for n, change in entry.changes.items()}, before)
        self.entries[-1].closed = True
        return lambda stash: stash.undo()

    def agrees(self, stash: Stash) -> bool:
        """The file holds this state and nothing else."""
        found = {item.number: (item.count, item.details) for item in stash.items(gone=True)}
        return found == {n: (count, details(self.kinds[n])) for n, count in self.counts.items()}


def lived(seed: int, steps: int) -> Life:
    """The state after so many steps."""
    life = Life(seed)
    for _ in range(steps):
        life.next()
    return life


def _write_for_ever(path: Path, seed: int) -> None:
    with Stash(path, new=True) as stash:
        life = lived(seed, len(stash.history()))
        while True:
            life.next()(stash)
            print(len(life.entries), flush=True)


if __name__ == "__main__":
    _write_for_ever(Path(sys.argv[1]), int(sys.argv[2]))
