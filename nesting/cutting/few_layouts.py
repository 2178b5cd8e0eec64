"""From the same sheets the same pieces, by fewer and plainer layouts: which of many layouts, and how often each.

In: the uses of one paper, other layouts found on the way, the ways of work. Out: uses that cut exactly the same pieces
from exactly as many sheets of each kind. The fact of the trade: every layout is a job of its own, every size on it a
setting, and what a layout loses against the fullest one must come out of what the sheets have to spare. More layouts
are made to measure, for all that is to be cut and for what whole sheets leave of it, by two estimates of their work,
since now one and now the other leads further, and what both make together further still. When it is chosen how often
each is used, half of the sheets are freed and filled anew, until that is in vain some times in a row (large
neighbourhood search: Shaw 1998, Principles and Practice of Constraint Programming, 417-431). At last single parts are
moved to where paper is to spare.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from functools import partial
from itertools import cycle
from random import Random

from nesting.cutting.how_often import HowOften
from nesting.cutting.layout_work import through_stack
from nesting.cutting.made_to_measure import (
    REST_CELLS,
    SCALE,
    Candidate,
    MadeToMeasure,
    extra_work,
    least_work,
    rest_after,
    whole_sheets,
)
from nesting.cutting.moved import moved
from nesting.cutting.passes import WaysOfWork
from nesting.cutting.together import Workbook
from nesting.cutting.trim import without_surplus
from nesting.cutting.trim_left import with_trim
from nesting.packing.layout import PackingTask, Use, leaves
from nesting.packing.master import Column, Master
from nesting.packing.plain import plain_layouts
from nesting.packing.solve import Effort, layouts_for
from nesting.packing.stock import Stock, stock
from nesting.packing.trees import counts_of, free_node

# how often in a row sheets are freed and filled anew in vain before that is given up; work of making layouts for each
PATIENCE, FREED_CELLS = {Effort.QUICK: 0, Effort.NORMAL: 2, Effort.THOROUGH: 10}, 500_000
MOVES = {Effort.QUICK: 500, Effort.NORMAL: 6000, Effort.THOROUGH: 20_000}  # of single parts that are tried
MOVED_OF = 100  # parts of a layout up to which that many are tried; of more parts fewer, since each takes longer
MOST_FEWER = 2  # sheets of each layout that are left out of the fractions for a rest that can be planned
MOST_PLANNED = 1000  # pieces x kinds of such a rest: a larger one takes too long
MOST_TRIMMED = 4  # plans that are compared without their surplus
MOST_CHOSEN = 120  # layouts in all
MOST_PLAIN = 80  # of these, strips from edge to edge
Counts = tuple[int, ...]


def with_fewer_layouts(
    task: PackingTask, uses: tuple[Use, ...], pool: tuple[Use, ...], ways: WaysOfWork,
    effort: Effort = Effort.NORMAL, stop: Callable[[], bool] | None = None,
) -> tuple[Use, ...]:  # fmt: skip
    """The same pieces from the same sheets, by layouts that are less work as far as that can be estimated.

    stop: asked now and then; True ends with the best so far.
    """
    return _Choosing(task, uses, ways).uses(pool, effort, stop or (lambda: False)) if uses else uses


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
        self._book = Workbook(task, ways)
        self._sheets: dict[int, int] = {}
        self._copies: dict[Use, int] = {}
        self._needs = [0] * len(task.pieces)
        for use in uses:
            layout = replace(use, copies=1)
            self._sheets[use.sheet] = self._sheets.get(use.sheet, 0) + use.copies
            self._copies[layout] = self._copies.get(layout, 0) + use.copies
            for kind, each in enumerate(self._counts(use)):
                self._needs[kind] += each * use.copies
        self._places = {sheet: place for place, sheet in enumerate(self._sheets)}
        self._leading = set(self._copies)  # layouts of which whole plans are known

    def uses(self, pool: Iterable[Use], effort: Effort, stop: Callable[[], bool]) -> tuple[Use, ...]:
        """The best choice found, or the given one."""
        known = [*self._copies, *(replace(use, copies=1) for use in pool if use.sheet in self._sheets)]
        prices, sheet_prices = self._prices(list(dict.fromkeys(known)))
        slack = sum(taken * sheet_prices[sheet] for sheet, taken in self._sheets.items())
        slack = max(0, slack - _dot(self._needs, prices))
        ready = stock(self._task)
        for sheet in self._sheets:
            known += self._plain(ready, sheet, prices, sheet_prices[sheet] - slack)
        known += [trimmed for use in known if (trimmed := with_trim(self._task, use, self._ways)) is not None]
        known, limit = list(dict.fromkeys(known)), _Limit(prices, sheet_prices, slack)
        best, makers, found = self._given, list[MadeToMeasure](), list[Candidate]()
        for through in through_stack(self._ways):
            usable = partial(self._candidates, limit, through)
            makers.append(MadeToMeasure(ready, self._ways, self._sheets, prices, through, usable))
            some = self._made(makers[-1], usable, known)
            best = self._chosen(some, best)
            found = _joined(some, found)
        if effort is not Effort.QUICK:
            every = self._candidates(limit, self._ways.seconds_per_stroke, [one.use for one in found])
            best = self._chosen(self._ranked(every), best)
        draw, in_vain = Random(0), 0
        for made in cycle(makers):
            if in_vain == PATIENCE[effort] or stop():
                break
            least = self._book.seconds(best)
            found, best = self._filled_anew(found, best, made, draw)
            in_vain = 0 if self._book.seconds(best) < least else in_vain + 1
        most = max(len(leaves(use.root)) for use in best)
        return moved(ready, best, self._book.seconds, MOVES[effort] * MOVED_OF // max(MOVED_OF, most), stop)

    def _chosen(self, found: list[Candidate], best: tuple[Use, ...]) -> tuple[Use, ...]:
        """The best choice among these layouts, or the one known as best."""
        every = HowOften(self._book, self._needs, self._sheets, found)
        every.choose()
        return self._exact(every.plans(), best)

    def _made(
        self, made: MadeToMeasure, usable: Callable[[list[Use]], list[Candidate]], known: list[Use]
    ) -> list[Candidate]:
        """These layouts and more, made to measure for all that is to be cut and for what whole sheets leave of it."""
        found = usable(known)
        found += made.for_all(found, self._needs)
        found += self._packed(found, usable)
        found += made.for_rests(found, self._needs, self._sheets, REST_CELLS)
        return self._ranked(found)[:MOST_CHOSEN]

    def _filled_anew(
        self, found: list[Candidate], uses: tuple[Use, ...], made: MadeToMeasure, draw: Random
    ) -> tuple[list[Candidate], tuple[Use, ...]]:  # fmt: skip
        """Half of the sheets are freed and filled again, also with layouts that are made for them: never more work.

        The layouts that are known then, and the uses.
        """
        copies = Counter[Use]()
        for use in uses:
            copies[replace(use, copies=1)] += use.copies
        found = _joined([self._in_use(use, number) for use, number in copies.items()], found)[:MOST_CHOSEN]
        times = [copies[one.use] for one in found]
        kept = _kept(times, draw)
        needs, sheets = rest_after(found, kept, self._needs, self._sheets)
        fresh = made.for_rests(found, needs, sheets, FREED_CELLS)
        found, none = [*fresh, *found], [0] * len(fresh)
        every = HowOften(self._book, self._needs, self._sheets, found)
        every.fill([*none, *times], [*none, *kept])
        return found, self._exact(every.plans(), uses)

    def _exact(self, plans: dict[tuple[Use, ...], int], best: tuple[Use, ...]) -> tuple[Use, ...]:
        """Of the plans that are the least work the one that is so without its surplus, or the one known as best."""
        found = [best]
        for plan in sorted(plans, key=plans.__getitem__)[:MOST_TRIMMED]:
            ways = without_surplus(self._task, plan, self._needs)
            found += [uses for uses in ways if all(any(self._counts(use)) for use in uses)]
        return min(found, key=self._book.seconds)

    def _in_use(self, use: Use, copies: int) -> Candidate:
        """A layout that is used so often."""
        work = self._book.alone(use, self._ways.seconds_per_stroke)
        return Candidate(use, self._counts(use), copies, work, copies)

    def _candidates(self, limit: _Limit, through: int, uses: Sequence[Use]) -> list[Candidate]:
        """Those of the layouts that can be used."""
        found = []
        for use in uses:
            counts = self._counts(use)
            loss = limit.sheets[use.sheet] - _dot(counts, limit.pieces)
            copies = self._copies.get(use, 0)
            if loss <= limit.slack or copies:
                most = max(copies, self._most(counts, use.sheet, loss, limit.slack))
                found.append(Candidate(use, counts, most, self._book.alone(use, through), copies))
        return found

    def _packed(self, found: list[Candidate], usable: Callable[[list[Use]], list[Candidate]]) -> list[Candidate]:
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
        return usable([use for use in made if use not in known])

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


def _joined(first: list[Candidate], others: list[Candidate]) -> list[Candidate]:
    """All of the first, then those of the others whose layouts are not among them."""
    there = {one.use for one in first}
    return [*first, *(one for one in others if one.use not in there)]


def _kept(times: Sequence[int], draw: Random) -> list[int]:
    """The copies of each layout that stay when half of all sheets, two at least, are freed layout by layout."""
    kept, free = list(times), max(2, sum(times) // 2)
    for _, place in sorted((draw.random(), place) for place, copies in enumerate(times) if copies):
        gone = min(kept[place], free)
        kept[place] -= gone
        free -= gone
    return kept


def _dot(counts: Sequence[int], prices: Sequence[int]) -> int:
    return sum(count * price for count, price in zip(counts, prices, strict=True))
