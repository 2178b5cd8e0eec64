"""Some sheets as the fractional plan has them, the others by ruin and recreate: a plan at a cost that is hard to reach.

In: a task, the column generation that solved it in fractions, a cost to reach. Out: a plan at this cost or below, or
nothing. The fact of the trade: most sheets of a good plan are easy to guess, and the puzzle is in the last ten. Sheets
are taken over a few at a time, those that the fractional plan uses most more often than others, as long as fractions
of layouts, made anew for what is left, still reach the cost (a dive, as in branch and price: Barnhart, Johnson,
Nemhauser, Savelsbergh & Vance 1998, Operations Research 46, 316-329; the end by ruin and recreate is our own).
The fractions are of layouts that give nothing beyond the needs: where even those do not reach the cost, no attempt is
made. Layouts found by one attempt serve all later ones.
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
from nesting.packing.proper import Pool, Proper
from nesting.packing.rounding import Sheets, left_over, settled

AT_A_TIME, SHARE = 2, 8  # sheets that are taken over before the rest is looked at again; or this part of them all
MOST_LEFT = 40  # pieces that are left to ruin and recreate, and two thirds of all
NEAR = 0.1  # of a sheet: layouts that lose no more are handed on to the rest
PATIENCE, HASTE = 12, 3  # coolings without a new layout, until fractions are held to be too dear: of all, of a rest
MORE = 1  # such coolings before layouts are chosen: the more there are to choose from, the better the choice
ROUNDS = 120_000  # of ruin and recreate at the end of each attempt
MOST_FAILED = 20  # attempts that fail with the first sheets, until it is given up
CHOICES = 3  # beginnings that are tried where the rest would become too dear


@dataclass(frozen=True, slots=True)
class _Rest:
    """Sheets taken over, and the fractional plan of what remains."""

    done: tuple[Use, ...]
    plan: Proper


def guided(
    task: PackingTask, columns: Columns, cost: int, *, attempts: int, seed: int,
    stop: Callable[[], bool] | None = None,
) -> tuple[Use, ...]:  # fmt: skip
    """A plan for all needs that costs at most `cost`; nothing if so many attempts find none, or it seems hopeless."""
    ends = stop or (lambda: False)
    chance, last_pieces, failed = Random(seed), min(MOST_LEFT, 2 * pieces_of(task) // 3), 0
    pool = Pool(columns.stock, columns.master.columns, seed)
    whole = Proper(task, pool)
    for attempt in range(attempts):
        whole.make(PATIENCE, ends, cost)
        if ends() or not whole.reaches(cost):
            break
        whole.make(MORE, ends)
        rest: _Rest | None = _Rest((), whole)
        steps = 0
        while rest is not None and pieces_of(rest.plan.task) > last_pieces and not ends():
            rest, steps = _some_taken(rest, cost, chance, ends), steps + 1
        failed += rest is None and steps == 1
        if failed == MOST_FAILED:
            break
        if rest is None:
            continue
        if ends():
            break
        left, target = rest.plan.task, cost - cost_of(task, rest.done)
        last = improve(left, fill(ground(left)), target_cost=target, work=ROUNDS, seed=seed + attempt, stop=ends)
        if cost_of(task, last) <= target and not pieces_of(left_over(left, last)):
            return (*rest.done, *last)
    return ()


def _some_taken(rest: _Rest, cost: int, chance: Random, ends: Callable[[], bool]) -> _Rest | None:
    """The rest after some more sheets, whose fractional plan still reaches the cost; None where none was found."""
    plan = rest.plan
    drawn = [(-value * sqrt(chance.random()), number) for number, value in enumerate(plan.prices.uses) if value > 1e-6]
    order = [number for _, number in sorted(drawn)]
    for first in range(min(CHOICES, len(order))):
        more = _taken(plan, order[first:])
        done = (*rest.done, *more)
        fewer, target = Proper(left_over(plan.task, more), plan.pool, plan, NEAR), cost - cost_of(plan.task, done)
        fewer.make(HASTE, ends, target)
        if more and fewer.reaches(target):
            fewer.make(MORE, ends)
            return _Rest(done, fewer)
    return None


def _taken(plan: Proper, order: Sequence[int]) -> tuple[Use, ...]:
    """Some sheets of these layouts, the first ones that give nothing beyond the needs, as many as are used of each."""
    left, uses, taken = plan.needs, plan.prices.uses, list[Sheets]()
    room = max(AT_A_TIME, int(sum(uses)) // SHARE)
    for column in order:
        gives = plan.gives(column)
        given = gives > 0
        copies = min(room, int((left[given] // gives[given]).min()), max(1, int(uses[column] + 1e-6)))
        if copies:
            left = left - copies * gives
            taken.append(Sheets(plan.source(column), plan.node(column), copies))
            room -= copies
    return settled(plan.stock, taken)
