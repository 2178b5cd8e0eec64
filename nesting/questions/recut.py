"""Half-way through the cutting something is spoiled: what lies on the table, what is missing, and a plan for the rest.

In: the Plan that hangs at the trimmer, the stop settings that are done, the pieces that are spoiled. Out: a new Project
of the missing pieces whose paper at hand is what lies on the table, and a Plan for it with the fewest new sheets. The
fact of the trade: half-cut strips and offcuts are paper, and a spoiled piece often comes out of one.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from nesting.cutting.passes import Order, TablePart, What
from nesting.describe.papers import HeldSheet, Paper, Rim, Sheet
from nesting.describe.project import LoosePiece, Project, Spares
from nesting.describe.shops import Ware
from nesting.errors import NestingError, Place, Problem
from nesting.lengths import Length
from nesting.packing.layout import CutPart, PackingTask, PiecePart
from nesting.packing.pack import Packing, paper_tasks
from nesting.packing.solve import Effort, solve
from nesting.pieces.piece_list import piece_list
from nesting.pieces.supply import Source, SourceKind, supply
from nesting.plan import PaperPlan, Plan, RestOf, held_sheets, in_order

TABLE = Place(subject="the table")


@dataclass(frozen=True, slots=True)
class Spoiled:
    """So many pieces of one letter of one paper."""

    paper: str
    letter: str
    count: int


@dataclass(frozen=True, slots=True)
class Table:
    """What lies there of one paper: good pieces by kind number, and paper that can still be cut."""

    paper: str
    pieces: Mapping[int, int]
    sheets: tuple[tuple[Sheet, int], ...]


@dataclass(frozen=True, slots=True)
class Recut:
    """The rest of the work. plan is None where nothing is missing; `fewest_new`: no plan takes fewer new sheets."""

    tables: tuple[Table, ...]
    project: Project
    plan: Plan | None
    fewest_new: int


def recut(plan: Plan, done: Mapping[str, int], spoiled: Iterable[Spoiled], *, spares: bool = False) -> Recut:
    """Plan the rest.

    done: by paper the last stop setting that was cut, 0 for none; a paper that is not named is cut to the end.
    spares: cut again as many spares as were planned. Raises NestingError with all that does not fit the plan.
    """
    spoiled = tuple(spoiled)
    problems = [problem for paper in plan.papers for problem in _wrong_done(paper, done)]
    tables = tuple(on_the_table(paper, done.get(paper.paper.name)) for paper in plan.papers)
    if not problems:
        problems = _wrong_spoiled(plan, tables, spoiled)
    if problems:
        raise NestingError(problems)
    rows = list(zip(plan.papers, tables, strict=True))
    pieces = tuple(
        piece for paper, table in rows for piece in _missing(paper, table, _lost(paper, spoiled), spares=spares)
    )
    there = {table.paper: table.sheets for table in tables}
    papers = tuple(_with_table(plan, paper, there.get(paper.name, ())) for paper in plan.project.papers)
    project = replace(
        plan.project, title=f"{plan.project.title}: the rest", papers=papers, designs=(), batch=(), spares=Spares(),
        pieces=pieces, centres=None,
    )  # fmt: skip
    if not pieces:
        return Recut(tables, project, None, 0)
    return Recut(tables, project, *_planned(project))


def rest_of(plan: Plan, rest: Recut, mark: str) -> RestOf:
    """What the plan for the rest goes on from: `plan`, which has that mark."""
    taken, _ = _taken_and_lying(plan)
    table: Counter[Ware] = Counter()
    for one in rest.project.papers:
        for held in one.at_hand:
            if held.place == TABLE:
                table[Ware(one.name, held.sheet)] += held.count
    if plan.rest_of is not None:
        mark = f"{plan.rest_of.mark}\n{mark}"
    return RestOf(mark, tuple(taken.items()), tuple(table.items()))


def _taken_and_lying(plan: Plan) -> tuple[Counter[Ware], Counter[Ware]]:
    """What a plan and all that it goes on from took from what was at hand; what they left on the table untouched."""
    taken = Counter(held_sheets(plan))
    former = plan.rest_of
    if former is None:
        return taken, Counter()
    there = Counter(dict(former.table))  # a rest of a rest: what lay on the table was taken by the first plan
    return taken - there + Counter(dict(former.taken)), there - taken


def kinds_by_letter(paper: PaperPlan) -> dict[str, int]:
    """The number of each kind that is cut by its letter; panels of a print that runs on have one letter together."""
    return {name.rstrip("0123456789"): kind for kind, name in sorted(paper.letters.items())}


# ------------------------------------------------------------------------------------------ what lies there


def on_the_table(paper: PaperPlan, done: int | None) -> Table:
    """Play the passes up to a stop setting, or all of them, and look at the table."""
    table: Counter[TablePart] = Counter()
    whole: Counter[Sheet] = Counter()
    for use in paper.uses:
        if isinstance(use.root, PiecePart) and paper.packing.task.pieces[use.root.kind].block is None:
            table[TablePart(What.PIECE, use.root.width, use.root.height, "", use.root.kind)] += use.copies
        elif isinstance(use.root, (CutPart, PiecePart)):
            whole[paper.packing.sources[use.sheet].sheet] += use.copies
    for line in paper.order.passes:
        if done is None or line.number <= done:
            wanted = sum(line.stacks)
            fresh = max(0, wanted - table[line.part])
            _begin(whole, line.part, fresh)
            table[line.part] += fresh - wanted
            for comes in line.comes:
                table[comes.part] += comes.count
    lies = {source.sheet for source in paper.packing.sources if not source.kind.from_a_piece}
    sheets = [(sheet, count) for sheet, count in whole.items() if sheet in lies]
    for part, count in table.items():
        if part.what in (What.PART, What.KEEP) and count:
            sheets.append((Sheet(Length(part.width), Length(part.height), _rim_left(paper, part)), count))
    return Table(paper.paper.name, _pieces(table), tuple((sheet, count) for sheet, count in sheets if count))


def _begin(whole: Counter[Sheet], part: TablePart, count: int) -> None:
    """Take whole sheets of a part's size."""
    for sheet in whole:
        if (sheet.width.ticks, sheet.height.ticks) == (part.width, part.height):
            taken = min(count, whole[sheet])
            whole[sheet] -= taken
            count -= taken


def _pieces(table: Counter[TablePart]) -> dict[int, int]:
    """Good pieces by kind; of a print that runs on, as many as there are of its scarcest panel."""
    panels: dict[int, dict[str, int]] = {}
    for part, count in table.items():
        if part.what is What.PIECE and part.kind is not None:
            by_name = panels.setdefault(part.kind, {})
            by_name[part.name] = by_name.get(part.name, 0) + count
    return {kind: min(by_name.values()) for kind, by_name in panels.items()}


def _rim_left(paper: PaperPlan, part: TablePart) -> Rim:
    """The strips that may still be on a part, taken from the largest that any sheet of this size could have."""
    kerf = paper.packing.task.rules.kerf
    left = top = right = bottom = 0
    for source in paper.packing.sources:
        sheet, rim = source.sheet, source.sheet.rim
        across = _strips(part.width, sheet.width.ticks, rim.left.ticks, rim.right.ticks, kerf)
        down = _strips(part.height, sheet.height.ticks, rim.top.ticks, rim.bottom.ticks, kerf)
        left, right = max(left, across[0]), max(right, across[1])
        top, bottom = max(top, down[0]), max(bottom, down[1])
    return Rim(Length(left), Length(top), Length(right), Length(bottom))


def _strips(length: int, whole: int, near: int, far: int, kerf: int) -> tuple[int, int]:
    """Near and far strip still on a length: both come off before anything else does, the near one first."""
    if length == whole:
        return near, far
    return (0, far) if near and length == whole - near - kerf else (0, 0)


# ------------------------------------------------------------------------------------------ what is missing


def _lost(paper: PaperPlan, spoiled: Iterable[Spoiled]) -> dict[int, int]:
    kinds = kinds_by_letter(paper)
    lost: dict[int, int] = {}
    for one in spoiled:
        if one.paper == paper.paper.name:
            lost[kinds[one.letter]] = lost.get(kinds[one.letter], 0) + one.count
    return lost


def _missing(paper: PaperPlan, table: Table, lost: Mapping[int, int], *, spares: bool) -> list[LoosePiece]:
    found = []
    for kind, same in enumerate(paper.packing.kinds):
        asked = paper.packing.task.pieces[kind]
        wanted = sum(piece.count if spares else piece.need for piece in same)
        short = wanted - table.pieces.get(kind, 0) + lost.get(kind, 0)
        if short > 0:
            label = ", ".join(dict.fromkeys(piece.title for piece in same))
            found.append(LoosePiece(
                paper.paper.name, Length(asked.width), Length(asked.height), short,
                f"{label} (then cut apart)" if asked.block else label, TABLE, asked.allowed[0].may_turn,
            ))  # fmt: skip
    return found


def _with_table(plan: Plan, paper: Paper, there: tuple[tuple[Sheet, int], ...]) -> Paper:
    """The paper with all that lies on the table, from earlier plans too, and with what they left in the drawer."""
    all_taken, all_lying = _taken_and_lying(plan)
    taken = {ware.sheet: count for ware, count in all_taken.items() if ware.paper == paper.name}
    held = []
    for one in paper.at_hand:
        used = min(one.count, taken.get(one.sheet, 0))
        taken[one.sheet] = taken.get(one.sheet, 0) - used
        if one.count > used:
            held.append(replace(one, count=one.count - used))
    extra = plan.purchase.extra if plan.purchase is not None else ()
    uncut = tuple((ware.sheet, count) for ware, count in (*extra, *all_lying.items()) if ware.paper == paper.name)
    return replace(paper, at_hand=(*held, *(HeldSheet(sheet, count, TABLE) for sheet, count in (*there, *uncut))))


# ------------------------------------------------------------------------------------------ the plan for it


def _planned(project: Project) -> tuple[Plan, int]:
    """A plan with the fewest new sheets, then with as little of the paper on the table as can be."""
    pieces, sources = piece_list(project), supply(project)
    packed = []
    fewest = 0
    for asked in paper_tasks(project, pieces, sources):
        task, one_new = _new_is_dear(asked.task, asked.sources)
        answer = solve(task, effort=Effort.NORMAL)
        fewest += 0 if any(answer.missing) else answer.bound.cost // one_new
        packed.append(replace(asked, task=task).answered(answer))
    return in_order(project, pieces, sources, Packing(tuple(packed)), Order.BY_SETTING), fewest


def _new_is_dear(task: PackingTask, sources: tuple[Source, ...]) -> tuple[PackingTask, int]:
    """One new sheet costs more than all that lies there, which costs by its area."""
    areas = [sheet.width * sheet.height for sheet in task.sheets]
    there = [max(1, 100 * area // max(areas)) for area in areas]
    one_new = 1 + sum(cost * (sheet.limit or 0) for cost, sheet in zip(there, task.sheets, strict=True))
    costs = [one_new if one.kind is SourceKind.BUY else cost for one, cost in zip(sources, there, strict=True)]
    sheets = tuple(replace(sheet, cost=cost) for sheet, cost in zip(task.sheets, costs, strict=True))
    return replace(task, sheets=sheets), one_new


# ------------------------------------------------------------------------------------------ what does not fit


def _wrong_done(paper: PaperPlan, done: Mapping[str, int]) -> list[Problem]:
    last = max((line.number for line in paper.order.passes), default=0)
    if done.get(paper.paper.name, 0) <= last:
        return []
    what = f"The plan for {paper.paper.name} has {last} stop settings, not {done[paper.paper.name]}."
    return [Problem(Place(subject="settings done"), what, f"Say the number of the last one done, 0 to {last}.")]


def _wrong_spoiled(plan: Plan, tables: tuple[Table, ...], spoiled: Iterable[Spoiled]) -> list[Problem]:
    problems = []
    place = Place(subject="spoiled")
    totals: Counter[tuple[str, str]] = Counter()
    for one in spoiled:
        totals[one.paper, one.letter] += one.count
    for (name, letter), count in totals.items():
        for paper, table in zip(plan.papers, tables, strict=True):
            if paper.paper.name == name:
                cut = table.pieces.get(kinds_by_letter(paper)[letter], 0)
                if count > cut:
                    what = f"{count} of {letter} of {name} cannot be spoiled: {cut} are cut so far."
                    problems.append(Problem(place, what, "Count again, or say which settings are done."))
    return problems
