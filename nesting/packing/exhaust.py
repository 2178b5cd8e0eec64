"""Every way to cut sheets that a plan of a given cost could use at all, and whether any of them adds up to the needs.

In: a stock, a column generation with its tables filled, a cost. Out: a plan of that cost or less, or that there is
none, or that finding out would take too long. The facts of the trade: what all sheets of a plan lose against their
best is known beforehand from its cost, so small batches leave few ways, and large ones few where their cost is just
met; and whoever needs two of a piece cannot fill a sheet with ten, which prices alone do not see.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from enum import Enum
from functools import lru_cache
from operator import mul

import numpy as np

from nesting.packing.columns import Columns
from nesting.packing.forest import PIECE_CODE
from nesting.packing.layout import Axis, Use
from nesting.packing.patterns import Patterns, State
from nesting.packing.points import Whole
from nesting.packing.remainders import none_adds_up
from nesting.packing.rounding import Layout, Sheets, settled
from nesting.packing.stock import Item, Source, Stock, trims
from nesting.packing.tallies import Tallies
from nesting.packing.trees import Node, corner_node, cut_node

LOOK = 10_000  # steps between two looks whether to stop
MOST_SHEETS = 300  # of a plan that is put together sheet by sheet
MOST_KNOWN = 1 << 17  # sets whose worth is remembered
REMAINDERS = 10  # this part of all steps goes into looking at remainders
Way = tuple[Axis, tuple[tuple[State, int], ...]] | Item  # cut into parts that give these sets, or trim to a piece


class Verdict(Enum):
    """What is known of plans of a cost."""

    FOUND = "there is one"
    NONE = "there is none"
    UNKNOWN = "too long to tell"


class TooLong(Exception):
    """More steps than were allowed."""


class Steps:
    """How many joins and trials are left; now and then it is asked whether to stop."""

    def __init__(self, left: int, stop: Callable[[], bool] | None = None) -> None:
        self.left, self.stop = left, stop
        self._look = left

    def lend(self, some: int) -> Steps:
        """At most so many of those left, to be spent on one thing; `back` takes in what it leaves."""
        given = max(0, min(some, self.left))
        self.left -= given
        return Steps(given, self.stop)

    def back(self, lent: Steps) -> None:
        """Take in what is left of what was lent."""
        self.left += max(0, lent.left)

    def take(self, some: int = 1) -> None:
        """Count some; raises TooLong when there are none left, or when told to stop."""
        self.left -= some
        if self.left < self._look:
            self._look = max(0, self.left - LOOK)
            if self.left < 0 or (self.stop is not None and self.stop()):
                raise TooLong


@dataclass(frozen=True, slots=True)
class Tier:
    """The sheets of one source at one cost: what one counts for in prices, its field among the counts if limited."""

    source: int
    price: int
    gain: int  # what one that is left untouched would have given beyond its cost
    one: int  # 1 in the field that counts those left, 0 where there are as many as wanted
    field: int


@dataclass(frozen=True, slots=True)
class Choice:
    """A set of pieces, none above its need, from one sheet of a tier; what is lost by it."""

    tier: Tier
    counts: int
    worth: int
    loss: int


@dataclass(frozen=True, slots=True)
class Tried:
    """What trying gave: the verdict, a plan if there is one, and all layouts such a plan could use if they are few."""

    verdict: Verdict
    uses: tuple[Use, ...] = ()
    layouts: tuple[Layout, ...] = ()


Begun = dict[tuple[int, int, tuple[int, ...]], "Ways"]  # by source, what may be lost, and prices


def exhaust(ready: Stock, columns: Columns, cost: int, left: Steps, begun: Begun | None = None) -> Tried:
    """Whether a plan costs at most `cost`, and one if so; for any number of turns only.

    begun: ways of earlier trials with the same columns, which are not found twice.
    """
    begun = {} if begun is None else begun
    slack, scale = columns.slack(cost), columns.worth_of_cost()
    if ready.limits.turns is not None or slack is None or scale is None or slack < 0:
        return Tried(Verdict.UNKNOWN)
    most = sum(columns.needs)
    tiers = [(source, *tier) for source, one in enumerate(ready.sources) for tier in ready.tiers(one)]
    limits = [0 if limit is None else min(limit, most) for _, _, limit in tiers]
    fields = Tallies([*columns.needs, *limits])
    ways: dict[int, Ways] = {}
    choices: list[Choice] = []
    try:
        for number, (source, price, limit) in enumerate(tiers):
            table = columns.table_of(source)
            worth = table.worth(ready.sources[source])
            place = len(columns.needs) + number if limit is not None else None
            gain = max(0, worth - price * scale)
            tier = Tier(source, price * scale + gain, gain, *fields.one_and_field(place))
            slack -= gain * max(0, (limit or 0) - limits[number])  # more sheets than pieces
            if source not in ways:  # the cheapest tier comes first
                assert isinstance(table, Patterns)
                loss = slack - (tier.price - worth)
                key = source, loss, tuple(table.prices)
                ways[source] = begun.setdefault(key, Ways(table, ready.sources[source], loss, fields))
                ways[source].find(left)
            choices += [Choice(tier, *found, tier.price - found[1]) for found in ways[source].sets]
    except TooLong:
        return Tried(Verdict.UNKNOWN)
    prices = columns.whole_prices()
    if _needs_between(choices, fields, prices, columns.needs, slack, left):
        return Tried(Verdict.NONE)
    try:
        if cost > MOST_SHEETS * max(price for _, price, _ in tiers):
            raise TooLong
        chosen = _Cover(choices, prices, fields, left).search(slack)
    except TooLong:
        return Tried(Verdict.UNKNOWN, layouts=_layouts(ready, ways, fields, len(prices)))
    if chosen is None:
        return Tried(Verdict.NONE)
    sheets = [Sheets(one.tier.source, ways[one.tier.source].node(one.counts), 1) for one in chosen]
    return Tried(Verdict.FOUND, settled(ready, sheets))


def _needs_between(
    choices: Sequence[Choice], fields: Tallies, prices: Sequence[int], needs: Sequence[int], slack: int, left: Steps
) -> bool:
    """Whether remainders alone show that no numbers of sheets add up to the needs."""
    some = left.lend(left.left // REMAINDERS)
    try:
        sets = [(fields.unpack(choice.counts)[: len(needs)], choice.loss) for choice in choices]
        return none_adds_up(sets, prices, needs, slack, some.take)
    except TooLong:
        return False
    finally:
        left.back(some)


def _layouts(ready: Stock, ways: dict[int, Ways], fields: Tallies, kinds: int) -> tuple[Layout, ...]:
    """All ways as layouts, as they are chosen from."""
    return tuple(
        Layout(ready.sources[source].kinds[0], some.node(counts), fields.unpack(counts)[:kinds])
        for source, some in ways.items() for counts, _ in some.sets
    )  # fmt: skip


def _worths(fields: Tallies, prices: Sequence[int]) -> Callable[[int], int]:
    """What a set of pieces is worth at these prices; the sets that were last asked for are remembered."""

    @lru_cache(maxsize=MOST_KNOWN)
    def worth(counts: int) -> int:
        return sum(map(mul, fields.unpack(counts), prices))

    return worth


class Ways:
    """The largest sets of pieces from one source that lose at most `loss` against its best."""

    def __init__(self, table: Patterns, source: Source, loss: int, fields: Tallies) -> None:
        self.table, self.loss, self.fields = table, loss, fields
        self.values = table.tables[0][Axis.ACROSS]
        self.prices = [int(price) for price in table.prices]
        self.snug = not table.limits.held  # a part that can be cut can be trimmed first, and still be held
        self.root = table.xs.index(source.width), table.ys.index(source.height)
        self._worth = _worths(fields, self.prices)
        self.known: dict[State, dict[int, Way]] = {}
        self.worths: dict[State, list[tuple[int, int]]] = {}  # the sets with what each is worth, falling
        self.allowed: dict[State, int] = {}  # the parts that matter, and how much each may lose

    @property
    def sets(self) -> list[tuple[int, int]]:
        """All of them with what each is worth, none contained in another; after `find`."""
        return self.worths.get(self.root, [])

    def find(self, left: Steps) -> None:
        """Find them, from where it was left; raises TooLong where that takes more steps than are left."""
        if self.loss < 0:
            return
        self.allowed = self.allowed or self._allowed(left)
        for at in sorted(self.allowed.keys() - self.worths.keys()):
            found = self._found(at, int(self.values[at]) - self.allowed[at], left)
            kept = self.fields.largest(found, left.take)
            self.known[at] = {counts: found[counts][1] for counts in kept}
            self.worths[at] = sorted(((counts, found[counts][0]) for counts in kept), key=lambda pair: -pair[1])

    def node(self, counts: int) -> Node:
        """A cut tree of the source that gives such a set, perhaps with pieces beyond the needs."""
        return self._node(self.root, counts)

    def _allowed(self, left: Steps) -> dict[State, int]:
        """The parts that matter, and how much each may lose."""
        allowed = np.full(self.values.shape, -1, dtype=np.int64)
        allowed[self.root] = min(self.loss, int(self.values[self.root]))  # nobody loses more than all
        for i in range(self.root[0], -1, -1):
            if (allowed[i] >= 0).any():
                self._allow_down(allowed[i], i, left)
                self._allow_across(allowed, i, left)
        parts = np.argwhere(allowed >= 0).tolist()
        return {(i, j): int(allowed[i, j]) for i, j in parts}

    def _allow_down(self, row: Whole, i: int, left: Steps) -> None:
        """Hand on what parts i may lose to what cuts down make of them, the highest first."""
        for j in range(self.root[1], -1, -1):
            spare = int(row[j]) - int(self.values[i, j])
            if row[j] < 0:
                continue
            first, second, worth = self.table.halves(Axis.DOWN, i, j, -spare, snug=self.snug)
            np.maximum.at(row, first, worth + spare)
            np.maximum.at(row, second, worth + spare)
            left.take(len(first))
            if self.table.trimmed(Axis.DOWN, i, j) is not None:
                row[j - 1] = max(row[j - 1], spare + int(self.values[i, j - 1]))

    def _allow_across(self, allowed: Whole, i: int, left: Steps) -> None:
        """Hand on what all parts i may lose to what cuts across make of them."""
        first, second = self.table.widths(i, snug=self.snug)
        able = (allowed[i] >= 0) & self.table.can_across[i]
        spare = allowed[i] - self.values[i]
        rest = np.where(able, spare + self.values[first] + self.values[second], -1)
        left.take(int(np.count_nonzero(rest >= 0)))
        for one, other, loss in zip(first.tolist(), second.tolist(), rest, strict=True):
            np.maximum(allowed[one], loss, out=allowed[one])
            np.maximum(allowed[other], loss, out=allowed[other])
        if i:
            np.maximum(allowed[i - 1], np.where(able, spare + self.values[i - 1], -1), out=allowed[i - 1])

    def _cuts(self, at: State, least: int) -> Iterator[tuple[Axis, tuple[State, ...]]]:
        for axis in Axis:
            smaller = self.table.trimmed(axis, *at)
            if smaller is not None and self.values[smaller] >= least:
                yield axis, (smaller,)
            yield from ((axis, pair) for pair in self.table.pairs(axis, *at, least, snug=self.snug))

    def _found(self, at: State, least: int, left: Steps) -> dict[int, tuple[int, Way]]:
        """Sets that one part gives and that are worth `least` at least, with their worth and how they come about."""
        fields = self.fields
        guards, most, shift = fields.guards, fields.most, fields.width - 1
        full = most + guards
        found = self._singles(at, least)
        for axis, parts in self._cuts(at, least):
            first = self.worths[parts[0]]
            if len(parts) == 1:
                for one, value in first:
                    if value >= least:
                        found.setdefault(one, (value, (axis, ((parts[0], one),))))
                continue
            second, joins = self.worths[parts[1]], len(first)
            for one, value in first:
                for two, more in second:
                    total = value + more
                    if total < least:
                        break
                    joins += 1
                    both = one + two
                    over = guards & ~(full - both)
                    if over:  # some kinds are above their need
                        above = over - (over >> shift)
                        both = (both & ~above) | (most & above)
                        if both in found:
                            continue
                        total = self._worth(both)
                    if both not in found and total >= least:
                        found[both] = total, (axis, ((parts[0], one), (parts[1], two)))
            left.take(joins)
        return found

    def _singles(self, at: State, least: int) -> dict[int, tuple[int, Way]]:
        width, height = int(self.table.xs.sizes[at[0]]), int(self.table.ys.sizes[at[1]])
        found: dict[int, tuple[int, Way]] = {0: (0, (Axis.ACROSS, ()))} if least <= 0 else {}
        for item in self.table.items:
            price = self.prices[item.kind]
            if price >= least and item.width <= width and item.height <= height and self._axis(item, width, height):
                found.setdefault(self.fields.one_and_field(item.kind)[0], (price, item))
        return found

    def _axis(self, item: Item, width: int, height: int) -> Axis | None:
        return next((axis for axis in Axis if trims(item, width, height, axis, 99, self.table.limits)), None)

    def _node(self, at: State, counts: int) -> Node:
        width, height = int(self.table.xs.sizes[at[0]]), int(self.table.ys.sizes[at[1]])
        way = self.known[at][counts]
        if not isinstance(way, Item):
            return cut_node(way[0], width, height, [self._node(*part) for part in way[1]])
        axis = self._axis(way, width, height) or Axis.ACROSS
        return corner_node(axis, width, height, (PIECE_CODE, way.width, way.height, way.kind))


class _Cover:
    """Depth first, always a sheet for the piece kind that the fewest sets hold; what was tried is remembered."""

    def __init__(self, choices: Sequence[Choice], prices: Sequence[int], fields: Tallies, left: Steps) -> None:
        self.fields, self.left, self._worth = fields, left, _worths(fields, prices)
        kinds = range(len(prices))
        self.pieces = sum(fields.one_and_field(kind)[1] for kind in kinds)
        choices = sorted(choices, key=lambda choice: (choice.loss, choice.counts))
        self.masks = [fields.one_and_field(kind)[1] for kind in kinds]
        self.holding = [[choice for choice in choices if choice.counts & mask] for mask in self.masks]
        self.order = sorted(kinds, key=lambda kind: (len(self.holding[kind]), -prices[kind], kind))
        self.limited = {choice.tier for choice in choices if choice.tier.gain}
        self.failed: dict[int, int] = {}

    def search(self, slack: int) -> list[Choice] | None:
        """Sheets that give all needs and lose no more than `slack` together."""
        chosen: list[Choice] = []
        start = self.fields.most
        row: list[tuple[int, int, Iterator[tuple[Choice, int, int]]]] = [(start, slack, self._next(start, slack))]
        while row:
            rest, loss, others = row[-1]
            if not rest & self.pieces and self._untouched(rest) <= loss:
                return chosen
            step = next(others, None)
            if step is None:
                self.failed[rest] = loss
                row.pop()
                del chosen[-1:]
                continue
            choice, rest, loss = step
            chosen.append(choice)
            row.append((rest, loss, self._next(rest, loss)))
        return None

    def _untouched(self, rest: int) -> int:
        """What is lost by the limited sheets that are left."""
        return sum((rest & tier.field) // tier.one * tier.gain for tier in self.limited)

    def _next(self, rest: int, slack: int) -> Iterator[tuple[Choice, int, int]]:
        """The sheets that can come next, the least lossy first; what remains after each, and the slack then."""
        kind = next((kind for kind in self.order if rest & self.masks[kind]), None)
        if kind is None or self.failed.get(rest, -1) >= slack:
            return
        tried: dict[int, tuple[int, int, Choice]] = {}
        guards, looked = self.fields.guards, 1
        for choice in self.holding[kind]:
            if choice.loss > slack:
                break
            looked += 1
            if choice.tier.one and not rest & choice.tier.field:
                continue
            given, loss = choice.counts, choice.loss
            if ((rest | guards) - given) & guards != guards:
                given = self.fields.least(given, rest)
                loss += choice.worth - self._worth(given)
            if loss <= slack:
                after = rest - given - choice.tier.one
                if after not in tried or tried[after][0] > loss:
                    tried[after] = loss, after, choice
        self.left.take(looked)
        for loss, after, choice in sorted(tried.values(), key=lambda entry: entry[:2]):
            if self.failed.get(after, -1) < slack - loss:
                yield choice, after, slack - loss
