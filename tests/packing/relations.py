"""What must hold between the answers to two tasks of which one follows from the other.

In: a task and an effort. Out: sentences, one for each thing that cannot be; and whether an answer that claims nothing
fell short of what must hold of best plans. A best plan for more pieces is no cheaper, and so on; a plan that is not
proven may miss the best, so such plans are held against bounds strictly and against each other only by counting.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import dataclass, replace

from nesting.packing.layout import (
    Answer,
    Block,
    CutRules,
    Margins,
    Outcome,
    PackingTask,
    cost_of,
    sheets_of,
)
from nesting.packing.solve import Effort, solve


@dataclass(frozen=True, slots=True)
class Found:
    """`wrong`: what can never be. `missed`: two plans of which one at least is not best. `same`: the very same plan."""

    wrong: tuple[str, ...] = ()
    missed: bool = False
    same: bool = False
    compared: bool = True


NOTHING = Found(compared=False)


@dataclass(frozen=True, slots=True)
class Solved:
    """A task, its answer, and the figures of both."""

    task: PackingTask
    answer: Answer

    @property
    def complete(self) -> bool:
        """Nothing is missing."""
        return not any(self.answer.missing)

    @property
    def proven(self) -> bool:
        """Said to be the best."""
        return self.answer.outcome is Outcome.PROVEN

    @property
    def cost(self) -> int:
        """Cost of the plan."""
        return cost_of(self.task, self.answer.uses)

    @property
    def bound(self) -> int:
        """What no plan can cost less than."""
        return self.answer.bound.cost

    @property
    def figures(self) -> tuple[object, ...]:
        """What a user would see change."""
        return self.cost, sheets_of(self.answer.uses), self.answer.outcome, self.answer.missing


def solved(task: PackingTask, effort: Effort = Effort.QUICK) -> Solved:
    """A task with its answer."""
    return Solved(task, solve(task, effort=effort))


def not_dearer(easier: Solved, harder: Solved, what: str) -> Found:
    """Every plan for `harder` gives one for `easier` that costs no more."""
    if not harder.complete:
        return NOTHING
    if not easier.complete:
        if easier.answer.outcome is Outcome.SHORT:
            return Found(missed=True)  # "not enough paper" is what was found, not a proof
        return NOTHING
    wrong = []
    if harder.cost < easier.bound:
        wrong.append(f"{what}: a plan of {harder.cost} is under the bound {easier.bound} of what is easier.")
    if easier.proven and harder.cost < easier.cost:
        wrong.append(f"{what}: {easier.cost} is said to be proven best, {harder.cost} was found for what is harder.")
    return Found(tuple(wrong), harder.cost < easier.cost, harder.figures == easier.figures)


def alike(one: Solved, other: Solved, what: str) -> Found:
    """Two tasks that are the same but for their names or their scale."""
    if not (one.complete and other.complete):
        return Found(missed=one.answer.missing != other.answer.missing, same=one.figures == other.figures)
    wrong = []
    for a, b in ((one, other), (other, one)):
        if a.bound > b.cost:
            wrong.append(f"{what}: a bound of {a.bound} stands over a plan of {b.cost}.")
        if a.proven and b.cost < a.cost:
            wrong.append(f"{what}: {a.cost} is said to be proven best, and {b.cost} was found.")
    return Found(tuple(wrong), one.cost != other.cost, one.figures == other.figures)


# ------------------------------------------------------------------------------------------- the changes


def one_more(before: Solved, chance: random.Random, effort: Effort) -> Found:
    """A piece more never saves sheets."""
    kinds = list(before.task.pieces)
    number = chance.randrange(len(kinds))
    kinds[number] = replace(kinds[number], need=kinds[number].need + chance.choice((1, 1, 2, 5)))
    after = solved(replace(before.task, pieces=tuple(kinds)), effort)
    return not_dearer(before, after, "a piece more")


def new_kind(before: Solved, chance: random.Random, effort: Effort) -> Found:
    """A new kind of piece never saves sheets."""
    other = chance.choice(before.task.pieces)
    kind = replace(other, width=max(1, other.width - 1), need=1, block=None)
    after = solved(replace(before.task, pieces=(*before.task.pieces, kind)), effort)
    if after.answer.missing and after.answer.missing[-1]:
        return NOTHING
    return not_dearer(before, after, "a new kind of piece")


def leave_to_turn(before: Solved, chance: random.Random, effort: Effort) -> Found:
    """Leave to turn never costs sheets."""
    kinds = tuple(replace(p, allowed=tuple(replace(a, may_turn=True) for a in p.allowed)) for p in before.task.pieces)
    if kinds == before.task.pieces:
        return NOTHING
    return not_dearer(solved(replace(before.task, pieces=kinds), effort), before, "leave to turn")


def doubled(before: Solved, chance: random.Random, effort: Effort) -> Found:
    """Twice the size of everything changes nothing."""
    return alike(before, solved(scaled(before.task, 2), effort), "twice the size")


def on_its_side(before: Solved, chance: random.Random, effort: Effort) -> Found:
    """Width and height of everything swapped changes nothing."""
    return alike(before, solved(swapped(before.task), effort), "on its side")


def renamed(before: Solved, chance: random.Random, effort: Effort) -> Found:
    """Papers with other numbers change nothing."""
    numbers = sorted({sheet.paper for sheet in before.task.sheets} | {a.paper for p in before.task.pieces
                                                                      for a in p.allowed})  # fmt: skip
    other = dict(zip(numbers, chance.sample(range(50), len(numbers)), strict=True))
    pieces = tuple(
        replace(piece, allowed=tuple(replace(one, paper=other[one.paper]) for one in piece.allowed))
        for piece in before.task.pieces
    )
    sheets = tuple(replace(sheet, paper=other[sheet.paper]) for sheet in before.task.sheets)
    return alike(before, solved(replace(before.task, pieces=pieces, sheets=sheets), effort), "papers renamed")


def split(before: Solved, chance: random.Random, effort: Effort) -> Found:
    """Two halves of a piece list never take fewer sheets together than the whole list."""
    if any(sheet.limit is not None for sheet in before.task.sheets):
        return NOTHING  # each half would have all the paper at hand to itself
    some = [chance.randint(0, piece.need) for piece in before.task.pieces]
    halves = []
    for counts in (some, [piece.need - n for piece, n in zip(before.task.pieces, some, strict=True)]):
        pieces = tuple(replace(piece, need=n) for piece, n in zip(before.task.pieces, counts, strict=True))
        halves.append(solved(replace(before.task, pieces=pieces), effort))
    if not (before.complete and all(half.complete for half in halves)):
        return NOTHING
    together = sum(half.cost for half in halves)
    wrong = []
    if together < before.bound:
        wrong.append(f"split in two: {together} is under the bound {before.bound} of the whole.")
    if before.proven and together < before.cost:
        wrong.append(f"split in two: {before.cost} is said to be proven best, the halves take {together}.")
    return Found(tuple(wrong), together < before.cost)


CHANGES: dict[str, Callable[[Solved, random.Random, Effort], Found]] = {
    "a piece more": one_more,
    "a new kind of piece": new_kind,
    "leave to turn": leave_to_turn,
    "twice the size": doubled,
    "on its side": on_its_side,
    "papers renamed": renamed,
    "split in two": split,
}


# ---------------------------------------------------------------------------------- the same task otherwise


def scaled(task: PackingTask, times: int) -> PackingTask:
    """Every length of a task so many times as long."""

    def longer(block: Block | None) -> Block | None:
        return None if block is None else replace(block, extents=tuple(times * extent for extent in block.extents))

    def much(length: int | None) -> int | None:
        return None if length is None else times * length

    pieces = tuple(
        replace(piece, width=times * piece.width, height=times * piece.height, block=longer(piece.block))
        for piece in task.pieces
    )  # fmt: skip
    sheets = tuple(
        replace(sheet, width=times * sheet.width, height=times * sheet.height,
                margins=Margins(*(times * side for side in _sides(sheet.margins))))
        for sheet in task.sheets
    )  # fmt: skip
    rules = CutRules(
        times * task.rules.kerf, much(task.rules.longest_cut), much(task.rules.largest_setting),
        times * task.rules.narrowest_held, task.rules.most_turns,
    )  # fmt: skip
    return PackingTask(pieces, sheets, rules)


def swapped(task: PackingTask) -> PackingTask:
    """A task on its side."""
    pieces = tuple(
        replace(piece, width=piece.height, height=piece.width,
                block=None if piece.block is None else Block(piece.block.axis.other, piece.block.extents))
        for piece in task.pieces
    )  # fmt: skip
    sheets = tuple(
        replace(sheet, width=sheet.height, height=sheet.width,
                margins=Margins(sheet.margins.top, sheet.margins.left, sheet.margins.bottom, sheet.margins.right))
        for sheet in task.sheets
    )  # fmt: skip
    return replace(task, pieces=pieces, sheets=sheets)


def _sides(margins: Margins) -> tuple[int, int, int, int]:
    return margins.left, margins.top, margins.right, margins.bottom
