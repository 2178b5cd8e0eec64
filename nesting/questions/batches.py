"""The packing tasks of every batch size of one mix, with the same numbers for the same pieces and papers.

In: a Project and a Mix. Out: tasks that differ in needs and limits alone, so that layouts and bounds found for one
batch size mean the same for all others. The fact of the trade: a larger batch is more of the same rectangles.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from nesting.describe.project import Project
from nesting.packing.pack import PaperTask, paper_tasks
from nesting.pieces.hidden_centres import hidden_centres
from nesting.pieces.piece_list import Piece, PieceList, piece_list
from nesting.pieces.supply import Source, Supply, supply
from nesting.questions.mixes import Mix


@dataclass(frozen=True, slots=True)
class Batch:
    """One batch size, ready to be packed."""

    project: Project
    pieces: PieceList
    supply: Supply
    tasks: tuple[PaperTask, ...]


class Batches:
    """All batch sizes of one mix; raises NestingError where a piece fits no sheet at all."""

    def __init__(self, project: Project, mix: Mix) -> None:
        self._said, self.mix = project, mix
        every = mix.project(project, sum(weight for _, weight in mix.weights))
        pieces = piece_list(every)
        self._base = paper_tasks(every, pieces, supply(every, hidden_centres(every)))
        self.papers = tuple(asked.paper for asked in self._base)

    def of(self, cards: int) -> Batch:
        """The batch of so many cards, from 1 up. A kind of piece that it does not want has a need of 0."""
        project = self.mix.project(self._said, cards)
        pieces = piece_list(project)
        sources = supply(project, hidden_centres(project))
        return Batch(project, pieces, sources, tuple(_scaled(asked, pieces, sources) for asked in self._base))


def _scaled(base: PaperTask, pieces: PieceList, sources: Supply) -> PaperTask:
    now = {_nameless(piece): piece for piece in pieces.of_paper(base.paper.name)}
    limits = {replace(source, limit=None): source.limit for source in sources.of_paper(base.paper.name)}
    kinds = tuple(tuple(now[_nameless(piece)] for piece in same if _nameless(piece) in now) for same in base.kinds)
    found = tuple(replace(source, limit=limits.get(replace(source, limit=None), 0)) for source in base.sources)
    task = replace(
        base.task,
        pieces=tuple(
            replace(kind, need=sum(piece.count for piece in same))
            for kind, same in zip(base.task.pieces, kinds, strict=True)
        ),
        sheets=tuple(replace(sheet, limit=one.limit) for sheet, one in zip(base.task.sheets, found, strict=True)),
    )
    return replace(base, kinds=kinds, sources=found, task=task)


def _nameless(piece: Piece) -> Piece:
    """A piece whatever its count."""
    return replace(piece, need=0, spare=0)


def at_hand(source: Source) -> bool:
    """Whether the source is there without being bought."""
    return source.kind.at_hand or source.kind.from_a_piece
