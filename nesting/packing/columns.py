"""Useful layouts, made to measure: each round the one that is worth most at the prices that the last ones left.

In: a stock, needs, first layouts. Out: the fractional optimum over all layouts that can be cut, the layouts behind it,
and a bound that is exact in whole numbers. The fact of the trade: most of a batch is a handful of layouts, repeated
(column generation: Gilmore & Gomory 1961, Operations Research 9, 849-859; the bound: Farley 1990, same journal 38).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from itertools import groupby
from math import gcd

from nesting.packing.bounds import Proof, by_area, by_prices
from nesting.packing.coarse import Coarse
from nesting.packing.forest import PIECE_CODE
from nesting.packing.layout import Axis, Use
from nesting.packing.master import Column, Master, Prices, central_prices
from nesting.packing.patterns import Patterns, patterns
from nesting.packing.stock import Source, Stock
from nesting.packing.trees import AXES, Node, cut_node, free_node, items_of, node_of, without_margins

MOST_STATES = 400  # along one side of a table
MOST_ROUNDS = 400
MOST_CENTRED = 60  # rounds of changing to prices that leave fewer layouts
MARGIN = 1e-3  # of a unit of cost: what makes a layout lose for certain
PRECISION = 1 << 42  # what the dearest sheet is worth in whole prices


class Columns:
    """One column generation: ask `run`, then look at `proof`, `prices`, `master.columns`.

    `latest` is what the prices last found prove, which may be less than the best, `proof`.
    """

    def __init__(self, stock: Stock, scale: int, missing: Sequence[float] | None = None) -> None:
        """`scale` turns costs into whole prices; `missing` says what a piece left out costs, by default too much."""
        needs = [piece.need for piece in stock.task.pieces]
        self.stock, self.needs, self.scale = stock, tuple(needs), scale
        self.tables = list(_tables(stock, needs))
        self.ruled = stock.limits.any or stock.limits.turns is not None
        self.exact = all(isinstance(table, Patterns) for table, _ in self.tables)
        dearest = max((cost for source in stock.sources for cost, _ in stock.tiers(source)), default=1)
        tiers = [stock.tiers(source) for source in stock.sources]
        self.unit = gcd(*(cost for some in tiers for cost, _ in some)) or 1
        self.missing = list(missing) if missing is not None else [4.0 * max(1, dearest)] * len(needs)
        self.tiers = tiers
        self.master = Master(needs, tiers, self.missing)
        self.known: set[tuple[int, tuple[int, ...]]] = set()
        self.proof: Proof = by_area(stock, needs)
        self.latest = self.proof
        self.prices: Prices | None = None
        for source, node in _grids(stock, needs):
            self.add(source, node)

    def add_uses(self, uses: Iterable[Use]) -> None:
        """Take over the layouts of a plan."""
        where = self.stock.source_of
        for use in uses:
            if use.sheet in where:
                source = self.stock.sources[where[use.sheet]]
                inner = without_margins(use.root)
                self.add(where[use.sheet], node_of(inner, self.stock.task.rules.kerf, source.width, source.height))

    def add(self, source: int, node: Node) -> bool:
        """Add a layout unless its like is there or the trimmer cannot cut it; also as far as it is needed.

        Pieces that are not needed at all are left out of both.
        """
        counts = self._counts(node)
        needed = [count if need else 0 for count, need in zip(counts, self.needs, strict=True)]
        added = False
        for room in (needed, self.needs):
            if any(count > most for count, most in zip(counts, room, strict=True)):
                node = without_surplus(node, list(room))
                counts = self._counts(node)
            added = self._add(source, node, counts) or added
        return added

    def _counts(self, node: Node) -> tuple[int, ...]:
        counts = [0] * len(self.needs)
        for kind in items_of(node):
            counts[kind] += 1
        return tuple(counts)

    def _add(self, source: int, node: Node, counts: tuple[int, ...]) -> bool:
        key = (source, counts)
        if key in self.known or not any(counts):
            return False
        if self.ruled and self.stock.use(self.stock.sources[source].kinds[0], node) is None:
            return False
        self.known.add(key)
        self.master.add(Column(source, counts, node))
        return True

    @property
    def enough(self) -> bool:
        """Whether fractions of the layouts found so far give all needs."""
        return self.prices is not None and self.prices.missing < 1e-6

    def run(
        self, enough: int | None = None, stop: Callable[[], bool] | None = None, *, fully: bool = False
    ) -> None:
        """Generate until no layout is worth more than it costs, or the bound reaches `enough` or all it can.

        fully: go on until no layout is worth more than it costs, whatever the bound.
        """
        for number in range(MOST_ROUNDS):
            self.prices = self.master.solve()
            whole = self.whole_prices()
            self.latest = self.shown_by(whole)
            self.proof = max(self.proof, self.latest, key=lambda proof: (proof.cost, proof.sheets))
            dear = self._dear(self.prices.sheets)
            added = [self._price_in(source, down_first=number % 2 == 1) for source in dear]
            if not any(added):
                return
            ends = not fully and self.proof.cost >= self._next_cost() and self.enough
            if ends or (enough is not None and self.proof.cost >= enough) or (stop is not None and stop()):
                return

    def centre(self, cost: int, stop: Callable[[], bool] | None = None) -> None:
        """Change to prices that prove as much and leave few layouts to plans of this cost, if there are any.

        Layouts that would be worth more than their sheet are added on the way. Nothing is changed where turns are
        limited or tables are not exact.
        """
        if self.prices is None or not self.exact or self.stock.limits.turns is not None:
            return
        before, least = self.prices, self.prices.cost * (1 - 1e-9)
        most = max(0.0, cost - before.cost) + MARGIN * self.unit
        for _ in range(MOST_CENTRED):
            pieces, sheets = central_prices(self.needs, self.tiers, self.missing, self.master.columns, least, most)
            if not pieces or (stop is not None and stop()):
                break
            self.prices = replace(before, pieces=tuple(pieces), sheets=tuple(sheets))
            self.shown_by(self.whole_prices())
            added = [self._price_in(source, down_first=False) for source in self._dear(sheets)]
            if not any(added):
                return
        self.prices = before

    def _dear(self, prices: Sequence[float]) -> list[int]:
        """The sources whose sheets are worth more than these prices, as the tables are filled."""
        reached = [self.table_of(source).reached(one) for source, one in enumerate(self.stock.sources)]
        most = [price * self.scale * (1 + 1e-7) + 1 for price in prices]
        return [source for source, worth in enumerate(reached) if worth > most[source]]

    def shown_by(self, prices: Sequence[int]) -> Proof:
        """The bound that holds at these prices; the tables are filled with them."""
        return by_prices(self.stock, self.needs, prices, self._worths(prices))

    def slack(self, cost: int) -> int | None:
        """What all sheets of a plan of this cost lose together, against their best, at the prices last found.

        The tables are filled with these prices. None where nothing is known of it.
        """
        if self.prices is None or not self.exact:
            return None
        whole = self.whole_prices()
        scale, tiers = self._filled(whole)
        if scale is None:
            return None
        gains = sum((limit or 0) * max(0, worth - price * scale) for worth, price, limit in tiers)
        needed = sum(need * price for need, price in zip(self.needs, whole, strict=True))
        return cost * scale + gains - needed

    def whole_prices(self) -> list[int]:
        """The prices last found, in whole numbers; 0 before there are any."""
        return [int(price * self.scale) for price in self.prices.pieces] if self.prices else [0] * len(self.needs)

    def worth_of_cost(self) -> int | None:
        """What one unit of cost buys at most at the prices last found, from sheets without limit; None: anything."""
        return self._filled(self.whole_prices())[0]

    def _filled(self, prices: Sequence[int]) -> tuple[int | None, list[tuple[int, int, int | None]]]:
        """What one unit of cost buys at most, and worth, cost and limit of all sheets; the tables are filled."""
        worths, scale = self._worths(prices), self.scale
        tiers = [(worth, *tier) for source, worth in zip(self.stock.sources, worths, strict=True)
                 for tier in self.stock.tiers(source)]  # fmt: skip
        for worth, price, limit in tiers:
            if limit is None and price == 0:
                return None, tiers
            if limit is None:
                scale = max(scale, -(-worth // price))
        return scale, tiers

    def _next_cost(self) -> int:
        """The least cost, not under the linear program's, that costs can add up to."""
        cost = 0.0 if self.prices is None else self.prices.cost
        return -int(-(cost * (1 - 1e-6) - 1e-6) // self.unit) * self.unit

    def _worths(self, prices: Sequence[int]) -> list[int]:
        worths = [0] * len(self.stock.sources)
        for table, members in self.tables:
            table.fill(prices)
            for member in members:
                worths[member] = table.worth(self.stock.sources[member])
        return worths

    def table_of(self, source: int) -> Patterns | Coarse:
        """The table that knows a source's values."""
        return next(table for table, members in self.tables if source in members)

    def _price_in(self, source: int, *, down_first: bool) -> bool:
        table = self.table_of(source)
        sheet = self.stock.sources[source]
        added = self.add(source, table.node(sheet, down_first=down_first))
        return self.add(source, table.node(sheet, down_first=not down_first)) or added


def without_surplus(node: Node, room: list[int]) -> Node:
    """The tree without the pieces beyond `room`, which is counted down; what is left joins up as free paper."""
    code, width, height, inside = node
    if code == PIECE_CODE:
        if room[inside] < 1:
            return free_node(width, height)
        room[inside] -= 1
        return node
    if code not in AXES:
        return node
    kept = [without_surplus(child, room) for child in inside]
    if all(one is other for one, other in zip(kept, inside, strict=True)):
        return node
    return cut_node(AXES[code], width, height, kept)


def _tables(stock: Stock, needs: Sequence[int]) -> Iterable[tuple[Patterns | Coarse, list[int]]]:
    """One table for the sources that take the same items where that is less work, else one for each.

    Where a source's table would be too large, sizes are rounded.
    """
    numbered = list(enumerate(stock.sources))
    for _, group in groupby(sorted(numbered, key=lambda pair: (pair[1].items[0].kind, len(pair[1].items))),
                            key=lambda pair: pair[1].items):  # fmt: skip
        members = list(group)
        singles = [patterns([source], stock.limits, needs, MOST_STATES) for _, source in members]
        work = sum(table.size + 20_000 for table in singles if table is not None)
        together = None
        if len(members) > 1 and None not in singles:
            sources: list[Source] = [source for _, source in members]
            together = patterns(sources, stock.limits, needs, MOST_STATES)
        if together is not None and together.size + 20_000 <= work:
            yield together, [number for number, _ in members]
        else:
            for table, (number, source) in zip(singles, members, strict=True):
                yield table or Coarse(source, stock.limits, needs), [number]


def _grids(stock: Stock, needs: Sequence[int]) -> Iterable[tuple[int, Node]]:
    """Layouts of one kind of piece in rows, as many as are needed at most."""
    for number, source in enumerate(stock.sources):
        for item in source.items:
            down = min(source.height // item.height, needs[item.kind])
            across = min(source.width // item.width, needs[item.kind] // down) if down else 0
            piece = (PIECE_CODE, item.width, item.height, item.kind)
            column = cut_node(Axis.DOWN, item.width, source.height, [piece] * down)
            yield number, cut_node(Axis.ACROSS, source.width, source.height, [column] * across)
