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
from nesting.packing.trees import free_node

SURE_ROUNDS, SURE_CELLS = 24, 500_000  # of a search for layouts with few doubtful pieces: prices tried, work in all
REST_ROUNDS, REST_CELLS = 12, 2_000_000  # the same for one rest, and for all rests
FULLEST = 4096  # seconds for what would fill a sheet, paid on top where layouts lose too much
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


class MadeToMeasure:
    """Makes layouts for so many sheets of each kind.

    full: what pieces are worth as paper. usable: which of some layouts can be used, with the work they are.
    """

    def __init__(
        self, ready: Stock, ways: WaysOfWork, sheets: dict[int, int], full: Sequence[int],
        usable: Callable[[list[Use]], list[Candidate]],
    ) -> None:  # fmt: skip
        self._ready, self._sheets, self._full, self._usable = ready, sheets, full, usable
        stroke, doubt = SCALE * ways.seconds_per_stroke // ways.deep, SCALE * ways.seconds_per_measure
        self._costs = Costs(stroke, doubt, ways.square_first)
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
            full = 0
            for _ in range(min(SURE_ROUNDS, SURE_CELLS // search.cells)):
                better = self._better(search, places, master, known, full)
                added += better
                if not better:
                    if full >= FULLEST:
                        break
                    full = full * 4 or 64
        return added

    def for_rests(self, found: list[Candidate], needs: Sequence[int]) -> list[Candidate]:
        """The same for what is left when whole sheets of the fractional plan are taken, again and again."""
        known, there = {one.use for one in found}, list(found)
        needs, sheets, cells = list(needs), dict(self._sheets), REST_CELLS
        while any(needs) and cells > 0:
            master = least_work(there, needs, sheets)
            for search, places in self._searches:
                for _ in range(min(REST_ROUNDS, cells // search.cells)):
                    cells -= search.cells
                    better = self._better(search, places, master, known)
                    there += better
                    if not better:
                        break
            taken = _whole(master.solve().uses)
            if not taken:
                break
            for number, copies in taken.items():
                one = there[number]
                sheets[one.use.sheet] -= copies
                needs = [max(0, need - copies * each) for need, each in zip(needs, one.counts, strict=True)]
        return there[len(found) :]

    def _better(
        self, search: SureLayouts, places: dict[int, int], master: Master, known: set[Use], full: int = 0
    ) -> list[Candidate]:
        """The layouts of one search that are less work than what they give is worth; now known, and in the program."""
        solved = master.solve()
        prices = [round(price * SCALE) + full * paper for price, paper in zip(solved.pieces, self._full, strict=True)]
        nodes = search.best(prices, self._costs)
        uses = [use for sheet in places for node in nodes if (use := self._ready.use(sheet, node)) is not None]
        fresh = self._usable([use for use in dict.fromkeys(uses) if use not in known])
        better = [one for one in fresh if extra_work(one, solved, places[one.use.sheet]) < -0.5]
        for one in better:
            known.add(one.use)
            _add(master, one, places[one.use.sheet])
        return better


def _add(master: Master, one: Candidate, place: int) -> None:
    master.add(Column(place, one.counts, free_node(0, 0)), float(one.work.each))


def _whole(uses: Sequence[float]) -> dict[int, int]:
    """Whole sheets of each layout; where there are none, one sheet of the layout that comes nearest to one."""
    taken = {number: int(times + 1e-6) for number, times in enumerate(uses) if times + 1e-6 >= 1}
    if not taken and max(uses, default=0) > 1e-6:
        taken = {max(range(len(uses)), key=uses.__getitem__): 1}
    return taken
