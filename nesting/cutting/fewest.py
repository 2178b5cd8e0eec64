"""The fewest settings, however many piles lie about: a good order at once, then a proof as far as the work allows.

In: needs and their bounds. Out: the settings in order, and a number that no order can beat. First the setting whose
next state promises most is taken, again and again, in a few orders side by side; then orders of exactly the bound's
length are looked for, and the bound is raised by one when there is none.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from nesting.cutting.bounds import Bounds
from nesting.cutting.needs import Needs, State

WIDTH = 20  # orders side by side
NO_END = 10**9


@dataclass(frozen=True, slots=True)
class Fewest:
    """Settings (places in the list of sizes) in order, and the number that no order can beat."""

    sizes: tuple[int, ...]
    bound: int
    work: int  # states looked at


class Search:
    """One search over needs, counting the states it looks at."""

    def __init__(self, needs: Needs, bounds: Bounds, work: int, stop: Callable[[], bool] | None) -> None:
        self.needs = needs
        self.bounds = bounds
        self.left = work
        self._stop = stop
        self._hopeless: dict[State, int] = {}

    def spent(self) -> bool:
        """Whether the search must end."""
        if self._stop is not None and self.left > 0 and self._stop():
            self.left = 0
        return self.left <= 0

    def run(self, start: State) -> tuple[tuple[int, ...], int]:
        """The best settings found, and the bound."""
        sure: list[int] = []
        while (size := self._safe(start)) is not None:
            sure.append(size)
            start = self.needs.step(start, size)
        total, bound = self.left, 0
        best: tuple[int, ...] | None = None
        for together, share in ((2, 3), (3, 1)):
            self.bounds.share_out(start, together, NO_END if best is None else len(best))
            best = best or self.side_by_side(start, 1)
            bound = max(bound, self.bounds.of(start))
            if len(best) > bound and together == 2:
                best = min(best, self.side_by_side(start, WIDTH), key=len)
            best, bound = self._deepen(start, best, bound, total // share)
            if len(best) == bound:
                break
        assert best is not None
        return (*sure, *best), len(sure) + bound

    def _deepen(
        self, start: State, best: tuple[int, ...], bound: int, until: int
    ) -> tuple[tuple[int, ...], int]:
        """Look for orders as long as the bound; raise it where there is none, until the work is done."""
        spare, self.left = self.left - until, min(self.left, until)
        while len(best) > bound:
            self._hopeless.clear()
            found = self._exactly(start, bound)
            if found is not None:
                best = found
            elif self.left <= 0:
                break
            else:
                bound += 1
        self.left = max(0, self.left) + max(0, spare)
        return best, bound

    def _safe(self, state: State) -> int | None:
        """A setting that every order needs and that is done with for good after one run: it may come first."""
        unary = self.bounds.unary(state)
        for size in self.needs.available(state):
            if self.bounds.times(unary, size) == 1:
                following = self.needs.step(state, size)
                if not any(self.needs.occur[number] >> size & 1 for number in following):
                    return size
        return None

    def _choices(self, state: State) -> list[tuple[int, int, int, int, State]]:
        """Next settings, most promising first: bound, settings still to come, needs, the setting, the state."""
        choices = []
        for size in self.needs.available(state):
            following = self.needs.step(state, size)
            occur = 0
            for number in following:
                occur |= self.needs.occur[number]
            self.left -= 1
            choices.append((self.bounds.of(following), occur.bit_count(), len(following), size, following))
        return sorted(choices)

    def side_by_side(self, start: State, width: int) -> tuple[int, ...]:
        """Orders grown step by step, the `width` most promising ones kept."""
        front: list[tuple[State, tuple[int, ...]]] = [(start, ())]
        while True:
            ranked: dict[State, tuple[tuple[int, int, int], tuple[int, ...]]] = {}
            for state, order in front:
                if not state:
                    return order
                for bound, to_come, count, size, following in self._choices(state)[: width + 1]:
                    rank = bound, to_come, count
                    if following not in ranked:
                        ranked[following] = rank, (*order, size)
            best = sorted(ranked.items(), key=lambda item: (item[1][0], item[1][1]))[:width]
            front = [(state, order) for state, (_, order) in best]

    def _exactly(self, state: State, most: int) -> tuple[int, ...] | None:
        """An order of at most so many settings, or None where there is none or the work is done."""
        if not state:
            return ()
        if self.bounds.of(state) > most or self._hopeless.get(state, -1) >= most or self.spent():
            return None
        safe = self._safe(state)
        for bound, _, _, size, following in self._choices(state):
            if bound > most - 1 or (safe is not None and size != safe):
                continue
            rest = self._exactly(following, most - 1)
            if rest is not None:
                return (size, *rest)
        if self.left > 0:
            self._hopeless[state] = most
        return None


def fewest_settings(
    needs: Needs, bounds: Bounds, start: State, work: int, stop: Callable[[], bool] | None = None
) -> Fewest:
    """The settings in order, few or fewest, and the bound; the bounds are grouped for the start state."""
    search = Search(needs, bounds, work, stop)
    sizes, bound = search.run(start)
    return Fewest(sizes, bound, work - max(0, search.left))
