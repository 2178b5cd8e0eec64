"""First plans are true, obey the trimmer, and are never worse than rectpack's."""

from __future__ import annotations

import pytest
from random_tasks import missing_from, random_task, unproven

from nesting.packing.check import check
from nesting.packing.fill import score
from nesting.packing.ground import ground
from nesting.packing.improve import improve
from nesting.packing.layout import (
    Allowed,
    Axis,
    Block,
    CutRules,
    Margins,
    PackingTask,
    PieceKind,
    SheetKind,
    cost_of,
    sheets_of,
)
from nesting.packing.portfolio import portfolio, rectpack_best


@pytest.mark.parametrize("seed", range(25))
def test_every_layout_is_true_and_can_be_cut(seed: int) -> None:
    task = random_task(seed)
    uses = portfolio(task)
    assert check(task, unproven(task, uses)) == ()


@pytest.mark.parametrize("seed", range(100, 125))
def test_without_limits_every_piece_that_fits_is_cut(seed: int) -> None:
    task = random_task(seed, ruled=False)
    if any(sheet.limit is not None for sheet in task.sheets):
        task = PackingTask(task.pieces, tuple(SheetKind(s.width, s.height, s.paper, s.cost) for s in task.sheets))
    uses = portfolio(task)
    assert check(task, unproven(task, uses)) == ()
    for kind, (piece, missing) in enumerate(zip(task.pieces, missing_from(task, uses), strict=True)):
        fits = any(ground(task).fits(kind, sheet) for sheet in range(len(task.sheets)))
        assert missing == (0 if fits else piece.need)


@pytest.mark.parametrize("seed", range(4))
def test_a_plan_is_never_worse_than_the_best_of_rectpack(seed: int) -> None:
    task = random_task(200 + seed, ruled=False, need=4, sheets=1)
    reference = rectpack_best(task)
    assert check(task, unproven(task, reference)) == ()
    plan = improve(task, portfolio(task), target_cost=0, work=3_000, seed=seed)
    assert score(ground(task), plan)[:3] <= score(ground(task), reference)[:3]


def test_twenty_thousand_copies_are_as_quick_as_twenty() -> None:
    few, many = ([PieceKind(70, 50, 2 * n), PieceKind(33, 21, 3 * n)] for n in (20, 20_000))
    sheets = (SheetKind(210, 297),)
    plans = [portfolio(PackingTask(tuple(kinds), sheets)) for kinds in (few, many)]
    assert missing_from(PackingTask(tuple(many), sheets), plans[1]) == (0, 0)
    assert len(plans[1]) <= 40
    assert sheets_of(plans[1]) <= 1010 * sheets_of(plans[0])


def test_short_paper_gives_as_much_as_there_is() -> None:
    task = PackingTask((PieceKind(10, 10, 9),), (SheetKind(20, 20, limit=2),))
    uses = portfolio(task)
    assert missing_from(task, uses) == (1,)
    assert check(task, unproven(task, uses)) == ()


def test_no_pieces_or_no_sheets_give_an_empty_plan() -> None:
    assert portfolio(PackingTask((), (SheetKind(10, 10),))) == ()
    assert portfolio(PackingTask((PieceKind(5, 5, 1),), ())) == ()


def test_a_one_way_print_stands_upright_on_every_sheet() -> None:
    task = PackingTask((PieceKind(30, 60, 4, (Allowed(0, may_turn=False),)),), (SheetKind(60, 100),))
    assert sheets_of(portfolio(task)) == 2  # lying, three would fit on a sheet
    free = PackingTask((PieceKind(30, 60, 4),), (SheetKind(60, 100),))
    assert sheets_of(portfolio(free)) == 2
    assert sheets_of(portfolio(PackingTask((PieceKind(30, 60, 3),), (SheetKind(60, 100),)))) == 1


def test_each_paper_turns_what_it_allows() -> None:
    piece = PieceKind(30, 60, 1, (Allowed(0, may_turn=False), Allowed(1, may_turn=True)))
    low = (SheetKind(60, 30, 0), SheetKind(60, 30, 1, cost=5))
    task = PackingTask((piece,), low)
    uses = portfolio(task)
    assert [use.sheet for use in uses] == [1]
    assert check(task, unproven(task, uses)) == ()


def test_the_cheap_sheet_is_taken_first_and_no_more_than_there_are() -> None:
    task = PackingTask((PieceKind(10, 10, 12),), (SheetKind(20, 20, cost=9), SheetKind(20, 20, cost=2, limit=2)))
    uses = portfolio(task)
    assert cost_of(task, uses) == 2 * 2 + 9
    assert check(task, unproven(task, uses)) == ()


def test_the_blade_takes_its_kerf_between_pieces() -> None:
    pieces = (PieceKind(10, 10, 4),)
    assert sheets_of(portfolio(PackingTask(pieces, (SheetKind(21, 21),), CutRules(kerf=1)))) == 1
    assert sheets_of(portfolio(PackingTask(pieces, (SheetKind(20, 20),), CutRules(kerf=1)))) == 4


def test_margins_hold_no_piece() -> None:
    sheet = SheetKind(24, 24, margins=Margins(left=2, bottom=1))
    task = PackingTask((PieceKind(11, 11, 4),), (sheet,))
    uses = portfolio(task)
    assert sheets_of(uses) == 1
    assert check(task, unproven(task, uses)) == ()


def test_a_block_is_cut_within_the_turns_that_are_allowed() -> None:
    block = Block(Axis.ACROSS, (4, 6))
    piece = PieceKind(10, 10, 4, (Allowed(0, may_turn=False),), block)
    for turns, missing in ((0, 4), (1, 0)):  # down into strips, then across: the block's own cut needs no turn
        task = PackingTask((piece,), (SheetKind(20, 25, limit=1),), CutRules(most_turns=turns))
        uses = portfolio(task)
        assert missing_from(task, uses) == (missing,)
        assert check(task, unproven(task, uses)) == ()


def test_strips_too_narrow_to_hold_are_cut_first() -> None:
    task = PackingTask((PieceKind(3, 40, 2), PieceKind(30, 40, 1)), (SheetKind(36, 40),), CutRules(narrowest_held=20))
    uses = portfolio(task)
    assert sheets_of(uses) == 1
    assert missing_from(task, uses) == (0, 0)
    assert check(task, unproven(task, uses)) == ()


def test_free_paper_beyond_the_stop_is_cut_off_in_lengths_it_reaches() -> None:
    task = PackingTask((PieceKind(60, 20, 1),), (SheetKind(100, 20),), CutRules(largest_setting=30))
    uses = portfolio(task)
    assert missing_from(task, uses) == (0,)
    assert check(task, unproven(task, uses)) == ()
