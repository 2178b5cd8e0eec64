"""What a stand-in would save, proposed and never done unasked.

In: a Plan. Out: a Proposal for each paper whose pieces would come cheaper if its stand-in might be used as well. The
fact of the trade: six pieces of moss may well be pine, if that saves a pack; but only the maker can say so.
"""

from __future__ import annotations

from dataclasses import dataclass

from nesting.buying.decide import decide
from nesting.describe.papers import Paper
from nesting.describe.project import Project
from nesting.errors import NestingError
from nesting.packing.solve import Effort
from nesting.pieces.hidden_centres import hidden_centres
from nesting.pieces.piece_list import PieceList, piece_list
from nesting.pieces.supply import supply
from nesting.plan import Plan
from nesting.questions.shared import or_stand_in


@dataclass(frozen=True, slots=True)
class Proposal:
    """With `stand_in` allowed for `paper`, `saves` cents less are spent."""

    paper: str
    stand_in: str
    saves: int


def proposals(plan: Plan) -> tuple[Proposal, ...]:
    """All that would save money, the most first; none where a price is not known, or paper is short."""
    if plan.price is None or not plan.complete:
        return ()
    project = plan.project
    bought = {paper.paper.name for paper in plan.papers if paper.to_buy}
    found = []
    for paper in project.papers:
        if paper.stand_in and paper.name in bought:
            saves = _saved(plan, paper, project.paper(paper.stand_in))
            found += [Proposal(paper.name, paper.stand_in, saves)] if saves > 0 else []
    return tuple(sorted(found, key=lambda one: -one.saves))


def _saved(plan: Plan, paper: Paper, other: Paper) -> int:
    """Cents saved when pieces of a paper may also be cut from another; 0 where that is not known."""
    project, pieces = plan.project, piece_list(plan.project)
    if project.shops:
        now = plan.price or 0
    else:  # every paper is bought for itself, so that only these two matter
        two = {paper.name, other.name}
        pieces = PieceList(tuple(piece for piece in pieces.pieces if piece.paper in two))
        prices = [one.price for one in plan.papers if one.paper.name in two]
        now = sum(price or 0 for price in prices)
    free = (or_stand_in(one, {paper.name: other}) if one.paper == paper.name else one for one in pieces.pieces)
    then = _least(project, PieceList(tuple(free)))
    return 0 if then is None else now - then


def _least(project: Project, pieces: PieceList) -> int | None:
    """What all new paper for these pieces costs; None where it cannot be had."""
    try:
        found = decide(project, pieces, supply(project, hidden_centres(project)), effort=Effort.QUICK)
    except NestingError:
        return None
    complete = not any(any(answer.missing) for answer in found.answers.values())
    return found.purchase.cents if complete else None
