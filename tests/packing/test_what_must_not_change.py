"""What a piece more, leave to turn, another scale and the like must not do; and an independent model's answers.

Plans that are not proven may miss the best, so they are held against bounds. The long run is benchmarks/truth.py.
"""

from __future__ import annotations

import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from random_tasks import random_task
from relations import CHANGES, alike, not_dearer, solved
from small_jobs import small_job

from nesting.packing.layout import Outcome, PackingTask, PieceKind, SheetKind, cost_of
from nesting.packing.solve import Effort, solve


@pytest.mark.parametrize("name", CHANGES)
@settings(max_examples=8, deadline=None)
@given(st.integers(0, 10**6))
def test_what_must_hold_between_a_task_and_its_like_holds(name: str, seed: int) -> None:
    chance = random.Random(seed)
    task = random_task(seed, ruled=seed % 2 == 0, kinds=chance.randint(2, 5), need=chance.choice((3, 12)))
    assert CHANGES[name](solved(task), chance, Effort.QUICK).wrong == ()


def test_the_comparison_catches_a_bound_that_is_too_high() -> None:
    few = PackingTask((PieceKind(5, 5, 4),), (SheetKind(10, 10),))
    many = PackingTask((PieceKind(5, 5, 9),), (SheetKind(10, 10),))
    assert not_dearer(solved(few), solved(many), "more").wrong == ()
    assert not_dearer(solved(many), solved(few), "fewer").wrong
    assert alike(solved(few), solved(many), "other").wrong


@pytest.mark.parametrize("seed", range(12))
def test_an_independent_model_of_every_cut_agrees(seed: int) -> None:
    pytest.importorskip("ortools", reason="the independent model needs OR-tools")
    from one_cut_model import least_cost

    task = small_job(seed)
    known, least = least_cost(task)
    answer = solve(task)
    if known is Outcome.SHORT:
        assert answer.outcome is Outcome.SHORT
    elif known is Outcome.PROVEN:
        assert not any(answer.missing)
        assert answer.bound.cost <= least <= cost_of(task, answer.uses)
        if answer.outcome is Outcome.PROVEN:
            assert cost_of(task, answer.uses) == least
