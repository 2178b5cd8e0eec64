"""The cheapest purchase from which every paper can be cut in one of several ways: packs, mixed packs, shops, postage.

In: for each paper the counts of sheets that suffice, offers, postage by shop. Out: a Purchase, with the proof that no
other costs less, or the least that any other must cost. The facts of the trade: a pack is often cheaper than the few
sheets that are wanted from it, a mixed pack brings sheets of several papers at once, and postage is paid once a shop.

Whole numbers only. For each set of shops, the mixed packs are counted through by branch and bound; what they leave is
bought paper by paper, by a dynamic program over the number of sheets (the covering knapsack; Gilmore & Gomory 1966,
Operations Research 14, 1045-1074). The bound is a set of prices for sheets under which no offer is worth more than it
costs: then the sheets wanted, at these prices, cost no more than any purchase that holds them (weak duality).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import combinations

import numpy as np
import numpy.typing as npt

from nesting.buying.purchase import TENTHS, Bought, Purchase, brought_by
from nesting.describe.shops import Offer, Ware
from nesting.errors import Fault, NestingError, Place, Problem

MOST_LOOKED_AT = 60_000  # ways of taking mixed packs, after which the best so far is given without a proof
NEVER = 1 << 58  # tenths of cents that nobody has; a few of them add up without running over
FINE = 1 << 16  # parts of a tenth in which prices for sheets are reckoned

Numbers = npt.NDArray[np.int64]
Times = tuple[tuple[int, int], ...]  # offer number, how many of it
Way = tuple[int, int, Times]  # tenths of cents, sheets in all, what is taken


@dataclass(frozen=True, slots=True)
class Front:
    """Ways in which some papers can be cut: points[i][w] sheets of wares[w], and tenths of cents for work[i] besides.

    Any counts that suffice are at least as many as one of the points, at no less work; not so where `whole` is False.
    """

    wares: tuple[Ware, ...]
    points: tuple[tuple[int, ...], ...]
    work: tuple[int, ...]
    whole: bool = True

    def most(self, ware: Ware) -> int:
        """The most sheets of a ware that any point takes."""
        at = self.wares.index(ware)
        return max(point[at] for point in self.points)


@dataclass(frozen=True, slots=True)
class Found:
    """The best way: tenths of cents with all work, what is taken by offer number, the point chosen of each front.

    bound: no way costs less; equal to the cost where all ways were looked at or ruled out.
    """

    tenths: int
    times: Times
    points: tuple[int, ...]
    bound: int


def cheapest(wanted: Mapping[Ware, int], offers: Sequence[Offer], postage: Mapping[str, int]) -> Purchase:
    """The cheapest purchase that holds all that is wanted; then the one with the fewest sheets.

    Raises NestingError with every ware that no number of offers can bring.
    """
    need = {ware: count for ware, count in wanted.items() if count > 0}
    _refuse_what_cannot_be_had(need, offers)
    return cheapest_of([[{ware: count}] for ware, count in need.items()], offers, postage)[1]


def cheapest_of(
    groups: Sequence[Sequence[Mapping[Ware, int]]], offers: Sequence[Offer], postage: Mapping[str, int]
) -> tuple[tuple[int, ...], Purchase]:
    """The cheapest purchase that holds what one way of each group wants, and which way that is, by its number.

    No two groups want the same ware. Raises NestingError where the offers do not suffice for any ways.
    """
    found = search([_front(ways) for ways in groups], offers, postage)
    if found is None:
        raise NestingError([Problem(Place(), "The offers do not suffice together.", "Say where more are sold.")])
    need = dict(item for ways, way in zip(groups, found.points, strict=True) for item in ways[way].items())
    return found.points, purchase_of(found.times, offers, postage, need, -(-found.bound // TENTHS))


def _front(ways: Sequence[Mapping[Ware, int]]) -> Front:
    wares = tuple(dict.fromkeys(ware for way in ways for ware in way))
    return Front(wares, tuple(tuple(way.get(ware, 0) for ware in wares) for way in ways), (0,) * len(ways))


def _refuse_what_cannot_be_had(need: Mapping[Ware, int], offers: Sequence[Offer]) -> None:
    problems = []
    for ware, count in need.items():
        having = [(n, offer.limit) for offer in offers for held, n in offer.holds if held == ware]
        most = None if any(limit is None for _, limit in having) else sum(n * (limit or 0) for n, limit in having)
        if most is not None and most < count:
            what = f"{count} sheets are wanted, and {most or 'none'} can be bought."
            problems.append(Problem(Place(subject=ware.paper), what, "Say where more are sold, or take another paper."))
    if problems:
        raise NestingError(problems)


def purchase_of(
    times: Times, offers: Sequence[Offer], postage: Mapping[str, int], need: Mapping[Ware, int], bound: int
) -> Purchase:
    """Offers taken, as a purchase, added up from the offers themselves; raises Fault where it lacks what is needed."""
    lines = tuple(Bought(offers[number], count) for number, count in times)
    brought = brought_by(lines)
    posted = sum(postage.get(shop, 0) for shop in {line.offer.shop for line in lines})
    cents = posted + sum(line.offer.cents * line.count for line in lines)
    too_many = any(line.offer.limit is not None and line.count > line.offer.limit for line in lines)
    if too_many or bound > cents or any(brought.get(ware, 0) < count for ware, count in need.items()):
        raise Fault("A purchase does not add up.")
    extra = tuple((ware, n - need.get(ware, 0)) for ware, n in brought.items() if n > need.get(ware, 0))
    return Purchase(lines, cents, posted, extra, bound, bound == cents)


def search(fronts: Sequence[Front], offers: Sequence[Offer], postage: Mapping[str, int]) -> Found | None:
    """The cheapest way to buy one point of each front; None where the offers do not suffice for any."""
    if any(not front.points for front in fronts):
        return None
    most = {ware: front.most(ware) for front in fronts for ware in front.wares}
    numbers = {ware: number for number, ware in enumerate(most)}
    useful = [_useful(number, offer, most, numbers) for number, offer in enumerate(offers)]
    kept = [one for one in useful if one.holds and one.limit != 0]
    shops = sorted({one.shop for one in kept})
    wares = [tuple(numbers[ware] for ware in front.wares) for front in fronts]
    looking = _Search(fronts, wares, list(most.values()), offers, kept)
    for size in range(len(shops) + 1):
        for some in combinations(shops, size):
            looking.from_shops(frozenset(some), TENTHS * sum(postage.get(shop, 0) for shop in some))
    return looking.found(postage)


@dataclass(frozen=True, slots=True)
class _Useful:
    """An offer with only what may be wanted of it, wares by their numbers; `sheets`: all that it brings."""

    number: int
    cents: int
    holds: tuple[tuple[int, int], ...]
    shop: str
    limit: int | None
    sheets: int


def _useful(number: int, offer: Offer, most: Mapping[Ware, int], numbers: Mapping[Ware, int]) -> _Useful:
    holds: dict[int, int] = {}
    for ware, count in offer.holds:
        if most.get(ware, 0) and count > 0:
            holds[numbers[ware]] = holds.get(numbers[ware], 0) + count
    sheets = sum(count for _, count in offer.holds)
    return _Useful(number, offer.cents, tuple(holds.items()), offer.shop, offer.limit, sheets)


@dataclass
class _Table:
    """The best way to buy at least n sheets of one ware by itself, for n = 0, 1, ...: its cost, sheets and offers."""

    ways: list[Way | None]
    cost: Numbers
    sheets: Numbers


@dataclass
class _Search:
    """The best way found so far over all sets of shops that were gone through."""

    fronts: Sequence[Front]
    wares: list[tuple[int, ...]]  # of each front, by their numbers
    most: list[int]  # of each ware
    all_offers: Sequence[Offer]
    offers: list[_Useful]
    best: tuple[Way, tuple[int, ...]] | None = None
    bound: int | None = None  # least over the sets of shops that were not looked at to the end
    looked_at: int = 0
    tables: dict[tuple[int, tuple[int, ...]], _Table] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.grids: list[Numbers] = [np.array(front.points, dtype=np.int64) for front in self.fronts]
        self.works: list[Numbers] = [np.array(front.work, dtype=np.int64) for front in self.fronts]

    def from_shops(self, shops: frozenset[str], postage: int) -> None:
        """Look for a better way that buys only in these shops, all their postage paid."""
        there = [offer for offer in self.offers if offer.shop in shops]
        branch = _Branch(self, _prices(self.most, there), there)
        least = postage + branch.least({})
        if least >= NEVER or (self.best is not None and least > self.best[0][0]):
            return
        branch.go(0, {}, (postage, 0, ()))
        if branch.cut_short:
            self.bound = least if self.bound is None else min(self.bound, least)

    def table(self, ware: int, singles: tuple[_Useful, ...]) -> _Table:
        """The table of a ware when these offers of it alone can be had."""
        key = (ware, tuple(offer.number for offer in singles))
        if key not in self.tables:
            ways = _covering(self.most[ware], singles)
            cost = np.array([NEVER if way is None else way[0] for way in ways], dtype=np.int64)
            sheets = np.array([0 if way is None else way[1] for way in ways], dtype=np.int64)
            self.tables[key] = _Table(ways, cost, sheets)
        return self.tables[key]

    def found(self, postage: Mapping[str, int]) -> Found | None:
        """The best way, added up again from the offers themselves."""
        if self.best is None:
            return None
        (_, _, times), points = self.best
        lines = tuple(Bought(self.all_offers[i], count) for i, count in times)
        posted = sum(postage.get(shop, 0) for shop in {line.offer.shop for line in lines})
        work = sum(front.work[point] for front, point in zip(self.fronts, points, strict=True))
        tenths = TENTHS * (posted + sum(line.offer.cents * line.count for line in lines)) + work
        return Found(tenths, times, points, tenths if self.bound is None else min(self.bound, tenths))


class _Branch:
    """One set of shops: how many of each mixed pack, one kind after the other; the rest paper by paper."""

    def __init__(self, search: _Search, prices: list[list[int | None]], there: list[_Useful]) -> None:
        self.search = search
        table = np.array([[-1 if price is None else price for price in some] for some in prices], dtype=np.int64)
        table = table.reshape(len(prices), len(search.most))  # one row a set of prices, -1 where there is none
        self.prices = [np.maximum(table[:, list(wares)], 0).T for wares in search.wares]
        self.never = [(table[:, list(wares)] < 0).T for wares in search.wares]
        self.mixed = [offer for offer in there if len(offer.holds) > 1]
        self.singles = [
            tuple(offer for offer in there if len(offer.holds) == 1 and offer.holds[0][0] == ware)
            for ware in range(len(search.most))
        ]
        self.cut_short = False

    def least(self, given: Mapping[int, int]) -> int:
        """No purchase in these shops costs less, where some sheets are there already."""
        search, total = self.search, np.zeros(1, dtype=np.int64)
        for number, wares in enumerate(search.wares):
            there = np.array([given.get(ware, 0) for ware in wares], dtype=np.int64)
            lack = np.maximum(search.grids[number] - there, 0)
            worth = FINE * search.works[number][:, None] + lack @ self.prices[number]
            worth = np.where((lack > 0) @ self.never[number], NEVER, worth)
            total = np.minimum(total + worth.min(axis=0), NEVER)
        best = int(total.max())
        return NEVER if best >= NEVER else -(-best // FINE)

    def go(self, kind: int, given: dict[int, int], taken: Way) -> None:
        """Choose how many of mixed pack number `kind` to take, and go on."""
        search = self.search
        if search.looked_at >= MOST_LOOKED_AT:
            self.cut_short = True
            if search.best is not None:
                return
        search.looked_at += 1
        if search.best is not None and taken[0] + self.least(given) > search.best[0][0]:
            return
        if kind == len(self.mixed):
            self._buy_the_rest(given, taken)
            return
        offer = self.mixed[kind]
        most = max(-(-max(0, search.most[ware] - given.get(ware, 0)) // count) for ware, count in offer.holds)
        most = most if offer.limit is None else min(most, offer.limit)
        for times in range(most + 1):
            more = dict(given)
            for ware, count in offer.holds:
                more[ware] = more.get(ware, 0) + count * times
            names = ((offer.number, times),) if times else ()
            cost = taken[0] + TENTHS * offer.cents * times
            self.go(kind + 1, more, (cost, taken[1] + offer.sheets * times, taken[2] + names))

    def _buy_the_rest(self, given: Mapping[int, int], taken: Way) -> None:
        search = self.search
        cost, sheets, times = taken
        points = []
        for number in range(len(search.fronts)):
            point, dear, many, names = self._of_front(number, given)
            cost, sheets, times = cost + dear, sheets + many, times + names
            if cost >= NEVER or (search.best is not None and cost > search.best[0][0]):
                return
            points.append(point)
        way = (cost, sheets, tuple(sorted(times)))
        if search.best is None or way < search.best[0]:
            search.best = way, tuple(points)

    def _of_front(self, number: int, given: Mapping[int, int]) -> tuple[int, int, int, Times]:
        """The best point of a front beside what is given: its number, cost, sheets to buy, offers."""
        search = self.search
        cost = search.works[number].copy()
        sheets = np.zeros_like(cost)
        lacking = []
        for at, ware in enumerate(search.wares[number]):
            table = search.table(ware, self.singles[ware])
            lack = np.maximum(search.grids[number][:, at] - given.get(ware, 0), 0)
            cost += table.cost[lack]
            sheets += table.sheets[lack]
            lacking.append((table, lack))
        point = int(np.lexsort((sheets, cost))[0])
        if cost[point] >= NEVER:
            return point, NEVER, 0, ()
        ways = [table.ways[lack[point]] for table, lack in lacking]
        return point, int(cost[point]), int(sheets[point]), tuple(one for way in ways if way for one in way[2])


def _covering(need: int, offers: Sequence[_Useful]) -> list[Way | None]:
    """For n = 0 .. need the cheapest way to have at least n sheets of the one ware of these offers, then the fewest.

    None where there is none.
    """
    table: list[Way | None] = [(0, 0, ()), *[None] * need]
    for offer in offers:
        ((_, count),) = offer.holds
        one: Way = (TENTHS * offer.cents, offer.sheets, ((offer.number, 1),))
        enough = -(-need // count)
        if offer.limit is None or offer.limit >= enough:
            for n in range(1, need + 1):
                table[n] = _better(table[n], table[max(0, n - count)], one)
        else:
            for _ in range(offer.limit):  # with each round one more of it may be taken
                table = [table[0], *(_better(table[n], table[max(0, n - count)], one) for n in range(1, need + 1))]
    return table


def _better(known: Way | None, rest: Way | None, one: Way) -> Way | None:
    """The better of a way known and another one with one more of an offer, the last that was looked at."""
    if rest is None:
        return known
    ((number, _),) = one[2]
    again = bool(rest[2]) and rest[2][-1][0] == number
    times = (*rest[2][:-1], (number, rest[2][-1][1] + 1)) if again else (*rest[2], (number, 1))
    way = (rest[0] + one[0], rest[1] + one[1], times)
    return way if known is None or way < known else known


def _prices(most: Sequence[int], offers: Sequence[_Useful]) -> list[list[int | None]]:
    """Sets of prices under which no offer is worth more than it costs, in fine parts of tenths, rounded down.

    Each set raises the price of one ware after the other as far as every offer allows, each time in another order.
    What is not offered at all has no price.
    """
    found = []
    wares = [ware for ware, count in enumerate(most) if count]
    having = [[(offer, count) for offer in offers for held, count in offer.holds if held == ware]
              for ware in range(len(most))]  # fmt: skip
    for first in range(max(1, len(wares))):
        prices: list[int | None] = [0] * len(most)
        for ware in wares[first:] + wares[:first]:
            rooms = []
            for offer, count in having[ware]:
                used = sum((prices[other] or 0) * many for other, many in offer.holds)
                rooms.append((FINE * TENTHS * offer.cents - used) // count)
            prices[ware] = min(rooms, default=None)
        found.append(prices)
    return found
