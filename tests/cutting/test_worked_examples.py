"""Examples with a printed answer: a card front in two strokes, and the pinwheel that straight cuts cannot give."""

from __future__ import annotations

from nesting.cutting.passes import Edge, Order, WaysOfWork, What
from nesting.cutting.replay import replay
from nesting.cutting.sequence import order_cuts
from nesting.lengths import inches
from nesting.packing.check import check
from nesting.packing.layout import (
    Answer,
    Axis,
    Bound,
    CutPart,
    Outcome,
    PackingTask,
    PieceKind,
    PiecePart,
    Reason,
    SheetKind,
    Use,
)
from nesting.packing.solve import Effort, solve


def _inch(size: str) -> int:
    return inches(size).ticks


def test_four_card_fronts_from_a_letter_sheet_take_two_strokes_when_stacked_and_three_when_not() -> None:
    # 5 1/2 x 4 1/4 from 8 1/2 x 11: "cut at 5 1/2, stack, cut at 4 1/4": 4 pieces, 2 strokes
    # (vanillajoy.com, cutting the paper).
    width, height = _inch("17/4") * 2, _inch("11")
    piece = PiecePart(_inch("17/4"), _inch("11/2"), 0, turned=True)
    half = CutPart(width, height // 2, Axis.ACROSS, (piece, piece))
    task = PackingTask((PieceKind(_inch("11/2"), _inch("17/4"), 4),), (SheetKind(width, height),))
    uses = (Use(0, CutPart(width, height, Axis.DOWN, (half, half)), 1),)

    stacked = order_cuts(task, uses, WaysOfWork(deep=2))
    assert [(line.setting, line.edge, line.strokes) for line in stacked.passes] == [
        (_inch("11/2"), Edge.TOP, 1),
        (_inch("17/4"), Edge.LEFT, 1),
    ]
    assert stacked.strokes == 2
    assert sum(comes.count for comes in stacked.passes[-1].comes if comes.part.what is What.PIECE) == 4
    assert stacked.proven
    assert replay(task, uses, WaysOfWork(deep=2), stacked) == ()

    assert order_cuts(task, uses, WaysOfWork(deep=1)).strokes == 3


def test_the_packers_own_layout_of_that_sheet_is_as_quick() -> None:
    task = PackingTask((PieceKind(_inch("11/2"), _inch("17/4"), 4),), (SheetKind(_inch("17/2"), _inch("11")),))
    answer = solve(task, effort=Effort.QUICK)
    assert order_cuts(task, answer.uses, WaysOfWork(deep=2)).strokes == 2


def _pinwheel(root: CutPart) -> list[str]:
    task = PackingTask((PieceKind(_inch("5"), _inch("7"), 4),), (SheetKind(_inch("12"), _inch("12")),))
    answer = Answer((Use(0, root, 1),), (0,), Outcome.OPEN, Bound(0, 0, Reason.AREA))
    return list(check(task, answer))


def test_a_pinwheel_is_no_tree_of_straight_cuts() -> None:
    # Four 5 x 7 from 12 x 12 in need cuts that stop half-way; straight cuts give three at most (checks of the
    # trade: artist trading card template page; the three are computed here). A tree that cuts the sheet in two
    # leaves on one side a part in which the third piece finds no place beside the fourth.
    upright, lying = PiecePart(_inch("5"), _inch("7"), 0), PiecePart(_inch("7"), _inch("5"), 0, turned=True)
    twelve = _inch("12")
    for axis in Axis:
        pair = (upright, lying)
        row = CutPart(twelve, _inch("7"), Axis.ACROSS, pair)
        column = CutPart(_inch("7"), twelve, Axis.DOWN, pair)
        root = CutPart(twelve, twelve, axis, (row, row) if axis is Axis.DOWN else (column, column))
        assert _pinwheel(root) != []
    task = PackingTask((PieceKind(_inch("5"), _inch("7"), 4),), (SheetKind(twelve, twelve, limit=1),))
    answer = solve(task, effort=Effort.QUICK)
    assert answer.missing == (1,)
    order = order_cuts(task, answer.uses, WaysOfWork())
    assert sum(part.part.what is What.PIECE for part in order.parts) == 3
    assert replay(task, answer.uses, WaysOfWork(), order) == ()


def test_every_way_of_working_cuts_a_whole_plan() -> None:
    task = PackingTask(
        (PieceKind(_inch("4"), _inch("21/4"), 16), PieceKind(_inch("15/8"), _inch("21/4"), 16)),
        (SheetKind(_inch("12"), _inch("12")),),
    )
    answer = solve(task, effort=Effort.QUICK)
    for way in Order:
        order = order_cuts(task, answer.uses, WaysOfWork(deep=2), order=way)
        assert replay(task, answer.uses, WaysOfWork(deep=2), order) == ()
        assert order.way is way
