"""The largest offcut by asking for it as a piece is the largest of all by every cut at every whole number."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import replace
from functools import cache, partial
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


def by_every_cut(task: PackingTask) -> tuple[int, int]:
    """The least cost of one sheet of each kind at most, and the largest free part that a plan of this cost leaves.

    (0, -1) where these sheets do not give all pieces.
    """
    sheets = [_by_every_cut(task, sheet) for sheet in task.sheets]
    best = (0, -1)
    for split in product(*(_splits(piece.need, len(sheets)) for piece in task.pieces)):
        taken = list(zip(*split, strict=True))
        left = [free(counts) if any(counts) else 0 for free, counts in zip(sheets, taken, strict=True)]
        cost = sum(sheet.cost for sheet, counts in zip(task.sheets, taken, strict=True) if any(counts))
        if min(left) >= 0 and (best[1] < 0 or (cost, -max(left)) < (best[0], -best[1])):
            best = cost, max(left)
    return best


def _splits(count: int, among: int) -> list[tuple[int, ...]]:
    return [split for split in product(range(count + 1), repeat=among) if sum(split) == count]


def _by_every_cut(task: PackingTask, sheet: SheetKind) -> Callable[[tuple[int, ...]], int]:
    """For the numbers of pieces cut from one sheet, its largest free part; -1 where it does not give them."""
    allowed = [[one.may_turn for one in piece.allowed if one.paper == sheet.paper] for piece in task.pieces]
    sides = [(piece.width, piece.height) for piece in task.pieces]
    kerf = task.rules.kerf

    @cache
    def free(width: int, height: int, counts: tuple[int, ...]) -> int:
        if not any(counts):
            return max(0, width) * max(0, height)
        best = -1
        for (wide, high), turns, count in zip(sides, allowed, counts, strict=True):
            fits = bool(turns) and ((wide, high) == (width, height) or (turns[0] and (high, wide) == (width, height)))
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

    return partial(free, *sheet.usable)


def is_known(task: PackingTask, answer: Answer) -> bool:
    """Whether the largest offcut is told, after the answer was held against every cut."""
    assert answer.offcut is not None
    had, (cost, best) = largest_free_of(answer.uses), by_every_cut(task)
    assert cost == cost_of(task, answer.uses)
    assert had <= best <= answer.offcut.area
    return had == answer.offcut.area


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
        known += is_known(task, answer)
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


def two_papers(seed: int, rules: CutRules) -> PackingTask:
    """A tiny task in which one kind of piece may be cut from either of two papers, one sheet of each."""
    chance = random.Random(seed)
    papers = (Allowed(0, chance.random() < 0.5), Allowed(1, chance.random() < 0.5))
    of = (papers, papers[:1], papers[1:], papers)
    pieces = [PieceKind(chance.randint(1, 4), chance.randint(1, 4), chance.randint(1, 2), some) for some in of]
    sizes = [(chance.randint(4, 6), chance.randint(4, 6)) for _ in papers]
    sheets = tuple(SheetKind(*size, paper, chance.randint(1, 3), 1) for paper, size in enumerate(sizes))
    return PackingTask(tuple(pieces[: chance.randint(2, 4)]), sheets, rules)


@pytest.mark.parametrize(
    "rules", [CutRules(), CutRules(kerf=1), CutRules(longest_cut=5)], ids=["plain", "kerf", "limits"]
)
def test_the_largest_offcut_of_papers_that_share_pieces_is_what_every_cut_finds(rules: CutRules) -> None:
    known = 0
    for seed in range(40):
        task = two_papers(seed, rules)
        answer = solve(task, effort=Effort.THOROUGH)
        if not any(answer.missing):
            found = is_known(task, answer)
            assert found or rules.longest_cut is not None
            known += found
    assert known >= 20


def test_nothing_is_said_of_paper_that_costs_nothing() -> None:
    task = PackingTask((PieceKind(4, 4, 2),), (SheetKind(9, 9, cost=0),))
    answer = solve(task, effort=Effort.THOROUGH)
    assert answer.offcut is None
    assert check(task, replace(answer, offcut=OffcutBound(10_000)))


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
