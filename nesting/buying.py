"""The cheapest way to buy the sheets a plan needs: singly, in packs, in mixed packs and pads, from several shops.

In: how many sheets are wanted of which paper and size, offers, postage by shop. Out: a Purchase, with the proof that no
other costs less, or the least that any other must cost. The facts of the trade: a pack is often cheaper than the few
sheets that are wanted from it, a mixed pack brings sheets of several papers at once, and postage is paid once a shop.

Whole cents only. For each set of shops, the mixed packs are counted through by branch and bound; what they leave is
bought paper by paper, by a dynamic program over the number of sheets (the covering knapsack; Gilmore & Gomory 1966,
Operations Research 14, 1045-1074). The bound is a set of prices for sheets under which no offer is worth more than it
costs: then the sheets wanted, at these prices, cost no more than any purchase that holds them (weak duality).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import combinations
from math import ceil

from nesting.describe.papers import Sheet
from nesting.errors import Fault, NestingError, Place, Problem

MOST_LOOKED_AT = 300_000  # ways of taking mixed packs, after which the best so far is given without a proof
MOST_SHOPS = 8


@dataclass(frozen=True, slots=True)
class Ware:
    """Sheets of one paper and one size."""

    paper: str
    sheet: Sheet


@dataclass(frozen=True, slots=True)
class Offer:
    """A single sheet, a pack or a pad: what it holds, cents for one, in which shop, and how many can be had."""

    name: str
    cents: int
    holds: tuple[tuple[Ware, int], ...]
    shop: str = ""
    limit: int | None = None


@dataclass(frozen=True, slots=True)
class Bought:
    """So many of one offer."""

    offer: Offer
    count: int


@dataclass(frozen=True, slots=True)
class Purchase:
    """What to buy. cents holds the postage; `bound`: no purchase costs less. extra: sheets bought beyond need.

    Of the cheapest purchases it brings the fewest sheets, where that was proven too.
    """

    lines: tuple[Bought, ...]
    cents: int
    postage: int
    extra: tuple[tuple[Ware, int], ...]
    bound: int
    proven: bool

    def over(self, budget: int) -> int:
        """Cents by which even this purchase goes over a budget, 0 where it does not."""
        return max(0, self.cents - budget)


def cheapest(wanted: Mapping[Ware, int], offers: Sequence[Offer], postage: Mapping[str, int]) -> Purchase:
    """The cheapest purchase that holds all that is wanted; then the one with the fewest sheets.

    Raises NestingError with every ware that no number of offers can bring.
    """
    need = {ware: count for ware, count in wanted.items() if count > 0}
    useful = [_trimmed(offer, need) for offer in offers]
    kept = [i for i, offer in enumerate(useful) if offer.holds and offer.limit != 0]
    _refuse_what_cannot_be_had(need, [useful[i] for i in kept])
    shops = sorted({useful[i].shop for i in kept})
    if len(shops) > MOST_SHOPS:
        todo = f"Leave out those that are far dearer; at most {MOST_SHOPS} are compared."
        raise NestingError([Problem(Place(), f"There are {len(shops)} shops to choose from.", todo)])
    search = _Search(need, offers, [(i, useful[i]) for i in kept])
    for size in range(len(shops) + 1):
        for some in combinations(shops, size):
            search.from_shops(frozenset(some), sum(postage.get(shop, 0) for shop in some))
    return search.purchase(postage)


def _trimmed(offer: Offer, need: Mapping[Ware, int]) -> Offer:
    """The offer with only what is wanted of it."""
    holds: dict[Ware, int] = {}
    for ware, count in offer.holds:
        if ware in need and count > 0:
            holds[ware] = holds.get(ware, 0) + count
    return Offer(offer.name, offer.cents, tuple(holds.items()), offer.shop, offer.limit)


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


Times = tuple[tuple[int, int], ...]  # offer number, how many of it
Way = tuple[int, int, Times]  # cents, sheets in all, what is taken


@dataclass
class _Search:
    """The best way found so far over all sets of shops that were gone through."""

    need: Mapping[Ware, int]
    all_offers: Sequence[Offer]
    offers: list[tuple[int, Offer]]
    best: Way | None = None
    bound: int | None = None  # least cents over all sets of shops, where each was looked at to the end or bounded
    looked_at: int = 0
    tables: dict[tuple[Ware, tuple[int, ...]], list[Way | None]] = field(default_factory=dict)

    def from_shops(self, shops: frozenset[str], postage: int) -> None:
        """Look for a better way that buys only in these shops, all their postage paid."""
        there = [(i, offer) for i, offer in self.offers if offer.shop in shops]
        prices = _prices(self.need, [offer for _, offer in there])
        if prices is None:
            return  # something wanted is not sold in these shops
        least = postage + max((_worth(self.need, some) for some in prices), default=0)
        if self.best is not None and least > self.best[0]:
            return
        branch = _Branch(self, prices, there, postage)
        branch.go(0, dict(self.need), (postage, 0, ()))
        if branch.cut_short:
            self.bound = least if self.bound is None else min(self.bound, least)

    def better(self, way: Way) -> None:
        """Keep the cheaper, then the one with fewer sheets, then the offers named first."""
        if self.best is None or way < self.best:
            self.best = way

    def table(self, ware: Ware, singles: tuple[int, ...]) -> list[Way | None]:
        """The best way to buy at least n sheets of one ware by itself, for n up to its need."""
        key = (ware, singles)
        if key not in self.tables:
            self.tables[key] = _covering(ware, self.need[ware], [(i, self.all_offers[i]) for i in singles])
        return self.tables[key]

    def purchase(self, postage: Mapping[str, int]) -> Purchase:
        """The best way as a purchase, added up again from the offers themselves."""
        if self.best is None:
            raise NestingError([Problem(Place(), "The offers do not suffice together.", "Say where more are sold.")])
        lines = tuple(Bought(self.all_offers[i], count) for i, count in self.best[2])
        brought: dict[Ware, int] = {}
        for line in lines:
            for ware, count in line.offer.holds:
                brought[ware] = brought.get(ware, 0) + count * line.count
        posted = sum(postage.get(shop, 0) for shop in {line.offer.shop for line in lines})
        cents = posted + sum(line.offer.cents * line.count for line in lines)
        short = any(brought.get(ware, 0) < count for ware, count in self.need.items())
        if short or cents != self.best[0] or any(_too_many(line) for line in lines):
            raise Fault("A purchase does not add up.")
        extra = tuple((ware, n - self.need.get(ware, 0)) for ware, n in brought.items() if n > self.need.get(ware, 0))
        bound = cents if self.bound is None else min(self.bound, cents)
        return Purchase(lines, cents, posted, extra, bound, bound == cents)


def _too_many(line: Bought) -> bool:
    return line.offer.limit is not None and line.count > line.offer.limit


class _Branch:
    """One set of shops: how many of each mixed pack, one kind after the other; the rest paper by paper."""

    def __init__(
        self, search: _Search, prices: list[dict[Ware, Fraction]], there: list[tuple[int, Offer]], paid: int
    ) -> None:
        self.search = search
        self.prices = prices
        self.paid = paid
        self.mixed = [(i, offer) for i, offer in there if len(offer.holds) > 1]
        self.singles = {
            ware: tuple(i for i, offer in there if len(offer.holds) == 1 and offer.holds[0][0] == ware)
            for ware in search.need
        }
        self.cut_short = False

    def go(self, kind: int, rest: dict[Ware, int], taken: Way) -> None:
        """Choose how many of mixed pack number `kind` to take, and go on."""
        search = self.search
        if search.looked_at >= MOST_LOOKED_AT:
            self.cut_short = True
            if search.best is not None:
                return
        search.looked_at += 1
        least = taken[0] + max((_worth(rest, some) for some in self.prices), default=0)
        if search.best is not None and least > search.best[0]:
            return
        if kind == len(self.mixed):
            self._buy_the_rest(rest, taken)
            return
        number, offer = self.mixed[kind]
        most = max((-(-rest[ware] // count) for ware, count in offer.holds), default=0)
        most = most if offer.limit is None else min(most, offer.limit)
        sheets = sum(count for _, count in search.all_offers[number].holds)
        for times in range(most + 1):
            left = dict(rest)
            for ware, count in offer.holds:
                left[ware] = max(0, left[ware] - count * times)
            more = ((number, times),) if times else ()
            self.go(kind + 1, left, (taken[0] + offer.cents * times, taken[1] + sheets * times, taken[2] + more))

    def _buy_the_rest(self, rest: dict[Ware, int], taken: Way) -> None:
        cents, sheets, numbers = taken
        for ware, count in rest.items():
            way = self.search.table(ware, self.singles[ware])[count]
            if way is None:
                return
            cents, sheets, numbers = cents + way[0], sheets + way[1], numbers + way[2]
        self.search.better((cents, sheets, tuple(sorted(numbers))))


def _covering(ware: Ware, need: int, offers: Sequence[tuple[int, Offer]]) -> list[Way | None]:
    """For n = 0 .. need the cheapest way to have at least n sheets, then with the fewest; None where there is none."""
    table: list[Way | None] = [(0, 0, ()), *[None] * need]
    for number, offer in offers:
        count = sum(n for held, n in offer.holds if held == ware)
        one: Way = (offer.cents, sum(n for _, n in offer.holds), ((number, 1),))
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


def _prices(need: Mapping[Ware, int], offers: Sequence[Offer]) -> list[dict[Ware, Fraction]] | None:
    """Sets of prices under which no offer is worth more than it costs; None where some ware is not offered at all.

    Each set raises the price of one ware after the other as far as every offer allows, each time in another order.
    """
    found = []
    wares = list(need)
    for first in range(len(wares)):
        prices = dict.fromkeys(wares, Fraction(0))
        for ware in wares[first:] + wares[:first]:
            rooms = []
            for offer in offers:
                holds = dict(offer.holds)
                if ware in holds:
                    used = sum((prices[other] * count for other, count in holds.items()), Fraction(0))
                    rooms.append((offer.cents - used) / holds[ware])
            if not rooms:
                return None
            prices[ware] = min(rooms)
        found.append(prices)
    return found


def _worth(need: Mapping[Ware, int], prices: Mapping[Ware, Fraction]) -> int:
    """The least whole cents that buy these sheets, by one set of prices."""
    return ceil(sum((prices[ware] * count for ware, count in need.items()), Fraction(0)))
