"""Some copies of one or two layouts exchanged for as many of one or two others, as long as that is less work.

In: layouts by what they give and the work they are, the needs, how often each is used. Out: other numbers of uses that
cover the needs from as many sheets of each source, never more work. The fact of the trade: two sheets give up their
places to two others that hold the same pieces between them; which two, is tried for all pairs at once.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations
from typing import TypeAlias

import numpy as np
import numpy.typing as npt

from nesting.cutting.together import Together, Values

Numbers: TypeAlias = npt.NDArray[np.int64]
Copies = tuple[tuple[int, int], ...]  # layouts, and so many copies of each
MOST_PAIRS = 40  # pairs of layouts whose work in common is looked at for one exchange


class Exchange:
    """Layouts as arrays: the source of each, counts[layout, kind], and the work they are together."""

    def __init__(
        self, sources: Sequence[int], counts: Sequence[Sequence[int]], needs: Sequence[int], work: Together
    ) -> None:
        self.sources, self.counts, self.needs = np.array(sources), np.array(counts), np.array(needs)
        self.together = work

    def better(self, times: Sequence[int]) -> list[int]:
        """Numbers of uses from which no exchange that was found leads to less work."""
        uses, improved = np.array(times), True
        while improved:
            improved = False
            for taken in list(_moves(uses, self.sources)):
                if all(uses[layout] >= copies for layout, copies in taken):
                    found = self._instead(uses, taken)
                    if found is not None:
                        uses, improved = found, True
        return [int(number) for number in uses]

    def _instead(self, uses: Numbers, taken: Copies) -> Numbers | None:
        """Uses with the best exchange found for what is taken; None where nothing is less work than that."""
        left = uses.copy()
        for layout, copies in taken:
            left[layout] -= copies
        gap = _Gap(self, left, int(self.sources[taken[0][0]]))
        copies = sum(number for _, number in taken)
        least = self.work(uses) - self.work(left)
        best: Copies = ()
        for some in sorted({0, 1, copies // 2, copies - 1, taken[0][1], copies - taken[0][1]}):
            if 2 * some <= copies:
                least, best = gap.filled(some, copies - some, least) or (least, best)
        for layout, number in best:
            left[layout] += number
        return left if best else None

    def work(self, times: Sequence[int] | Numbers) -> int:
        """Seconds in all for such numbers of uses."""
        return self.together.seconds(np.asarray(times, dtype=np.float64))


class _Gap:
    """What is missing when some copies are taken away, and what each layout costs that may fill it."""

    def __init__(self, all_of: Exchange, left: Numbers, source: int) -> None:
        self._layouts = np.flatnonzero(all_of.sources == source)
        self._counts = all_of.counts[self._layouts]
        self._short = np.maximum(all_of.needs - left @ all_of.counts, 0)
        self._work = all_of.together
        self._holds, self._each = self._work.holds[self._layouts], self._work.each[self._layouts]
        self._left = left @ self._work.holds
        self._before = float(self._work.of_parts(self._left))

    def filled(self, some: int, others: int, under: int) -> tuple[int, Copies] | None:
        """The least work found, if less than `under`, with so many copies of one layout and so many of another one.

        Of all pairs those are looked at that would be the least work if the two had nothing in common.
        """
        first, second = self._enough(some, others), self._enough(others, some)
        fits = np.ones((len(first), len(second)), dtype=bool)
        for kind in np.flatnonzero(self._short):
            lacking = self._short[kind] - some * self._counts[first, kind]
            fits &= others * self._counts[second, kind] >= lacking[:, None]
        one, two = np.nonzero(fits)
        if not len(one):
            return None
        if some:
            alone = self._more(some, first)[one] + self._more(others, second)[two]
            likely = np.argsort(alone, kind="stable")[:MOST_PAIRS]
            one, two = one[likely], two[likely]
        one, two = first[one], second[two]
        work = self._more(others, two, some, one)
        best = int(work.argmin())
        if work[best] >= under:
            return None
        pair = (int(self._layouts[one[best]]), some), (int(self._layouts[two[best]]), others)
        return int(work[best]), pair if some else pair[1:]

    def _enough(self, copies: int, others: int) -> Numbers:
        """The layouts that so many copies could be of, if the others were the best for each kind; any one for none."""
        if not copies:
            return np.zeros(1, dtype=np.int64)
        best = others * self._counts.max(axis=0)
        found: Numbers = np.flatnonzero((copies * self._counts + best >= self._short).all(axis=1))
        return found

    def _more(self, copies: int, layouts: Numbers, others: int = 0, beside: Numbers | None = None) -> Values:
        """Seconds for so many copies of each of these layouts, and of those beside them, beyond what is left."""
        held, each = self._left + copies * self._holds[layouts], copies * self._each[layouts]
        if others:
            held, each = held + others * self._holds[beside], each + others * self._each[beside]
        more: Values = self._work.of_parts(held) + each - self._before
        return more


def _moves(uses: Numbers, sources: Numbers) -> Iterator[Copies]:
    """What may be taken away: one or all copies of a layout, or of two of the same source."""
    used = [int(layout) for layout in np.flatnonzero(uses)]
    for layout in used:
        for copies in sorted({1, int(uses[layout])}):
            yield ((layout, copies),)
    for one, two in combinations(used, 2):
        if sources[one] == sources[two]:
            most = int(uses[one]), int(uses[two])
            both = min(most)
            for some, others in sorted({(1, 1), most, (1, most[1]), (most[0], 1), (both, both)}):
                yield (one, some), (two, others)
