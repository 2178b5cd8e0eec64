"""What is left over where a row has no waste: worked examples, and the fewest doubtful pieces on random plans."""

from __future__ import annotations

from dataclasses import replace

from cut_plans import random_plan

from nesting.cutting.doubt import doubtful
from nesting.cutting.left_over import settle_left_over
from nesting.cutting.parts import Parts, letters
from nesting.cutting.passes import WaysOfWork
from nesting.cutting.play import Sheets
from nesting.cutting.replay import replay
from nesting.cutting.sequence import measured_after, order_cuts
from nesting.packing.layout import Axis, CutPart, PackingTask, PieceKind, PiecePart, SheetKind, Use

FREELY = WaysOfWork(most_piles=1000, ruler_step=1)
CAREFULLY = replace(FREELY, seconds_per_measure=1000)


def _row(width: int, kind: int, pieces: int) -> CutPart:
    """A strip 12 high with so many pieces across, none of them with paper to spare."""
    return CutPart(width, 12, Axis.DOWN, tuple(PiecePart(width, 12 // pieces, kind) for _ in range(pieces)))


def _plan(copies: int) -> tuple[PackingTask, tuple[Use, ...]]:
    """Three strips: four pieces, four pieces, two pieces; the sheet has no waste."""
    kinds = (PieceKind(5, 3, 8 * copies), PieceKind(4, 6, 2 * copies))
    sheet = CutPart(14, 12, Axis.ACROSS, (_row(5, 0, 4), _row(5, 0, 4), _row(4, 1, 2)))
    return PackingTask(kinds, (SheetKind(14, 12),)), (Use(0, sheet, copies),)


def test_the_strip_with_fewest_pieces_is_left_over() -> None:
    """The two pieces of the narrow strip are doubtful, and the last of four in each of the others."""
    task, uses = _plan(3)
    order = order_cuts(task, uses, FREELY)
    narrow = [leaf.error_steps for leaf in order.parts if leaf.part.kind == 1]
    assert narrow == [2, 2]
    assert measured_after(uses, order) == 3 * 4
    assert not replay(task, uses, FREELY, order)


def test_nothing_is_settled_where_measuring_costs_less_than_a_setting() -> None:
    for seconds, settled in ((0, False), (1, False), (6, True)):
        ways = replace(FREELY, seconds_per_measure=seconds)
        task, uses = _plan(1)
        parts = Parts(task, ways, letters(task, uses))
        root = parts.add_layout(uses[0])
        settle_left_over(parts, [Sheets(0, root, 1)], 5, several=False)
        assert (parts.block(root).rest is not None) is settled, seconds


def test_orders_have_as_few_doubtful_pieces_as_each_layout_by_itself() -> None:
    """One layout at a time, where every doubtful piece is worth settings: the bound of the layout is met."""
    doubts = dearer = 0
    for seed in range(150):
        task, uses = random_plan(seed, sheets=1, depth=4)
        parts = Parts(task, CAREFULLY, letters(task, uses))
        least = sum(use.copies * doubtful(parts, parts.add_layout(use)) for use in uses)
        found = order_cuts(task, uses, CAREFULLY, work=500)
        free = order_cuts(task, uses, replace(CAREFULLY, seconds_per_measure=0), work=500)
        assert not replay(task, uses, CAREFULLY, found), f"seed {seed}"
        assert measured_after(uses, found) >= least
        assert measured_after(uses, found) <= measured_after(uses, free)
        doubts += measured_after(uses, found) - least
        dearer += measured_after(uses, found) < measured_after(uses, free)
    assert doubts == 0
    assert dearer > 20


def test_several_layouts_with_much_left_over_on_purpose_stand_the_replay() -> None:
    for seed in range(1000, 1060):
        task, uses = random_plan(seed, sheets=6, size=24)
        for ways in (CAREFULLY, replace(CAREFULLY, most_piles=6)):
            order = order_cuts(task, uses, ways, work=300)
            assert not replay(task, uses, ways, order), f"seed {seed}"
