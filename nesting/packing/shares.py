"""Pieces shared out among papers: so many of each kind from each paper, what is needed before what is spare.

In: a PieceList and, for each kind of piece of a task, how many come from which paper. Out: a PieceList in which each
piece names one paper. The fact of the trade: a base that is cut from another paper lies as that paper's grain runs.
"""

from __future__ import annotations

from dataclasses import replace

from nesting.describe.papers import Paper, PrintDirection
from nesting.packing.layout import Answer, PackingTask, PiecePart, leaves
from nesting.pieces.piece_list import Piece, PieceList


def cut_from(task: PackingTask, answer: Answer) -> list[dict[int, int]]:
    """For each kind, how many are cut from each paper; what is missing counts for the first paper allowed."""
    counts = [{kind.allowed[0].paper: short} for kind, short in zip(task.pieces, answer.missing, strict=True)]
    for use in answer.uses:
        paper = task.sheets[use.sheet].paper
        for leaf in leaves(use.root):
            if isinstance(leaf, PiecePart):
                counts[leaf.kind][paper] = counts[leaf.kind].get(paper, 0) + use.copies
    return counts


def shared_out(
    pieces: PieceList, papers: tuple[Paper, ...], kinds: tuple[tuple[Piece, ...], ...], counts: list[dict[int, int]]
) -> PieceList:
    """Each piece shared out among papers as its kind is, what is needed before what is spare."""
    shares: dict[int, list[Piece]] = {}
    for same, taken_of in zip(kinds, counts, strict=True):
        left = dict(taken_of)
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


def on_paper(piece: Piece, paper: Paper) -> Piece:
    """The same piece cut from this paper, whose print and grain decide how it lies."""
    if paper.name == piece.paper:
        return replace(piece, or_papers=())
    lie = dict(piece.lies).get(paper.name)
    if lie is not None:
        piece = replace(piece, may_turn=lie.may_turn, must_turn=lie.must_turn, across_grain=lie.across_grain)
        return replace(piece, paper=paper.name, or_papers=())
    turns = dict(piece.or_papers)
    may_turn = turns.get(paper.name, piece.may_turn and paper.direction is PrintDirection.NONE)
    return replace(piece, paper=paper.name, may_turn=may_turn, or_papers=())


def _cut_of(piece: Piece, paper: Paper, need: int, spare: int) -> Piece:
    """So many of a piece from this paper."""
    return replace(on_paper(piece, paper), need=need, spare=spare)
