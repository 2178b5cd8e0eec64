"""Papers that share pieces are planned together; their plan comes apart into one for each paper.

In: what was asked of several papers and its answer. Out: one PaperPacking for each of them. The fact of the trade: a
piece may be cut from any of several papers, but each paper is cut by itself.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from nesting.describe.papers import Paper, PrintDirection
from nesting.describe.project import Project
from nesting.packing.check_bound import verify_bound
from nesting.packing.layout import (
    Allowed,
    Answer,
    Bound,
    CutPart,
    Outcome,
    Part,
    PiecePart,
    Reason,
    Use,
    cost_of,
    leaves,
    sheets_of,
)  # fmt: skip
from nesting.packing.pack import PaperPacking, PaperTask
from nesting.pieces.piece_list import Piece, PieceList
from nesting.pieces.supply import Supply


def with_stand_ins(project: Project, pieces: PieceList, sources: Supply, *, buying: bool) -> PieceList:
    """Pieces of a paper that may run out may also be cut from the paper that stands in for it."""
    stand_ins = {}
    for paper in project.papers:
        endless = buying and any(source.limit is None for source in sources.of_paper(paper.name))
        if paper.stand_in and not endless:
            stand_ins[paper.name] = project.paper(paper.stand_in)
    return PieceList(tuple(or_stand_in(piece, stand_ins) for piece in pieces.pieces))


def or_stand_in(piece: Piece, stand_ins: Mapping[str, Paper]) -> Piece:
    """The piece, which may also be cut from what stands in for any of its papers."""
    known = {piece.paper: piece.may_turn} | dict(piece.or_papers)
    for name in list(known):
        if name in stand_ins and stand_ins[name].name not in known:
            other = stand_ins[name]
            known[other.name] = piece.may_turn and other.direction is PrintDirection.NONE
    return replace(piece, or_papers=tuple((name, turn) for name, turn in known.items() if name != piece.paper))


def apart(asked: PaperTask, papers: Sequence[Paper], answer: Answer) -> list[PaperPacking]:
    """One packing for each paper of a group, with the pieces that it gives."""
    if len(papers) == 1:
        return [asked.answered(answer)]
    counts = [[0] * len(papers) for _ in asked.task.pieces]
    for use in answer.uses:
        for leaf in leaves(use.root):
            if isinstance(leaf, PiecePart):
                counts[leaf.kind][asked.task.sheets[use.sheet].paper] += use.copies
    for kind, missing in enumerate(answer.missing):
        counts[kind][asked.task.pieces[kind].allowed[0].paper] += missing
    left = [[(piece, piece.need, piece.spare) for piece in same] for same in asked.kinds]
    return [_of_paper(asked, number, paper, answer, counts, left) for number, paper in enumerate(papers)]


def _of_paper(
    asked: PaperTask, number: int, paper: Paper, answer: Answer, counts: list[list[int]],
    left: list[list[tuple[Piece, int, int]]],
) -> PaperPacking:  # fmt: skip
    kinds, pieces, groups, missing = [], [], [], []
    for kind, piece in enumerate(asked.task.pieces):
        turns = next((one.may_turn for one in piece.allowed if one.paper == number), None)
        if turns is not None:
            count = counts[kind][number]
            kinds.append(kind)
            pieces.append(replace(piece, need=count, allowed=(Allowed(0, turns),)))
            groups.append(_taken(left[kind], count, paper.name, turns))
            missing.append(answer.missing[kind] if piece.allowed[0].paper == number else 0)
    sheets = [i for i, sheet in enumerate(asked.task.sheets) if sheet.paper == number]
    task = replace(
        asked.task, pieces=tuple(pieces), sheets=tuple(replace(asked.task.sheets[i], paper=0) for i in sheets)
    )
    uses = tuple(
        Use(sheets.index(use.sheet), _renumbered(use.root, kinds), use.copies)
        for use in answer.uses
        if use.sheet in sheets
    )
    placed = [piece.need - out for piece, out in zip(pieces, missing, strict=True)]
    proof = verify_bound(task, Bound(0, 0, Reason.AREA), placed)
    bound = Bound(min(proof.cost, cost_of(task, uses)), min(proof.sheets, sheets_of(uses)), Reason.AREA)
    outcome = Outcome.PROVEN if cost_of(task, uses) == bound.cost else Outcome.OPEN
    outcome = Outcome.SHORT if any(missing) else outcome
    found = Answer(uses, tuple(missing), outcome, bound)
    return PaperPacking(paper, tuple(groups), tuple(asked.sources[i] for i in sheets), task, found)


def _taken(left: list[tuple[Piece, int, int]], count: int, paper: str, may_turn: bool) -> tuple[Piece, ...]:
    """So many of alike pieces, what is needed before what is spare; what is left is written back."""
    found = []
    for place, (piece, need, spare) in enumerate(left):
        needed = min(need, count)
        more = min(spare, count - needed)
        count -= needed + more
        left[place] = piece, need - needed, spare - more
        if needed + more:
            found.append(replace(piece, paper=paper, may_turn=may_turn, need=needed, spare=more, or_papers=()))
    return tuple(found)


def _renumbered(part: Part, kinds: list[int]) -> Part:
    if isinstance(part, PiecePart):
        return replace(part, kind=kinds.index(part.kind))
    if isinstance(part, CutPart):
        return replace(part, parts=tuple(_renumbered(child, kinds) for child in part.parts))
    return part
