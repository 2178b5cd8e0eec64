"""Which paper each piece is cut from: any of several named, or the stand-in of one that runs short.

In: a PieceList in which a piece may name several papers, and the Supply. Out: a PieceList in which each names one. The
fact of the trade: the maker does not mind which of three prints a mat is cut from, and may save a sheet by it; a
stand-in is used only when the paper itself does not suffice.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from nesting.describe.papers import Paper
from nesting.describe.project import Project
from nesting.packing.layout import Answer, PackingTask
from nesting.packing.pack import task_of
from nesting.packing.shares import cut_from, shared_out
from nesting.packing.solve import Effort, solve
from nesting.packing.stand_ins import Moved, use_stand_ins
from nesting.pieces.piece_list import PieceList
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
    known: dict[PackingTask, Answer] | None = None,
) -> tuple[PieceList, tuple[Choice | Moved, ...]]:
    """Give each piece its paper, as cheaply as can be found; then let stand-ins give what a paper is short of.

    What cannot be cut from any of its papers keeps the first, and whoever packs it says why. known: tasks that are
    answered already.
    """
    choices: list[Choice] = []
    for papers in sharing(project, pieces):
        if len(papers) == 1:
            continue
        kinds, _, task = task_of(project, papers, pieces, supply)
        answer = solve(task, effort=effort, seed=seed, stop=stop, known=known)
        pieces = shared_out(pieces, papers, kinds, cut_from(task, answer))
        choices.append(Choice(tuple(paper.name for paper in papers), answer))
    pieces, moved = use_stand_ins(project, pieces, supply, effort=effort, seed=seed, stop=stop, known=known)
    return pieces, (*choices, *moved)


def sharing(project: Project, pieces: PieceList) -> list[tuple[Paper, ...]]:
    """All papers in groups that share pieces, directly or by way of others; in the project's order."""
    groups: list[set[str]] = []
    for piece in pieces.pieces:
        names = {piece.paper, *(name for name, _ in piece.or_papers)}
        touched = [group for group in groups if group & names]
        groups = [group for group in groups if not group & names] + [names.union(*touched)]
    ordered = [tuple(paper for paper in project.papers if paper.name in group) for group in groups]
    return sorted(ordered, key=lambda papers: project.papers.index(papers[0]))
