"""Pieces and paper become a packing task of whole numbers; its answer gets its names back.

In: a PieceList, a Supply, the trimmer. Out: a Packing: per paper the task, the checked answer, and what each
number stands for. The fact of the trade: equal rectangles of one paper are one kind of piece, whichever card
they are for.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from math import ceil, floor

from nesting.describe.papers import Paper
from nesting.describe.printed_at_home import scale_needed
from nesting.describe.project import Project, Trimmer
from nesting.errors import Fault, NestingError, Problem
from nesting.hands import Hands, Say, Stop, each
from nesting.lengths import Length, Unit, write_length, write_size
from nesting.packing.check import check
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
    SheetKind,
    cost_of,
)  # fmt: skip
from nesting.packing.solve import Effort, fits, solve
from nesting.pieces.piece_list import Piece, PieceList
from nesting.pieces.supply import Source, SourceKind, Supply
from nesting.standards import sheets_that_take

# What one unit of area at hand is worth against one to buy, in tenths: at hand is used first, but not wasted.
AT_HAND_TENTHS = 9
# The knife work of a centre where sheets have no prices, in thousandths of the largest sheet.
UNPRICED_CENTRE = 50
MOST_ON_SHEET = 5_000  # of one kind; nobody cuts so many from a sheet


@dataclass(frozen=True, slots=True)
class PaperTask:
    """What is asked of one paper: `kinds[i]` are the pieces of piece kind i, `sources[k]` is behind sheet kind k."""

    paper: Paper
    kinds: tuple[tuple[Piece, ...], ...]
    sources: tuple[Source, ...]
    task: PackingTask

    def answered(self, answer: Answer) -> PaperPacking:
        """The task with its answer."""
        return PaperPacking(self.paper, self.kinds, self.sources, self.task, answer)


@dataclass(frozen=True, slots=True)
class PaperPacking:
    """How one paper is cut: `kinds[i]` are the pieces behind piece kind i, `sources[k]` is behind sheet kind k.

    sheets_bound: where hidden centres leave the answer open, the least that any plan spends on sheets, however many
    centres it cuts; None elsewhere.
    """

    paper: Paper
    kinds: tuple[tuple[Piece, ...], ...]
    sources: tuple[Source, ...]
    task: PackingTask
    answer: Answer
    sheets_bound: Bound | None = None


@dataclass(frozen=True, slots=True)
class Packing:
    """One entry per paper that something is cut from, in the order of the project's papers."""

    papers: tuple[PaperPacking, ...]


@dataclass(frozen=True, slots=True)
class _ToPack:
    """One paper to be packed, as it can be sent to another process; known: what is known of its task."""

    asked: PaperTask
    known: Mapping[PackingTask, Answer]
    effort: Effort
    seed: int


def pack(
    project: Project,
    pieces: PieceList,
    supply: Supply,
    *,
    effort: Effort = Effort.NORMAL,
    seed: int = 0,
    progress: Callable[[str], None] | None = None,
    stop: Callable[[], bool] | None = None,
    known: Mapping[PackingTask, Answer] | None = None,
    hands: Hands | None = None,
) -> Packing:
    """Pack every paper; raises NestingError with every piece that cannot be cut from any sheet it may come from.

    known: tasks that are answered already. hands: take papers too; what is found is the same with or without them.
    """
    known = known or {}
    jobs = [
        _ToPack(asked, {asked.task: known[asked.task]} if asked.task in known else {}, effort, seed)
        for asked in paper_tasks(project, pieces, supply)
    ]
    packed = each(_packed, jobs, progress or (lambda sentence: None), stop or (lambda: False), hands)
    pairs = zip(packed, jobs, strict=True)
    return Packing(tuple(replace(one, paper=job.asked.paper, kinds=job.asked.kinds) for one, job in pairs))


def _packed(job: _ToPack, progress: Say, stop: Stop) -> PaperPacking:
    """One paper packed."""
    asked, effort, seed = job.asked, job.effort, job.seed
    say = _named(progress, asked.paper.name)
    answer = solve(asked.task, effort=effort, seed=seed, progress=say, stop=stop, known=job.known)
    if any(answer.missing) and any(source.kind.from_a_piece for source in asked.sources):
        asked = _uncut(asked)  # a mat that is missing has no centre
        answer = solve(asked.task, effort=effort, seed=seed, progress=say, stop=stop)
    bound = _sheets_bound(asked, answer, lambda task: solve(task, effort=effort, seed=seed, stop=stop))
    if bound is not None and bound.cost == cost_of(asked.task, answer.uses):  # and so no centre is cut out at all
        answer, bound = replace(answer, outcome=Outcome.PROVEN, bound=bound), None
    return replace(asked.answered(answer), sheets_bound=bound)


def _sheets_bound(asked: PaperTask, answer: Answer, solved: Callable[[PackingTask], Answer]) -> Bound | None:
    """A bound on the sheets alone: the same task in which all that is cut out costs nothing, checked as any answer is.

    The knife work of centres is a small cost beside a sheet's, which leaves bounds of the whole cost a little short.
    """
    if answer.outcome is not Outcome.OPEN or not any(source.kind.from_a_piece for source in asked.sources):
        return None
    free = sheets_alone(asked.task, asked.sources)
    found = solved(free)
    wrong = check(free, found)
    if wrong:
        raise Fault(f"The bound on the sheets of {asked.paper.name} did not stand up to its check: {wrong[0]}")
    return found.bound


def sheets_alone(task: PackingTask, sources: tuple[Source, ...]) -> PackingTask:
    """The same task in which centres and cut-outs cost nothing."""
    pairs = zip(task.sheets, sources, strict=True)
    sheets = tuple(replace(sheet, cost=0) if source.kind.from_a_piece else sheet for sheet, source in pairs)
    return replace(task, sheets=sheets)


def paper_tasks(project: Project, pieces: PieceList, supply: Supply) -> tuple[PaperTask, ...]:
    """What is asked of every paper; raises NestingError with every piece that fits no sheet it may come from."""
    wanted = [paper for paper in project.papers if pieces.of_paper(paper.name)]
    jobs = tuple(PaperTask(paper, *task_of(project, (paper,), pieces, supply)) for paper in wanted)
    problems = [found for job in jobs for found in _unfit(project, job.paper, job.kinds, job.sources, job.task)]
    problems += [found for job in jobs for found in _too_small(project, job)]
    if problems:
        raise NestingError(problems)
    return jobs


def _uncut(asked: PaperTask) -> PaperTask:
    """The same without what would be cut out of its own pieces."""
    kept = [i for i, source in enumerate(asked.sources) if not source.kind.from_a_piece]
    sheets = tuple(asked.task.sheets[i] for i in kept)
    return replace(
        asked, sources=tuple(asked.sources[i] for i in kept), task=replace(asked.task, sheets=sheets)
    )


def _named(progress: Callable[[str], None], name: str) -> Callable[[str], None]:
    return lambda sentence: progress(f"{name}: {sentence}")


_Job = tuple[tuple[tuple[Piece, ...], ...], tuple[Source, ...], PackingTask]


def task_of(project: Project, papers: tuple[Paper, ...], pieces: PieceList, supply: Supply) -> _Job:
    """What is asked of these papers together: equal rectangles from the same papers are one kind.

    A piece that may be cut from other papers besides is asked of these alone.
    """
    numbers = {paper.name: number for number, paper in enumerate(papers)}
    alike: dict[tuple[Length, Length, tuple[Allowed, ...], tuple[Length, ...]], list[Piece]] = {}
    for piece in (piece for piece in pieces.pieces if piece.paper in numbers):
        names = ((piece.paper, piece.may_turn), *piece.or_papers)
        allowed = tuple(Allowed(numbers[name], may_turn) for name, may_turn in names if name in numbers)
        size = (piece.height, piece.width) if piece.must_turn else (piece.width, piece.height)
        if all(one.may_turn for one in allowed) and (*size[::-1], allowed, ()) in alike and not piece.block:
            size = size[::-1]
        alike.setdefault((*size, allowed, piece.block), []).append(piece)
    kinds = tuple(
        PieceKind(width.ticks, height.ticks, sum(piece.count for piece in same), allowed, _block(block))
        for (width, height, allowed, block), same in alike.items()
    )
    sources = tuple(source for paper in papers for source in supply.of_paper(paper.name))
    sheets = tuple(
        _sheet_kind(source, numbers[source.paper], cost)
        for source, cost in zip(sources, _costs(sources), strict=True)
    )
    task = PackingTask(kinds, sheets, cut_rules(project.trimmer))
    return tuple(tuple(same) for same in alike.values()), sources, task


def _block(parts: tuple[Length, ...]) -> Block | None:
    """A print that runs on across panels: one area, cut apart across."""
    return Block(Axis.ACROSS, tuple(part.ticks for part in parts)) if parts else None


def cut_rules(trimmer: Trimmer) -> CutRules:
    """The trimmer's limits in the packer's language."""
    return CutRules(
        kerf=trimmer.kerf.ticks,
        longest_cut=trimmer.longest_cut.ticks if trimmer.longest_cut else None,
        largest_setting=trimmer.largest_setting.ticks if trimmer.largest_setting else None,
        narrowest_held=trimmer.narrowest_held.ticks,
    )


def _sheet_kind(source: Source, paper: int, cost: int) -> SheetKind:
    sheet, rim = source.sheet, source.sheet.rim
    margins = Margins(rim.left.ticks, rim.top.ticks, rim.right.ticks, rim.bottom.ticks)
    return SheetKind(sheet.width.ticks, sheet.height.ticks, paper, cost, source.limit, margins)


def _costs(sources: tuple[Source, ...]) -> list[int]:
    """Cost of one sheet of each source: ten times its price, or its area where prices are not known.

    Paper at hand counts nine tenths of what as much new paper would cost.
    """
    bought = [source for source in sources if source.kind is SourceKind.BUY]
    areas = [source.sheet.width.ticks * source.sheet.height.ticks for source in sources]
    largest = max((area for area, source in zip(areas, sources, strict=True) if source in bought), default=max(areas))
    prices = {source: source.worth for source in bought if source.worth}
    priced = bool(bought) and len(prices) == len(bought)
    dearest = max(prices.values()) if priced else Fraction(100)
    costs = []
    for source, area in zip(sources, areas, strict=True):
        if source.kind.from_a_piece:
            work = 10 * (source.price or 0)
            costs.append(max(1, work if priced else min(work, UNPRICED_CENTRE)))
        elif source.kind is SourceKind.BUY:
            costs.append(ceil(10 * prices[source]) if priced else max(1, -(-1000 * area // largest)))
        else:
            costs.append(max(1, floor(AT_HAND_TENTHS * dearest * area / largest)))
    return costs


def _unfit(
    project: Project, paper: Paper, kinds: tuple[tuple[Piece, ...], ...], sources: tuple[Source, ...], task: PackingTask
) -> list[Problem]:
    """One problem per piece that no sheet of its paper can give, with what would help."""
    problems = []
    for number, same in enumerate(kinds):
        if sources and fits(task, number):
            continue
        for piece in same:
            size = write_size(piece.width, piece.height, project.unit, with_unit=True)
            what = f"{_called(piece)} of {size} cannot be cut from {paper.name}"
            if not sources:
                problem = Problem(piece.place, f"{what}: there is none at hand and none to buy.",
                                  "Give the paper a sheet size it is sold in, or say what is at hand.")  # fmt: skip
            else:
                problem = Problem(piece.place, f"{what}: {_why_unfit(project.unit, task, number, sources)}",
                                  _what_helps(paper, task, number))  # fmt: skip
            problems.append(problem)
    return problems


def _called(piece: Piece) -> str:
    return f"“{piece.title}”" if piece.title else "A piece"


def _too_small(project: Project, job: PaperTask) -> list[Problem]:
    """One problem per piece of which a sheet gives more than anyone cuts: mostly a wrong unit."""
    problems = []
    largest = max((sheet.usable[0] * sheet.usable[1] for sheet in job.task.sheets), default=0)
    for kind, same in zip(job.task.pieces, job.kinds, strict=True):
        on_a_sheet = min(kind.need, largest // (kind.width * kind.height))
        if on_a_sheet > MOST_ON_SHEET:
            size = write_size(same[0].width, same[0].height, project.unit, with_unit=True)
            name = job.paper.name
            what = f"{_called(same[0])} of {size} is so small that one sheet of {name} gives {on_a_sheet} of it."
            todo = f"Check its size and unit; at most {MOST_ON_SHEET} are planned on a sheet: list strips instead."
            problems.append(Problem(same[0].place, what, todo))
    return problems


def _why_unfit(unit: Unit, task: PackingTask, number: int, sources: tuple[Source, ...]) -> str:
    kind = task.pieces[number]
    if fits(PackingTask(task.pieces, task.sheets), number):
        return "it would fit on the sheet, but this trimmer cannot make the cuts it takes."
    usable = [sheet.usable for sheet in task.sheets]
    width, height = max(usable, key=lambda size: size[0] * size[1])
    short = [
        f"{write_length(Length(over), unit, with_unit=True)} too {word}"
        for over, word in ((kind.width - width, "wide"), (kind.height - height, "high"))
        if over > 0
    ]
    largest = write_size(Length(width), Length(height), unit)
    return f"it is {' and '.join(short) or 'too large'} for the largest usable area ({largest})."


def _what_helps(paper: Paper, task: PackingTask, number: int) -> str:
    kind = task.pieces[number]
    if fits(PackingTask(task.pieces, task.sheets), number):
        return "A trimmer with a longer cut would do, or a smaller sheet; see [trimmer]."
    turned = PieceKind(kind.width, kind.height, kind.need, (Allowed(0, True),))
    if not kind.allowed[0].may_turn and fits(PackingTask((turned,), task.sheets, task.rules), 0):
        return "Turned a quarter it would fit: allow “turn = true” if the print may lie on its side."
    width, height = Length(kind.width), Length(kind.height)
    scale = scale_needed(paper, width, height)
    if scale is not None:
        return f"Print it larger, at {scale} % or more: the page would take it; or make the piece smaller."
    larger = " or ".join(sheets_that_take(width, height, may_turn=kind.allowed[0].may_turn))
    such_as = f", such as {larger} if it can be had or printed," if larger else ""
    return f"Use a larger sheet{such_as} or make the piece smaller."
