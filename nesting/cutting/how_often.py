"""How often to use each of some layouts, so that all of them together are little work: whole numbers.

In: layouts of one paper, the pieces to cut, the sheets of each kind to cut them from. Out: copies of each layout. The
fact of the trade: few layouts, each used often, are quickly cut; but they must hold all pieces between them, and no
sheet more. Whole-number programs choose among some of the layouts, by sums that are about their work; then a few copies
at a time are exchanged for others, by the work that all are together.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from nesting.cutting.exchange import Exchange
from nesting.cutting.made_to_measure import Candidate, least_work, rest_after, whole_sheets
from nesting.cutting.together import Workbook
from nesting.packing.layout import Use
from nesting.packing.master import Column, few_layouts, least_whole
from nesting.packing.trees import free_node

CHOSEN_FROM, CHOICE_NODES = 25, 20  # layouts to choose from, nodes of the search: a good choice is soon found
NEAR_NODES = 200  # of a search for whole numbers near the least work in fractions
# how far from that these are sought, among so many layouts, with so many sheets of each below the fractions
NEAR = (0.02, 40, 1), (0.02, 80, None), (0.02, 120, 3), (0.1, 60, None), (0.1, 120, None)


class HowOften:
    """The uses of some layouts: `found`, those first that are tried first."""

    def __init__(
        self, book: Workbook, needs: Sequence[int], sheets: dict[int, int], found: Sequence[Candidate]
    ) -> None:
        self._needs, self._sheets, self._found = needs, sheets, found
        places = {sheet: place for place, sheet in enumerate(sheets)}
        self._sources = [places[one.use.sheet] for one in found]
        self._work = book.together([one.use for one in found])
        self._tried: dict[tuple[int, ...], int] = {}
        self._exchange = Exchange(self._sources, [one.counts for one in found], needs, self._work)

    def plans(self) -> dict[tuple[Use, ...], int]:
        """All plans that were found on the way, with the seconds they take."""
        plans = {}
        for times, work in self._tried.items():
            pairs = zip(self._found, times, strict=True)
            plans[tuple(replace(one.use, copies=copies) for one, copies in pairs if copies)] = work
        return plans

    def choose(self) -> None:
        """Look for plans from the uses that the layouts come with, and from whole numbers near the least work."""
        start = self._better([one.copies for one in self._found])
        near = self._better(self._near_fractions(start))
        self.fill(min(start, near, key=self._exchange.work), [0] * len(start))

    def fill(self, times: list[int], kept: Sequence[int]) -> None:
        """Look for plans from these uses: so many copies of each are kept, all others are chosen anew."""
        places = first_of(times, CHOSEN_FROM)
        some = [self._found[place] for place in places]
        needs, sheets = rest_after(self._found, kept, self._needs, self._sheets)
        freed = [times[place] - kept[place] for place in places]
        each, things, prices = self._work.of_each(times, kept, places)
        chosen = few_layouts(
            needs,
            list(sheets.values()),
            [Column(self._sources[place], self._found[place].counts, free_node(0, 0)) for place in places],
            [max(one.most, copies) for one, copies in zip(some, freed, strict=True)],
            each,
            things,
            prices,
            freed,
            CHOICE_NODES,
        )
        other = list(kept)
        for place, copies in zip(places, chosen, strict=True):
            other[place] += copies
        self._better(times)
        if self._suffice(other):  # the solver's word for it is checked
            self._better(other)

    def _better(self, times: list[int]) -> list[int]:
        """These uses after all exchanges; what comes out is remembered."""
        if tuple(times) in self._tried:
            return times
        found = self._exchange.better(times)
        self._tried[tuple(found)] = self._exchange.work(found)
        return found

    def _near_fractions(self, times: list[int]) -> list[int]:
        """Less work than these uses, by whole numbers near the best fractions, where those are far less.

        Some ways to look find nothing for one batch or another, so there are several.
        """

        def work(uses: list[int]) -> int:
            return sum(one.work.each * copies for one, copies in zip(self._found, uses, strict=True))

        least = least_work(self._found, self._needs, self._sheets).solve().cost
        for away, most, below in NEAR:
            if work(times) <= least * (1 + away):
                break
            places = first_of(times, most)
            some = [self._found[place] for place in places]
            taken = [0] * len(some)
            if below is not None:
                taken = whole_sheets(least_work(some, self._needs, self._sheets).solve().uses, below)
            whole = [0] * len(times)
            for place, copies in zip(places, self._least_whole(places, taken, times), strict=True):
                whole[place] = copies
            if self._suffice(whole):
                times = min(times, whole, key=work)
        return times

    def _least_whole(self, places: Sequence[int], taken: list[int], start: Sequence[int]) -> list[int]:
        """How often to use each of these layouts, at least so often as taken, for the least work of the copies found.

        start: uses of all that are known to do. What it takes to use a layout at all is shared out to its copies.
        """
        found, begin = [self._found[place] for place in places], [start[place] for place in places]
        needs, sheets = rest_after(found, taken, self._needs, self._sheets)
        rows = [
            ({place: float(one.counts[kind]) for place, one in enumerate(found)}, float(need))
            for kind, need in enumerate(needs)
        ]
        for sheet, left in sheets.items():
            some = [place for place, one in enumerate(found) if one.use.sheet == sheet]
            rows += [(dict.fromkeys(some, sign), sign * left) for sign in (1.0, -1.0)]
        costs = [one.work.each + one.work.once // one.most for one in found]
        most = [max(one.most, copies) for one, copies in zip(found, begin, strict=True)]
        more = least_whole(costs, rows, most, nodes=NEAR_NODES, start=[] if any(taken) else begin)
        return [copies + added for copies, added in zip(taken, more, strict=True)] if more else taken

    def _suffice(self, times: Sequence[int]) -> bool:
        """Whether these are as many sheets as are to be cut, with all pieces."""
        short, left = rest_after(self._found, times, self._needs, self._sheets)
        return not any(short) and not any(left.values())


def first_of(times: Sequence[int], most: int) -> list[int]:
    """So many layouts: those in use and the first of the others."""
    used = [place for place, copies in enumerate(times) if copies]
    others = [place for place, copies in enumerate(times) if not copies]
    return [*used, *others[: max(0, most - len(used))]]
