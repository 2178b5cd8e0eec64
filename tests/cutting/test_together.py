"""The work of layouts together: counted by hand on small ones, and held against orders of cuts of whole batches."""

from __future__ import annotations

import sys
from itertools import combinations
from pathlib import Path

import numpy as np

from nesting.cutting.few_layouts import with_fewer_layouts
from nesting.cutting.passes import WaysOfWork
from nesting.cutting.sequence import order_cuts, seconds_to_true
from nesting.cutting.together import Workbook
from nesting.packing.layout import Axis, CutPart, FreePart, PackingTask, Part, PieceKind, PiecePart, SheetKind, Use
from nesting.packing.solve import Effort, solve

sys.path.insert(0, str(Path(__file__).parents[2] / "benchmarks"))

from craft_layouts import card_batch, plain_plan

WAYS = WaysOfWork(
    deep=2, seconds_per_stroke=1, seconds_per_stack=0, seconds_per_setting=0, seconds_per_turn=0, seconds_per_offcut=0
)
FOUR_DEEP = WaysOfWork(deep=4, seconds_per_offcut=0)
TASK = PackingTask((PieceKind(10, 10, 9), PieceKind(20, 10, 9)), (SheetKind(40, 20),))
STRIP = CutPart(20, 20, Axis.DOWN, (PiecePart(20, 10, 1), PiecePart(20, 10, 1)))


def _sheet(*strips: Part) -> Use:
    return Use(0, CutPart(40, 20, Axis.ACROSS, strips), 1)


def test_equal_strips_of_two_layouts_fill_one_stack() -> None:
    """A stroke a sheet, and one for each two strips: common practice, no published source."""
    one = _sheet(STRIP, FreePart(20, 20))
    other = _sheet(STRIP, CutPart(20, 20, Axis.DOWN, (PiecePart(20, 10, 1), FreePart(20, 10))))
    work = Workbook(TASK, WAYS).together((one, other))
    alone, both = work.seconds(np.array([1.0, 0.0])), work.seconds(np.array([1.0, 1.0]))
    assert alone == 1 + 1
    assert work.seconds(np.array([0.0, 1.0])) == 1 + 1 + 1
    assert both == 1 + 1 + 1 + 1  # the strip of both is cut once, in one stack
    assert work.seconds(np.array([2.0, 0.0])) == alone  # two sheets in a stack of two
    assert work.seconds(np.array([3.0, 0.0])) == 2 * alone


def test_asked_once_the_work_is_the_same_as_together() -> None:
    for seed in range(526, 530):
        task = card_batch(seed, 4 + seed % 5, 7)
        for ways in (FOUR_DEEP, WaysOfWork(deep=3, most_piles=5, square_first=True)):
            book, uses = Workbook(task, ways), plain_plan(task)
            times = np.array([use.copies for use in uses], dtype=np.float64)
            assert book.seconds(uses) == book.together(uses).seconds(times)


def test_what_is_less_work_together_is_mostly_quicker_to_cut() -> None:
    """Of the plans of one batch, two at a time, more than four in five are ranked as by their orders of cuts."""
    ways, agreed, compared = FOUR_DEEP, 0, 0
    for seed in range(500, 506):
        task = card_batch(seed, 4 + seed % 3, 20)
        answer = solve(task, effort=Effort.QUICK)
        plans = answer.uses, plain_plan(task), with_fewer_layouts(task, answer.uses, answer.pool, ways, Effort.QUICK)
        known = []
        for uses in dict.fromkeys(plans):
            order = order_cuts(task, uses, ways, work=500)
            known.append((order.seconds + seconds_to_true(uses, order, ways), Workbook(task, ways).seconds(uses)))
        for one, other in combinations(known, 2):
            compared += 1
            agreed += (one[0] < other[0]) == (one[1] < other[1])
    assert compared > 12
    assert agreed > 0.8 * compared


def test_sheets_that_are_freed_and_filled_anew_are_never_more_work() -> None:
    less = 0
    for seed in (511, 520):  # in most batches the choice before leaves nothing to gain
        task = card_batch(seed, 5, 20)
        answer = solve(task, effort=Effort.QUICK)
        work = []
        for effort in (Effort.QUICK, Effort.NORMAL, Effort.THOROUGH):
            uses = with_fewer_layouts(task, answer.uses, answer.pool, FOUR_DEEP, effort)
            work.append(Workbook(task, FOUR_DEEP).seconds(uses))
        assert work[2] <= work[1] <= work[0], f"seed {seed}"
        less += work[2] < work[0]
    assert less


def test_taken_apart_into_copies_and_parts_the_work_is_the_same_where_nothing_fills_a_stack() -> None:
    """One sheet at a time, and settings for nothing: each copy has seconds of its own, and no part costs more."""
    ways = WaysOfWork(deep=1, seconds_per_setting=0, seconds_per_turn=0)
    for seed in range(520, 524):
        task = card_batch(seed, 5, 20)
        uses = solve(task, effort=Effort.QUICK).uses
        work, copies = Workbook(task, ways).together(uses), [use.copies for use in uses]
        each, _, prices = work.of_each(copies, [0] * len(uses), range(len(uses)))
        assert not prices
        total = sum(seconds * number for seconds, number in zip(each, copies, strict=True))
        assert total == work.seconds(np.array(copies, dtype=np.float64))


def test_a_part_of_a_layout_that_is_kept_costs_nothing_more() -> None:
    task = card_batch(525, 5, 20)
    uses = solve(task, effort=Effort.QUICK).uses
    work, copies = Workbook(task, FOUR_DEEP).together(uses), [use.copies for use in uses]
    _, apart, prices = work.of_each(copies, [0] * len(uses), range(len(uses)))
    assert all(apart)
    assert all(price > 0 for price in prices)
    _, kept, rest = work.of_each(copies, [1, *[0] * (len(uses) - 1)], range(len(uses)))
    assert kept[0] == []
    assert 0 < len(rest) == len(prices) - len(apart[0])
