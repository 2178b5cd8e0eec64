"""Free paper is gathered, never at the price of a sheet, and never beyond what area allows."""

from __future__ import annotations

from collections import Counter

import pytest
from random_tasks import missing_from, random_task, unproven

from nesting.packing.check import check
from nesting.packing.fill import fill
from nesting.packing.ground import ground
from nesting.packing.layout import Allowed, Axis, CutRules, PackingTask, PieceKind, SheetKind, Use
from nesting.packing.leftovers import gather, largest_possible
from nesting.packing.portfolio import portfolio
from nesting.packing.trees import cut_node, largest_free_of


def sheets_by_kind(uses: tuple[Use, ...]) -> Counter[int]:
    counts: Counter[int] = Counter()
    for use in uses:
        counts[use.sheet] += use.copies
    return counts


@pytest.mark.parametrize("seed", range(30))
def test_a_larger_offcut_costs_no_sheet(seed: int) -> None:
    task = random_task(seed)
    before = portfolio(task)
    after = gather(task, before, work=500, seed=seed)
    assert check(task, unproven(task, after)) == ()
    assert missing_from(task, after) == missing_from(task, before)
    if sheets_by_kind(after) == sheets_by_kind(before):
        assert largest_free_of(before) <= largest_free_of(after) <= largest_possible(task, before)
    else:
        assert sheets_by_kind(after) < sheets_by_kind(before)


def test_three_strips_become_one_offcut() -> None:
    task = PackingTask((PieceKind(20, 5, 6), PieceKind(20, 10, 1)), (SheetKind(20, 50),))
    uses = gather(task, fill(ground(task)), work=500, seed=0)
    assert largest_free_of(uses) == 20 * 10 == largest_possible(task, uses)


def test_scattered_free_paper_comes_together() -> None:
    task = PackingTask((PieceKind(10, 6, 2, (Allowed(0, may_turn=False),)),), (SheetKind(20, 20),))
    column = cut_node(Axis.DOWN, 10, 20, [(2, 10, 6, 0)])
    tree = cut_node(Axis.ACROSS, 20, 20, [column, column])
    use = ground(task).use(0, tree)
    assert use is not None
    scattered = (use,)
    assert largest_free_of(scattered) == 140
    uses = gather(task, scattered, work=3_000, seed=0)
    assert largest_free_of(uses) == 20 * 14
    assert largest_possible(task, scattered) == 20 * 14


def test_the_bound_counts_the_kerf_and_one_piece_a_sheet() -> None:
    task = PackingTask((PieceKind(5, 8, 2, (Allowed(0, may_turn=False),)),), (SheetKind(20, 20),), CutRules(kerf=1))
    uses = portfolio(task)
    assert largest_possible(task, uses) == 14 * 20
    assert largest_free_of(gather(task, uses, work=500, seed=0)) <= 14 * 20
