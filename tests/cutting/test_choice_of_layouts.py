"""Layouts that are less work: the same pieces from the same sheets, trims where there is room, errors never denied."""

from __future__ import annotations

from dataclasses import replace

import pytest
from cut_plans import random_plan

from nesting.cutting import made_to_measure
from nesting.cutting.doubt import doubtful
from nesting.cutting.few_layouts import with_fewer_layouts
from nesting.cutting.made_to_measure import Candidate, MadeToMeasure, least_work
from nesting.cutting.parts import Parts, letters
from nesting.cutting.passes import WaysOfWork, What
from nesting.cutting.replay import replay
from nesting.cutting.sequence import order_cuts
from nesting.cutting.together import Workbook
from nesting.cutting.trim import without_surplus
from nesting.cutting.trim_left import with_trim
from nesting.packing.check import check
from nesting.packing.layout import (
    Allowed,
    Answer,
    Axis,
    Bound,
    CutPart,
    CutRules,
    FreePart,
    Margins,
    Outcome,
    PackingTask,
    PieceKind,
    PiecePart,
    Reason,
    SheetKind,
    Use,
)
from nesting.packing.plain import plain_layouts
from nesting.packing.solve import Effort, solve
from nesting.packing.stock import stock
from nesting.packing.trees import counts_of

WAYS = WaysOfWork(ruler_step=1, most_piles=10_000, least_trim=2)
RULES = (CutRules(), CutRules(kerf=1), CutRules(largest_setting=80, narrowest_held=10))


def _task(rules: CutRules, copies: int) -> PackingTask:
    sizes = (30, 50, True), (42, 27, False), (60, 20, True), (24, 24, False), (38, 57, True)
    kinds = tuple(PieceKind(w, h, copies * (1 + n % 2), (Allowed(0, turn),)) for n, (w, h, turn) in enumerate(sizes))
    return PackingTask(kinds, (SheetKind(120, 120, margins=Margins(bottom=4)), SheetKind(100, 140, cost=2)), rules)


def test_pieces_in_which_errors_must_add_up_are_never_more_than_those_in_which_they_do() -> None:
    for seed in range(60):
        task, uses = random_plan(seed, sheets=2, size=30, margins=seed % 3 == 0, blocks=seed % 4 == 0)
        for use in uses:
            for ways in (WAYS, replace(WAYS, square_first=True)):
                parts = Parts(task, ways, letters(task, (use,)))
                least = doubtful(parts, parts.add_layout(use), int(ways.square_first))
                order = order_cuts(task, (use,), ways, work=300)
                found = sum(leaf.part.what is What.PIECE and leaf.error_steps > 1 for leaf in order.parts)
                assert least <= found


def test_a_row_without_waste_leaves_one_piece_in_doubt_and_a_trim_leaves_none() -> None:
    tight = CutPart(20, 30, Axis.DOWN, (PiecePart(20, 10, 0), PiecePart(20, 10, 0), PiecePart(20, 10, 0)))
    loose = CutPart(20, 32, Axis.DOWN, (*tight.parts, FreePart(20, 2)))
    task = PackingTask((PieceKind(20, 10, 3),), (SheetKind(20, 30), SheetKind(20, 32)))
    for number, (root, wanted) in enumerate(((tight, 1), (loose, 0))):
        parts = Parts(task, WAYS, {0: "A"})
        assert doubtful(parts, parts.add_layout(Use(number, root, 1))) == wanted


def test_a_trim_is_left_where_the_row_has_room_and_nowhere_else() -> None:
    pair = CutPart(20, 10, Axis.ACROSS, (PiecePart(9, 10, 0), PiecePart(11, 10, 1)))
    for spare, helped in ((10, True), (3, False), (0, False)):
        rows = (pair, pair, PiecePart(20, 8, 2), FreePart(20, 2))
        strip = CutPart(20, 30, Axis.DOWN, rows)
        rest = FreePart(spare, 30) if spare else PiecePart(5, 30, 3)
        sheet = CutPart(20 + (spare or 5), 30, Axis.ACROSS, (strip, rest))
        kinds = tuple(PieceKind(*size, 1) for size in ((9, 10), (11, 10), (20, 8), (5, 30)))
        task = PackingTask(kinds, (SheetKind(sheet.width, 30),))
        use = Use(0, sheet, 1)
        trimmed = with_trim(task, use, WAYS)
        assert (trimmed is not None) is helped
        if trimmed is not None:
            assert counts_of(trimmed.root, 4) == counts_of(sheet, 4)
            order = order_cuts(task, (trimmed,), WAYS)
            assert replay(task, (trimmed,), WAYS, order) == ()
            assert max(leaf.error_steps for leaf in order.parts if leaf.part.what is What.PIECE) == 1


def test_trims_and_plain_layouts_stand_up_to_the_check_of_the_packer() -> None:
    for rules in RULES:
        task = _task(rules, 6)
        ready = stock(task)
        for source in ready.sources:
            made = plain_layouts(source, [piece.need for piece in task.pieces], [1500, 1134, 1200, 576, 2166], 5000)
            uses = [use for _, node in made if (use := ready.use(source.kinds[0], node)) is not None]
            assert len(uses) > 5
            for use in uses:
                for one in (use, with_trim(task, use, WAYS)):
                    if one is not None:
                        _stands(task, one)


def _stands(task: PackingTask, use: Use) -> None:
    """One sheet alone, as the whole answer to a task of just its pieces."""
    counts = counts_of(use.root, len(task.pieces))
    pieces = tuple(replace(piece, need=count) for piece, count in zip(task.pieces, counts, strict=True))
    alone = replace(task, pieces=pieces)
    bound = Bound(0, 0, Reason.AREA)
    assert check(alone, Answer((use,), (0,) * len(counts), Outcome.OPEN, bound)) == ()


def test_the_choice_takes_the_same_sheets_and_cuts_the_same_pieces() -> None:
    fewer, ways = 0, replace(WAYS, most_piles=8, deep=4)
    for rules in RULES:
        for copies, effort in ((1, Effort.QUICK), (4, Effort.QUICK), (6, Effort.NORMAL)):
            task = _task(rules, copies)
            answer = solve(task, effort=Effort.QUICK)
            uses = with_fewer_layouts(task, answer.uses, answer.pool, ways, effort)
            assert check(task, replace(answer, uses=uses)) == ()
            for sheet in range(len(task.sheets)):
                before, after = (sum(use.copies for use in some if use.sheet == sheet) for some in (answer.uses, uses))
                assert before == after
            fewer += len(uses) < len(answer.uses)
            assert copies > 4 or uses == with_fewer_layouts(task, answer.uses, answer.pool, ways, effort)
    assert fewer


def test_a_choice_that_is_stopped_is_a_whole_choice_and_no_less_work_than_one_that_is_not() -> None:
    task, ways = _task(CutRules(), 4), replace(WAYS, most_piles=8, deep=4)
    answer = solve(task, effort=Effort.QUICK)
    stopped, whole = (
        with_fewer_layouts(task, answer.uses, answer.pool, ways, stop=stop)
        for stop in (lambda: True, lambda: False)
    )
    assert check(task, replace(answer, uses=stopped)) == ()
    book = Workbook(task, ways)
    given, less, least = (book.seconds(uses) for uses in (answer.uses, stopped, whole))
    assert least <= less <= given


def test_surplus_is_given_up_in_several_ways_and_each_leaves_just_what_is_needed() -> None:
    several = 0
    for rules in RULES:
        task = _task(rules, 9)
        answer = solve(task, effort=Effort.QUICK)
        fewer = replace(task, pieces=tuple(replace(piece, need=piece.need - 1) for piece in task.pieces))
        ways = list(without_surplus(fewer, answer.uses, [piece.need for piece in fewer.pieces]))
        assert len(set(ways)) == len(ways)
        for uses in ways:
            counts = [0] * 5
            for use in uses:
                counts = [sum_ + use.copies * n for sum_, n in zip(counts, counts_of(use.root, 5), strict=True)]
            assert counts == [piece.need for piece in fewer.pieces]
            assert sum(use.copies for use in uses) == sum(use.copies for use in answer.uses)
            given = Answer(uses, (0,) * 5, Outcome.OPEN, Bound(0, 0, Reason.AREA))
            assert check(fewer, given) == ()
        several += len(ways) > 1
    assert several == len(RULES)


def test_layouts_made_to_measure_leave_fewer_pieces_in_doubt(monkeypatch: pytest.MonkeyPatch) -> None:
    sizes = (16, 64, 80, False), (60, 10, 20, False), (28, 28, 20, False), (84, 30, 20, True), (60, 60, 20, True)
    kinds = tuple(PieceKind(wide, high, need, (Allowed(0, turn),)) for wide, high, need, turn in sizes)
    task = PackingTask(kinds, (SheetKind(192, 192),))
    answer = solve(task, effort=Effort.QUICK)

    def in_doubt() -> int:
        uses = with_fewer_layouts(task, answer.uses, answer.pool, WAYS)
        assert check(task, replace(answer, uses=uses)) == ()
        parts = Parts(task, WAYS, letters(task, uses))
        return sum(use.copies * doubtful(parts, parts.add_layout(use)) for use in uses)

    found = in_doubt()
    monkeypatch.setattr(made_to_measure, "SURE_ROUNDS", 0)
    monkeypatch.setattr(made_to_measure, "REST_ROUNDS", 0)
    assert found < in_doubt()


def test_rests_get_layouts_of_their_own_that_stand_up_to_the_check() -> None:
    task = _task(CutRules(), 9)
    answer = solve(task, effort=Effort.QUICK)
    sheets = {use.sheet: 0 for use in answer.uses}
    for use in answer.uses:
        sheets[use.sheet] += use.copies

    book = Workbook(task, WAYS)

    def usable(uses: list[Use]) -> list[Candidate]:
        return [Candidate(use, counts_of(use.root, 5), 9, book.alone(use, 4), 0) for use in uses]

    needs = [piece.need for piece in task.pieces]
    made = MadeToMeasure(stock(task), WAYS, sheets, [0] * 5, 4, usable)
    start = usable([Use(use.sheet, use.root, 1) for use in answer.uses])
    found = [*start, *made.for_all(start, needs)]
    rests = made.for_rests(found, needs, sheets, 2_000_000)
    assert rests
    assert len({one.use for one in (*found, *rests)}) == len(found) + len(rests)
    for one in rests:
        _stands(task, one.use)
    before, after = (least_work(some, needs, sheets).solve().cost for some in (found, [*found, *rests]))
    assert after <= before + 1e-6
