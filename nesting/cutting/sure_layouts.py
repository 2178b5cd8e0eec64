"""Layouts in which few pieces are doubtful: rows in rows, each strip cut to the stop or left over, at given prices.

In: a source, what each piece is worth, what a stroke and a doubtful piece cost. Out: for each way to begin, the cut
tree that is worth the most among those of four or five rows in each other, with strips as wide as a piece or a trim
wider. The fact of the trade: a row that leaves paper over is cut to the stop throughout; in a row that leaves none,
one part takes up what the others are off by; and a sheet cut once has two good halves.

A dynamic program over the lengths that can occur. A part is worth something as one that came off under the stop (ONE)
or as what was left over (MORE), on either side; arrays run over the state across, the state down, width and height.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import product
from math import gcd
from typing import TypeAlias

import numpy as np
import numpy.typing as npt

from nesting.cutting.strip_lengths import StripLengths
from nesting.packing.forest import PIECE_CODE
from nesting.packing.layout import Axis
from nesting.packing.stock import Source
from nesting.packing.trees import Node, cut_node, free_node

ONE, MORE = 0, 1  # errors of a side, of which one is harmless
SPARE, EXACT = 0, 1  # how a row of strips ends: with paper to spare, with a strip that is left over
Values: TypeAlias = npt.NDArray[np.int64]
Where: TypeAlias = tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Costs:
    """What a stroke and a doubtful piece of each kind cost, in the unit of the prices.

    bare: the sheet's edges are not trusted.
    """

    stroke: int
    doubts: Sequence[int]
    bare: bool = False


class SureLayouts:
    """One source by the lengths of its strips; `cells`: pairs of lengths, a measure of the work of a search."""

    def __init__(self, source: Source, trim: int) -> None:
        unit = gcd(*(side for item in source.items for side in (item.width, item.height)))
        self._items = [(item.width // unit, item.height // unit, item.kind) for item in source.items]
        wider = -(-trim // unit)
        self._sides = {
            Axis.ACROSS: StripLengths(unit, source.width, _strips({wide for wide, _, _ in self._items}, wider)),
            Axis.DOWN: StripLengths(unit, source.height, _strips({high for _, high, _ in self._items}, wider)),
        }
        self.cells = len(self._sides[Axis.ACROSS].lengths) * len(self._sides[Axis.DOWN].lengths)

    def best(self, prices: Sequence[int], costs: Costs) -> list[Node]:
        """The layouts worth the most when the sheet is first cut across, and down; whole-number prices per kind."""
        table = _Table(self._sides, self._items, prices, costs)
        return [node for axis in Axis if (node := table.sheet(axis)) is not None]


def _strips(sizes: set[int], trim: int) -> set[int]:
    """How wide a strip may be: as a piece, or a trim wider, so that the piece in it is cut to the stop as well."""
    return sizes | {size + trim for size in sizes}


@dataclass(frozen=True, slots=True)
class _Part:
    """A part by its states and sizes in units."""

    across: int
    down: int
    width: int
    height: int


class _Row:
    """The best rows of every length; `parts[state, place of the length, ...]` is what a strip is worth."""

    def __init__(self, parts: Values, side: StripLengths, costs: Costs, edge: bool = False) -> None:
        """edge: the row goes from edge to edge, so there is paper to spare where the side is longer than its units."""
        self._side = side
        self._one, self._more = parts[ONE] - costs.stroke, parts[MORE]
        self._roomy = edge and side.longer
        self._fits = side.fits_or_fills if self._roomy else side.fits
        # all strips to the stop and paper to spare; strips to the stop, then one that is left over
        self._worth = np.stack([np.zeros_like(self._more), self._more], axis=1)
        self.best = np.zeros_like(self._more)
        for place, fits in enumerate(self._fits):
            if len(fits.places):
                most = (self._one[fits.places][:, None] + self._worth[fits.rests]).max(axis=0)
                np.maximum(self._worth[place], most, out=self._worth[place])
                self.best[place] = np.maximum(self._worth[place, SPARE], most[EXACT])
        if self._roomy:
            self.best = self._worth[:, SPARE]
        self._halves = [] if self._roomy or costs.bare else side.fits[-1].strips
        self._stroke = costs.stroke

    def ends(self) -> Values:
        """What the longest row is worth from edge to edge: also as two parts, neither of which adds up errors."""
        most: Values = np.stack([self.best[-1], *(self._two(size) for size in self._halves)]).max(axis=0)
        return most

    def _two(self, size: int) -> Values:
        place, whole = self._side.place, self._side.whole
        worth: Values = self._one[place[size]] + self._one[place[whole - size]] + self._stroke
        return worth

    def strips(self, length: int, at: Where) -> list[tuple[int, int]]:
        """The strips of the best row of a length: size and state."""
        place = self._side.place[length]
        if self.best[place][at] == self._worth[place, SPARE][at]:
            return self._to_spare(place, at)
        taken, place = self._first(EXACT, place, at, int(self.best[place][at]))
        found = [(taken, ONE)]
        while (value := int(self._worth[place, EXACT][at])) != self._more[place][at]:
            taken, place = self._first(EXACT, place, at, value)
            found.append((taken, ONE))
        return [*found, (self._side.lengths[place], MORE)]

    def strips_of_ends(self, at: Where, value: int) -> list[tuple[int, int]]:
        """The strips of the longest row as `ends` counts it."""
        whole = self._side.whole
        if self.best[-1][at] == value:
            return self.strips(whole, at)
        size = next(size for size in self._halves if self._two(size)[at] == value)
        return [(size, ONE), (whole - size, ONE)]

    def _to_spare(self, place: int, at: Where) -> list[tuple[int, int]]:
        found = []
        while (value := int(self._worth[place, SPARE][at])) > 0:
            taken, place = self._first(SPARE, place, at, value)
            found.append((taken, ONE))
        return found

    def _first(self, way: int, place: int, at: Where, value: int) -> tuple[int, int]:
        """A strip to begin with, and the place of the length of what follows."""
        fits = self._fits[place]
        for strip, taken, rest in zip(fits.strips, fits.places, fits.rests, strict=True):
            if self._one[taken][at] + self._worth[rest, way][at] == value:
                return strip, int(rest)
        raise ValueError(f"no row is worth {value}")


class _Table:
    """The parts of one sheet at one set of prices: pieces, rows across of these, rows down of those, and so on."""

    def __init__(
        self, sides: dict[Axis, StripLengths], items: list[tuple[int, int, int]], prices: Sequence[int], costs: Costs
    ) -> None:
        self._sides, self._items = sides, items
        self._prices, self._costs = prices, costs
        self._layers = [self._singles()]
        self._rows: list[tuple[Axis, _Row]] = []
        for axis in (Axis.ACROSS, Axis.DOWN, Axis.ACROSS):
            row = self._row(axis)
            self._rows.append((axis, row))
            self._layers.append(np.maximum(self._layers[-1], _back(row.best, axis)))

    def sheet(self, axis: Axis) -> Node | None:
        """The best layout whose first cuts go along an axis; None where none is worth anything."""
        inner = self._row(axis.other, edge=True)
        ends = inner.ends()  # strips from edge to edge: state, extent
        parts = np.maximum(ends, _along(self._layers[-1], axis)[:, :, ONE, -1])
        outer = _Row(parts, self._sides[axis], self._costs, edge=True)
        value = int(outer.ends())
        nodes = []
        for extent, state in outer.strips_of_ends((), value):
            part = _Part(*_turned(axis, state, ONE), *_turned(axis, extent, self._sides[axis.other].whole))
            at = state, self._sides[axis].place[extent]
            if ends[at] > self._value(part, len(self._rows)):
                strips = inner.strips_of_ends(at, int(ends[at]))
                nodes.append(self._cut(part, axis.other, strips, len(self._rows)))
            else:
                nodes.append(self._node(part, len(self._rows)))
        width, height = (self._sides[one].side for one in Axis)
        return cut_node(axis, width, height, nodes) if value > 0 else None

    def _row(self, axis: Axis, edge: bool = False) -> _Row:
        return _Row(_along(self._layers[-1], axis), self._sides[axis], self._costs, edge)

    def _singles(self) -> Values:
        """What parts are worth with one piece in them, trimmed where they are larger."""
        values = np.zeros((2, 2, *(len(self._sides[axis].lengths) for axis in Axis)), dtype=np.int64)
        for wide, high, kind in self._items:
            left, top = self._sides[Axis.ACROSS].place[wide], self._sides[Axis.DOWN].place[high]
            for across, down, larger, longer in product((ONE, MORE), (ONE, MORE), (0, 1), (0, 1)):
                worth = self._single(_Part(across, down, wide + larger, high + longer), (wide, high, kind))
                x = slice(left + larger, None if larger else left + 1)
                y = slice(top + longer, None if longer else top + 1)
                np.maximum(values[across, down, x, y], worth, out=values[across, down, x, y])
        return values

    def _single(self, part: _Part, item: tuple[int, int, int]) -> int:
        wide, high, kind = item
        doubt = (part.across == MORE and wide == part.width) or (part.down == MORE and high == part.height)
        strokes = (wide < part.width) + (high < part.height)
        return self._prices[kind] - self._costs.stroke * strokes - self._costs.doubts[kind] * doubt

    # ------------------------------------------------------------------------------------------ from values to trees

    def _value(self, part: _Part, layer: int) -> int:
        return int(self._layers[layer][part.across, part.down, self._across(part), self._down(part)])

    def _across(self, part: _Part) -> int:
        return self._sides[Axis.ACROSS].place[part.width]

    def _down(self, part: _Part) -> int:
        return self._sides[Axis.DOWN].place[part.height]

    def _node(self, part: _Part, layer: int) -> Node:
        """The cut tree behind the value of a part."""
        value = self._value(part, layer)
        if value <= 0:
            return free_node(*self._true(part))
        if layer and value > self._value(part, layer - 1):
            axis, row = self._rows[layer - 1]
            if axis is Axis.ACROSS:
                strips = row.strips(part.width, (part.down, self._down(part)))
            else:
                strips = row.strips(part.height, (part.across, self._across(part)))
            return self._cut(part, axis, strips, layer - 1)
        if layer:
            return self._node(part, layer - 1)
        fit = (item for item in self._items if item[0] <= part.width and item[1] <= part.height)
        wide, high, kind = next(item for item in fit if self._single(part, item) == value)
        unit, (width, height) = self._sides[Axis.ACROSS].unit, self._true(part)
        strip = cut_node(Axis.DOWN, wide * unit, height, [(PIECE_CODE, wide * unit, high * unit, kind)])
        return cut_node(Axis.ACROSS, width, height, [strip])

    def _true(self, part: _Part) -> tuple[int, int]:
        return self._sides[Axis.ACROSS].true(part.width), self._sides[Axis.DOWN].true(part.height)

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
