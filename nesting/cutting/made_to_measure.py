"""Layouts made to measure: at the prices of the least work with those there are, others that are less work still.

In: layouts there are, the pieces to cut, the sheets to cut them from. Out: more layouts (column generation: Gilmore &
Gomory 1961, Operations Research 9, 849-859), for all pieces in fractions of sheets, and for the rests that whole sheets
leave (residual rounding: Wäscher & Gau 1996, OR Spektrum 18, 131-144). The fact of the trade: the last sheets of a
batch hold what is left of it, and layouts that were made for the whole batch seldom suit that.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from nesting.cutting.layout_work import Work
from nesting.cutting.passes import WaysOfWork
from nesting.cutting.sure_layouts import Costs, SureLayouts
from nesting.packing.layout import Use
from nesting.packing.master import Column, Master, Prices
from nesting.packing.stock import Stock
from nesting.packing.trees import counts_of, free_node

SURE_ROUNDS, SURE_CELLS = 24, 500_000  # of a search for layouts with few doubtful pieces: prices tried, work in all
REST_ROUNDS, REST_CELLS = 12, 1_000_000  # the same for one rest, and for all rests
TRIES, TRY_CELLS = 12, 750_000  # of other prices, where no layout that the prices call for can be used; work of these
FULL, FULLER, FULLEST = 16, 2.0, 4096  # seconds paid on top for what would fill a sheet: at first, times, at most
LESS_FOR_MORE = 0.75  # of its price is paid for a piece of which a layout gives more than is needed
SCALE = 1 << 20  # what a sheet is worth in whole prices, about
Counts = tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Candidate:
    """A layout, what it gives, how often it can be used, the work it is, copies at the start."""

    use: Use
    counts: Counts
    most: int
    work: Work
    copies: int


def least_work(found: Sequence[Candidate], needs: Sequence[int], sheets: dict[int, int]) -> Master:
    """The linear program for the least work of these needs with so many sheets of each kind."""
    master = Master(needs, [[(0, taken)] for taken in sheets.values()], [1e6] * len(needs))
    places = {sheet: place for place, sheet in enumerate(sheets)}
    for one in found:
        _add(master, one, places[one.use.sheet])
    return master


def extra_work(one: Candidate, solved: Prices, place: int) -> float:
    """How much more work a layout is than what it gives is worth, from the sheets at this place: seconds."""
    gives = sum(count * price for count, price in zip(one.counts, solved.pieces, strict=True))
    return one.work.each + solved.sheets[place] - gives


def whole_sheets(uses: Sequence[float], fewer: int = 0) -> list[int]:
    """Whole sheets of each layout in fractions of sheets, so many fewer of each."""
    return [max(0, int(times + 1e-6) - fewer) for times in uses]


def rest_after(
    found: Sequence[Candidate], times: Sequence[int], needs: Sequence[int], sheets: dict[int, int]
) -> tuple[list[int], dict[int, int]]:  # fmt: skip
    """The needs and the sheets of each kind that so many copies of each layout leave; less than none where too many."""
    needs, sheets = list(needs), dict(sheets)
    for one, copies in zip(found, times, strict=True):
        sheets[one.use.sheet] -= copies
        needs = [max(0, need - copies * each) for need, each in zip(needs, one.counts, strict=True)]
    return needs, sheets


class MadeToMeasure:
    """Makes layouts for so many sheets of each kind.

    full: what pieces are worth as paper. through: seconds for a stroke through a full stack. usable: which of some
    layouts can be used, with the work they are.
    """

    def __init__(
        self, ready: Stock, ways: WaysOfWork, sheets: dict[int, int], full: Sequence[int], through: int,
        usable: Callable[[list[Use]], list[Candidate]],
    ) -> None:  # fmt: skip
        self._ready, self._sheets, self._full, self._usable = ready, sheets, full, usable
        stroke = SCALE * through // ways.deep
        doubts = [SCALE * ways.seconds_to_true(piece.need) // max(1, piece.need) for piece in ready.task.pieces]
        self._costs = Costs(stroke, doubts, ways.square_first)
        self._searches: list[tuple[SureLayouts, dict[int, int]]] = []
        for source in ready.sources:
            places = {sheet: place for place, sheet in enumerate(sheets) if sheet in source.kinds}
            if places:
                self._searches.append((SureLayouts(source, ways.least_trim), places))

    def for_all(self, found: list[Candidate], needs: Sequence[int]) -> list[Candidate]:
        """Layouts that are less work for what they give than all there are, also some that lose less paper."""
        master, known = least_work(found, needs, self._sheets), {one.use for one in found}
        added = []
        for search, places in self._searches:
            full, tries = 0.0, max(1, min(TRIES, TRY_CELLS // search.cells))
            for _ in range(min(SURE_ROUNDS, SURE_CELLS // search.cells)):
                better, full = self._better(search, places, master, known, needs, full, tries)
                if not better:
                    break
                added += better
                full = full / FULLER**2 if full > FULL * FULLER else 0.0
        return added

    def for_rests(
        self, found: list[Candidate], needs: Sequence[int], sheets: dict[int, int], cells: int
    ) -> list[Candidate]:  # fmt: skip
        """The same for these needs and sheets, and for what whole sheets of the fractional plan leave, step by step.

        cells: a limit on the work.
        """
        known, there = {one.use for one in found}, list(found)
        needs, sheets = list(needs), dict(sheets)
        while any(needs) and cells > 0:
            master = least_work(there, needs, sheets)
            for search, places in self._searches:
                for _ in range(min(REST_ROUNDS, cells // search.cells)):
                    cells -= search.cells
                    better, _ = self._better(search, places, master, known, needs)
                    there += better
                    if not better:
                        break
            taken = _whole(master.solve().uses)
            if not any(taken):
                break
            needs, sheets = rest_after(there, taken, needs, sheets)
        return there[len(found) :]

    def _better(
        self, search: SureLayouts, places: dict[int, int], master: Master, known: set[Use], needs: Sequence[int],
        full: float = 0.0, tries: int = 1,
    ) -> tuple[list[Candidate], float]:  # fmt: skip
        """The layouts of one search that are less work than what they give is worth; now known, and in the program.

        The layouts worth the most may lose more paper than there is to spare, or give more of a piece than is needed.
        Then others are looked for at other prices: more is paid for what fills a sheet, less for such a piece. What
        is paid on top in the end comes back with the layouts; they are measured at the prices without it.
        """
        solved, less = master.solve(), [1.0] * len(needs)
        for _ in range(tries):
            prices = [
                round(price * part * SCALE + full * paper)
                for price, part, paper in zip(solved.pieces, less, self._full, strict=True)
            ]
            nodes = search.best(prices, self._costs)
            uses = [use for sheet in places for node in nodes if (use := self._ready.use(sheet, node)) is not None]
            fresh = self._usable([use for use in dict.fromkeys(uses) if use not in known])
            better = [one for one in fresh if extra_work(one, solved, places[one.use.sheet]) < -0.5]
            if better:
                for one in better:
                    known.add(one.use)
                    _add(master, one, places[one.use.sheet])
                return better, full
            most = [max(counts) for counts in zip(*(counts_of(use.root, len(needs)) for use in uses), strict=True)]
            over = [kind for kind, count in enumerate(most) if count > needs[kind]]
            for kind in over:
                less[kind] *= LESS_FOR_MORE
            full = full * FULLER or float(FULL)
            if full > FULLEST and not over:
                break
        return [], full


def _add(master: Master, one: Candidate, place: int) -> None:
    master.add(Column(place, one.counts, free_node(0, 0)), float(one.work.each))


def _whole(uses: Sequence[float]) -> list[int]:
    """Whole sheets of each layout; where there are none, one sheet of the layout that comes nearest to one."""
    taken = whole_sheets(uses)
    if not any(taken) and max(uses, default=0) > 1e-6:
        taken[max(range(len(uses)), key=uses.__getitem__)] = 1
    return taken
