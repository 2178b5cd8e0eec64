"""Layouts in which few pieces are doubtful: rows in rows, each strip cut to the stop or left over, at given prices.

In: a source, what each piece is worth, what a stroke and a doubtful piece cost. Out: for each way to begin, the cut
tree that is worth the most among those of four or five rows in each other, with strips as wide as a piece or a trim
wider. The fact of the trade: a row that leaves paper over is cut to the stop throughout; in a row that leaves none,
one part takes up what the others are off by; and a sheet cut once has two good halves.

A dynamic program over a grid. A part is worth something as one that came off under the stop (ONE) or as what was
left over (MORE), on either side; arrays run over the state across, the state down, width and height.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import product
from math import gcd
from typing import TypeAlias

import numpy as np
import numpy.typing as npt

from nesting.packing.forest import PIECE_CODE
from nesting.packing.layout import Axis
from nesting.packing.stock import Source
from nesting.packing.trees import Node, cut_node, free_node

ONE, MORE = 0, 1  # errors of a side, of which one is harmless
Values: TypeAlias = npt.NDArray[np.int64]
Where: TypeAlias = tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Costs:
    """What a stroke and a doubtful piece cost, in the unit of the prices; `bare`: the sheet's edges are not trusted."""

    stroke: int
    doubt: int
    bare: bool = False


class SureLayouts:
    """One source on the grid of its pieces; `cells` says how large that is, and so how long one search takes."""

    def __init__(self, source: Source, trim: int) -> None:
        unit = gcd(*(side for item in source.items for side in (item.width, item.height)))
        self._grid = _Grid(unit, {Axis.ACROSS: source.width, Axis.DOWN: source.height})
        self.cells = (source.width // unit + 1) * (source.height // unit + 1)
        self._items = [(item.width // unit, item.height // unit, item.kind) for item in source.items]
        self._sizes = {
            Axis.ACROSS: _strips({wide for wide, _, _ in self._items}, -(-trim // unit), source.width // unit),
            Axis.DOWN: _strips({high for _, high, _ in self._items}, -(-trim // unit), source.height // unit),
        }

    def best(self, prices: Sequence[int], costs: Costs) -> list[Node]:
        """The layouts worth the most when the sheet is first cut across, and down; whole-number prices per kind."""
        table = _Table(self._grid, self._items, self._sizes, prices, costs)
        return [node for axis in Axis if (node := table.sheet(axis)) is not None]


def _strips(sizes: set[int], trim: int, most: int) -> list[int]:
    """How wide a strip may be: as a piece, or a trim wider, so that the piece in it is cut to the stop as well."""
    return sorted(size for size in sizes | {size + trim for size in sizes} if size <= most)


@dataclass(frozen=True, slots=True)
class _Grid:
    """The unit of length that all pieces share, and the sheet's true sides, which may be a little longer than units."""

    unit: int
    sides: dict[Axis, int]

    def whole(self, axis: Axis) -> int:
        """The sheet's side in units."""
        return self.sides[axis] // self.unit

    def longer(self, axis: Axis) -> bool:
        """Whether something is left over beyond the last unit."""
        return self.sides[axis] % self.unit > 0

    def true(self, length: int, axis: Axis) -> int:
        """A length in units as it is."""
        return self.sides[axis] if length == self.whole(axis) else length * self.unit


@dataclass(frozen=True, slots=True)
class _Part:
    """A part by its states and sizes on the grid."""

    across: int
    down: int
    width: int
    height: int


class _Row:
    """The best rows of every length of strips of given sizes; `parts[state, length, ...]` is what a strip is worth."""

    def __init__(self, parts: Values, sizes: list[int], costs: Costs, longer: bool = False) -> None:
        """longer: beyond the last unit there is paper to spare."""
        self._sizes, self._stroke = sizes, costs.stroke
        self._one, self._more = parts[ONE] - costs.stroke, parts[MORE]
        self._spare = np.zeros_like(parts[ONE])  # all strips to the stop, paper to spare
        self._exact = parts[MORE].copy()  # strips to the stop, then one that is left over
        self.best = np.zeros_like(parts[ONE])
        for length in range(1, len(self.best)):
            self.best[length] = self._spare[length] = self._spare[length - 1]
            fit = np.array([size for size in sizes if size <= length], dtype=np.intp)
            if len(fit):
                most = (self._one[fit] + self._spare[length - fit]).max(axis=0)
                self._spare[length] = np.maximum(self._spare[length], most)
            fit = fit[fit < length]
            if len(fit):
                most = (self._one[fit] + self._exact[length - fit]).max(axis=0)
                self.best[length] = np.maximum(self.best[length], most)
                self._exact[length] = np.maximum(self._exact[length], most)
        self._whole = len(self.best) - 1
        self._halves = [] if longer or costs.bare else [size for size in sizes if size < self._whole]
        self._longer = longer
        if longer:
            self.best[-1] = self._spare[-1]

    def ends(self) -> Values:
        """What the longest row is worth from edge to edge: also as two parts, neither of which adds up errors."""
        most: Values = np.stack([self.best[-1], *(self._two(size) for size in self._halves)]).max(axis=0)
        return most

    def _two(self, size: int) -> Values:
        worth: Values = self._one[size] + self._one[self._whole - size] + self._stroke
        return worth

    def strips(self, length: int, at: Where) -> list[tuple[int, int]]:
        """The strips of the best row of a length: size and state."""
        value = int(self.best[length][at])
        room = length if self._longer and length == self._whole else length - 1
        if value == self._spare[room][at]:
            return self._to_spare(room, at)
        taken, rest = self._first(self._exact, length, at, value)
        found = [(taken, ONE)]
        while self._exact[rest][at] != self._more[rest][at]:
            taken, rest = self._first(self._exact, rest, at, int(self._exact[rest][at]))
            found.append((taken, ONE))
        return [*found, (rest, MORE)]

    def strips_of_ends(self, at: Where, value: int) -> list[tuple[int, int]]:
        """The strips of the longest row as `ends` counts it."""
        if self.best[-1][at] == value:
            return self.strips(self._whole, at)
        size = next(size for size in self._halves if self._two(size)[at] == value)
        return [(size, ONE), (self._whole - size, ONE)]

    def _to_spare(self, length: int, at: Where) -> list[tuple[int, int]]:
        found = []
        while length > 0:
            if self._spare[length][at] == self._spare[length - 1][at]:
                length -= 1
            else:
                taken, length = self._first(self._spare, length, at, int(self._spare[length][at]))
                found.append((taken, ONE))
        return found

    def _first(self, values: Values, length: int, at: Where, value: int) -> tuple[int, int]:
        """A strip to begin with, and the length of what follows."""
        fit = (size for size in self._sizes if size <= length)
        size = next(size for size in fit if self._one[size][at] + values[length - size][at] == value)
        return size, length - size


class _Table:
    """The parts of one sheet at one set of prices: pieces, rows across of these, rows down of those, and so on."""

    def __init__(
        self, grid: _Grid, items: list[tuple[int, int, int]], sizes: dict[Axis, list[int]],
        prices: Sequence[int], costs: Costs,
    ) -> None:  # fmt: skip
        self._grid, self._items, self._sizes = grid, items, sizes
        self._prices, self._costs = prices, costs
        self._layers = [self._singles()]
        self._rows: list[tuple[Axis, _Row]] = []
        for axis in (Axis.ACROSS, Axis.DOWN, Axis.ACROSS):
            row = self._row(axis)
            self._rows.append((axis, row))
            self._layers.append(np.maximum(self._layers[-1], _back(row.best, axis)))

    def sheet(self, axis: Axis) -> Node | None:
        """The best layout whose first cuts go along an axis; None where none is worth anything."""
        inner = self._row(axis.other, self._grid.longer(axis.other))
        ends = inner.ends()  # strips from edge to edge: state, extent
        parts = np.maximum(ends, _along(self._layers[-1], axis)[:, :, ONE, -1])
        outer = _Row(parts, self._sizes[axis], self._costs, self._grid.longer(axis))
        value = int(outer.ends())
        nodes = []
        for extent, state in outer.strips_of_ends((), value):
            part = _Part(*_turned(axis, state, ONE), *_turned(axis, extent, self._grid.whole(axis.other)))
            if ends[state, extent] > self._value(part, len(self._rows)):
                strips = inner.strips_of_ends((state, extent), int(ends[state, extent]))
                nodes.append(self._cut(part, axis.other, strips, len(self._rows)))
            else:
                nodes.append(self._node(part, len(self._rows)))
        width, height = (self._grid.sides[one] for one in Axis)
        return cut_node(axis, width, height, nodes) if value > 0 else None

    def _row(self, axis: Axis, longer: bool = False) -> _Row:
        return _Row(_along(self._layers[-1], axis), self._sizes[axis], self._costs, longer)

    def _singles(self) -> Values:
        """What parts are worth with one piece in them, trimmed where they are larger."""
        width, height = (self._grid.whole(axis) for axis in Axis)
        values = np.zeros((2, 2, width + 1, height + 1), dtype=np.int64)
        for wide, high, kind in self._items:
            for across, down, larger, longer in product((ONE, MORE), (ONE, MORE), (0, 1), (0, 1)):
                worth = self._single(_Part(across, down, wide + larger, high + longer), (wide, high, kind))
                x = slice(wide + larger, None if larger else wide + 1)
                y = slice(high + longer, None if longer else high + 1)
                np.maximum(values[across, down, x, y], worth, out=values[across, down, x, y])
        return values

    def _single(self, part: _Part, item: tuple[int, int, int]) -> int:
        wide, high, kind = item
        doubt = (part.across == MORE and wide == part.width) or (part.down == MORE and high == part.height)
        strokes = (wide < part.width) + (high < part.height)
        return self._prices[kind] - self._costs.stroke * strokes - self._costs.doubt * doubt

    # ------------------------------------------------------------------------------------------ from values to trees

    def _value(self, part: _Part, layer: int) -> int:
        return int(self._layers[layer][part.across, part.down, part.width, part.height])

    def _node(self, part: _Part, layer: int) -> Node:
        """The cut tree behind the value of a part."""
        value = self._value(part, layer)
        if value <= 0:
            return free_node(*self._true(part))
        if layer and value > self._value(part, layer - 1):
            axis, row = self._rows[layer - 1]
            if axis is Axis.ACROSS:
                strips = row.strips(part.width, (part.down, part.height))
            else:
                strips = row.strips(part.height, (part.across, part.width))
            return self._cut(part, axis, strips, layer - 1)
        if layer:
            return self._node(part, layer - 1)
        fit = (item for item in self._items if item[0] <= part.width and item[1] <= part.height)
        wide, high, kind = next(item for item in fit if self._single(part, item) == value)
        unit, (width, height) = self._grid.unit, self._true(part)
        strip = cut_node(Axis.DOWN, wide * unit, height, [(PIECE_CODE, wide * unit, high * unit, kind)])
        return cut_node(Axis.ACROSS, width, height, [strip])

    def _true(self, part: _Part) -> tuple[int, int]:
        return self._grid.true(part.width, Axis.ACROSS), self._grid.true(part.height, Axis.DOWN)

    def _cut(self, part: _Part, axis: Axis, strips: list[tuple[int, int]], layer: int) -> Node:
        across = axis is Axis.ACROSS
        parts = [
            replace(part, across=state, width=extent) if across else replace(part, down=state, height=extent)
            for extent, state in strips
        ]
        return cut_node(axis, *self._true(part), [self._node(one, layer) for one in parts])


def _turned(axis: Axis, along: int, other: int) -> tuple[int, int]:
    return (along, other) if axis is Axis.ACROSS else (other, along)


def _along(values: Values, axis: Axis) -> Values:
    """State and length along an axis first, then state and length the other way."""
    order = (0, 2, 1, 3) if axis is Axis.ACROSS else (1, 3, 0, 2)
    return np.ascontiguousarray(values.transpose(order))


def _back(row: Values, axis: Axis) -> Values:
    """The best rows (length along the axis, state and length the other way) as values of parts in either state."""
    return row.transpose(1, 0, 2)[None] if axis is Axis.ACROSS else row.transpose(1, 2, 0)[:, None]
