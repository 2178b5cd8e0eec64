"""Where it takes too long to try every way to save a little, every way to save more is tried: the bound rises."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest

from nesting.packing.bounds import as_bound
from nesting.packing.check_bound import verify_bound
from nesting.packing.columns import PRECISION
from nesting.packing.layout import Outcome, PackingTask, PieceKind, Reason, SheetKind, cost_of
from nesting.packing.part import Part, Work, solve_part
from nesting.packing.solve import solve

# So few joins that hardly anything can be tried at the first cost.
SHORT = Work(mending=0, gathering=0, dives=1, nodes=5, guided=0, joins=5, costs=10, rests=0, asking=0)


def mixed_sheets(seed: int) -> PackingTask:
    """Six kinds of pieces from sheets of three sizes that cost their area."""
    chance = random.Random(seed)
    sizes = [(chance.randint(40, 60), chance.randint(30, 50)) for _ in range(3)]
    pieces = (PieceKind(chance.randint(8, 30), chance.randint(8, 30), chance.randint(1, 12)) for _ in range(6))
    return PackingTask(tuple(pieces), tuple(SheetKind(*size, cost=size[0] * size[1]) for size in sizes))


def shortly(task: PackingTask, work: Work) -> Part:
    return solve_part(task, work, 0, scale_of(task), lambda sentence: None, lambda: False)


def scale_of(task: PackingTask) -> int:
    return PRECISION // max(sheet.cost for sheet in task.sheets)


@pytest.mark.parametrize("seed", [8, 17, 19, 24, 35, 44])
def test_the_bound_rises_at_lower_costs_and_stands_up_to_the_check(seed: int) -> None:
    task = mixed_sheets(seed)
    with_them, without = shortly(task, SHORT), shortly(task, replace(SHORT, costs=0))
    assert without.proof.cost < with_them.proof.cost <= cost_of(task, with_them.uses) <= cost_of(task, without.uses)
    assert with_them.proof.reason is Reason.EXHAUSTIVE
    bound = as_bound([(with_them.proof, range(len(task.pieces)))], len(task.pieces), scale_of(task))
    assert verify_bound(task, bound).cost >= bound.cost


@pytest.mark.parametrize("seed", [9, 17, 19, 34])
def test_such_a_bound_is_never_above_the_best(seed: int) -> None:
    task = mixed_sheets(seed)
    best = solve(task)
    assert best.outcome is Outcome.PROVEN
    assert shortly(task, SHORT).proof.cost <= cost_of(task, best.uses)
