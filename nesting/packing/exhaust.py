"""Every way to cut sheets that a plan of a given cost could use at all, and whether any of them adds up to the needs.

In: a stock, a column generation with its tables filled, a cost. Out: a plan of that cost or less, or that there is
none, or that finding out would take too long. The facts of the trade: what all sheets of a plan lose against their
best is known beforehand from its cost, so small batches leave few ways; and whoever needs two of a piece cannot fill a
sheet with ten, which prices alone do not see.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from enum import Enum
from operator import add, mul

from nesting.packing.columns import Columns
from nesting.packing.forest import PIECE_CODE
from nesting.packing.layout import Axis, Use
from nesting.packing.patterns import Patterns, State
from nesting.packing.rounding import Sheets, settled
from nesting.packing.stock import Item, Source, Stock, trims
from nesting.packing.trees import Node, cut_node

Counts = tuple[int, ...]
Way = tuple[Axis, tuple[tuple[State, Counts], ...]] | Item  # cut into parts that give these sets, or trim to a piece


class Verdict(Enum):
    """What is known of plans of a cost."""

    FOUND = "there is one"
    NONE = "there is none"
    UNKNOWN = "too long to tell"


class TooLong(Exception):
    """More steps than were allowed."""


@dataclass(slots=True)
class Steps:
    """How many joins and trials are left."""

    left: int

    def take(self, some: int = 1) -> None:
        """Count some; raises TooLong when there are none left."""
        self.left -= some
        if self.left < 0:
            raise TooLong


@dataclass(frozen=True, slots=True)
class Choice:
    """A set of pieces, none above its need, from one sheet of a source; what the sheet costs, in prices."""

    source: int
    counts: Counts
    cost: int


def exhaust(ready: Stock, columns: Columns, cost: int, steps: int) -> tuple[Verdict, tuple[Use, ...]]:
    """Whether a plan costs at most `cost`, and one if so; for sheets without limits of number and of turns only."""
    slack, scale = columns.slack(cost), columns.worth_of_cost()
    tiers = [ready.tiers(source)[0] for source in ready.sources]
    limited = ready.limits.turns is not None or any(limit is not None for _, limit in tiers)
    if limited or slack is None or scale is None or slack < 0:
        return Verdict.UNKNOWN, ()
    ways: dict[int, Ways] = {}
    choices: list[Choice] = []
    left = Steps(steps)
    try:
        for table, members in columns.tables:
            assert isinstance(table, Patterns)
            for member in members:
                price = tiers[member][0] * scale
                lost = price - table.worth(ready.sources[member])
                ways[member] = Ways(table, ready.sources[member], slack - lost, columns.needs)
                choices += [Choice(member, counts, price) for counts in ways[member].sets(left)]
        chosen = _Cover(choices, columns.whole_prices(), left).search(columns.needs, slack)
    except TooLong:
        return Verdict.UNKNOWN, ()
    if chosen is None:
        return Verdict.NONE, ()
    sheets = [Sheets(one.source, ways[one.source].node(one.counts), 1) for one in chosen]
    return Verdict.FOUND, settled(ready, sheets)


class Ways:
    """The largest sets of pieces from one source that lose at most `loss` against its best."""

    def __init__(self, table: Patterns, source: Source, loss: int, needs: Counts) -> None:
        self.table, self.loss, self.needs = table, loss, needs
        self.values = table.tables[0][Axis.ACROSS]
        self.prices = [int(price) for price in table.prices]
        self.root = table.xs.index(source.width), table.ys.index(source.height)
        self.known: dict[State, dict[Counts, Way]] = {}
        self.worths: dict[State, dict[Counts, int]] = {}  # what each set is worth, falling

    def sets(self, left: Steps) -> list[Counts]:
        """All of them, none contained in another."""
        if self.loss < 0:
            return []
        allowed = self._allowed(left)
        for at in sorted(allowed):
            least = int(self.values[at]) - allowed[at]
            known: dict[Counts, Way] = {}
            for counts, way in self._ways(at, least, left):
                if counts not in known and sum(map(mul, counts, self.prices)) >= least:
                    known[counts] = way
            self.known[at] = {counts: known[counts] for counts in largest(known, left)}
            worths = {counts: sum(map(mul, counts, self.prices)) for counts in self.known[at]}
            self.worths[at] = dict(sorted(worths.items(), key=lambda entry: -entry[1]))
        return list(self.known[self.root])

    def node(self, counts: Counts) -> Node:
        """A cut tree of the source that gives such a set, perhaps with pieces beyond the needs."""
        return self._node(self.root, counts)

    def _allowed(self, left: Steps) -> dict[State, int]:
        """The parts that matter, and how much each may lose."""
        allowed = {self.root: self.loss}
        for i in range(self.root[0], -1, -1):
            for j in range(self.root[1], -1, -1):
                loss = allowed.get((i, j))
                if loss is None:
                    continue
                for _, parts in self._cuts((i, j), int(self.values[i, j]) - loss):
                    left.take()
                    rest = loss - int(self.values[i, j]) + sum(int(self.values[part]) for part in parts)
                    for part in parts:
                        allowed[part] = max(rest, allowed.get(part, 0))
        return allowed

    def _cuts(self, at: State, least: int) -> Iterator[tuple[Axis, tuple[State, ...]]]:
        for axis in Axis:
            smaller = self.table.trimmed(axis, *at)
            if smaller is not None and self.values[smaller] >= least:
                yield axis, (smaller,)
            snug = not self.table.limits.held  # a part that can be cut can be trimmed first, and still be held
            yield from ((axis, pair) for pair in self.table.pairs(axis, *at, least, snug=snug))

    def _ways(self, at: State, least: int, left: Steps) -> Iterator[tuple[Counts, Way]]:
        needs = self.needs
        width, height = int(self.table.xs.sizes[at[0]]), int(self.table.ys.sizes[at[1]])
        if least <= 0:
            yield (0,) * len(needs), (Axis.ACROSS, ())
        for item in self.table.items:
            if item.width <= width and item.height <= height and self._axis(item, width, height) is not None:
                yield tuple(int(kind == item.kind) for kind in range(len(needs))), item
        for axis, parts in self._cuts(at, least):
            sets = [self.worths[part] for part in parts]
            if len(sets) == 1:
                yield from ((counts, (axis, ((parts[0], counts),))) for counts in sets[0])
                continue
            for one, value in sets[0].items():
                left.take()
                for two, more in sets[1].items():
                    if value + more < least:
                        break
                    left.take()
                    yield tuple(map(min, needs, map(add, one, two))), (axis, ((parts[0], one), (parts[1], two)))

    def _axis(self, item: Item, width: int, height: int) -> Axis | None:
        return next((axis for axis in Axis if trims(item, width, height, axis, 99, self.table.limits)), None)

    def _node(self, at: State, counts: Counts) -> Node:
        width, height = int(self.table.xs.sizes[at[0]]), int(self.table.ys.sizes[at[1]])
        way = self.known[at][counts]
        if not isinstance(way, Item):
            return cut_node(way[0], width, height, [self._node(*part) for part in way[1]])
        axis = self._axis(way, width, height) or Axis.ACROSS
        inner = (way.width, height) if axis is Axis.ACROSS else (width, way.height)
        piece = (PIECE_CODE, way.width, way.height, way.kind)
        return cut_node(axis, width, height, [cut_node(axis.other, *inner, [piece])])


def largest(sets: Iterable[Counts], left: Steps) -> list[Counts]:
    """The sets that are contained in no other, those with most pieces first."""
    kept: list[Counts] = []
    for counts in sorted(sets, key=lambda some: (-sum(some), some)):
        left.take(1 + len(kept) // 8)
        if not any(all(map(int.__ge__, other, counts)) for other in kept):
            kept.append(counts)
    return kept


class _Cover:
    """Depth first, always a sheet for the piece kind that the fewest sets hold; what was tried is remembered."""

    def __init__(self, choices: Sequence[Choice], prices: Sequence[int], left: Steps) -> None:
        self.prices, self.left = prices, left
        kinds = range(len(prices))
        self.holding = [[choice for choice in choices if choice.counts[kind]] for kind in kinds]
        self.order = sorted(kinds, key=lambda kind: (len(self.holding[kind]), -prices[kind], kind))
        self.failed: dict[Counts, int] = {}

    def search(self, needs: Counts, slack: int) -> list[Choice] | None:
        """Sheets that give all needs and lose no more than `slack` together."""
        chosen: list[Choice] = []
        row: list[tuple[Counts, int, Iterator[tuple[Choice, Counts, int]]]] = [(needs, slack, self._next(needs, slack))]
        while row:
            rest, loss, others = row[-1]
            if not any(rest):
                return chosen
            step = next(others, None)
            if step is None:
                self.failed[rest] = loss
                row.pop()
                chosen = chosen[:-1]
                continue
            choice, rest, loss = step
            chosen = [*chosen, choice]
            row.append((rest, loss, self._next(rest, loss)))
        return None

    def _next(self, rest: Counts, slack: int) -> Iterator[tuple[Choice, Counts, int]]:
        """The sheets that can come next, the least lossy first; what remains after each, and the slack then."""
        kind = next((kind for kind in self.order if rest[kind]), None)
        if kind is None or self.failed.get(rest, -1) >= slack:
            return
        tried: dict[tuple[int, Counts], tuple[int, Choice]] = {}
        for choice in self.holding[kind]:
            self.left.take()
            given = tuple(map(min, rest, choice.counts))
            loss = choice.cost - sum(map(mul, given, self.prices))
            if loss <= slack:
                tried.setdefault((choice.cost, given), (loss, choice))
        for (_, given), (loss, choice) in sorted(tried.items(), key=lambda entry: (entry[1][0], entry[0])):
            after = tuple(map(int.__sub__, rest, given))
            if self.failed.get(after, -1) < slack - loss:
                yield choice, after, slack - loss
