"""Which paper each piece is cut from: any of several named, or the stand-in of one that runs short.

In: a PieceList in which a piece may name several papers, and the Supply. Out: a PieceList in which each names one. The
fact of the trade: the maker does not mind which of three prints a mat is cut from, and may save a sheet by it; a
stand-in is used only when the paper itself does not suffice.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from nesting.describe.papers import Paper, PrintDirection
from nesting.describe.project import Project
from nesting.packing.layout import Answer, PackingTask, PiecePart, leaves
from nesting.packing.pack import task_of
from nesting.packing.solve import Effort, solve
from nesting.pieces.piece_list import Piece, PieceList
from nesting.pieces.supply import Supply


@dataclass(frozen=True, slots=True)
class Choice:
    """Papers that share pieces, planned together; the bound of the answer holds for every choice among them."""

    papers: tuple[str, ...]
    answer: Answer


def choose_papers(
    project: Project,
    pieces: PieceList,
    supply: Supply,
    *,
    effort: Effort = Effort.NORMAL,
    seed: int = 0,
    stop: Callable[[], bool] | None = None,
    known: Mapping[PackingTask, Answer] | None = None,
) -> tuple[PieceList, tuple[Choice, ...]]:
    """Give each piece its paper, as cheaply as can be found; then let stand-ins give what a paper is short of.

    What cannot be cut from any of its papers keeps the first, and whoever packs it says why. known: tasks that are
    answered already.
    """
    choices, known = [], known or {}
    for papers in sharing(project, pieces):
        if len(papers) == 1:
            continue
        kinds, _, task = task_of(project, papers, pieces, supply)
        answer = known.get(task) or solve(task, effort=effort, seed=seed, stop=stop)
        pieces = _shared_out(pieces, papers, kinds, _cut_from(task, answer))
        choices.append(Choice(tuple(paper.name for paper in papers), answer))
    return let_stand_in(project, pieces, supply, effort=effort, seed=seed, stop=stop, known=known), tuple(choices)


def let_stand_in(
    project: Project, pieces: PieceList, supply: Supply, *, effort: Effort, seed: int,
    stop: Callable[[], bool] | None, known: Mapping[PackingTask, Answer] | None = None,
) -> PieceList:  # fmt: skip
    """Pieces that a paper does not suffice for come from its stand-in, where it has one; pieces with a choice do not.

    known: tasks that are answered already.
    """
    for (paper, *others) in sharing(project, pieces):
        endless = any(source.limit is None for source in supply.of_paper(paper.name))
        if paper.stand_in and not endless and not others:
            kinds, sources, task = task_of(project, (paper,), pieces, supply)
            needs = tuple(kind.need for kind in task.pieces)
            answered = (known or {}).get(task)
            if answered is None and sources:
                answered = solve(task, effort=effort, seed=seed, stop=stop)
            missing = answered.missing if answered is not None else needs
            counts = [{0: need - short, 1: short} for need, short in zip(needs, missing, strict=True)]
            pieces = _shared_out(pieces, (paper, project.paper(paper.stand_in)), kinds, counts)
    return pieces


def sharing(project: Project, pieces: PieceList) -> list[tuple[Paper, ...]]:
    """All papers in groups that share pieces, directly or by way of others; in the project's order."""
    groups: list[set[str]] = []
    for piece in pieces.pieces:
        names = {piece.paper, *(name for name, _ in piece.or_papers)}
        touched = [group for group in groups if group & names]
        groups = [group for group in groups if not group & names] + [names.union(*touched)]
    ordered = [tuple(paper for paper in project.papers if paper.name in group) for group in groups]
    return sorted(ordered, key=lambda papers: project.papers.index(papers[0]))


def _cut_from(task: PackingTask, answer: Answer) -> list[dict[int, int]]:
    """For each kind, how many are cut from each paper; what is missing counts for the first paper allowed."""
    counts = [{kind.allowed[0].paper: short} for kind, short in zip(task.pieces, answer.missing, strict=True)]
    for use in answer.uses:
        paper = task.sheets[use.sheet].paper
        for leaf in leaves(use.root):
            if isinstance(leaf, PiecePart):
                counts[leaf.kind][paper] = counts[leaf.kind].get(paper, 0) + use.copies
    return counts


def _shared_out(
    pieces: PieceList, papers: tuple[Paper, ...], kinds: tuple[tuple[Piece, ...], ...], counts: list[dict[int, int]]
) -> PieceList:
    """Each piece shared out among papers as its kind is, what is needed before what is spare."""
    shares: dict[int, list[Piece]] = {}
    for same, left in zip(kinds, counts, strict=True):
        for piece in same:
            need, spare = piece.need, piece.spare
            for number, paper in enumerate(papers):
                taken = min(left.get(number, 0), need + spare)
                if taken:
                    left[number] -= taken
                    needed = min(need, taken)
                    shares.setdefault(id(piece), []).append(_cut_of(piece, paper, needed, taken - needed))
                    need, spare = need - needed, spare - (taken - needed)
    return PieceList(tuple(share for piece in pieces.pieces for share in shares.get(id(piece), [piece])))


def _cut_of(piece: Piece, paper: Paper, need: int, spare: int) -> Piece:
    """So many of a piece from this paper, whose print decides whether it may turn."""
    turns = {piece.paper: piece.may_turn} | dict(piece.or_papers)
    may_turn = turns.get(paper.name, piece.may_turn and paper.direction is PrintDirection.NONE)
    return replace(piece, paper=paper.name, may_turn=may_turn, need=need, spare=spare, or_papers=())
