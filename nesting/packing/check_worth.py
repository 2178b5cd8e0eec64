"""The most that one sheet can be worth at given prices, by the checker's own plain dynamic program.

In: what was asked (PackingTask) and a price for each piece kind. Out: the worth of each sheet kind, never too little;
or the worth of every part of a sheet. The method: every part is worth its dearest piece or the best two parts that one
cut from edge to edge makes of it (Gilmore & Gomory 1966, Operations Research 14, 1045-1074).
"""

from __future__ import annotations

import bisect
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from math import gcd

import numpy as np
import numpy.typing as npt

from nesting.packing.check_trimmer import beyond_trimmer
from nesting.packing.layout import Axis, CutRules, PackingTask, PieceKind, SheetKind
from nesting.packing.recheck import Cuts

Table = npt.NDArray[np.int64]
MOST_STATES = 400  # per axis; beyond it lengths are rounded in the bound's disfavour


def sheet_worths(task: PackingTask, prices: Sequence[int]) -> list[int]:
    """The most that any layout on each sheet kind can be worth at these prices."""
    plain = [replace(sheet, cost=0, limit=None) for sheet in task.sheets]
    longest = max((max(sheet.width, sheet.height) for sheet in task.sheets), default=0) + task.rules.kerf
    pieces = tuple(_no_more_than_fit(piece, longest, task.rules.kerf) for piece in task.pieces)
    return [_most_worth(pieces, task.rules, sheet, tuple(prices)) for sheet in plain]


def sheet_cuts(task: PackingTask, sheet: SheetKind, prices: Sequence[int], needs: Sequence[int]) -> Cuts | int | None:
    """All parts of one sheet with what each is worth, for trying all ways. None: no piece fits; a number: too many."""
    grid = _grid_of(task, sheet, prices, needs)
    return _cuts(grid) if isinstance(grid, _Grid) else grid


def _no_more_than_fit(piece: PieceKind, longest: int, kerf: int) -> PieceKind:
    """The piece needed no more often than it fits side by side: more of it make no further sums of lengths."""
    return replace(piece, need=min(piece.need, longest // (min(piece.width, piece.height) + kerf)))


@dataclass(frozen=True, slots=True)
class _Item:
    """A piece as it may lie on the sheet, the kerf added; `axis`: how it is cut apart in the end, if it is."""

    kind: int
    width: int
    height: int
    price: int
    count: int
    axis: Axis | None


@lru_cache(maxsize=2000)  # many a task differs from the last in its needs alone
def _most_worth(pieces: tuple[PieceKind, ...], rules: CutRules, sheet: SheetKind, prices: tuple[int, ...]) -> int:
    """The most that one sheet can hold, in prices."""
    task = PackingTask(pieces, (sheet,), rules)
    grid = _grid_of(task, sheet, prices, [int(price > 0) for price in prices])
    if grid is None:
        return 0
    return grid if isinstance(grid, int) else _most_inside(grid, sheet, task.rules)


def _grid_of(task: PackingTask, sheet: SheetKind, prices: Sequence[int], needs: Sequence[int]) -> _Grid | int | None:
    """All parts of one sheet that pieces with a need can ask for, lengths made coarser (never smaller sums) if needed.

    None: no piece fits. A number: even the coarsest has too many parts, and this is the most the sheet is worth.
    """
    rules, kerf, m = task.rules, task.rules.kerf, sheet.margins
    width = sheet.width - m.right - (max(m.left, kerf) if m.left else 0) + kerf
    height = sheet.height - m.bottom - (max(m.top, kerf) if m.top else 0) + kerf
    items = [item for kind, piece in enumerate(task.pieces) if needs[kind] > 0
             for item in _lying(kind, piece, prices[kind], sheet.paper, rules)]  # fmt: skip
    items = [item for item in items if item.width <= width and item.height <= height]
    if not items:
        return None
    held = rules.narrowest_held + kerf if rules.narrowest_held else 0
    if held <= min(min(item.width, item.height) for item in items):
        held = 0
    longest = None if rules.longest_cut is None else rules.longest_cut + kerf
    setting = None if rules.largest_setting is None else rules.largest_setting + kerf
    whole = [width, height, held, longest or 0, setting or 0]
    unit = gcd(*(item.width for item in items), *(item.height for item in items), *whole)
    while True:
        grid = _Grid(
            [replace(item, width=item.width // unit, height=item.height // unit) for item in items],
            (width // unit, height // unit),
            held // unit,
            None if longest is None else longest // unit,
            None if setting is None else setting // unit,
            few=rules.most_turns is not None,
        )
        if max(len(grid.xs), len(grid.ys)) <= MOST_STATES:
            return grid
        unit, held = 2 * unit, 0
        if unit > min(min(item.width, item.height) for item in items):  # area alone: the dearest piece for its area
            return max(item.price * width * height // (item.width * item.height) for item in items)


def _lying(kind: int, piece: PieceKind, price: int, paper: int, rules: CutRules) -> Iterable[_Item]:
    for turned in (False, True):
        if not any(one.paper == paper and (one.may_turn or not turned) for one in piece.allowed):
            continue
        if turned and piece.width == piece.height and piece.block is None:
            continue
        width, height = (piece.height, piece.width) if turned else (piece.width, piece.height)
        axis = None
        if piece.block is not None and len(piece.block.extents) > 1:
            axis = piece.block.axis.other if turned else piece.block.axis
            long, across = (width, height) if axis is Axis.ACROSS else (height, width)
            if any(beyond_trimmer(rules, long, across, piece.block.extents)):
                continue
        yield _Item(kind, width + rules.kerf, height + rules.kerf, price, piece.need, axis)


class _Grid:
    """The sizes that parts can have, and the pairs of parts that a cut can give, each way."""

    def __init__(
        self, items: list[_Item], size: tuple[int, int], held: int, longest: int | None, setting: int | None, few: bool
    ) -> None:
        self.items, self.held = items, held
        self.every = few or held > 0  # a strip that no turn is left to trim must be as wide as what lies in it
        self.longest = max(size) if longest is None else longest
        self.setting = max(size) if setting is None else setting
        self.xs, self.x_pairs = self._sizes(size[0], [(item.width, item.count) for item in items])
        self.ys, self.y_pairs = self._sizes(size[1], [(item.height, item.count) for item in items])

    def _sizes(self, whole: int, parts: list[tuple[int, int]]) -> tuple[list[int], list[tuple[list[int], list[int]]]]:
        sums = 1
        for size, count in [*parts, *([(self.held, whole)] if self.held else [])]:
            count, step = min(count, whole // size), 1
            while count > 0:
                step = min(step, count)
                sums |= sums << (size * step)
                sums &= (1 << (whole + 1)) - 1
                count, step = count - step, 2 * step
        bits = np.unpackbits(np.frombuffer(sums.to_bytes(whole // 8 + 1, "little"), dtype=np.uint8), bitorder="little")
        points = [int(point) for point in np.flatnonzero(bits)]

        def below(size: int) -> int:
            return points[bisect.bisect_right(points, size) - 1]

        def pairs(size: int) -> set[tuple[int, int]]:
            found: set[tuple[int, int]] = set()
            ends = (size, min(size, self.longest))  # a part beyond the longest cut cannot be cut the other way
            for part in points[1 : bisect.bisect_right(points, min(size // 2, self.setting))]:
                for rest in {below(min(size - part, end)) for end in ends}:
                    if rest < size - part < self.held:
                        continue  # the blade can trim it no more
                    room = size - rest if rest <= self.setting else min(size - rest, self.setting)
                    found.update((part if self.held else below(min(room, end)), rest) for end in ends)
            return {pair for pair in found if all(pair)}

        todo = [whole, *points[1:]] if self.every else [whole]
        known: dict[int, set[tuple[int, int]]] = {}
        while todo:
            size = todo.pop()
            if size > 0 and size not in known and len(known) <= 2 * MOST_STATES:
                known[size] = pairs(size)
                todo += [below(size), below(min(size, self.longest)), *(part for pair in known[size] for part in pair)]
        sizes = sorted(known)
        at = {size: index for index, size in enumerate(sizes)}
        if len(sizes) > MOST_STATES:
            return sizes, []
        return sizes, [([at[a] for a, _ in sorted(known[s])], [at[b] for _, b in sorted(known[s])]) for s in sizes]


def _cuts(grid: _Grid) -> Cuts:
    xs, ys = np.array(grid.xs), np.array(grid.ys)
    can_across = (ys <= grid.longest) & (ys >= grid.held) & (xs >= grid.held)[:, None]
    can_down = ((xs <= grid.longest) & (xs >= grid.held))[:, None] & (ys >= grid.held)
    pieces = [(item.kind, _fits(grid, item, Axis.ACROSS, 9) | _fits(grid, item, Axis.DOWN, 9).T) for item in grid.items]
    pairs = (grid.x_pairs, grid.y_pairs) if grid.held else (_snug(grid.xs, grid.x_pairs), _snug(grid.ys, grid.y_pairs))
    return Cuts(_any_turns(grid), *pairs, can_across, can_down, pieces)


def _snug(sizes: list[int], pairs: list[tuple[list[int], list[int]]]) -> list[tuple[list[int], list[int]]]:
    """The pairs that do not fit into the next smaller size, to which a part could be trimmed first."""
    below = [0, *sizes[:-1]]
    kept = [[(a, b) for a, b in zip(*some, strict=True) if sizes[a] + sizes[b] > least]
            for some, least in zip(pairs, below, strict=True)]  # fmt: skip
    return [([a for a, _ in some], [b for _, b in some]) for some in kept]


def _most_inside(grid: _Grid, sheet: SheetKind, rules: CutRules) -> int:
    """The value of the whole inside of a sheet, with as many turns as the margins leave."""
    m = sheet.margins
    across, down = bool(m.left or m.right), bool(m.top or m.bottom)
    longest = max(sheet.width, sheet.height) if rules.longest_cut is None else rules.longest_cut
    inside_width, inside_height = sheet.usable
    starts: list[tuple[Axis | None, int]]  # the axis cut last, the turns made so far
    if across and down:
        starts = [(Axis.DOWN, 1)] if sheet.height <= longest and inside_width <= longest else []
        starts += [(Axis.ACROSS, 1)] if sheet.width <= longest and inside_height <= longest else []
    elif across:
        starts = [(Axis.ACROSS, 0)] if sheet.height <= longest else []
    elif down:
        starts = [(Axis.DOWN, 0)] if sheet.width <= longest else []
    else:
        starts = [(None, 0)]
    if not starts:
        return 0
    if rules.most_turns is None:
        return int(_any_turns(grid)[-1, -1])
    tables = _few_turns(grid, rules.most_turns)
    best = 0
    for last, turns in starts:
        for axis in Axis:
            left = rules.most_turns - turns - (last not in (None, axis))
            best = max(best, int(tables[left][axis][-1, -1]) if left >= 0 else 0)
    return best


def _singles(grid: _Grid, axis: Axis, turns: int) -> Table:
    """The dearest single piece in each part, trimmed along `axis` first and the other way then, if at all."""
    across = axis is Axis.ACROSS
    along, beside = (grid.xs, grid.ys) if across else (grid.ys, grid.xs)
    worth = np.zeros((len(along), len(beside)), dtype=np.int64)
    for item in grid.items:
        fits = _fits(grid, item, axis, turns)
        worth[fits] = np.maximum(worth[fits], item.price)
    return worth if across else worth.T.copy()


def _fits(grid: _Grid, item: _Item, axis: Axis, turns: int) -> npt.NDArray[np.bool_]:
    """The parts (sizes along the axis x sizes beside it) that can be trimmed to a piece, along `axis` first."""
    across = axis is Axis.ACROSS
    along, beside = (grid.xs, grid.ys) if across else (grid.ys, grid.xs)
    long, wide = np.array(along)[:, None], np.array(beside)[None, :]
    length, width = (item.width, item.height) if across else (item.height, item.width)
    turned = item.axis not in (None, axis)
    can_trim = (wide <= grid.longest) & (wide >= grid.held) & (long >= grid.held)
    two_way = turns >= 1 + (item.axis is axis) and length <= grid.longest and length >= grid.held
    fits = (long == length) & (wide == width) & (turns >= turned)
    fits |= (long > length) & (wide == width) & can_trim & (turns >= turned)
    fits |= (long > length) & (wide > width) & can_trim & two_way
    found: npt.NDArray[np.bool_] = fits
    return found


def _any_turns(grid: _Grid) -> Table:
    worth = np.maximum(_singles(grid, Axis.ACROSS, 9), _singles(grid, Axis.DOWN, 9))
    xs, ys = np.array(grid.xs), np.array(grid.ys)
    can_across = (ys <= grid.longest) & (ys >= grid.held)
    for i in range(len(xs)):
        if xs[i] >= grid.held:
            np.maximum(worth[i], _joined(worth, i, grid.x_pairs[i]), out=worth[i], where=can_across)
        if grid.held <= xs[i] <= grid.longest:
            for j in np.flatnonzero(ys >= grid.held):
                worth[i, j] = max(worth[i, j], _joined(worth[i], int(j), grid.y_pairs[j]))
    return worth


def _joined(worth: Table, at: int, pairs: tuple[list[int], list[int]]) -> Table:
    """The best two parts of part number `at` together, or the next smaller part alone."""
    best: Table = worth[at - 1] if at else np.zeros_like(worth[at])
    return np.maximum(best, (worth[pairs[0]] + worth[pairs[1]]).max(axis=0)) if pairs[0] else best


def _few_turns(grid: _Grid, most: int) -> list[dict[Axis, Table]]:
    """Values by the turns still allowed and the axis that is cut first."""
    xs, ys = np.array(grid.xs), np.array(grid.ys)
    tables: list[dict[Axis, Table]] = []
    for turns in range(most + 1):
        across, down = _singles(grid, Axis.ACROSS, turns), _singles(grid, Axis.DOWN, turns)
        if turns:
            across, down = np.maximum(across, tables[-1][Axis.DOWN]), np.maximum(down, tables[-1][Axis.ACROSS])
        can_across, can_down = (ys <= grid.longest) & (ys >= grid.held), (xs <= grid.longest) & (xs >= grid.held)
        for i in np.flatnonzero(xs >= grid.held):
            np.maximum(across[i], _joined(across, int(i), grid.x_pairs[i]), out=across[i], where=can_across)
        flipped = down.T
        for j in np.flatnonzero(ys >= grid.held):
            np.maximum(flipped[j], _joined(flipped, int(j), grid.y_pairs[j]), out=flipped[j], where=can_down)
        tables.append({Axis.ACROSS: across, Axis.DOWN: down})
    return tables
