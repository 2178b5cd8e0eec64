"""The fractional plan of layouts that give no piece more often than it is needed.

In: a task, a pool of layouts. Out: how often each is used, and what each piece costs then; new layouts go into the
pool. The fact of the trade: whoever needs a print once cannot use a sheet that gives it twice. A table of sizes does
not see that, and where each piece is needed once half of the sheets that it proposes are such. So the layout that is
worth most is sought by ruin and recreate on one sheet, where what is left outside counts for its price, not its area.
(Proper columns: Vanderbeck & Savelsbergh 2006, Operations Research Letters 34, 296-306; to find them by ruin and
recreate is our own.)
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace

import numpy as np
import numpy.typing as npt

from nesting.packing.ground import ground
from nesting.packing.improve import root_of
from nesting.packing.layout import PackingTask
from nesting.packing.master import Column, Master
from nesting.packing.points import Whole
from nesting.packing.stock import Stock, stock
from nesting.packing.trees import Node, items_of, renamed

HOT, COLD = 0.03, 0.003  # temperatures, in shares of a mean price
LOOKS = 32  # at the sheet during one cooling
LEAST = 1e-6  # of a sheet: what a new layout is worth beyond its price
SHORT, LONG = 10, 13  # a cooling takes 2 ** this many rounds: the first, and those after many in vain


class Pool:
    """Layouts of a stock's sheets, none twice; row i of `counts` is what layout i gives, as far as it is needed."""

    def __init__(self, ready: Stock, layouts: Iterable[Column], seed: int) -> None:
        self.stock, self.seed = ready, seed
        self.needs = _needs(ready.task)
        self.ruled = ready.limits.any or ready.limits.turns is not None
        one_kind = [replace(ready.task, sheets=(ready.task.sheets[source.kinds[0]],)) for source in ready.sources]
        self.lands = [ground(task) for task in one_kind]
        self.layouts: list[Column] = []
        self._rows: list[Whole] = []
        self._counts = np.zeros((0, len(self.needs)), dtype=np.int64)
        self._known: set[tuple[int, bytes]] = set()
        for layout in layouts:
            self.add(layout.source, layout.node)

    @property
    def counts(self) -> Whole:
        """What each layout gives."""
        if len(self._rows) > len(self._counts):
            self._counts = np.array(self._rows)
        return self._counts

    @property
    def sources(self) -> Whole:
        """The source of each layout."""
        return np.array([layout.source for layout in self.layouts], dtype=np.int64)

    def add(self, source: int, node: Node) -> bool:
        """Take a layout in; not one whose like is there, that gives nothing, or that the trimmer cannot cut."""
        row = np.minimum(np.bincount(items_of(node), minlength=len(self.needs)), self.needs)
        key = source, row.tobytes()
        if key in self._known or not row.any():
            return False
        if self.ruled and self.stock.use(self.stock.sources[source].kinds[0], node) is None:
            return False
        self._known.add(key)
        self.layouts.append(Column(source, tuple(row.tolist()), node))
        self._rows.append(row)
        return True


class Proper:
    """The fractional plan of a task, or of what is left of it, from the layouts of a pool, each as far as needed."""

    def __init__(self, task: PackingTask, pool: Pool, before: Proper | None = None, near: float = 0.0) -> None:
        """before: a plan of a larger task; what loses more than `near` of a sheet at its prices is left out."""
        self.task, self.pool, self.stock = task, pool, stock(task)
        self.needs = _needs(task)
        self.kinds = np.flatnonzero(self.needs)
        where = self.stock.source_of
        self._here = np.array([next((where[kind] for kind in source.kinds if kind in where), -1)
                               for source in pool.stock.sources], dtype=np.int64)  # fmt: skip
        tiers = [self.stock.tiers(source) for source in self.stock.sources]
        dearest = max((cost for some in tiers for cost, _ in some), default=1)
        self.master = Master(self.needs[self.kinds].tolist(), tiers, [4.0 * max(1, dearest)] * len(self.kinds))
        self.numbers: list[int] = []  # of the program's layouts in the pool
        self._known: set[tuple[int, bytes]] = set()
        self._seen = 0  # layouts of the pool that were looked at
        self._solve()
        self._take_in(before, near)

    def gives(self, column: int) -> Whole:
        """How many pieces a layout of the program gives, as far as they are needed."""
        gives: Whole = np.minimum(self.pool.counts[self.numbers[column]], self.needs)
        return gives

    def source(self, column: int) -> int:
        """The source that a layout of the program is cut from."""
        return int(self._here[self.pool.layouts[self.numbers[column]].source])

    def node(self, column: int) -> Node:
        """The cut tree of a layout of the program, perhaps with pieces beyond the needs."""
        return self.pool.layouts[self.numbers[column]].node

    def make(self, patience: int, stop: Callable[[], bool], enough: int | None = None) -> None:
        """Make layouts until so many coolings in a row bring none, or fractions cost no more than `enough`."""
        self._take_in()
        dry = 0
        while dry < patience and not stop() and (enough is None or not self.reaches(enough)):
            dry = 0 if self._made(min(SHORT + dry, LONG)) else dry + 1

    def reaches(self, cost: int) -> bool:
        """Whether fractions of the layouts known give all needs at this cost."""
        return self.prices.missing < 1e-6 and self.prices.cost <= cost * (1 + 1e-6) + 1e-6

    def _take_in(self, before: Proper | None = None, near: float = 0.0) -> bool:
        """Let the program use what is new in the pool, and solve it; whether there was anything."""
        first, self._seen = self._seen, len(self.pool.layouts)
        counts = np.minimum(self.pool.counts[first:], self.needs)
        sources = self._here[self.pool.sources[first:]]
        good = (sources >= 0) & counts.any(axis=1)
        if before is not None:
            good &= before._nearly_worth(counts, near)
        fresh = []
        for row in np.flatnonzero(good).tolist():
            key = int(sources[row]), counts[row].tobytes()
            if key not in self._known:
                self._known.add(key)
                fresh.append(row)
        if fresh:
            self.numbers += [first + row for row in fresh]
            self.master.add_all(sources[fresh], counts[fresh][:, self.kinds])
            self._solve()
        return bool(fresh)

    def _solve(self) -> None:
        self.prices = self.master.solve()
        self.worth = np.zeros(len(self.needs))
        self.worth[self.kinds] = self.prices.pieces

    def _nearly_worth(self, counts: Whole, near: float) -> npt.NDArray[np.bool_]:
        """Which of the pool's layouts, as far as this is needed, lose no more than this share of their sheet."""
        least = np.array([(1 - near) * price for price in self.prices.sheets] + [0.0])
        near_enough: npt.NDArray[np.bool_] = counts @ self.worth >= least[self._here[self.pool.sources]]
        return near_enough

    def _made(self, doublings: int) -> bool:
        """Whether one cooling for each source gave layouts that are worth more than their sheet at the prices now."""
        added = [self._make(source, doublings) for source in range(len(self.stock.sources))]
        return any(added) and self._take_in()

    def _make(self, number: int, doublings: int) -> bool:
        """Seek layouts of one source that are worth more than their sheet; whether the pool has new ones."""
        kind, price, rounds = self.stock.sources[number].kinds[0], self.prices.sheets[number], 1 << doublings
        origin = self.pool.stock.source_of[kind]
        items = self._items_for(number)
        if price <= 0 or not items:
            return False
        self.pool.seed += 1
        weights = [float(self.worth[k]) / price for k in items]
        whole, added = sum(weights), False
        forest = self.pool.lands[origin].forest(items, 1, self.pool.seed)
        forest.open(0, 0)
        forest.weigh(weights)
        forest.greedy(1, 1)
        forest.heat(HOT * whole / len(items))
        ratio = root_of(COLD / HOT, doublings)
        for _ in range(LOOKS):
            forest.search(rounds // LOOKS, ratio)
            if whole - forest.left_out() > 1 + LEAST:
                added = self.pool.add(origin, renamed(forest.tree(0), items)) or added
        return added

    def _items_for(self, number: int) -> list[int]:
        """The pieces that are worth something, as many of each as a sheet of this source has the area for."""
        source = self.stock.sources[number]
        area = {item.kind: item.width * item.height for item in source.items}
        whole = source.width * source.height
        valued = [kind for kind in self.kinds.tolist() if self.worth[kind] > 0 and kind in area]
        return [kind for kind in valued for _ in range(min(int(self.needs[kind]), whole // area[kind]))]


def _needs(task: PackingTask) -> Whole:
    return np.array([piece.need for piece in task.pieces], dtype=np.int64)
