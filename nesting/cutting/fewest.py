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


@dataclass(frozen=True, slots=True)
class Fewest:
    """Settings (places in the list of sizes) in order, and the number that no order can beat."""

    sizes: tuple[int, ...]
    bound: int


def fewest_settings(
    needs: Needs, bounds: Bounds, start: State, work: int, stop: Callable[[], bool] | None = None
) -> Fewest:
    """The settings in order, few or fewest, and the bound; the bounds are grouped for the start state."""
    return _Search(needs, bounds, work, stop).run(start)


class _Search:
    """One search over needs; `left` counts the states that may still be looked at."""

    def __init__(self, needs: Needs, bounds: Bounds, work: int, stop: Callable[[], bool] | None) -> None:
        self.left = work
        self._over = -5 * work  # the orders side by side may take more than the work, so that many settings fare well
        self._needs = needs
        self._bounds = bounds
        self._stop = stop
        self._hopeless: dict[State, int] = {}

    def run(self, start: State) -> Fewest:
        """The best settings found, and the bound."""
        sure: list[int] = []
        while (size := self._safe(start)) is not None:
            sure.append(size)
            start = self._needs.step(start, size)
        work = self.left
        self._bounds.share_out(start, 2)
        bound = self._bounds.of(start)
        best = self._side_by_side(start, 1)
        if len(best) > bound:
            best = min(best, self._side_by_side(start, WIDTH), key=len)
        best, bound = self._deepen(start, best, bound, work // 2)
        if len(best) > bound and self.left > 0:
            self._bounds.share_out(start, 3, len(best))
            bound = max(bound, self._bounds.of(start))
            best, bound = self._deepen(start, best, bound, 0)
        return Fewest((*sure, *best), len(sure) + bound)

    def _deepen(self, start: State, best: tuple[int, ...], bound: int, leave: int) -> tuple[tuple[int, ...], int]:
        """Look for orders as long as the bound; raise it where there is none, until only so much work is left."""
        spare, self.left = min(leave, self.left), max(0, self.left - leave)
        while len(best) > bound:
            self._hopeless.clear()
            found = self._exactly(start, bound)
            if found is not None:
                best = found
            elif self.left <= 0:
                break
            else:
                bound += 1
        self.left = max(0, self.left) + spare
        return best, bound

    def _safe(self, state: State) -> int | None:
        """A setting that every order needs and that is done with for good after one run: it may come first."""
        for size in self._needs.available(state):
            if self._bounds.times(state, size) == 1:
                following = self._needs.step(state, size)
                if not self._needs.occurring(following) >> size & 1:
                    return size
        return None

    def _choices(self, state: State, most: int | None = None) -> list[tuple[int, int, int, int, State]]:
        """Next settings, most promising first: bound, settings still to come, needs, the setting, the state.

        most: states from which more settings are sure to come are left out.
        """
        choices = []
        for size in self._needs.available(state):
            following = self._needs.step(state, size)
            self.left -= 1
            if most is not None and (
                self._bounds.counts(following).bit_count() > most or self._hopeless.get(following, -1) >= most
            ):
                continue
            bound = self._bounds.of(following)
            if most is None or bound <= most:
                to_come = self._needs.occurring(following).bit_count()
                choices.append((bound, to_come, following.bit_count(), size, following))
        return sorted(choices)

    def _side_by_side(self, start: State, width: int) -> tuple[int, ...]:
        """Orders grown step by step, the `width` most promising ones kept."""
        front: list[tuple[State, tuple[int, ...]]] = [(start, ())]
        while True:
            ranked: dict[State, tuple[tuple[int, int, int], tuple[int, ...]]] = {}
            for state, order in front:
                if not state:
                    return order
                for bound, to_come, count, size, following in self._choices(state):
                    if following not in ranked:
                        ranked[following] = (bound, to_come, count), (*order, size)
            if self.left <= self._over or (self._stop is not None and self._stop()):
                width = 1  # bring the best order to its end
            best = sorted(ranked.items(), key=lambda item: item[1][0])[:width]
            front = [(state, order) for state, (_, order) in best]

    def _exactly(self, state: State, most: int) -> tuple[int, ...] | None:
        """An order of at most so many settings, or None where there is none or the work is done."""
        if not state:
            return ()
        if self._stop is not None and self._stop():
            self.left = 0
        if self.left <= 0:
            return None
        safe = self._safe(state)
        for _, _, _, size, following in self._choices(state, most - 1):
            if safe is not None and size != safe:
                continue
            rest = self._exactly(following, most - 1)
            if rest is not None:
                return (size, *rest)
        if self.left > 0:
            self._hopeless[state] = most
        return None
