"""Layouts made to measure: others are tried where the best cannot be used; rests are planned in the task's numbers."""

from __future__ import annotations

import sys
from math import prod
from pathlib import Path

import pytest

from nesting.cutting import made_to_measure
from nesting.cutting.made_to_measure import SCALE, Candidate, MadeToMeasure, least_work
from nesting.cutting.passes import WaysOfWork
from nesting.cutting.together import Workbook
from nesting.packing.layout import PackingTask, PiecePart, Use, leaves
from nesting.packing.solve import Effort, layouts_for, solve
from nesting.packing.stock import stock

sys.path.insert(0, str(Path(__file__).parents[2] / "benchmarks"))

from craft_layouts import card_batch

WAYS = WaysOfWork(deep=4)


class Batch:
    """A batch and its plan; a layout can be used that wastes at most half as much again as the plan's sheets."""

    def __init__(self, seed: int) -> None:
        self.task = card_batch(seed, 7, 20)
        self.uses = solve(self.task, effort=Effort.QUICK).uses
        self.needs = [piece.need for piece in self.task.pieces]
        self.sheets = {0: sum(use.copies for use in self.uses)}
        self.spare = 3 * sum(self.wasted(use) * use.copies for use in self.uses) // (2 * self.sheets[0])

    def counts(self, use: Use) -> tuple[int, ...]:
        """Pieces of each kind on one sheet."""
        kinds = [leaf.kind for leaf in leaves(use.root) if isinstance(leaf, PiecePart)]
        return tuple(map(kinds.count, range(len(self.needs))))

    def wasted(self, use: Use) -> int:
        """The area of one sheet that becomes no piece."""
        sizes = [piece.width * piece.height for piece in self.task.pieces]
        sheet = self.task.sheets[0]
        return sheet.width * sheet.height - sum(map(prod, zip(self.counts(use), sizes, strict=True)))

    def usable(self, uses: list[Use]) -> list[Candidate]:
        """Those of the layouts that can be used."""
        book = Workbook(self.task, WAYS)
        return [
            Candidate(use, self.counts(use), 1, book.alone(use, 4), 0)
            for use in uses
            if self.wasted(use) <= self.spare
        ]

    def made(self) -> tuple[list[Candidate], float]:
        """The layouts made for all that is to be cut, and the least work in fractions of sheets with them."""
        sheet = self.task.sheets[0]
        paper = [SCALE * piece.width * piece.height // (sheet.width * sheet.height) for piece in self.task.pieces]
        found = self.usable(list(dict.fromkeys(Use(use.sheet, use.root, 1) for use in self.uses)))
        made = MadeToMeasure(stock(self.task), WAYS, self.sheets, paper, 4, self.usable).for_all(found, self.needs)
        return made, least_work([*found, *made], self.needs, self.sheets).solve().cost


@pytest.mark.parametrize("seed", [1, 7])
def test_where_the_best_layouts_cannot_be_used_others_are_made(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    batch = Batch(seed)
    layouts, cost = batch.made()
    monkeypatch.setattr(made_to_measure, "TRIES", 1)
    few, dear = batch.made()
    assert all(batch.wasted(one.use) <= batch.spare for one in layouts)
    assert len(layouts) > len(few)
    assert cost < 0.95 * dear


@pytest.mark.parametrize("seed", range(6))
def test_a_rest_is_planned_in_the_numbers_of_the_whole_batch(seed: int) -> None:
    batch = Batch(seed)
    needs = [0 if kind == seed % 7 else need // 4 for kind, need in enumerate(batch.needs)]
    planned, others, enough = layouts_for(batch.task, needs, batch.sheets)
    assert enough
    for kind, need in enumerate(needs):
        held = [batch.counts(use)[kind] for use in (*planned, *others)]
        assert all(count == 0 for count in held) if not need else any(held)
    assert all(use.copies == 1 and _lies_in(batch.task, use) for use in (*planned, *others))


def test_a_rest_that_does_not_fit_is_planned_in_part_and_said_to_be_so() -> None:
    batch = Batch(1)
    planned, _, enough = layouts_for(batch.task, batch.needs, {0: 2})
    assert not enough
    assert 1 <= len(planned) <= 2


def _lies_in(task: PackingTask, use: Use) -> bool:
    """Whether each piece is as large as the task says of its kind, turned only where it may be."""
    for leaf in leaves(use.root):
        if isinstance(leaf, PiecePart):
            piece = task.pieces[leaf.kind]
            sizes = [(piece.width, piece.height)]
            if piece.allowed[0].may_turn:
                sizes.append((piece.height, piece.width))
            if (leaf.width, leaf.height) not in sizes:
                return False
    return True
