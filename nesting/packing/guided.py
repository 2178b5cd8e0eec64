"""Some sheets as the fractional plan has them, the others by ruin and recreate: a plan at a cost that is hard to reach.

In: a task, the column generation that solved it in fractions, a cost to reach. Out: a plan at this cost or below, or
nothing. The fact of the trade: most sheets of a good plan are easy to guess, and the puzzle is in the last ten. Sheets
are taken over a few at a time, those that the fractional plan uses most more often than others, as long as fractions
of layouts, made anew for what is left, still reach the cost (a dive, as in branch and price: Barnhart, Johnson,
Nemhauser, Savelsbergh & Vance 1998, Operations Research 46, 316-329; the end by ruin and recreate is our own).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import sqrt
from random import Random

from nesting.packing.columns import Columns
from nesting.packing.fill import fill
from nesting.packing.ground import ground
from nesting.packing.improve import improve
from nesting.packing.layout import PackingTask, Use, cost_of, pieces_of
from nesting.packing.rounding import Sheets, left_over, renewed, settled

AT_A_TIME, SHARE = 2, 8  # sheets that are taken over before the rest is looked at again; or this part of them all
MOST_LEFT = 40  # pieces that are left to ruin and recreate, and two thirds of all
NEAR = 0.05  # of a sheet: layouts that lose no more are handed on to the rest
ROUNDS = 60_000  # of ruin and recreate at the end of each attempt
MOST_FAILED = 5  # attempts that fail with the first sheets, until it is given up
CHOICES = 3  # beginnings that are tried where the rest would become too dear


@dataclass(frozen=True, slots=True)
class _Rest:
    """Sheets taken over, the task that remains and its fractional plan."""

    done: tuple[Use, ...]
    task: PackingTask
    columns: Columns


def guided(
    task: PackingTask, columns: Columns, cost: int, *, attempts: int, seed: int,
    stop: Callable[[], bool] | None = None,
) -> tuple[Use, ...]:  # fmt: skip
    """A plan for all needs that costs at most `cost`; nothing if so many attempts find none, or many fail at once."""
    ends = stop or (lambda: False)
    chance, last_pieces, failed = Random(seed), min(MOST_LEFT, 2 * pieces_of(task) // 3), 0
    for attempt in range(attempts):
        rest: _Rest | None = _Rest((), task, columns)
        steps = 0
        while rest is not None and pieces_of(rest.task) > last_pieces and not ends():
            rest, steps = _some_taken(rest, cost, chance, ends), steps + 1
        failed += rest is None and steps == 1
        if failed == MOST_FAILED:
            break
        if rest is None:
            continue
        if ends():
            break
        last, target = fill(ground(rest.task)), cost - cost_of(task, rest.done)
        last = improve(rest.task, last, target_cost=target, work=ROUNDS, seed=seed + attempt, stop=ends)
        if cost_of(task, last) <= target and not pieces_of(left_over(rest.task, last)):
            return (*rest.done, *last)
    return ()


def _some_taken(rest: _Rest, cost: int, chance: Random, ends: Callable[[], bool]) -> _Rest | None:
    """The rest after some more sheets, whose fractional plan still reaches the cost; None where none was found."""
    uses = rest.columns.prices.uses if rest.columns.prices is not None else ()
    drawn = [(-value * sqrt(chance.random()), number) for number, value in enumerate(uses) if value > 1e-6]
    order = [number for _, number in sorted(drawn)]
    for first in range(min(CHOICES, len(order))):
        more = _taken(rest.columns, order[first:], uses)
        done = (*rest.done, *more)
        left = left_over(rest.task, more)
        target = cost - cost_of(rest.task, done)
        columns = renewed(left, rest.columns, NEAR)
        if more and columns.stock.sources and _reaches(columns, target, ends):
            return _Rest(done, left, columns)
    return None


def _taken(columns: Columns, order: Sequence[int], uses: Sequence[float]) -> tuple[Use, ...]:
    """Some sheets of these layouts, the first ones that give nothing beyond the needs, as many as are used of each."""
    left, taken, room = list(columns.needs), list[Sheets](), max(AT_A_TIME, int(sum(uses)) // SHARE)
    for number in order:
        column = columns.master.columns[number]
        most = min(need // gives for gives, need in zip(column.counts, left, strict=True) if gives)
        copies = min(room, most, max(1, int(uses[number] + 1e-6)))
        if copies:
            left = [need - copies * gives for gives, need in zip(column.counts, left, strict=True)]
            taken.append(Sheets(column.source, column.node, copies))
            room -= copies
    return settled(columns.stock, taken)


def _reaches(columns: Columns, cost: int, ends: Callable[[], bool]) -> bool:
    """Whether fractions of layouts cost no more than this; layouts are made until that is known."""
    def cheap() -> bool:
        return columns.enough and columns.prices is not None and columns.prices.cost <= cost * (1 + 1e-6) + 1e-6

    columns.run(enough=cost + 1, stop=lambda: cheap() or ends(), fully=True)
    return cheap()
