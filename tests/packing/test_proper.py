"""Fractional plans of layouts that give nothing twice that is needed once, against all layouts there are."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
import pytest
from random_tasks import random_task
from scipy.optimize import linprog
from test_columns import generated
from tiny import harvests, ruled_job, tiny_job

from nesting.packing.layout import PackingTask, PieceKind, SheetKind, cost_of, pieces_of
from nesting.packing.proper import Pool, Proper
from nesting.packing.rounding import Sheets, left_over, settled


def planned(task: PackingTask, patience: int = 3) -> Proper:
    """A fractional plan from the layouts of a column generation and those that are made for it."""
    columns = generated(task)
    plan = Proper(task, Pool(columns.stock, columns.master.columns, seed=1))
    plan.make(patience, lambda: False)
    return plan


def least_cost(task: PackingTask) -> float | None:
    """The cost of the best fractional plan of all layouts there are; None if there is none."""
    layouts = [(number, gives) for number, sheet in enumerate(task.sheets) for gives in harvests(task, sheet)]
    given = np.array([gives for _, gives in layouts])
    taken = np.array([[float(number == kind) for number, _ in layouts] for kind in range(len(task.sheets))])
    limited = [kind for kind, sheet in enumerate(task.sheets) if sheet.limit is not None]
    found = linprog(
        [task.sheets[number].cost for number, _ in layouts],
        A_ub=np.concatenate([-given.T, taken[limited]]),
        b_ub=[-piece.need for piece in task.pieces] + [task.sheets[kind].limit for kind in limited],
    )
    return found.fun if found.status == 0 else None


def planned_and_least(tasks: Iterable[PackingTask]) -> list[tuple[Proper, float]]:
    """The fractional plans of those tasks that there is one for, each with the cost of the best one."""
    return [(planned(task), cost) for task in tasks if (cost := least_cost(task)) is not None]


def test_a_piece_that_is_needed_once_does_not_fill_a_sheet_twice() -> None:
    """5 + 5 and 6 of 10: a table would have half a sheet for the first, but they must lie on two."""
    task = PackingTask((PieceKind(5, 10, 1), PieceKind(6, 10, 1)), (SheetKind(10, 10),))
    columns = generated(task)
    columns.run(fully=True)
    assert columns.prices is not None
    assert columns.prices.cost == pytest.approx(1.5)
    plan = planned(task)
    assert plan.prices.cost == pytest.approx(2)
    assert plan.reaches(2)
    assert not plan.reaches(1)


def test_it_is_the_best_of_all_layouts_there_are() -> None:
    compared = planned_and_least(map(tiny_job, range(60)))
    for plan, cost in compared:
        assert plan.prices.missing < 1e-6
        assert plan.prices.cost == pytest.approx(cost, rel=1e-5)
    assert len(compared) >= 30


def test_it_promises_nothing_that_the_trimmer_cannot_cut() -> None:
    compared = planned_and_least(map(ruled_job, range(40)))
    met = 0
    for plan, cost in compared:
        if plan.prices.missing < 1e-6:
            assert plan.prices.cost >= cost * (1 - 1e-5)
            met += plan.prices.cost == pytest.approx(cost, rel=1e-5)
    assert met >= len(compared) - 2 >= 10


def test_the_rest_of_a_task_is_planned_from_the_same_pool() -> None:
    """Its layouts give no more than is left, and taking them over leaves what they do not give."""
    looked_at = 0
    for seed in range(40):
        task = random_task(seed, kinds=6, need=3)
        plan = planned(task, patience=1)
        if plan.prices.missing > 1e-6 or not plan.numbers:
            continue
        most = max(range(len(plan.numbers)), key=lambda column: (plan.prices.uses[column], column))
        taken = settled(plan.stock, [Sheets(plan.source(most), plan.node(most), 1)])
        rest = left_over(task, taken)
        fewer = Proper(rest, plan.pool, plan, near=0.2)
        fewer.make(1, lambda: False)
        assert pieces_of(rest) == pieces_of(task) - int(plan.gives(most).sum())
        if fewer.prices.missing < 1e-6:
            looked_at += 1
            assert fewer.prices.cost >= plan.prices.cost - cost_of(task, taken) - 1e-3
        for column in range(len(fewer.numbers)):
            assert all(fewer.gives(column) <= fewer.needs)
            assert fewer.source(column) < len(fewer.stock.sources)
    assert looked_at >= 10
