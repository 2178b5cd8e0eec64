"""Seeded tasks for the searches' tests: any rules, sheets and turns; and an unproven answer around a plan."""

from __future__ import annotations

import random

from nesting.packing.layout import (
    Allowed,
    Answer,
    Axis,
    Block,
    Bound,
    CutRules,
    Margins,
    Outcome,
    PackingTask,
    PieceKind,
    Reason,
    SheetKind,
    Use,
)
from nesting.packing.trees import counts_of


def random_task(
    seed: int, *, ruled: bool = True, kinds: int = 8, need: int = 12, sheets: int | None = None
) -> PackingTask:
    """A task of one to three sheet kinds, one or two papers, and, if ruled, a trimmer with limits and blocks."""
    chance = random.Random(seed)
    papers = chance.choice([1, 1, 1, 2])
    count = chance.choice([1, 1, 2, 3]) if sheets is None else sheets
    rules = CutRules()
    if ruled:
        rules = CutRules(
            kerf=chance.choice([0, 0, 2, 3]),
            longest_cut=chance.choice([None, None, 250, 200]),
            largest_setting=chance.choice([None, None, 150, 100]),
            narrowest_held=chance.choice([0, 0, 12, 20]),
            most_turns=chance.choice([None, None, 2, 1, 3]),
        )
    return PackingTask(
        pieces=tuple(_piece(chance, papers, need, rules) for _ in range(kinds)),
        sheets=tuple(
            SheetKind(
                chance.randint(60, 300),
                chance.randint(60, 300),
                chance.randrange(papers),
                chance.randint(0, 5) if count > 1 else 1,
                chance.choice([None, None, 3]),
                Margins(*(chance.choice([0, 0, 0, 1, 9]) for _ in range(4))),
            )
            for _ in range(count)
        ),
        rules=rules,
    )


def _piece(chance: random.Random, papers: int, need: int, rules: CutRules) -> PieceKind:
    width, height = chance.randint(8, 90), chance.randint(8, 90)
    some = sorted(chance.sample(range(papers), chance.randint(1, papers)))
    allowed = tuple(Allowed(paper, chance.random() < 0.6) for paper in some)
    block = None
    if chance.random() < 0.15 and width > 12:
        first = width // 3
        block = Block(Axis.ACROSS, (first, width - first - rules.kerf))
    return PieceKind(width, height, chance.randint(1, need), allowed, block)


def missing_from(task: PackingTask, uses: tuple[Use, ...]) -> tuple[int, ...]:
    """How many of each kind a plan leaves out."""
    missing = [piece.need for piece in task.pieces]
    for use in uses:
        counts = counts_of(use.root, len(missing))
        missing = [left - use.copies * count for left, count in zip(missing, counts, strict=True)]
    return tuple(missing)


def unproven(task: PackingTask, uses: tuple[Use, ...]) -> Answer:
    """A plan as an answer that claims nothing but its layouts."""
    missing = missing_from(task, uses)
    outcome = Outcome.STOPPED if any(missing) else Outcome.OPEN
    return Answer(uses, missing, outcome, Bound(0, 0, Reason.AREA))
