"""The most that one sheet can be worth when each piece has a price, and a layout that is worth it.

In: sources of one paper, needs, whole prices. Out: the exact value of every source under all rules of the trimmer,
any number of each piece allowed, and the cut tree behind it. The fact of the trade: what is best for a part does
not depend on the rest of the sheet (Gilmore & Gomory 1966, Operations Research 14, 1045-1074; on sheets with few
cut positions Beasley 1985, Journal of the Operational Research Society 36, 297-306).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from nesting.errors import Fault
from nesting.packing.forest import PIECE_CODE
from nesting.packing.layout import Axis, PackingTask
from nesting.packing.points import Side, Whole, side
from nesting.packing.stock import Item, Limits, Source, Stock, stock, trims, turns_left
from nesting.packing.trees import Node, corner_node, cut_node, free_node
from nesting.packing.waves import Waves

MOST_CELLS = 1 << 18  # sums looked at in one go: what a processor's cache holds
NOTHING: Whole = np.zeros(0, dtype=np.int64)
State = tuple[int, int]
Mask = npt.NDArray[np.bool_]


class Patterns:
    """One table of values for several sources that take the same items; filled anew for each set of prices."""

    def __init__(self, sources: Sequence[Source], limits: Limits, needs: Sequence[int], xs: Side, ys: Side) -> None:
        """Use `patterns` below, which finds the sides."""
        self.sources, self.limits = tuple(sources), limits
        self.items = [item for item in sources[0].items if needs[item.kind] > 0]
        self.xs, self.ys = xs, ys
        self.shape = (len(xs.sizes), len(ys.sizes))
        held, longest = limits.held, limits.longest
        wide, high = xs.sizes >= held, ys.sizes >= held
        self.can_across = wide[:, None] & (high & (ys.sizes <= longest))[None, :]
        self.can_down = (wide & (xs.sizes <= longest))[:, None] & high[None, :]
        masks = {Axis.ACROSS: self.can_across, Axis.DOWN: self.can_down}
        self._masks = {axis: None if can.all() else can for axis, can in masks.items()}
        self._rows = _blocks(xs, self.shape[1])
        self._columns = _blocks(ys, self.shape[0] if limits.turns is not None else max(e - b for b, e in xs.blocks))
        self._waves: Waves | None = None
        if limits.turns is None and len(self._rows) * len(self._columns) > sum(self.shape):
            self._waves = Waves(xs, ys, self.can_across, self.can_down)
        self._singles: dict[Axis, list[tuple[Mask, Mask, Mask]]] = {}
        if limits.any or limits.turns is not None:
            self._singles = {axis: _fitting(self.items, xs.sizes, ys.sizes, axis, limits) for axis in Axis}
        self._corners = xs.places([item.width for item in self.items]), ys.places([item.height for item in self.items])
        self.tables: list[dict[Axis, Whole]] = []
        self.prices: list[int] = []
        self._priced: dict[int, list[Item]] = {}  # the items of each price
        self._twos: dict[tuple[Axis, int, bool], tuple[Whole, Whole]] = {}

    @property
    def size(self) -> int:
        """A measure of the work of one filling: pairs of parts that are looked at."""
        return len(self.xs.first) * self.shape[1] + len(self.ys.first) * self.shape[0]

    def fill(self, prices: Sequence[int]) -> None:
        """Find all values at these prices, one per piece kind, each a whole number of 0 or more."""
        if self.tables and self.prices == list(prices):
            return
        self.prices, self._priced = list(prices), {}
        for item in self.items:
            self._priced.setdefault(self.prices[item.kind], []).append(item)
        if self.limits.turns is None:
            base = self._uncut()
            table = self._waves.closed(base) if self._waves else self._close(base, self._rows, self._columns)
            self.tables = [{Axis.ACROSS: table, Axis.DOWN: table}]
            return
        every_row = [_Block(0, self.shape[0], ())]
        self.tables = []
        for turns in range(self.limits.turns + 1):
            layer = {}
            for axis in Axis:
                base = self._single_values(axis, turns)
                if turns:
                    base = np.maximum(base, self.tables[-1][axis.other])
                blocks = (self._rows, []) if axis is Axis.ACROSS else (every_row, self._columns)
                layer[axis] = self._close(base, *blocks)
            self.tables.append(layer)

    def worth(self, source: Source) -> int:
        """The value of a source at the prices last filled in."""
        return max((int(self.tables[turns][axis][at]) for turns, axis, at in self._starts(source)), default=0)

    def reached(self, source: Source) -> int:
        """What the layout of `node` is worth: the same."""
        return self.worth(source)

    def node(self, source: Source, *, down_first: bool = False) -> Node:
        """A cut tree of the whole source that has its value; ties go to cuts across, or down, first."""
        order = (Axis.DOWN, Axis.ACROSS) if down_first else (Axis.ACROSS, Axis.DOWN)
        starts = sorted(self._starts(source), key=lambda start: order.index(start[1]))
        turns, axis, (i, j) = max(starts, key=lambda start: int(self.tables[start[0]][start[1]][start[2]]))
        if self.limits.turns is None:
            return self._node_any(i, j, order)
        return self._node_few(turns, axis, i, j)

    # ----------------------------------------------------------------------------------------- filling

    def _starts(self, source: Source) -> list[tuple[int, Axis, tuple[int, int]]]:
        at = self.xs.index(source.width), self.ys.index(source.height)
        if self.limits.turns is None:
            return [(0, Axis.ACROSS, at)]
        left = [(turns_left(self.limits.turns, start, axis), axis) for start in source.starts for axis in Axis]
        return [(turns, axis, at) for turns, axis in left if turns >= 0]

    def _uncut(self) -> Whole:
        """What parts are worth for one piece, any number of turns; where nothing forbids a trim, the smallest parts."""
        if self.limits.any:
            return np.maximum(self._single_values(Axis.ACROSS, 99), self._single_values(Axis.DOWN, 99))
        values = np.zeros(self.shape, dtype=np.int64)
        np.maximum.at(values, self._corners, np.array([self.prices[item.kind] for item in self.items], dtype=np.int64))
        return values

    def _single_values(self, axis: Axis, turns: int) -> Whole:
        values = np.zeros(self.shape, dtype=np.int64)
        for item, masks in zip(self.items, self._singles[axis], strict=True):
            price = self.prices[item.kind]
            if price > 0:
                mask = masks[min(turns, 2)]
                values[mask] = np.maximum(values[mask], price)
        return values

    def _close(self, values: Whole, rows: Sequence[_Block], columns: Sequence[_Block]) -> Whole:
        """Add what cuts can make of the values, in place: across between rows, down between columns.

        Without `columns` only cuts across are made; with one block of all rows only cuts down.
        """
        across = rows is self._rows
        for row in rows:
            self._join(values, row, Axis.ACROSS)
            before = max(0, row.begin - 1) if across else row.begin
            if not columns:
                self._trim(values, (slice(before, row.end), slice(None)), Axis.ACROSS)
            for column in columns:
                self._join(values, column, Axis.DOWN, slice(row.begin, row.end))
                part = (slice(before, row.end), slice(max(0, column.begin - 1), column.end))
                for _ in range(2 if self.limits.any and across else 1):
                    if across:
                        self._trim(values, part, Axis.ACROSS)
                    self._trim(values, part, Axis.DOWN)
        return values

    def _join(self, values: Whole, block: _Block, axis: Axis, beside: slice = slice(None)) -> None:
        """Raise a block along `axis`, as far as `beside`, to the best sums of its pairs, where they can be cut."""
        along, can = (0 if axis is Axis.ACROSS else 1), self._masks[axis]
        for joins in block.joins:
            at = (joins.states, beside) if along == 0 else (beside, joins.states)
            line = values if along == 0 else values[beside]
            sums = line.take(joins.first, along)
            sums += line.take(joins.second, along)
            best = np.maximum.reduceat(sums, joins.starts, along)
            part = values[at]
            values[at] = np.maximum(part, best) if can is None else np.where(can[at], np.maximum(part, best), part)

    def _trim(self, values: Whole, at: tuple[slice, slice], axis: Axis) -> None:
        """A part is worth at least what the next smaller one is worth, where the strip can be cut off."""
        along, mask, part = (0 if axis is Axis.ACROSS else 1), self._masks[axis], values[at]
        if mask is None:
            np.maximum.accumulate(part, along, None, part)
            return
        can = mask[at]
        for number in range(1, part.shape[along]):
            here, before = (part[number], part[number - 1]) if along == 0 else (part[:, number], part[:, number - 1])
            np.maximum(here, before, out=here, where=can[number] if along == 0 else can[:, number])

    # --------------------------------------------------------------------------------------- rebuilding

    def _node_any(self, i: int, j: int, order: tuple[Axis, ...]) -> Node:
        table = self.tables[0][Axis.ACROSS]
        value, width, height = table[i, j], int(self.xs.sizes[i]), int(self.ys.sizes[j])
        if value == 0:
            return free_node(width, height)
        for axis in order:
            smaller = self._trimmed_to(table, axis, i, j)
            if smaller != (i, j):
                return cut_node(axis, width, height, [self._node_any(*smaller, order)])
        single = self._single_node(value, i, j, order, 99)
        if single is not None:
            return single
        for axis in order:
            pair = self._pair(table, axis, i, j)
            if pair is not None:
                return cut_node(axis, width, height, [self._node_any(*part, order) for part in pair])
        raise Fault(f"A value of {value} for {width} x {height} cannot be traced back.")

    def _node_few(self, turns: int, axis: Axis, i: int, j: int) -> Node:
        table = self.tables[turns][axis]
        value, width, height = table[i, j], int(self.xs.sizes[i]), int(self.ys.sizes[j])
        if value == 0:
            return free_node(width, height)
        if turns and self.tables[turns - 1][axis.other][i, j] == value:
            return self._node_few(turns - 1, axis.other, i, j)
        smaller = self._trimmed_to(table, axis, i, j)
        if smaller != (i, j):
            return cut_node(axis, width, height, [self._node_few(turns, axis, *smaller)])
        single = self._single_node(value, i, j, (axis,), turns)
        if single is not None:
            return single
        pair = self._pair(table, axis, i, j)
        if pair is None:
            raise Fault(f"A value of {value} for {width} x {height} cannot be traced back.")
        return cut_node(axis, width, height, [self._node_few(turns, axis, *part) for part in pair])

    def trimmed(self, axis: Axis, i: int, j: int) -> State | None:
        """The next smaller part that part (i, j) can be trimmed to along `axis`, if any."""
        if axis is Axis.ACROSS:
            return (i - 1, j) if i and self.can_across[i, j] else None
        return (i, j - 1) if j and self.can_down[i, j] else None

    def _trimmed_to(self, table: Whole, axis: Axis, i: int, j: int) -> State:
        """The smallest part that part (i, j) can be trimmed to along `axis` at no loss."""
        at = (i, j)
        smaller = self.trimmed(axis, *at)
        while smaller is not None and table[smaller] == table[i, j]:
            at, smaller = smaller, self.trimmed(axis, *smaller)
        return at

    def _single_node(self, value: int, i: int, j: int, order: Sequence[Axis], turns: int) -> Node | None:
        priced = self._priced.get(int(value), ())
        width, height = int(self.xs.sizes[i]), int(self.ys.sizes[j])
        for axis in order:
            for item in priced:
                fits = item.width <= width and item.height <= height
                if fits and trims(item, width, height, axis, turns, self.limits):
                    piece = (PIECE_CODE, item.width, item.height, item.kind)
                    return corner_node(axis, width, height, piece)
        return None

    def _pair(self, table: Whole, axis: Axis, i: int, j: int) -> tuple[State, State] | None:
        pairs = self._pairs(table, axis, i, j, int(table[i, j]))
        return pairs[-1] if pairs else None

    def pairs(self, axis: Axis, i: int, j: int, least: int, *, snug: bool = False) -> list[tuple[State, State]]:
        """The pairs of parts that a cut of part (i, j) along `axis` gives and that are worth `least` at least.

        snug: without those that would also fit into the next smaller part.
        """
        return self._pairs(self.tables[-1][axis], axis, i, j, least, snug)

    def halves(self, axis: Axis, i: int, j: int, least: int, *, snug: bool = False) -> tuple[Whole, Whole, Whole]:
        """The same pairs as numbers along the side that is cut, and what each pair is worth."""
        return self._halves(self.tables[-1][axis], axis, i, j, least, snug)

    def widths(self, i: int, *, snug: bool = False) -> tuple[Whole, Whole]:
        """The pairs of widths that a cut across makes of width i, whatever the height."""
        return self._cut_in_two(Axis.ACROSS, i, snug)

    def _pairs(
        self, table: Whole, axis: Axis, i: int, j: int, least: int, snug: bool = False
    ) -> list[tuple[State, State]]:
        first, second, _ = self._halves(table, axis, i, j, least, snug)
        chosen = zip(first.tolist(), second.tolist(), strict=True)
        return [((a, j), (b, j)) if axis is Axis.ACROSS else ((i, a), (i, b)) for a, b in chosen]

    def _halves(self, table: Whole, axis: Axis, i: int, j: int, least: int, snug: bool) -> tuple[Whole, Whole, Whole]:
        across = axis is Axis.ACROSS
        line, at = (table[:, j], i) if across else (table[i], j)
        if not (self.can_across if across else self.can_down)[i, j]:
            return NOTHING, NOTHING, NOTHING
        first, second = self._cut_in_two(axis, at, snug)
        worth = line[first] + line[second]
        enough = worth >= least
        return first[enough], second[enough], worth[enough]

    def _cut_in_two(self, axis: Axis, at: int, snug: bool) -> tuple[Whole, Whole]:
        known = self._twos.get((axis, at, snug))
        if known is None:
            side_ = self.xs if axis is Axis.ACROSS else self.ys
            first, second = (some[side_.starts[at] : side_.starts[at + 1]] for some in (side_.first, side_.second))
            good = side_.sizes[first] + side_.sizes[second] > (side_.sizes[at - 1] if snug and at else 0)
            known = self._twos[axis, at, snug] = first[good], second[good]
        return known


def patterns(sources: Sequence[Source], limits: Limits, needs: Sequence[int], most: int) -> Patterns | None:
    """The table for sources that take the same items; None if a side has more than `most` states."""
    items = [item for item in sources[0].items if needs[item.kind] > 0]
    held = limits.held if any(min(item.width, item.height) < limits.held for item in items) else 0

    def states(wholes: list[int], parts: list[int]) -> Side | None:
        counts = [(part, needs[item.kind]) for part, item in zip(parts, items, strict=True)]
        return side(wholes, counts, setting=limits.setting, longest=limits.longest, held=held,
                    every=limits.turns is not None, most=most)  # fmt: skip

    xs = states([source.width for source in sources], [item.width for item in items])
    ys = states([source.height for source in sources], [item.height for item in items])
    return None if xs is None or ys is None else Patterns(sources, limits, needs, xs, ys)


def fits(task: PackingTask, kind: int) -> bool:
    """Whether one piece of this kind can be cut from any of the sheets at all, under all the rules."""
    ready = stock(replace(task, pieces=(replace(task.pieces[kind], need=1),)))
    return any(_at_once(source, ready.limits) or _in_the_end(source, ready) for source in ready.sources)


def _at_once(source: Source, limits: Limits) -> bool:
    """Whether a sheet can be trimmed to one of its items with one cut each way."""
    return any(
        trims(item, source.width, source.height, axis, turns_left(limits.turns, start, axis), limits)
        for item in source.items for start in source.starts for axis in Axis
    )  # fmt: skip


def _in_the_end(source: Source, ready: Stock) -> bool:
    """Whether some layout has an item: a narrow one may need more cuts, the last of them through a wider part."""
    table = patterns([source], ready.limits, [1], most=1 << 30)
    if table is None:
        return False
    table.fill([1])
    return table.worth(source) > 0 and ready.use(source.kinds[0], table.node(source)) is not None


def _fitting(items: Sequence[Item], xs: Whole, ys: Whole, axis: Axis, limits: Limits) -> list[tuple[Mask, Mask, Mask]]:
    """Per item: the parts that can be trimmed to it, along `axis` first, with no, one, two or more turns."""
    across = axis is Axis.ACROSS
    long, wide = (xs[:, None], ys[None, :]) if across else (ys[None, :], xs[:, None])
    masks = []
    for item in items:
        length, breadth = (item.width, item.height) if across else (item.height, item.width)
        can_first = (wide <= limits.longest) & (np.minimum(long, wide) >= limits.held)
        can_second = (np.minimum(length, wide) >= limits.held) & (length <= limits.longest)
        first_good = (long == length) | ((long > length) & can_first)
        straight = first_good & (wide == breadth)
        bent = first_good & (wide > breadth) & can_second
        straight_turns, bent_turns = int(item.axis not in (None, axis)), 1 + int(item.axis is axis)
        masks.append(
            tuple((straight & (turns >= straight_turns)) | (bent & (turns >= bent_turns)) for turns in range(3))
        )
    return masks


@dataclass(frozen=True, slots=True)
class _Joins:
    """Some states along one side with all their pairs; those of the first state start at starts[0], and so on."""

    states: npt.NDArray[np.intp]
    first: npt.NDArray[np.intp]
    second: npt.NDArray[np.intp]
    starts: npt.NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class _Block:
    """States begin..end along one side, whose pairs lie before them all."""

    begin: int
    end: int
    joins: tuple[_Joins, ...]


def _blocks(side_: Side, beside: int) -> list[_Block]:
    """The blocks of a side, `beside` sums looked at for each pair, not too many in one go."""

    def joins(begin: int, end: int) -> tuple[_Joins, ...]:
        low, high = side_.starts[begin], side_.starts[end]
        if end - begin > 1 and (high - low) * beside > MOST_CELLS:
            middle = (begin + end) // 2
            return (*joins(begin, middle), *joins(middle, end))
        states = begin + np.flatnonzero(np.diff(side_.starts[begin : end + 1]))
        some = _Joins(states, side_.first[low:high], side_.second[low:high], side_.starts[states] - low)
        return (some,) if len(states) else ()

    return [_Block(begin, end, joins(begin, end)) for begin, end in side_.blocks]
