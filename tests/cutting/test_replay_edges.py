"""Each rule of the replay at its edge: what just keeps it stands, what just breaks it is caught for that reason."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from nesting.cutting.passes import CutOrder, MapCut, Order, Pass, WaysOfWork, What
from nesting.cutting.replay import replay
from nesting.cutting.sequence import order_cuts
from nesting.packing.layout import Axis, CutPart, FreePart, PackingTask, Part, PieceKind, PiecePart, SheetKind, Use

A, D = Axis.ACROSS, Axis.DOWN
STRIP = CutPart(5, 8, D, tuple(PiecePart(5, 4, 0) for _ in range(2)))
FIRST = CutPart(18, 8, A, (STRIP, STRIP, PiecePart(8, 8, 1)))
SECOND = CutPart(15, 8, A, (STRIP, PiecePart(3, 8, 2), FreePart(7, 8)))
TASK = PackingTask(
    (PieceKind(5, 4, 12), PieceKind(8, 8, 2), PieceKind(3, 8, 2)), (SheetKind(18, 8), SheetKind(15, 8))
)
USES = (Use(0, FIRST, 2), Use(1, SECOND, 2))
WAYS = WaysOfWork(deep=3, ruler_step=4)


def ordered(way: Order = Order.BY_SETTING, ways: WaysOfWork = WAYS) -> CutOrder:
    found = order_cuts(TASK, USES, ways, order=way)
    assert replay(TASK, USES, ways, found) == ()
    return found


def wrong(order: CutOrder, ways: WaysOfWork = WAYS) -> str:
    return " ".join(replay(TASK, USES, ways, order))


def changed(order: CutOrder, which: Callable[[Pass], bool], change: Callable[[Pass], Pass]) -> CutOrder:
    """The order with its first line of some kind changed."""
    place = next(place for place, line in enumerate(order.passes) if which(line))
    lines = list(order.passes)
    lines[place] = change(lines[place])
    return replace(order, passes=tuple(lines))


def test_the_stop_gets_a_new_number_only_with_a_new_setting() -> None:
    order = ordered()
    lines = order.passes
    place = next(place for place in range(1, len(lines)) if lines[place].number == lines[place - 1].number)
    later = (replace(line, number=line.number + 1) for line in lines[place:])
    told = wrong(replace(order, passes=(*lines[:place], *later)))
    assert "the stop's number and its setting do not change together" in told


@pytest.mark.parametrize("stacks", [(4,), (3, 0), (3, -1, 2), ()])
def test_a_stack_is_one_sheet_at_least_and_no_deeper_than_the_trimmer_takes(stacks: tuple[int, ...]) -> None:
    order = changed(ordered(), lambda line: True, lambda line: replace(line, stacks=stacks))
    assert "a stack is deeper than the trimmer takes" in wrong(order)


def test_sheet_by_sheet_nothing_is_stacked() -> None:
    order = changed(
        ordered(Order.SHEET_BY_SHEET), lambda line: line.stacks == (1, 1), lambda line: replace(line, stacks=(2,))
    )
    assert "a stack is deeper than the trimmer takes" in wrong(order)


def test_the_stop_reaches_just_so_far() -> None:
    order = ordered()
    largest = max(line.setting for line in order.passes)
    assert wrong(order, replace(WAYS, largest_setting=largest)) == ""
    assert f"cannot be set to {largest}" in wrong(order, replace(WAYS, largest_setting=largest - 1))
    nowhere = changed(order, lambda line: True, lambda line: replace(line, setting=0))
    assert "cannot be set to 0" in wrong(nowhere)


def test_the_mark_of_the_ruler_is_the_nearest_and_named_only_where_the_setting_is_on_none() -> None:
    """Marks at every 4: 5 lies beside 4, and not so near to 8."""
    order = ordered()
    beside = changed(order, lambda line: line.setting == 5, lambda line: replace(line, setting_mark=8))
    assert "8 is not the nearest mark" in wrong(beside)
    between = changed(order, lambda line: line.setting == 5, lambda line: replace(line, setting_mark=5))
    assert "5 is not the nearest mark" in wrong(between)
    unmarked = changed(order, lambda line: line.setting == 5, lambda line: replace(line, setting_mark=None))
    assert "mark is wrongly given" in wrong(unmarked)
    needless = changed(order, lambda line: line.setting == 4, lambda line: replace(line, setting_mark=4))
    assert "mark is wrongly given" in wrong(needless)


@pytest.mark.parametrize("more", [1, -1])
def test_a_line_works_on_all_parts_that_it_says(more: int) -> None:
    order = changed(
        ordered(),
        lambda line: line.stacks[-1] == 2,
        lambda line: replace(line, stacks=(*line.stacks[:-1], line.stacks[-1] + more)),
    )
    assert "no parts on the table are as this line says" in wrong(order)


def test_a_spacer_is_named_where_the_part_is_too_narrow_to_hold() -> None:
    order = ordered()
    assert not any(line.spacer for line in order.passes)
    assert wrong(order, replace(WAYS, narrowest_held=5)) == ""
    assert "the spacer is named where none is needed, or missing" in wrong(order, replace(WAYS, narrowest_held=9))


@pytest.mark.parametrize("by", [1, -1])
def test_each_cut_is_of_its_own_stage(by: int) -> None:
    order = ordered()
    cuts = [replace(cut, stage=cut.stage + by) if cut.stage == 2 else cut for cut in order.cuts]
    assert "is of stage 2" in wrong(replace(order, cuts=tuple(cuts)))


@pytest.mark.parametrize("by", [1, -1])
def test_errors_are_neither_played_down_nor_up(by: int) -> None:
    order = ordered()
    parts = [replace(part, error_steps=part.error_steps + by) for part in order.parts]
    assert "are wrongly added up" in wrong(replace(order, parts=tuple(parts)))


def test_untrimmed_edges_count_as_an_error() -> None:
    """With `square_first` a piece from the sheet's own corner carries the edges' errors too."""
    square = replace(WAYS, square_first=True)
    assert wrong(ordered(ways=square), square) == ""
    assert "are wrongly added up" in wrong(ordered(), square)


def test_cut_lines_belong_to_a_layout() -> None:
    order = ordered()
    assert "for layouts that do not exist" in wrong(replace(order, cuts=(*order.cuts, MapCut(2, 1, 1, 5, 0, 5, 8))))


def test_stack_by_stack_a_line_works_on_one_layout() -> None:
    """By setting, the strips of both layouts are cut in one line: 6 x 2 pieces; layout by layout they may not be."""
    order = ordered()
    assert any(sum(line.stacks) == 6 for line in order.passes)
    assert "no parts on the table are as this line says" in wrong(replace(order, way=Order.STACK_BY_STACK))


def offcut(part: FreePart, keep_from: tuple[int, int], kerf: int = 0) -> What:
    """What becomes of a free part beside a piece of 4 x 6; the replay must say the same."""
    parts: tuple[Part, ...] = (PiecePart(4, 6, 0), part)
    width = 4 + kerf + part.width
    task = PackingTask((PieceKind(4, 6, 1),), (SheetKind(width, 6),), replace(TASK.rules, kerf=kerf))
    uses, ways = (Use(0, CutPart(width, 6, A, parts), 1),), replace(WAYS, keep_from=keep_from)
    order = order_cuts(task, uses, ways)
    assert replay(task, uses, ways, order) == ()
    found = next(leaf for leaf in order.parts if leaf.part.what is not What.PIECE)
    other = What.KEEP if found.part.what is What.SCRAP else What.SCRAP
    lie = replace(found, part=replace(found.part, what=other))
    told = replay(task, uses, ways, replace(order, parts=tuple(lie if leaf is found else leaf for leaf in order.parts)))
    assert "is not in the layout" in " ".join(told)
    return found.part.what


def test_an_offcut_is_kept_from_just_that_size_on() -> None:
    assert offcut(FreePart(5, 6), (5, 6)) is offcut(FreePart(5, 6), (6, 5)) is What.KEEP
    assert offcut(FreePart(5, 6), (5, 7)) is offcut(FreePart(5, 6), (6, 6)) is What.SCRAP
    assert offcut(FreePart(0, 6), (0, 0), kerf=1) is What.SCRAP
