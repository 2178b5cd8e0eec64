"""The fewest settings, however many piles lie about: proven where the work allows, else a good order and a bound.

In: needs. Out: the settings in order, and a number that no order can beat. First what cannot be wrong is done; then
clashes between settings are settled until an order is left that settles them all. Where that takes too long, orders
are grown side by side and the most promising ones kept.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from nesting.cutting.alone import Alone
from nesting.cutting.clashes import Clashes
from nesting.cutting.needs import Needs, State

WIDTHS = (20, 80)  # orders side by side
SHARE = 4  # so many states of the work are one order kept side by side
PER_WIDTH = 8  # states looked at while orders grow side by side, for one state of the work
PER_STATE = 16  # runs tried while clashes are settled for one state of the work


@dataclass(frozen=True, slots=True)
class Fewest:
    """Settings (places in the list of sizes) in order, and the number that no order can beat."""

    sizes: tuple[int, ...]
    bound: int


def fewest_settings(
    needs: Needs, count: int, start: State, work: int, stop: Callable[[], bool] | None = None
) -> Fewest:
    """The settings in order, few or fewest, and the bound; `count`: how many different settings there are."""
    alone = Alone(needs)
    sure, start = _sure(needs, alone, start)
    clashes = Clashes(needs, count, start, PER_STATE * work, stop)
    best = clashes.shortest()
    if best is None:
        best, states = _side_by_side(needs, alone, start, 1)
        for width in WIDTHS:
            too_long = work < SHARE * width or PER_WIDTH * work < states * width
            if len(best) == clashes.bound or too_long or (stop is not None and stop()):
                break
            best = min(best, _side_by_side(needs, alone, start, width)[0], key=len)
    return Fewest((*sure, *best), len(sure) + clashes.bound)


def no_fewer(needs: Needs, count: int, start: State, work: int, stop: Callable[[], bool] | None = None) -> int:
    """The bound alone, the same, for less time: no orders are grown."""
    sure, start = _sure(needs, Alone(needs), start)
    clashes = Clashes(needs, count, start, PER_STATE * work, stop)
    clashes.shortest()
    return len(sure) + clashes.bound


def _sure(needs: Needs, alone: Alone, start: State) -> tuple[list[int], State]:
    """Settings that may come first whatever follows, and what is left to do."""
    sure: list[int] = []
    while (size := _safe(needs, alone, start)) is not None:
        sure.append(size)
        start = needs.step(start, size)
    return sure, start


def _safe(needs: Needs, alone: Alone, state: State) -> int | None:
    """A setting that is done with for good after one run: every order needs that run, so it may come first."""
    for size in needs.available(state):
        if alone.times(state, size) and not needs.holding(needs.step(state, size), [size]):
            return size
    return None


def _side_by_side(needs: Needs, alone: Alone, start: State, width: int) -> tuple[tuple[int, ...], int]:
    """Orders grown step by step, the `width` best kept: those with few runs sure to come, few settings, few needs.

    The best one, and how many states were looked at.
    """
    front: list[tuple[State, tuple[int, ...]]] = [(start, ())]
    states = 0
    while True:
        ranked: dict[State, tuple[tuple[int, int, int], tuple[int, ...]]] = {}
        for state, order in front:
            if not state:
                return order, states
            for size in needs.available(state):
                following = needs.step(state, size)
                if following not in ranked:
                    to_come = needs.occurring(following).bit_count()
                    rank = alone.of(following).bit_count(), to_come, following.bit_count()
                    ranked[following] = rank, (*order, size)
        states += len(ranked)
        best = sorted(ranked.items(), key=lambda item: item[1])[:width]
        front = [(state, order) for state, (_, order) in best]
