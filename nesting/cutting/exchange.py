"""Some copies of one or two layouts exchanged for as many of one or two others, as long as that is less work.

In: layouts by what they give and the work they are, the needs, how often each is used. Out: other numbers of uses that
cover the needs from as many sheets of each source, never more work. The fact of the trade: two sheets give up their
places to two others that hold the same pieces between them; which two, is tried for all pairs at once.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import TypeAlias

import numpy as np
import numpy.typing as npt

from nesting.cutting.layout_work import Work

Numbers: TypeAlias = npt.NDArray[np.int64]
Copies = tuple[tuple[int, int], ...]  # layouts, and so many copies of each
WORD = 60  # sizes in one whole number


@dataclass(frozen=True, slots=True)
class Offer:
    """A layout that may be used: its source, how many pieces of each kind it gives, the work it is."""

    source: int
    counts: tuple[int, ...]
    work: Work


class Exchange:
    """Layouts as arrays: counts[layout, kind], seconds once and for each copy, sizes as bits[layout, word]."""

    def __init__(self, offers: Sequence[Offer], needs: Sequence[int], price_of_a_size: int) -> None:
        self.needs, self.price = np.array(needs), price_of_a_size
        self.sources = np.array([offer.source for offer in offers])
        self.counts = np.array([offer.counts for offer in offers])
        self.once = np.array([offer.work.once for offer in offers])
        self.each = np.array([offer.work.each for offer in offers])
        sizes = sorted({size for offer in offers for size in offer.work.sizes})
        self.bits = np.zeros((len(offers), len(sizes) // WORD + 1), dtype=np.int64)
        for row, offer in zip(self.bits, offers, strict=True):
            for place, size in enumerate(sizes):
                row[place // WORD] |= int(size in offer.work.sizes) << place % WORD

    def better(self, times: Sequence[int]) -> list[int]:
        """Numbers of uses from which no exchange leads to less work."""
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
        """Uses with the best exchange for what is taken; None where nothing is less work than that."""
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
        uses = np.asarray(times)
        used = uses > 0
        sizes = number_of(np.bitwise_or.reduce(self.bits[used], axis=0))
        return int(self.once[used].sum() + (self.each * uses).sum() + self.price * sizes)


class _Gap:
    """What is missing when some copies are taken away, and what each layout costs that may fill it."""

    def __init__(self, all_of: Exchange, left: Numbers, source: int) -> None:
        self._layouts = np.flatnonzero(all_of.sources == source)
        self._counts = all_of.counts[self._layouts]
        self._short = np.maximum(all_of.needs - left @ all_of.counts, 0)
        self._once = np.where(left > 0, 0, all_of.once)[self._layouts]
        self._each = all_of.each[self._layouts]
        self._new = all_of.bits[self._layouts] & ~np.bitwise_or.reduce(all_of.bits[left > 0], axis=0)
        self._price = all_of.price

    def filled(self, some: int, others: int, under: int) -> tuple[int, Copies] | None:
        """The least work, if less than `under`, with so many copies of one layout and so many of another one."""
        first, second = self._enough(some, others), self._enough(others, some)
        costs = self._costs(some), self._costs(others)
        if len(first) and len(second):
            most = under - costs[1][second].min(), under - costs[0][first].min()
            first, second = first[costs[0][first] < most[0]], second[costs[1][second] < most[1]]
        fits = np.ones((len(first), len(second)), dtype=bool)
        for kind in np.flatnonzero(self._short):
            lacking = self._short[kind] - some * self._counts[first, kind]
            fits &= others * self._counts[second, kind] >= lacking[:, None]
        one, two = (places[where] for places, where in zip((first, second), np.nonzero(fits), strict=True))
        sizes = number_of((self._new[one] if some else 0) | self._new[two])
        work = costs[0][one] + costs[1][two] + self._price * sizes
        if not len(work) or int(work.min()) >= under:
            return None
        best = int(work.argmin())
        pair = (int(self._layouts[one[best]]), some), (int(self._layouts[two[best]]), others)
        return int(work[best]), pair if some else pair[1:]

    def _enough(self, copies: int, others: int) -> Numbers:
        """The layouts that so many copies could be of, if the others were the best for each kind; any one for none."""
        if not copies:
            return np.zeros(1, dtype=np.int64)
        best = others * self._counts.max(axis=0)
        found: Numbers = np.flatnonzero((copies * self._counts + best >= self._short).all(axis=1))
        return found

    def _costs(self, copies: int) -> Numbers:
        """Seconds for so many copies of each layout, new sizes apart."""
        return (self._once + copies * self._each) if copies else np.zeros_like(self._once)


def number_of(bits: Numbers) -> Numbers:
    """How many sizes there are in each row of words."""
    number: Numbers = np.bitwise_count(bits).sum(axis=-1, dtype=np.int64)
    return number


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
