"""Papers that run short: which of their pieces are cut from the paper that stands in, planned with its own pieces.

In: a PieceList in which each piece names one paper, and the Supply. Out: the same with as few as possible moved to
the stand-in, and what was moved. The fact of the trade: another colour is a makeshift, used only where the paper itself
does not suffice and never to save money; but which pieces are moved may save a sheet of it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from nesting.describe.papers import Paper
from nesting.describe.project import Project
from nesting.packing.layout import Answer, PackingTask, cost_of
from nesting.packing.pack import task_of
from nesting.packing.shares import cut_from, on_paper, shared_out
from nesting.packing.solve import Effort, solve
from nesting.pieces.piece_list import Piece, PieceList
from nesting.pieces.supply import Supply


@dataclass(frozen=True, slots=True)
class Moved:
    """So many of a paper's pieces are cut from the paper that stands in for it."""

    paper: str
    stand_in: str
    count: int
    of: int


@dataclass(frozen=True, slots=True)
class _Ask:
    """All that is needed to try a way of sharing out."""

    project: Project
    supply: Supply
    effort: Effort
    seed: int
    stop: Callable[[], bool] | None
    known: dict[PackingTask, Answer]

    def answer(self, task: PackingTask) -> Answer:
        """As it is known already, or solved; whoever packs the same task afterwards finds it known."""
        if task not in self.known:
            self.known[task] = solve(task, effort=self.effort, seed=self.seed, stop=self.stop)
        return self.known[task]


def use_stand_ins(
    project: Project,
    pieces: PieceList,
    supply: Supply,
    *,
    effort: Effort = Effort.NORMAL,
    seed: int = 0,
    stop: Callable[[], bool] | None = None,
    known: dict[PackingTask, Answer] | None = None,
) -> tuple[PieceList, tuple[Moved, ...]]:
    """Let stand-ins give what their papers are short of, a paper before the one that stands in for it.

    A paper of which some pieces may be cut from others besides is left alone. known: tasks that are answered already;
    those that are answered here are added to it.
    """
    ask, moved = _Ask(project, supply, effort, seed, stop, {} if known is None else known), []
    for paper in _before_their_stand_ins(project):
        endless = any(source.limit is None for source in supply.of_paper(paper.name))
        if endless or not pieces.of_paper(paper.name) or _has_choice(pieces, paper):
            continue
        pieces, count = _one(ask, pieces, paper, project.paper(paper.stand_in))
        if count:
            total = count + sum(piece.count for piece in pieces.of_paper(paper.name))
            moved.append(Moved(paper.name, paper.stand_in, count, total))
    return pieces, tuple(moved)


def _has_choice(pieces: PieceList, paper: Paper) -> bool:
    chosen = ({piece.paper, *(name for name, _ in piece.or_papers)} for piece in pieces.pieces if piece.or_papers)
    return any(paper.name in names for names in chosen)


def _before_their_stand_ins(project: Project) -> list[Paper]:
    """The papers that have a stand-in; where some stand in for each other in a ring, all are asked a second time."""
    found: list[Paper] = []

    def visit(paper: Paper, seen: tuple[str, ...]) -> None:
        if paper in found or paper.name in seen or not paper.stand_in:
            return
        visit(project.paper(paper.stand_in), (*seen, paper.name))
        found.append(paper)

    for paper in project.papers:
        visit(paper, ())
    ordered = found[::-1]
    last = {paper.name: number for number, paper in enumerate(ordered)}
    ring = any(last.get(paper.stand_in, len(ordered)) < last[paper.name] for paper in ordered)
    return ordered * 2 if ring else ordered


def _one(ask: _Ask, pieces: PieceList, paper: Paper, other: Paper) -> tuple[PieceList, int]:
    """The better of two ways: as much area as can be from the paper itself, or both papers planned together."""
    kinds, sources, task = task_of(ask.project, (paper,), pieces, ask.supply)
    missing = ask.answer(task).missing if sources else tuple(kind.need for kind in task.pieces)
    if not any(missing):
        return pieces, 0
    may_move = [_may_move(same, other) for same in kinds]
    missing = tuple(count if may else 0 for count, may in zip(missing, may_move, strict=True))
    ways = [missing]
    together = _together(ask, pieces, paper, other, kinds, may_move)
    if together is not None:
        ways.append(_fewer(ask, task, together))
    tried = [(_worth(ask, pieces, paper, other, kinds, way), way) for way in dict.fromkeys(ways)]
    best = min(tried, key=lambda pair: pair[0])[1]
    return _shared(pieces, paper, other, kinds, best), sum(best)


def _may_move(same: tuple[Piece, ...], other: Paper) -> bool:
    """No base whose fold would cross a grain that is required."""
    lies = [dict(piece.lies).get(other.name) for piece in same]
    return not any(lie is not None and lie.refused for lie in lies)


def _together(
    ask: _Ask, pieces: PieceList, paper: Paper, other: Paper, kinds: tuple[tuple[Piece, ...], ...], may_move: list[bool]
) -> tuple[int, ...] | None:
    """How many of each kind the stand-in gives where both papers are planned at once and its sheets are what counts.

    None where a base would lie otherwise on the stand-in, or where something is still missing.
    """
    free = {id(piece) for same, may in zip(kinds, may_move, strict=True) for piece in same if may}
    joint: dict[int, Piece] = {}  # by the piece that it stands for
    for piece in pieces.pieces:
        if piece.paper == other.name:
            joint[id(piece)] = piece
        elif piece.paper == paper.name:
            changed = on_paper(piece, other)
            if changed.must_turn != piece.must_turn:
                return None
            or_papers = ((other.name, changed.may_turn),) if id(piece) in free else ()
            joint[id(piece)] = replace(piece, or_papers=or_papers)
    both, _, task = task_of(ask.project, (paper, other), PieceList(tuple(joint.values())), ask.supply)
    first = 1 + sum(sheet.limit or 0 for sheet in task.sheets if sheet.paper == 0)
    costs = [1 if sheet.paper == 0 else first * sheet.cost for sheet in task.sheets]
    task = replace(task, sheets=tuple(replace(s, cost=cost) for s, cost in zip(task.sheets, costs, strict=True)))
    answer = ask.answer(task)
    if any(answer.missing):
        return None
    given: dict[int, int] = {}  # by the piece in the joint list
    for same, counts in zip(both, cut_from(task, answer), strict=True):
        left = counts.get(1, 0)
        for piece in same:
            given[id(piece)] = min(left, piece.count)
            left -= given[id(piece)]
    return tuple(sum(given[id(joint[id(piece)])] for piece in same) for same in kinds)


def _fewer(ask: _Ask, task: PackingTask, moved: tuple[int, ...]) -> tuple[int, ...]:
    """The same with as many as possible taken back, the largest kinds first, while the paper itself can give them."""
    left = list(moved)
    areas = [piece.width * piece.height for piece in task.pieces]
    room = sum(sheet.width * sheet.height * (sheet.limit or 0) for sheet in task.sheets)
    order = sorted(range(len(left)), key=lambda k: (-areas[k], k))
    for kind in order:
        kept = zip(areas, task.pieces, left, strict=True)
        free = room - sum(area * (piece.need - gone) for area, piece, gone in kept)
        low, high = 0, min(left[kind], free // areas[kind])  # low: so many can be taken back for sure
        while low < high:
            middle = (low + high + 1) // 2
            tried = [count - middle if k == kind else count for k, count in enumerate(left)]
            needs = zip(task.pieces, tried, strict=True)
            asked = replace(task, pieces=tuple(replace(piece, need=piece.need - gone) for piece, gone in needs))
            low, high = (middle, high) if not any(ask.answer(asked).missing) else (low, middle - 1)
        left[kind] -= low
    return tuple(left)


def _worth(
    ask: _Ask, pieces: PieceList, paper: Paper, other: Paper, kinds: tuple[tuple[Piece, ...], ...], way: tuple[int, ...]
) -> tuple[int, int, int, int]:
    """The less the better: pieces that nothing gives, what the stand-in's sheets cost, area moved, pieces moved."""
    shared = _shared(pieces, paper, other, kinds, way)
    missing = cost = 0
    for one in (paper, other):
        _, sources, task = task_of(ask.project, (one,), shared, ask.supply)
        answer = ask.answer(task) if sources else None
        missing += sum(kind.need for kind in task.pieces) if answer is None else sum(answer.missing)
        cost = 0 if answer is None else cost_of(task, answer.uses)
    area = sum(same[0].width.ticks * same[0].height.ticks * count for same, count in zip(kinds, way, strict=True))
    return missing, cost, area, sum(way)


def _shared(
    pieces: PieceList, paper: Paper, other: Paper, kinds: tuple[tuple[Piece, ...], ...], way: tuple[int, ...]
) -> PieceList:
    needs = [sum(piece.count for piece in same) for same in kinds]
    counts = [{0: need - gone, 1: gone} for need, gone in zip(needs, way, strict=True)]
    return shared_out(pieces, (paper, other), kinds, counts)
