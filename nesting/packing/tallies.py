"""Counts of several kinds in one whole number, so that sets of pieces are added and compared at one stroke.

In: the most that each kind can be needed. Out: numbers with one field a kind, a free bit on top of each, in which sums
of two counts stay apart. The fact behind it: subtracting all fields at once shows in the free bits which were larger.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

import numpy as np

FEW = 24  # sets that are compared one by one
WORD = 63  # bits of a machine word
BLOCK = 128


class Tallies:
    """The fields for counts up to twice `most`; `guards` has the free bit of each field."""

    def __init__(self, most: Sequence[int]) -> None:
        self.width = max(most, default=0).bit_length() + 2
        self.fields = len(most)
        self.guards = sum(1 << (self.width * field + self.width - 1) for field in range(self.fields))
        self.most = sum(count << (self.width * field) for field, count in enumerate(most))

    def one_and_field(self, number: int | None) -> tuple[int, int]:
        """One of kind `number`, and all bits of its count; (0, 0) for None."""
        if number is None:
            return 0, 0
        one = 1 << (self.width * number)
        return one, one * ((1 << (self.width - 1)) - 1)

    def unpack(self, counts: int) -> tuple[int, ...]:
        """The count of each kind."""
        mask = (1 << self.width) - 1
        return tuple([counts >> (self.width * field) & mask for field in range(self.fields)])

    def least(self, counts: int, limit: int) -> int:
        """For each kind the smaller count of the two."""
        over = self.guards & ~((limit | self.guards) - counts)
        fields = over - (over >> (self.width - 1))
        return (counts & ~fields) | (limit & fields)

    def largest(self, sets: Iterable[int], take: Callable[[int], None]) -> list[int]:
        """The sets that are contained in no other, each given once; `take` is told how much work that is."""
        ordered = sorted(sets, reverse=True)  # what contains a set is a greater number
        if len(ordered) > FEW and self.guards.bit_length() < WORD:
            take(len(ordered) * (1 + len(ordered) // 20))
            return self._largest_of_many(ordered)
        kept: list[int] = []
        guards = self.guards
        for counts in ordered:
            take(1 + len(kept) // 10)
            for other in kept:
                if (other - counts) & guards == guards:
                    break
            else:
                kept.append(counts | guards)
        return [counts & ~guards for counts in kept]

    def _largest_of_many(self, ordered: list[int]) -> list[int]:
        """The same for numbers that a machine word holds, a block of them at a time against all that are greater."""
        numbers, guards = np.array(ordered, dtype=np.int64), np.int64(self.guards)
        kept: list[int] = []
        for begin in range(0, len(ordered), BLOCK):
            end = min(begin + BLOCK, len(ordered))
            contained = ((numbers[:end] | guards) - numbers[begin:end, None]) & guards == guards
            kept += numbers[begin:end][contained.sum(axis=1) == 1].tolist()  # only in itself
        return kept
