"""All layouts that are nearly as good as the best: where the bound leaves no slack, a plan can use no others.

In: a filled table of values, how much less than the most a sheet may be worth. Out: every set of pieces within that
loss, with a cut tree for each, or None where they are too many. The fact behind it: if a plan of n sheets is to meet
the bound, what all its sheets lose against the best one is known beforehand, to the last whole number.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from nesting.packing.forest import PIECE_CODE
from nesting.packing.layout import Axis
from nesting.packing.patterns import Patterns
from nesting.packing.stock import Source, trims
from nesting.packing.trees import Node, cut_node, free_node

Counts = tuple[int, ...]
Found = dict[Counts, tuple[int, Node]]  # what a part gives, what that is worth, a tree for it


class TooMany(Exception):
    """More layouts than are worth looking at."""


def nearly_best(
    table: Patterns, source: Source, loss: int, needs: Sequence[int], most: int
) -> list[tuple[Counts, Node]] | None:
    """All sets of pieces from one sheet, none above the needs, worth at most `loss` less than the best; or None.

    For tables without a limit on turns. `most`: layouts and joins of parts that are looked at, in thousands.
    """
    if table.limits.turns is not None:
        return None
    search = _Nearly(table, loss, tuple(needs), 1000 * most)
    try:
        found = search.part(table.xs.index(source.width), table.ys.index(source.height))
    except TooMany:
        return None
    return [(counts, node) for counts, (_, node) in found.items()]


class _Nearly:
    def __init__(self, table: Patterns, loss: int, needs: Counts, most: int) -> None:
        self.table, self.loss, self.needs, self.left = table, loss, needs, most
        self.values = table.tables[0][Axis.ACROSS]
        self.known: dict[tuple[int, int], Found] = {}

    def part(self, i: int, j: int) -> Found:
        """All sets of pieces of one part within the loss."""
        if (i, j) in self.known:
            return self.known[i, j]
        for axis in Axis:
            for smaller in reversed(self._trims(axis, i, j)):  # the smallest first, so that none waits for a long row
                self.part(*smaller)
        table = self.table
        width, height = int(table.xs.sizes[i]), int(table.ys.sizes[j])
        least = int(self.values[i, j]) - self.loss
        found: Found = {}
        if least <= 0:
            found[(0,) * len(self.needs)] = 0, free_node(width, height)
        for counts, value, axis, nodes in self._ways(i, j, width, height, least):
            self.left -= 1
            if self.left < 0:
                raise TooMany
            if counts not in found and value >= least and all(map(int.__le__, counts, self.needs)):
                found[counts] = value, cut_node(axis, width, height, nodes)
        self.known[i, j] = found
        return found

    def _trims(self, axis: Axis, i: int, j: int) -> list[tuple[int, int]]:
        """The parts that this one can be trimmed to along an axis, as far as they matter and are not known."""
        row: list[tuple[int, int]] = []
        at = (i, j)
        while True:
            smaller = self.table.trimmed(axis, *at)
            if smaller is None or smaller in self.known or self.values[smaller] < self.values[at] - self.loss:
                return row
            row.append(smaller)
            at = smaller

    def _ways(
        self, i: int, j: int, width: int, height: int, least: int
    ) -> Iterator[tuple[Counts, int, Axis, list[Node]]]:
        table = self.table
        for axis in Axis:
            smaller = table.trimmed(axis, i, j)
            if smaller is not None and self.values[smaller] >= least:
                for counts, (value, node) in self.part(*smaller).items():
                    yield counts, value, axis, [node]
        for item in table.items:
            value = int(table.prices[item.kind])
            if value < least or item.width > width or item.height > height:
                continue
            for axis in Axis:
                if trims(item, width, height, axis, 99, table.limits):
                    inner = (item.width, height) if axis is Axis.ACROSS else (width, item.height)
                    piece = (PIECE_CODE, item.width, item.height, item.kind)
                    counts = tuple(int(kind == item.kind) for kind in range(len(self.needs)))
                    yield counts, value, axis, [cut_node(axis.other, *inner, [piece])]
        for axis in Axis:
            for one, two in table.pairs(axis, i, j, least):
                second = self.part(*two)
                for a, (value, node) in self.part(*one).items():
                    for b, (more, other) in second.items():
                        if value + more >= least:
                            yield tuple(map(int.__add__, a, b)), value + more, axis, [node, other]
                        else:
                            self.left -= 1
