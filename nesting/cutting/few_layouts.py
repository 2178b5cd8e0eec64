"""From the same sheets the same pieces, by fewer and plainer layouts: which of many layouts, and how often each.

In: the uses of one paper, other layouts found on the way, the ways of work. Out: uses that cut exactly the same pieces
from exactly as many sheets of each kind. The fact of the trade: every layout is a job of its own, every size on it a
setting, and what a layout loses against the fullest one must come out of what the sheets have to spare. More layouts
are made to measure, for all that is to be cut and for what whole sheets leave of it. Whole-number programs choose among
them; then a few copies at a time are exchanged for others.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from nesting.cutting.exchange import Exchange, Offer
from nesting.cutting.layout_work import work_of
from nesting.cutting.made_to_measure import (
    SCALE,
    Candidate,
    MadeToMeasure,
    extra_work,
    least_work,
    rest_after,
    whole_sheets,
)
from nesting.cutting.passes import WaysOfWork
from nesting.cutting.trim import counts_of, without_surplus
from nesting.cutting.trim_left import with_trim
from nesting.packing.layout import PackingTask, Use
from nesting.packing.master import Column, Master, few_layouts, least_whole
from nesting.packing.plain import plain_layouts
from nesting.packing.solve import layouts_for
from nesting.packing.stock import Stock, stock
from nesting.packing.trees import free_node

ROUNDS = (40, 20), (100, 5)  # layouts to choose from, nodes of the search: few first, since a good choice is soon found
NODES = 200  # of a search for whole numbers near the least work in fractions
# how far from that these are sought, among so many layouts, with so many sheets of each below the fractions
NEAR = (0.02, 40, 1), (0.02, 80, None), (0.02, 120, 3), (0.1, 60, None), (0.1, 120, None)
MOST_FEWER = 2  # sheets of each layout that are left out of the fractions for a rest that can be planned
MOST_PLANNED = 4000  # pieces x kinds of such a rest: a larger one takes too long
MOST_CHOSEN = 120  # layouts in all
MOST_PLAIN = 80  # of these, strips from edge to edge
Counts = tuple[int, ...]


def with_fewer_layouts(
    task: PackingTask, uses: tuple[Use, ...], pool: tuple[Use, ...], ways: WaysOfWork
) -> tuple[Use, ...]:
    """The same pieces from the same sheets, by layouts that are less work as far as that can be estimated."""
    return _Choosing(task, uses, ways).uses(pool) if uses else uses


@dataclass(frozen=True, slots=True)
class _Limit:
    """What pieces and sheets are worth in whole numbers; a layout that loses more than `slack` cannot be used."""

    pieces: list[int]
    sheets: dict[int, int]
    slack: int


class _Choosing:
    """One choice: the sheets of each kind and the pieces stay as they are given."""

    def __init__(self, task: PackingTask, uses: tuple[Use, ...], ways: WaysOfWork) -> None:
        self._task, self._given, self._ways = task, uses, ways
        self._sheets: dict[int, int] = {}
        self._copies: dict[Use, int] = {}
        self._needs = [0] * len(task.pieces)
        for use in uses:
            layout = Use(use.sheet, use.root, 1)
            self._sheets[use.sheet] = self._sheets.get(use.sheet, 0) + use.copies
            self._copies[layout] = self._copies.get(layout, 0) + use.copies
            for kind, each in enumerate(self._counts(use)):
                self._needs[kind] += each * use.copies
        self._places = {sheet: place for place, sheet in enumerate(self._sheets)}
        self._leading = set(self._copies)  # layouts of which whole plans are known

    def uses(self, pool: Iterable[Use]) -> tuple[Use, ...]:
        """The best choice found, or the given one."""
        known = [*self._copies, *(Use(use.sheet, use.root, 1) for use in pool if use.sheet in self._sheets)]
        prices, sheet_prices = self._prices(list(dict.fromkeys(known)))
        slack = sum(taken * sheet_prices[sheet] for sheet, taken in self._sheets.items())
        slack = max(0, slack - _dot(self._needs, prices))
        ready = stock(self._task)
        for sheet in self._sheets:
            known += self._plain(ready, sheet, prices, sheet_prices[sheet] - slack)
        known += [trimmed for use in known if (trimmed := with_trim(self._task, use, self._ways)) is not None]
        limit = _Limit(prices, sheet_prices, slack)
        found = self._candidates(list(dict.fromkeys(known)), limit)
        found += self._made(ready, found, limit)
        found = self._ranked(found)[:MOST_CHOSEN]
        offers = [Offer(self._places[one.use.sheet], one.counts, one.work) for one in found]
        exchange = Exchange(offers, self._needs, self._ways.seconds_per_setting)
        start = exchange.better([one.copies for one in found])
        starts = list(dict.fromkeys((tuple(start), tuple(self._near_fractions(found, start)))))
        few, many = ROUNDS
        times = min((self._better(found, exchange, one, *few) for one in starts), key=exchange.work)
        times = self._better(found, exchange, times, *many)
        changed = [Use(one.use.sheet, one.use.root, copies) for one, copies in zip(found, times, strict=True) if copies]
        exact = without_surplus(self._task, changed, self._needs)
        return exact if all(any(self._counts(use)) for use in exact) else self._given

    def _better(
        self, found: list[Candidate], exchange: Exchange, times: Sequence[int], most: int, nodes: int
    ) -> list[int]:  # fmt: skip
        """Less work than these uses of the layouts, first by a choice among so many of them, then by exchanges."""
        some = _first(times, most)
        chosen = self._choose([found[place] for place in some], [times[place] for place in some], nodes)
        return exchange.better(_spread(some, chosen, len(found)))

    def _near_fractions(self, found: list[Candidate], times: list[int]) -> list[int]:
        """Less work than these uses, by whole numbers near the best fractions, where those are far less.

        Some ways to look find nothing for one batch or another, so there are several.
        """

        def work(uses: list[int]) -> int:
            return sum(one.work.each * copies for one, copies in zip(found, uses, strict=True))

        least = least_work(found, self._needs, self._sheets).solve().cost
        for away, most, below in NEAR:
            if work(times) <= least * (1 + away):
                break
            places = _first(times, most)
            some = [found[place] for place in places]
            taken = [0] * len(some)
            if below is not None:
                solved = least_work(some, self._needs, self._sheets).solve()
                taken = whole_sheets(solved.uses, below)
            whole = self._least_whole(some, taken, [times[place] for place in places])
            if self._suffice(some, whole):
                times = min(times, _spread(places, whole, len(found)), key=work)
        return times

    def _least_whole(self, found: list[Candidate], taken: list[int], start: list[int]) -> list[int]:
        """How often to use each layout, at least so often as taken, for the least work of the copies found.

        start: uses that are known to do. What it takes to use a layout at all is shared out to its copies.
        """
        rows = []
        for kind, need in enumerate(self._needs):
            counts = [one.counts[kind] for one in found]
            rows.append(
                ({place: float(count) for place, count in enumerate(counts)}, float(need - _dot(counts, taken)))
            )
        for sheet, number in self._sheets.items():
            some = [place for place, one in enumerate(found) if one.use.sheet == sheet]
            left = number - sum(taken[place] for place in some)
            rows += [(dict.fromkeys(some, sign), sign * left) for sign in (1.0, -1.0)]
        costs = [one.work.each + one.work.once // one.most for one in found]
        most = [max(one.most, copies) for one, copies in zip(found, start, strict=True)]
        begin = [] if any(taken) else start
        more = least_whole(costs, rows, most, nodes=NODES, start=begin)
        return [copies + added for copies, added in zip(taken, more, strict=True)] if more else taken

    def _suffice(self, some: list[Candidate], times: list[int]) -> bool:
        """Whether these are as many sheets as are to be cut, with all pieces."""
        short, left = rest_after(some, times, self._needs, self._sheets)
        return not any(short) and not any(left.values())

    def _choose(self, some: list[Candidate], start: list[int], nodes: int) -> list[int]:
        """How often to use each of these, at first so often; the solver's word for it is checked."""
        times = few_layouts(
            self._needs,
            list(self._sheets.values()),
            [Column(self._places[one.use.sheet], one.counts, free_node(0, 0)) for one in some],
            [max(one.most, copies) for one, copies in zip(some, start, strict=True)],
            [(one.work.once, one.work.each, one.work.sizes) for one in some],
            self._ways.seconds_per_setting,
            start,
            nodes,
        )
        return times if self._suffice(some, times) else start

    def _candidates(self, uses: Sequence[Use], limit: _Limit) -> list[Candidate]:
        """Those of the layouts that can be used."""
        found = []
        for use, work in zip(uses, work_of(self._task, uses, self._ways), strict=True):
            counts = self._counts(use)
            loss = limit.sheets[use.sheet] - _dot(counts, limit.pieces)
            copies = self._copies.get(use, 0)
            if loss <= limit.slack or copies:
                most = max(copies, self._most(counts, use.sheet, loss, limit.slack))
                found.append(Candidate(use, counts, most, work, copies))
        return found

    def _made(self, ready: Stock, found: list[Candidate], limit: _Limit) -> list[Candidate]:
        """More layouts, made to measure for all that is to be cut, and for what whole sheets of these leave of it."""
        made = MadeToMeasure(ready, self._ways, self._sheets, limit.pieces, lambda uses: self._candidates(uses, limit))
        more = made.for_all(found, self._needs)
        more += self._packed([*found, *more], limit)
        return [*more, *made.for_rests([*found, *more], self._needs)]

    def _packed(self, found: list[Candidate], limit: _Limit) -> list[Candidate]:
        """Layouts of quick plans for what whole sheets of the fractions leave over, less of them until a plan does."""
        uses, made = least_work(found, self._needs, self._sheets).solve().uses, dict[Use, None]()
        for fewer in range(MOST_FEWER + 1):
            whole = whole_sheets(uses, fewer)
            needs, sheets = rest_after(found, whole, self._needs, self._sheets)
            size = sum(needs) * sum(need > 0 for need in needs)
            if not size or size > MOST_PLANNED or not any(sheets.values()):
                break
            planned, others, enough = layouts_for(self._task, needs, sheets)
            made |= dict.fromkeys((*planned, *others))
            if enough:
                self._leading.update(one.use for one, copies in zip(found, whole, strict=True) if copies)
                self._leading.update(planned)
                break
        known = {one.use for one in found}
        return self._candidates([use for use in made if use not in known], limit)

    def _ranked(self, found: list[Candidate]) -> list[Candidate]:
        """Those of known plans first, then those that are the least work for what they give."""
        solved = least_work(found, self._needs, self._sheets).solve()

        def extra(one: Candidate) -> int:
            return round(extra_work(one, solved, self._places[one.use.sheet])) + one.work.once // one.most

        return sorted(found, key=lambda one: (one.use not in self._leading, extra(one)))

    def _counts(self, use: Use) -> Counts:
        return counts_of(use.root, len(self._task.pieces))

    def _prices(self, layouts: list[Use]) -> tuple[list[int], dict[int, int]]:
        """What the last piece of each kind, and the last sheet of each kind, is worth: whole numbers."""
        master = Master(self._needs, [[(1, None)] for _ in self._places], [4.0] * len(self._needs))
        for use in layouts:
            master.add(Column(self._places[use.sheet], self._counts(use), free_node(0, 0)))
        solved = master.solve()
        pieces = [round(price * SCALE) for price in solved.pieces]
        return pieces, {sheet: round(solved.sheets[place] * SCALE) for sheet, place in self._places.items()}

    def _plain(self, ready: Stock, sheet: int, prices: list[int], least: int) -> list[Use]:
        """Layouts of strips from edge to edge that the trimmer can cut."""
        for source in ready.sources:
            if sheet in source.kinds:
                made = plain_layouts(source, self._needs, prices, least)[:MOST_PLAIN]
                uses = [ready.use(sheet, node) for _, node in made]
                return [use for use in uses if use is not None]
        return []

    def _most(self, counts: Counts, sheet: int, loss: int, slack: int) -> int:
        """How often a layout can be used: not more than is needed, nor than what the sheets have to spare allows."""
        needed = [-(-need // count) for need, count in zip(self._needs, counts, strict=True) if count]
        most = min(max(needed, default=1), self._sheets[sheet])
        return max(1, min(most, slack // loss)) if loss > 0 else most


def _first(times: Sequence[int], most: int) -> list[int]:
    """So many layouts: those in use and the first of the others."""
    used = [place for place, copies in enumerate(times) if copies]
    others = [place for place, copies in enumerate(times) if not copies]
    return [*used, *others[: max(0, most - len(used))]]


def _spread(places: Sequence[int], copies: Sequence[int], count: int) -> list[int]:
    """The copies of layouts at some places of so many; none of the others."""
    times = [0] * count
    for place, number in zip(places, copies, strict=True):
        times[place] = number
    return times


def _dot(counts: Sequence[int], prices: Sequence[int]) -> int:
    return sum(count * price for count, price in zip(counts, prices, strict=True))
