"""The one entry to the packer: a task in, an answer out that has been checked.

In: a PackingTask, an effort, a seed. Out: an Answer: layouts, what is missing, how good it is and why. The fact of
the trade: papers that share no piece are planned apart, and a plan is only shown when somebody else than its finder
has looked at it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from enum import Enum

from nesting.errors import Fault
from nesting.packing.bounds import as_bound
from nesting.packing.check import check
from nesting.packing.check_bound import verify_bound
from nesting.packing.columns import PRECISION
from nesting.packing.exhaust import Steps
from nesting.packing.layout import Answer, Bound, CutPart, Outcome, PackingTask, PiecePart, Use, cost_of
from nesting.packing.layout import Part as LayoutPart
from nesting.packing.offcuts import Largest, can_ask
from nesting.packing.part import Part, Work, solve_part
from nesting.packing.patterns import fits as fits
from nesting.packing.stock import apart

MOST_POOL = 200


class Effort(Enum):
    """How much work is spent: quick stays under a second for a batch of twenty; thorough is for the stubborn."""

    QUICK = "quick"
    NORMAL = "normal"
    THOROUGH = "thorough"


WORK = {
    Effort.QUICK: Work(mending=400, gathering=300, dives=1, nodes=50, guided=0, joins=20, costs=0, rests=0, asking=0),
    Effort.NORMAL: Work(
        mending=20_000, gathering=4_000, dives=2, nodes=1_000, guided=10, joins=300, costs=10, rests=300, asking=20
    ),
    Effort.THOROUGH: Work(
        mending=1_000_000, gathering=60_000, dives=4, nodes=20_000, guided=100, joins=4_000, costs=20, rests=4_000,
        asking=4_000,
    ),
}


def solve(
    task: PackingTask,
    *,
    effort: Effort = Effort.NORMAL,
    seed: int = 0,
    progress: Callable[[str], None] | None = None,
    stop: Callable[[], bool] | None = None,
    known: Mapping[PackingTask, Answer] | None = None,
) -> Answer:
    """The best plan found; raises Fault if it does not stand up to the independent check.

    Pieces that no sheet can give, or that paper does not suffice for, are `missing` and the outcome is SHORT.
    progress: gets a sentence now and then. stop: asked often; True ends the search with the best so far.
    known: tasks that are answered already; their answers are taken as they are.
    """
    if known and task in known:
        return known[task]
    groups = apart(task)
    scale = max(1, PRECISION // max([1, *(sheet.cost for sheet in task.sheets)]))
    say, ends = progress or (lambda sentence: None), stop or (lambda: False)
    work = WORK[effort]
    parts = [solve_part(_share(task, *group), work, seed, scale, say, ends) for group in groups]
    answer = _together(task, groups, parts, scale)
    if answer.outcome is Outcome.PROVEN and work.asking and can_ask(task) and not ends():
        answer = _with_offcut(task, answer, work, ends)
    wrong = check(task, answer)
    if wrong:  # the checker may know less of a bound than its finder: only what both say is claimed
        answer = _answer(task, answer.uses, answer.missing, _agreed(task, answer), answer.pool, parts)
        wrong = check(task, answer)
    if wrong:
        raise Fault("A plan did not stand up to the check: " + " ".join(wrong))
    return answer


def layouts_for(
    task: PackingTask, needs: Sequence[int], sheets: Mapping[int, int]
) -> tuple[list[Use], list[Use], bool]:  # fmt: skip
    """Layouts, one copy each: of a quick plan for these needs from so many sheets of each kind, and others it came by.

    And whether the plan meets the needs; where it does not, it is one for a part of them.
    """
    kinds = [kind for kind, need in enumerate(needs) if need]
    numbers = [number for number, left in sheets.items() if left]
    rest = _share(task, kinds, numbers)
    pieces = tuple(replace(piece, need=needs[kind]) for kind, piece in zip(kinds, rest.pieces, strict=True))
    limited = tuple(replace(sheet, limit=sheets[number]) for number, sheet in zip(numbers, rest.sheets, strict=True))
    answer = solve(replace(rest, pieces=pieces, sheets=limited), effort=Effort.QUICK)
    planned, others = (
        [replace(_renumbered(use, kinds, numbers), copies=1) for use in uses] for uses in (answer.uses, answer.pool)
    )
    return planned, others, not any(answer.missing)


def _share(task: PackingTask, kinds: Sequence[int], sheets: Sequence[int]) -> PackingTask:
    """The part of a task with some piece kinds and some sheet kinds."""
    pieces, sources = (task.pieces[kind] for kind in kinds), (task.sheets[number] for number in sheets)
    return replace(task, pieces=tuple(pieces), sheets=tuple(sources))


def _together(
    task: PackingTask, groups: Sequence[tuple[list[int], list[int]]], parts: Sequence[Part], scale: int
) -> Answer:
    missing = [piece.need for piece in task.pieces]
    uses: list[Use] = []
    pool: list[Use] = []
    for (kinds, sheets), part in zip(groups, parts, strict=True):
        for kind, count in zip(kinds, part.missing, strict=True):
            missing[kind] = count
        uses += [_renumbered(use, kinds, sheets) for use in part.uses]
        pool += [_renumbered(use, kinds, sheets) for use in part.pool]
    bound = as_bound([(part.proof, kinds) for (kinds, _), part in zip(groups, parts, strict=True)], len(missing), scale)
    return _answer(task, tuple(uses), tuple(missing), bound, tuple(dict.fromkeys(pool))[:MOST_POOL], parts)


def _answer(
    task: PackingTask, uses: tuple[Use, ...], missing: tuple[int, ...], bound: Bound, pool: tuple[Use, ...],
    parts: Sequence[Part],
) -> Answer:  # fmt: skip
    if any(missing):
        outcome = Outcome.STOPPED if any(part.stopped for part in parts) else Outcome.SHORT
    elif cost_of(task, uses) == bound.cost:
        outcome = Outcome.PROVEN
    else:
        outcome = Outcome.STOPPED if any(part.stopped for part in parts) else Outcome.OPEN
    return Answer(uses, missing, outcome, bound, pool)


def _with_offcut(task: PackingTask, answer: Answer, work: Work, stop: Callable[[], bool]) -> Answer:
    """The answer with an offcut as large as can be found, and the bound on it where all larger ones are told of."""
    largest = Largest(task, answer)
    largest.run(Steps(1000 * work.asking, stop))
    return replace(answer, uses=largest.uses, offcut=largest.bound)


def _agreed(task: PackingTask, answer: Answer) -> Bound:
    needs = [piece.need - out for piece, out in zip(task.pieces, answer.missing, strict=True)]
    proof, bound = verify_bound(task, answer.bound, needs), answer.bound
    return replace(bound, cost=min(bound.cost, proof.cost), sheets=min(bound.sheets, proof.sheets))


def _renumbered(use: Use, kinds: Sequence[int], sheets: Sequence[int]) -> Use:
    """A use of a part of a task, with the numbers of the whole task."""
    return Use(sheets[use.sheet], _renamed(use.root, kinds), use.copies)


def _renamed(part: LayoutPart, kinds: Sequence[int]) -> LayoutPart:
    if isinstance(part, PiecePart):
        return replace(part, kind=kinds[part.kind])
    if isinstance(part, CutPart):
        return replace(part, parts=tuple(_renamed(child, kinds) for child in part.parts))
    return part
