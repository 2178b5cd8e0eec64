"""The largest offcut by asking for it as a piece is the largest of all by every cut at every whole number."""

from __future__ import annotations

import random
from dataclasses import replace
from functools import cache
from itertools import product

import pytest

from nesting.packing.check import check
from nesting.packing.layout import (
    Allowed,
    Answer,
    CutRules,
    Margins,
    OffcutBound,
    Outcome,
    PackingTask,
    PieceKind,
    SheetKind,
    cost_of,
    sheets_of,
)
from nesting.packing.solve import Effort, solve
from nesting.packing.trees import largest_free_of


def by_every_cut(task: PackingTask) -> int:
    """The largest free part of one sheet that gives all pieces; -1 where it does not give them."""
    sides = [(one.width, one.height, one.allowed[0].may_turn) for one in task.pieces]
    kerf = task.rules.kerf

    @cache
    def free(width: int, height: int, counts: tuple[int, ...]) -> int:
        if not any(counts):
            return max(0, width) * max(0, height)
        best = -1
        for (wide, high, turns), count in zip(sides, counts, strict=True):
            fits = (wide, high) == (width, height) or (turns and (high, wide) == (width, height))
            if count and sum(counts) == 1 and fits:
                return 0
        for some in product(*(range(count + 1) for count in counts)):
            others = tuple(count - taken for count, taken in zip(counts, some, strict=True))
            for at in range(1, width):
                one, other = free(at, height, some), free(width - at - kerf, height, others)
                best = max(best, one, other) if min(one, other) >= 0 else best
            for at in range(1, height):
                one, other = free(width, at, some), free(width, height - at - kerf, others)
                best = max(best, one, other) if min(one, other) >= 0 else best
        return best

    return free(*task.sheets[0].usable, tuple(piece.need for piece in task.pieces))


def tiny_task(seed: int, rules: CutRules, margins: Margins) -> PackingTask:
    chance = random.Random(seed)
    pieces = tuple(
        PieceKind(chance.randint(1, 5), chance.randint(1, 5), chance.randint(1, 2), (Allowed(0, turn),))
        for turn in (True, False, True)[: chance.randint(2, 3)]
    )
    return PackingTask(pieces, (SheetKind(chance.randint(6, 9), chance.randint(6, 9), margins=margins),), rules)


@pytest.mark.parametrize("block", range(4))
@pytest.mark.parametrize(
    ("rules", "margins"),
    [
        (CutRules(), Margins()),
        (CutRules(kerf=1), Margins()),
        (CutRules(), Margins(1, 0, 0, 1)),
        (CutRules(longest_cut=6, largest_setting=5, narrowest_held=2), Margins()),
    ],
    ids=["plain", "kerf", "margins", "limits"],
)
def test_the_largest_offcut_is_what_every_cut_finds(block: int, rules: CutRules, margins: Margins) -> None:
    known = 0
    for seed in range(block * 10, block * 10 + 10):
        task = tiny_task(seed, rules, margins)
        answer = solve(task, effort=Effort.THOROUGH)
        if any(answer.missing) or sheets_of(answer.uses) != 1:
            continue
        assert answer.offcut is not None
        had, best = largest_free_of(answer.uses), by_every_cut(task)
        assert had <= best <= answer.offcut.area
        known += had == answer.offcut.area
    assert known >= 3 or rules.longest_cut is not None


def crowded() -> tuple[PackingTask, Answer]:
    """A task whose largest offcut takes some asking, and its answer."""
    pieces = (PieceKind(5, 4, 3), PieceKind(7, 3, 2, (Allowed(0, may_turn=False),)), PieceKind(6, 2, 2))
    task = PackingTask(pieces, (SheetKind(20, 13),))
    answer = solve(task, effort=Effort.THOROUGH)
    assert answer.offcut is not None
    assert len(answer.offcut.ruled_out) > 1
    assert answer.offcut.area == largest_free_of(answer.uses)
    return task, answer


def test_a_false_largest_offcut_is_refused() -> None:
    task, answer = crowded()
    offcut = answer.offcut
    assert offcut is not None
    assert check(task, answer) == ()
    first, *others = offcut.ruled_out
    worthless = replace(first.bound, prices=(0,) * len(first.bound.prices))
    false = [
        replace(offcut, area=offcut.area - 1),
        replace(offcut, ruled_out=()),
        replace(offcut, ruled_out=(replace(first, bound=worthless), *others)),
        replace(offcut, ruled_out=(replace(first, width=1, height=1), *others)),
        replace(offcut, ruled_out=(replace(first, width=0), *others)),
    ]
    for claim in false:
        assert check(task, replace(answer, offcut=claim)), claim
    assert check(task, replace(answer, offcut=replace(offcut, area=offcut.area + 1))) == ()


def test_nothing_is_said_of_several_papers_or_of_paper_that_costs_nothing() -> None:
    claim = OffcutBound(10_000)
    piece = PieceKind(4, 4, 2, (Allowed(0), Allowed(1)))
    for sheets in ((SheetKind(9, 9), SheetKind(7, 7, paper=1)), (SheetKind(9, 9, cost=0),)):
        task = PackingTask((piece,), sheets)
        answer = solve(task, effort=Effort.THOROUGH)
        assert answer.offcut is None
        assert check(task, replace(answer, offcut=claim))


@pytest.mark.parametrize("seed", range(20))
def test_asking_costs_no_sheet_with_sheets_of_several_sizes(seed: int) -> None:
    chance = random.Random(seed)
    pieces = tuple(PieceKind(chance.randint(3, 9), chance.randint(3, 9), chance.randint(1, 4)) for _ in range(3))
    sheets = (SheetKind(18, 14, cost=10), SheetKind(10, 9, cost=3, limit=2), SheetKind(12, 12, cost=6, limit=1))
    task = PackingTask(pieces, sheets, CutRules(kerf=chance.randint(0, 1)))
    quick, thorough = (solve(task, effort=effort) for effort in (Effort.QUICK, Effort.THOROUGH))
    assert thorough.outcome is Outcome.PROVEN
    assert thorough.offcut is not None
    assert cost_of(task, thorough.uses) <= cost_of(task, quick.uses)
    if cost_of(task, thorough.uses) == cost_of(task, quick.uses):
        assert largest_free_of(quick.uses) <= thorough.offcut.area
    assert largest_free_of(thorough.uses) <= thorough.offcut.area
