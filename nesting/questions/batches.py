"""The packing tasks of every batch size of one mix, with the same numbers for the same pieces and papers.

In: a Project and a Mix. Out: tasks that differ in needs and limits alone, so that layouts and bounds found for one
batch size mean the same for all others. The fact of the trade: a larger batch is more of the same rectangles.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from nesting.describe.papers import Paper
from nesting.describe.project import Project
from nesting.packing.choose_papers import sharing
from nesting.packing.layout import Answer
from nesting.packing.pack import PaperPacking, PaperTask, paper_tasks, task_of
from nesting.pieces.hidden_centres import hidden_centres
from nesting.pieces.piece_list import Piece, PieceList, piece_list
from nesting.pieces.supply import Source, Supply, supply
from nesting.questions.mixes import Mix
from nesting.questions.shared import apart, with_stand_ins

MANY = 24  # times the mix: enough that every paper of a part that is spread over several is used


@dataclass(frozen=True, slots=True)
class Batch:
    """One batch size, ready to be packed: a task for each group of papers that share pieces."""

    project: Project
    pieces: PieceList
    supply: Supply
    groups: tuple[tuple[Paper, ...], ...]
    tasks: tuple[PaperTask, ...]

    def packings(self, answers: Sequence[Answer]) -> list[PaperPacking]:
        """The answers to all tasks, paper by paper."""
        rows = zip(self.tasks, self.groups, answers, strict=True)
        return [one for asked, papers, answer in rows for one in apart(asked, papers, answer)]


class Batches:
    """All batch sizes of one mix; raises NestingError where a piece fits no sheet at all.

    buying: new sheets may be taken, so that a paper that is sold needs no stand-in.
    """

    def __init__(self, project: Project, mix: Mix, *, buying: bool = True) -> None:
        self._said, self.mix, self._buying = project, mix, buying
        every = mix.project(project, MANY * sum(weight for _, weight in mix.weights))
        pieces, sources = self._read(every)
        if not any(piece.or_papers for piece in pieces.pieces):
            paper_tasks(every, pieces, sources)  # says what fits no sheet
        self.groups = tuple(sharing(every, pieces))
        self._base = tuple(PaperTask(papers[0], *task_of(every, papers, pieces, sources)) for papers in self.groups)

    def _read(self, project: Project) -> tuple[PieceList, Supply]:
        pieces = piece_list(project)
        sources = supply(project, hidden_centres(project))
        return with_stand_ins(project, pieces, sources, buying=self._buying), sources

    def of(self, cards: int) -> Batch:
        """The batch of so many cards, from 1 up. A kind of piece that it does not want has a need of 0."""
        project = self.mix.project(self._said, cards)
        pieces, sources = self._read(project)
        tasks = tuple(_scaled(asked, pieces, sources) for asked in self._base)
        return Batch(project, pieces, sources, self.groups, tasks)


def _scaled(base: PaperTask, pieces: PieceList, sources: Supply) -> PaperTask:
    now = {_nameless(piece): piece for piece in pieces.pieces}
    limits = {replace(source, limit=None): source.limit for source in sources.sources}
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
