"""What an order of cuts says: letters, stacks, turns, errors of the stop, marks of the ruler, spacers, margins."""

from __future__ import annotations

from dataclasses import replace

import pytest
from cut_plans import random_plan

from nesting.cutting.choose import quicker
from nesting.cutting.passes import CutOrder, Edge, Order, WaysOfWork, What
from nesting.cutting.replay import replay
from nesting.cutting.sequence import order_cuts
from nesting.packing.check import check
from nesting.packing.layout import (
    Allowed,
    Axis,
    Block,
    CutPart,
    CutRules,
    FreePart,
    MarginPart,
    Margins,
    PackingTask,
    Part,
    PieceKind,
    PiecePart,
    SheetKind,
    Use,
)
from nesting.packing.solve import Effort, solve
from nesting.packing.trees import counts_of

FINE = WaysOfWork(ruler_step=1)


def _row(*strips: tuple[int, int], height: int = 30, waste: int = 0, copies: int = 1,
         rules: CutRules | None = None) -> tuple[PackingTask, tuple[Use, ...]]:  # fmt: skip
    """Strips (width, kind) side by side, and waste."""
    width = sum(strip for strip, _ in strips) + waste
    kinds = {kind: strip for strip, kind in strips}
    pieces = tuple(PieceKind(kinds[kind], height, 1) for kind in sorted(kinds))
    parts: list[Part] = [PiecePart(strip, height, kind) for strip, kind in strips]
    root = CutPart(width, height, Axis.ACROSS, (*parts, *([FreePart(waste, height)] if waste else [])))
    return PackingTask(pieces, (SheetKind(width, height),), rules or CutRules()), (Use(0, root, copies),)


def _errors(order: CutOrder) -> list[int]:
    return sorted(part.error_steps for part in order.parts if part.part.what is What.PIECE)


def test_letters_go_by_area_largest_first() -> None:
    task, uses = _row((3, 0), (9, 1), (5, 2), waste=2)
    names = {part.part.kind: part.part.name for part in order_cuts(task, uses, FINE).parts}
    assert names == {0: "C", 1: "A", 2: "B", None: ""}


def test_the_twenty_seventh_letter_is_two_letters() -> None:
    task, uses = _row(*((2 + kind, kind) for kind in range(28)), waste=1)
    names = {part.part.kind: part.part.name for part in order_cuts(task, uses, FINE, work=50).parts}
    assert (names[27], names[2], names[1], names[0]) == ("A", "Z", "AA", "AB")


def test_a_batch_of_two_thousand_has_as_many_instructions_as_one_of_twenty() -> None:
    for seed in range(20):
        task, uses = random_plan(seed, sheets=3)
        few, many = ([replace(use, copies=use.copies * times) for use in uses] for times in (20, 2000))
        first, second = (order_cuts(task, tuple(uses), FINE, work=300) for uses in (few, many))
        assert len(first.passes) == len(second.passes)
        assert first.settings == second.settings


def test_stacks_are_as_deep_as_may_be_and_the_last_holds_the_rest() -> None:
    task, uses = _row((4, 0), (4, 0), waste=1, copies=11)
    (line,) = order_cuts(task, uses, replace(FINE, deep=4)).passes
    assert line.stacks == (4, 4, 3)
    assert line.cuts == 2
    assert line.strokes == 6
    assert {comes.part.what: comes.count for comes in line.comes} == {What.PIECE: 22, What.KEEP: 11}


def test_errors_add_up_in_what_is_left_over_and_not_where_waste_takes_them() -> None:
    assert _errors(order_cuts(*_row(*[(4, 0)] * 5), FINE)) == [1, 1, 1, 1, 4]
    assert _errors(order_cuts(*_row(*[(4, 0)] * 5, waste=1), FINE)) == [1] * 5


def test_halving_a_row_keeps_errors_from_adding_up_and_takes_more_settings() -> None:
    task, uses = _row(*[(4, 0)] * 4)
    halved = order_cuts(task, uses, replace(FINE, halve_rows=True))
    assert max(_errors(halved)) == 2
    assert halved.settings == 2
    assert max(_errors(order_cuts(task, uses, FINE))) == 3


def test_an_untrimmed_edge_counts_as_an_error_where_edges_are_not_trusted() -> None:
    task, uses = _row((4, 0), waste=1)
    assert _errors(order_cuts(task, uses, FINE)) == [1]
    (part,) = order_cuts(PackingTask((PieceKind(4, 9, 1),), (SheetKind(4, 9),)),
                         (Use(0, PiecePart(4, 9, 0), 1),), replace(FINE, square_first=True)).parts  # fmt: skip
    assert part.error_steps == 1


def test_squaring_cuts_come_first_and_say_so() -> None:
    inner = CutPart(20, 30, Axis.ACROSS, (PiecePart(8, 30, 0), PiecePart(8, 30, 0), FreePart(4, 30)))
    below = CutPart(20, 31, Axis.DOWN, (MarginPart(20, 1), inner))
    root = CutPart(21, 31, Axis.ACROSS, (MarginPart(1, 31), below))
    task = PackingTask((PieceKind(8, 30, 2),), (SheetKind(21, 31, margins=Margins(left=1, top=1)),))
    uses = (Use(0, root, 3),)
    ways = replace(FINE, square_first=True)
    order = order_cuts(task, uses, ways)
    assert [(line.squares, line.setting, line.edge) for line in order.passes] == [
        (True, 1, Edge.LEFT), (True, 1, Edge.TOP), (False, 8, Edge.LEFT)]  # fmt: skip
    assert order.settings == 2
    assert replay(task, uses, ways, order) == ()


def test_a_setting_off_the_rulers_step_names_the_nearest_mark() -> None:
    task, uses = _row((100, 0), waste=7)
    (line,) = order_cuts(task, uses, WaysOfWork(ruler_step=16)).passes
    assert line.setting_mark == 96
    (line,) = order_cuts(task, uses, WaysOfWork(ruler_step=50)).passes
    assert line.setting_mark is None


def test_narrow_strips_stay_on_blocks_wide_enough_to_hold() -> None:
    for waste in (0, 1):
        task, uses = _row((2, 0), (2, 0), (20, 1), waste=waste)
        held = order_cuts(task, uses, replace(FINE, narrowest_held=10))
        assert not any(line.spacer for line in held.passes)
        assert held.passes[0].setting == 2
        assert replay(task, uses, replace(FINE, narrowest_held=10), held) == ()


def test_a_part_too_narrow_to_hold_names_the_spacer() -> None:
    task, uses = _row((4, 0), (4, 0), height=5)
    (line,) = order_cuts(task, uses, replace(FINE, narrowest_held=6)).passes
    assert line.spacer


def test_what_is_longer_than_the_stop_reaches_is_left_over() -> None:
    for waste in (0, 3):
        task, uses = _row((4, 0), (30, 1), waste=waste)
        order = order_cuts(task, uses, replace(FINE, largest_setting=20))
        assert {line.setting for line in order.passes} == ({4, waste} if waste else {4})


def test_panels_of_a_print_that_runs_on_are_cut_in_order() -> None:
    for turned, edge in ((False, Edge.LEFT), (True, Edge.TOP)):
        block = Block(Axis.ACROSS, (12, 12, 10))
        size = (20, 34) if turned else (34, 20)
        task = PackingTask((PieceKind(34, 20, 1, (Allowed(0),), block),), (SheetKind(*size),))
        uses = (Use(0, PiecePart(*size, 0, turned), 4),)
        order = order_cuts(task, uses, FINE)
        places = sorted(order.parts, key=lambda part: (part.x, part.y))
        assert [part.part.name for part in places] == ["A1", "A2", "A3"]
        assert all(line.edge is edge for line in order.passes)
        assert replay(task, uses, FINE, order) == ()


def test_a_blade_that_runs_over_the_edge_leaves_nothing() -> None:
    parts = (PiecePart(9, 20, 0), PiecePart(9, 20, 0), FreePart(0, 20))
    task = PackingTask((PieceKind(9, 20, 2),), (SheetKind(21, 20),), CutRules(kerf=2))
    uses = (Use(0, CutPart(21, 20, Axis.ACROSS, parts), 1),)
    order = order_cuts(task, uses, FINE)
    assert [line.cuts for line in order.passes] == [2]
    assert [(part.x, part.width) for part in order.parts if part.part.what is What.PIECE] == [(0, 9), (11, 9)]
    assert replay(task, uses, FINE, order) == ()


def test_a_sheet_that_is_one_piece_needs_no_cut() -> None:
    task = PackingTask((PieceKind(9, 20, 2),), (SheetKind(9, 20),))
    order = order_cuts(task, (Use(0, PiecePart(9, 20, 0), 2),), FINE)
    assert (order.passes, order.settings, order.fewest, order.seconds) == ((), 0, 0, 0)
    assert order.proven


def test_a_layout_that_comes_twice_is_cut_once_by_setting_and_twice_stack_by_stack() -> None:
    task, (use,) = _row((4, 0), (5, 1), waste=2, copies=3)
    uses = (use, replace(use, copies=2))
    settings = []
    for way in Order:
        order = order_cuts(task, uses, FINE, order=way)
        assert replay(task, uses, FINE, order) == ()
        settings.append(order.settings)
    assert settings == [2, 4, 10]


def test_no_layouts_make_an_empty_order() -> None:
    order = order_cuts(PackingTask((), ()), (), FINE)
    assert (order.passes, order.parts, order.settings) == ((), (), 0)


def test_the_three_ways_differ_in_settings_as_they_must() -> None:
    for seed in range(12):
        task, uses = random_plan(seed, sheets=3, size=24)
        free = replace(FINE, most_piles=500, deep=3)
        by_setting, stack, sheet = (order_cuts(task, uses, free, order=way, work=2000) for way in Order)
        assert by_setting.fewest <= by_setting.settings <= stack.settings <= sheet.settings
        assert max((max(line.stacks) for line in sheet.passes), default=1) == 1


@pytest.mark.parametrize("cap", [3, 5, 8])
def test_the_cap_on_piles_is_kept_where_it_can_be(cap: int) -> None:
    for seed in range(12):
        task, uses = random_plan(seed, sheets=6, size=30)
        order = order_cuts(task, uses, replace(FINE, most_piles=cap), work=500)
        single = order_cuts(task, uses, replace(FINE, most_piles=cap), order=Order.STACK_BY_STACK, work=500)
        assert order.piles <= max(cap, single.piles)


def test_the_same_layouts_give_the_same_order_and_time_is_no_part_of_it() -> None:
    for seed in range(8):
        task, uses = random_plan(seed, sheets=5, size=30)
        first, second = (order_cuts(task, uses, FINE, work=700) for _ in range(2))
        assert first == second


def test_a_search_that_is_stopped_still_gives_a_whole_order() -> None:
    task, uses = random_plan(3, sheets=6, size=40, depth=5)
    order = order_cuts(task, uses, FINE, stop=lambda: True)
    assert replay(task, uses, FINE, order) == ()
    assert order.fewest <= order.settings


def test_parts_of_one_size_and_other_cuts_have_other_names() -> None:
    one = CutPart(10, 12, Axis.DOWN, (PiecePart(10, 5, 0), PiecePart(10, 7, 1)))
    two = CutPart(10, 12, Axis.DOWN, (PiecePart(10, 5, 0), PiecePart(10, 6, 2), FreePart(10, 1)))
    same = CutPart(10, 12, Axis.DOWN, (PiecePart(10, 7, 1), PiecePart(10, 4, 3), FreePart(10, 1)))
    other = CutPart(10, 12, Axis.DOWN, (PiecePart(10, 4, 3), PiecePart(10, 7, 1), PiecePart(10, 1, 4)))
    task = PackingTask(
        tuple(PieceKind(10, height, 1) for height in (5, 7, 6, 4, 1)), (SheetKind(41, 12),)
    )
    uses = (Use(0, CutPart(41, 12, Axis.ACROSS, (one, two, same, other, FreePart(1, 12))), 2),)
    order = order_cuts(task, uses, FINE)
    names = [comes.part.name for line in order.passes for comes in line.comes if comes.part.what is What.PART]
    assert len({line.part.name for line in order.passes if line.edge is Edge.TOP}) >= 4, names
    assert replay(task, uses, FINE, order) == ()


def test_the_quicker_choice_cuts_the_same_pieces_from_as_many_sheets() -> None:
    task = PackingTask(
        tuple(PieceKind(*size, 15) for size in ((33, 54), (21, 54), (40, 27), (18, 33), (60, 22))),
        (SheetKind(120, 120),),
    )
    answer = solve(task, effort=Effort.QUICK)
    ways = replace(FINE, deep=4)
    choice = quicker(task, answer.uses, answer.pool, ways, work=2000)
    kinds = len(task.pieces)
    for uses in (answer.uses, choice.uses):
        total = [sum(use.copies * counts_of(use.root, kinds)[kind] for use in uses) for kind in range(kinds)]
        assert total == [15] * kinds
    assert sum(use.copies for use in choice.uses) == sum(use.copies for use in answer.uses)
    assert check(task, replace(answer, uses=choice.uses)) == ()
    assert replay(task, choice.uses, ways, choice.order) == ()
    assert choice.seconds_saved >= 0


def test_many_single_layouts_become_one_layout_cut_in_a_stack() -> None:
    full = CutPart(24, 10, Axis.ACROSS, (PiecePart(8, 10, 0), PiecePart(8, 10, 0), PiecePart(8, 10, 0)))
    less = CutPart(24, 10, Axis.ACROSS, (PiecePart(8, 10, 0), PiecePart(8, 10, 0), FreePart(8, 10)))
    odd = CutPart(24, 10, Axis.ACROSS, (PiecePart(8, 10, 0), FreePart(16, 10)))
    task = PackingTask((PieceKind(8, 10, 6),), (SheetKind(24, 10),))
    uses = (Use(0, full, 1), Use(0, less, 1), Use(0, odd, 1))
    choice = quicker(task, uses, (), replace(FINE, deep=3, seconds_per_offcut=0))
    assert sum(use.copies * counts_of(use.root, 1)[0] for use in choice.uses) == 6
    assert len(choice.uses) < len(uses)
    assert choice.seconds_saved > 0


def test_no_sheet_is_taken_for_nothing_where_one_layout_would_hold_all() -> None:
    half = CutPart(20, 10, Axis.ACROSS, (PiecePart(10, 10, 0), FreePart(10, 10)))
    task = PackingTask((PieceKind(10, 10, 2),), (SheetKind(20, 10),))
    choice = quicker(task, (Use(0, half, 2),), (), FINE)
    assert all(any(counts_of(use.root, 1)) for use in choice.uses)
    assert replay(task, choice.uses, FINE, choice.order) == ()
