"""The functions keep their promise, and their bounds are true."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from random_tasks import missing_from, random_task

from nesting.packing.bounds import as_bound
from nesting.packing.check_bound import verify_bound
from nesting.packing.layout import Allowed, PackingTask, PieceKind, SheetKind, cost_of
from nesting.packing.portfolio import portfolio
from nesting.packing.stock import stock

sys.path.insert(0, str(Path(__file__).parents[2] / "benchmarks"))
from dual_functions import by_dual_functions, functions


@given(st.integers(2, 90), st.sets(st.integers(1, 90), max_size=12), st.data())
@settings(max_examples=60, deadline=None)
def test_two_lengths_never_count_more_than_their_sum(whole: int, sizes: set[int], data: st.DataObject) -> None:
    some = functions(whole, [size for size in sizes if size <= whole])
    first = data.draw(st.integers(0, whole))
    second = data.draw(st.integers(0, whole - first))
    for function in some:
        assert function(first) >= 0
        assert function(first) + function(second) <= function(first + second)


def test_pieces_over_half_the_sheet_need_a_sheet_each() -> None:
    task = PackingTask((PieceKind(6, 6, 7),), (SheetKind(10, 10),))
    assert by_dual_functions(stock(task), [7]).cost == 7  # the area alone says 3


def test_strips_that_may_not_turn_are_counted_by_their_width() -> None:
    pieces = (PieceKind(6, 3, 3, (Allowed(0, may_turn=False),)), PieceKind(4, 10, 2, (Allowed(0, may_turn=False),)))
    task = PackingTask(pieces, (SheetKind(10, 10),))
    assert by_dual_functions(stock(task), [3, 2]).cost == 2
    assert by_dual_functions(stock(task), [4, 2]).cost == 2
    assert by_dual_functions(stock(task), [6, 3]).cost >= 3


@pytest.mark.parametrize("seed", range(40))
def test_the_bound_holds_and_the_checker_adds_it_up_again(seed: int) -> None:
    task = random_task(seed, ruled=seed % 2 == 0, kinds=6, need=5)
    uses = portfolio(task)
    missing = missing_from(task, uses)
    needs = tuple(piece.need - gone for piece, gone in zip(task.pieces, missing, strict=True))
    if not any(needs):
        return
    proof = by_dual_functions(stock(task), needs)
    assert proof.cost <= cost_of(task, uses)
    bound = as_bound([(proof, range(len(task.pieces)))], len(task.pieces), 1)
    again = verify_bound(task, bound, needs)
    assert again.cost >= proof.cost
    assert again.sheets >= proof.sheets
