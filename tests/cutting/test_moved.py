"""Parts moved to where paper is to spare: the same pieces and sheets, never more work, rows with paper to spare."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from cut_plans import random_plan

from nesting.cutting.moved import moved
from nesting.cutting.passes import WaysOfWork, What
from nesting.cutting.replay import replay
from nesting.cutting.sequence import measured_after, order_cuts
from nesting.cutting.together import Workbook
from nesting.packing.check import check
from nesting.packing.layout import (
    Allowed,
    Answer,
    Axis,
    Bound,
    CutPart,
    FreePart,
    Outcome,
    PackingTask,
    PieceKind,
    PiecePart,
    Reason,
    SheetKind,
    Use,
)
from nesting.packing.stock import stock
from nesting.packing.trees import counts_of, gathered

WAYS = WaysOfWork(ruler_step=1, least_trim=2, deep=4, keep_from=(60, 60))  # offcuts here are too small to keep


class Work:
    """The work of uses by the sum that a choice goes by; counts how often it is asked."""

    def __init__(self, task: PackingTask) -> None:
        self.book, self.asked = Workbook(task, WAYS), 0

    def __call__(self, uses: Sequence[Use]) -> int:
        """Seconds for these uses."""
        self.asked += 1
        return self.book.seconds(uses)


def _stands(task: PackingTask, uses: tuple[Use, ...], like: tuple[Use, ...]) -> None:
    """By the packer's own check, with the pieces and the sheets of the uses that were given."""
    kinds = len(task.pieces)
    held, before = (
        np.sum([np.multiply(use.copies, counts_of(use.root, kinds)) for use in some], axis=0) for some in (uses, like)
    )
    assert held.tolist() == before.tolist()
    for sheet in range(len(task.sheets)):
        taken, given = (sum(use.copies for use in some if use.sheet == sheet) for some in (uses, like))
        assert taken == given
    pieces = tuple(replace(piece, need=int(need)) for piece, need in zip(task.pieces, held, strict=True))
    answer = Answer(uses, (0,) * kinds, Outcome.OPEN, Bound(0, 0, Reason.AREA))
    assert check(replace(task, pieces=pieces), answer) == ()


def test_moves_keep_the_pieces_and_the_sheets_and_never_make_more_work() -> None:
    less = 0
    for seed in range(40):
        task, uses = random_plan(seed, sheets=2, size=30, margins=seed % 3 == 0, blocks=seed % 4 == 0, kerf=seed % 2)
        work = Work(task)
        found = moved(stock(task), uses, work, 200)
        _stands(task, found, uses)
        before, after = work(uses), work(found)
        assert after <= before
        less += after < before
    assert less > 10


def test_more_moves_are_never_more_work_and_no_more_are_tried_than_allowed() -> None:
    for seed in range(6):
        task, uses = random_plan(seed, sheets=2, size=24)
        work, least = Work(task), []
        for trials in (0, 5, 100, 1000):
            work.asked = 0
            found = moved(stock(task), uses, work, trials)
            assert work.asked <= 1 + 2 * trials
            assert found == moved(stock(task), uses, work, trials)
            least.append(work(found))
        assert moved(stock(task), uses, work, 1000, stop=lambda: True) == gathered(uses)
        assert least == sorted(least, reverse=True)


def test_a_full_row_gives_a_strip_away_so_that_all_its_pieces_come_off_under_the_stop() -> None:
    strips = tuple(PiecePart(20, 10, 0) for _ in range(4))
    full = CutPart(20, 40, Axis.DOWN, strips)
    roomy = CutPart(22, 40, Axis.DOWN, (PiecePart(22, 10, 1), FreePart(22, 30)))
    use = Use(0, CutPart(42, 40, Axis.ACROSS, (full, roomy)), 3)
    task = PackingTask((PieceKind(20, 10, 12), PieceKind(22, 10, 3)), (SheetKind(42, 40),))
    found = moved(stock(task), (use,), Work(task), 1000)
    _stands(task, found, (use,))
    before, after = (order_cuts(task, uses, WAYS) for uses in ((use,), found))
    assert replay(task, found, WAYS, after) == ()
    assert measured_after((use,), before) == 3
    assert measured_after(found, after) == 0


def test_a_part_is_turned_where_all_its_pieces_may_be_and_nowhere_else() -> None:
    pair = CutPart(8, 22, Axis.DOWN, (PiecePart(8, 12, 0), PiecePart(8, 10, 1)))
    full = CutPart(40, 22, Axis.ACROSS, (pair,) * 5)
    use = Use(0, CutPart(40, 31, Axis.DOWN, (full, FreePart(40, 9))), 3)  # the free strip takes a piece only turned
    for turns in (True, False):
        allowed = (Allowed(0, turns),)
        kinds = PieceKind(8, 12, 15, (Allowed(0, False),)), PieceKind(8, 10, 15, allowed)
        task = PackingTask(kinds, (SheetKind(40, 31),))
        found = moved(stock(task), (use,), Work(task), 1000)
        _stands(task, found, (use,))
        pieces = [leaf for leaf in order_cuts(task, found, WAYS).parts if leaf.part.what is What.PIECE]
        assert {leaf.part.kind for leaf in pieces if leaf.turned} == ({1} if turns else set())
        assert (found == (use,)) is not turns
