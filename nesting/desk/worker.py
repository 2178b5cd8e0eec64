"""Plans are made in a process of their own, so that the page answers at once while the search is at work.

In: jobs on standard input. Out: news on standard output, as pickles between two processes of this program: sentences
of progress, each paper as it is packed, a first plan, the full plan, the curve of batch sizes. A new job ends the one
before; when the page's process is gone, so is this one.
"""

from __future__ import annotations

import os
import pickle
import sys
import threading
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import IO

from nesting.cutting.replay import replay
from nesting.cutting.sequence import order_cuts
from nesting.describe.project import Project
from nesting.errors import Fault, NestingError, Problem
from nesting.packing.choose_papers import Choice, choose_papers
from nesting.packing.layout import Answer, PackingTask
from nesting.packing.pack import PaperPacking, PaperTask, pack, paper_tasks
from nesting.packing.solve import Effort
from nesting.packing.stand_ins import Moved
from nesting.pieces.hidden_centres import hidden_centres
from nesting.pieces.piece_list import PieceList, piece_list
from nesting.pieces.supply import Supply, supply
from nesting.plan import PaperPlan, Plan, make_plan, ways_of_work
from nesting.questions.again import Again
from nesting.questions.batch_curve import Curve, batch_curve
from nesting.questions.mixes import Mix
from nesting.questions.one_more import with_one_more
from nesting.questions.recut import Recut, Spoiled, recut

FIRST_ORDER_WORK = 50  # states looked at for the order of cuts of the first plan
MOST_REMEMBERED = 400  # answers
NEVER = 10**9  # planned from scratch again: the full plan follows at once
LONGEST_CURVE = 60  # sizes


@dataclass(frozen=True, slots=True)
class PlanJob:
    """Plan this project: first quickly, then fully, then its curve."""

    number: int
    project: Project


@dataclass(frozen=True, slots=True)
class RecutJob:
    """Plan the rest of a plan of which something is spoiled."""

    number: int
    plan: Plan
    spoiled: tuple[Spoiled, ...]


@dataclass(frozen=True, slots=True)
class PacketJob:
    """Draw the packet of a plan; page: letter or A4."""

    number: int
    plan: Plan
    folder: Path
    page: str


@dataclass(frozen=True, slots=True)
class StopJob:
    """End the search for a better plan of this number with the best so far."""

    number: int


@dataclass(frozen=True, slots=True)
class News:
    """One thing to tell about a job; exactly what is set is news. `stage`: what is done next."""

    number: int
    stage: str = ""
    sentence: str = ""
    paper: PaperPlan | None = None
    first: Plan | None = None
    full: Plan | None = None
    curve: Curve | None = None
    rest: Recut | None = None
    problems: tuple[Problem, ...] = ()
    fault: str = ""


class _Superseded(Exception):
    """Another job came in."""


class Memory:
    """What was found before.

    A paper that a change does not touch is not planned anew, and other numbers of the same pieces are planned from the
    layouts that are known.
    """

    def __init__(self) -> None:
        self._answers: dict[PackingTask, Answer] = {}
        self._shapes: dict[PackingTask, tuple[Again, Answer]] = {}

    def answer(self, task: PackingTask) -> Answer:
        """A quick answer."""
        if task not in self._answers:
            shape = replace(
                task,
                pieces=tuple(replace(piece, need=0) for piece in task.pieces),
                sheets=tuple(replace(sheet, limit=None) for sheet in task.sheets),
            )
            again, last = self._shapes.get(shape, (Again(wait=NEVER), None))
            found = again.plan(task) if last is None or any(last.missing) else again.fewer(task, last)
            self._answers[task] = found
            self._shapes[shape] = again, found
            for known in (self._answers, self._shapes):
                for old in list(known)[:-MOST_REMEMBERED]:
                    del known[old]
        return self._answers[task]


@dataclass(frozen=True, slots=True)
class _Asked:
    """What a plan is made from."""

    project: Project
    pieces: PieceList
    sources: Supply
    choices: tuple[Choice | Moved, ...]
    tasks: tuple[PaperTask, ...]


def plan_in_steps(job: PlanJob, memory: Memory, tell: Callable[[News], None], check: Callable[[], bool]) -> None:
    """All news of one job. check: raises where the job is over, else says whether the search shall stop."""
    number, project = job.number, job.project
    if project.shops:  # what is bought where decides the layouts, so there is no plan paper by paper
        tell(News(number, stage="full", sentence="what to buy where"))
    else:
        _first_plan(job, memory, tell, check)

    def say(sentence: str) -> None:
        check()
        tell(News(number, sentence=sentence))

    full = make_plan(project, progress=say, stop=check)
    tell(News(number, stage="curve", full=full))
    say("what one card more would cost")
    tell(News(number, stage="curve", full=with_one_more(full, check)))
    curve = _curve(project, say)
    tell(News(number, stage="done", curve=curve))


def _first_plan(job: PlanJob, memory: Memory, tell: Callable[[News], None], check: Callable[[], bool]) -> None:
    """A plan that is there within a second, paper by paper."""
    number, project = job.number, job.project
    asked = _asked(project, check)
    papers = []
    for task in asked.tasks:
        check()
        papers.append(_roughly_ordered(project, _packed(asked, task, memory)))
        tell(News(number, paper=papers[-1]))
    tell(News(number, stage="full", first=Plan(project, asked.pieces, asked.sources, tuple(papers), asked.choices)))


def _asked(project: Project, check: Callable[[], bool]) -> _Asked:
    pieces = piece_list(project)
    sources = supply(project, hidden_centres(project))
    pieces, choices = choose_papers(project, pieces, sources, effort=Effort.QUICK, stop=check)
    return _Asked(project, pieces, sources, choices, paper_tasks(project, pieces, sources))


def _packed(asked: _Asked, task: PaperTask, memory: Memory) -> PaperPacking:
    """A paper packed quickly; where it does not suffice, as the packer itself does it."""
    answer = memory.answer(task.task)
    if not any(answer.missing):
        return task.answered(answer)
    mine = PieceList(asked.pieces.of_paper(task.paper.name))
    return pack(asked.project, mine, asked.sources, effort=Effort.QUICK).papers[0]


def _roughly_ordered(project: Project, packed: PaperPacking) -> PaperPlan:
    """A paper's plan with the first order of cuts that comes to hand; checked all the same."""
    ways = ways_of_work(project.trimmer, packed.paper)
    order = order_cuts(packed.task, packed.answer.uses, ways, work=FIRST_ORDER_WORK)
    wrong = replay(packed.task, packed.answer.uses, ways, order)
    if wrong:
        raise Fault(f"The order of cuts for {packed.paper.name} did not stand up to its check: {wrong[0]}")
    return PaperPlan(packed, order, ways)


def _curve(project: Project, say: Callable[[str], None]) -> Curve | None:
    weights = tuple((line.design, line.count) for line in project.batch if line.count)
    cards = sum(count for _, count in weights)
    if not weights or project.pieces:
        return None
    most = max(cards + cards // 2, cards + 6)
    step = max(1, -(-most // LONGEST_CURVE))
    sizes = sorted({*range(step, most + 1, step), cards})
    return batch_curve(project, Mix(weights), sizes, progress=lambda words: say(f"what other sizes take: {words}"))


def rest_of(job: RecutJob) -> Recut:
    """The rest of a plan; its passes are those that were cut."""
    return recut(job.plan, {}, job.spoiled)


def draw_packet(job: PacketJob) -> None:
    """Write the packet's files."""
    from nesting.reports.packet_folder import write_packet

    write_packet(job.plan, job.folder, "A4" if job.page == "A4" else "letter")


class _Line:
    """The jobs that came in; the latest one counts."""

    def __init__(self, source: IO[bytes]) -> None:
        self._source = source
        self._ready = threading.Condition()
        self._plan: PlanJob | None = None
        self._asks: list[RecutJob | PacketJob] = []
        self._stopped = -1

    def listen(self) -> None:
        """Take jobs in until the other side is gone; then this process is too."""
        try:
            while True:
                job = pickle.load(self._source)
                with self._ready:
                    if isinstance(job, StopJob):
                        self._stopped = job.number
                        continue
                    if isinstance(job, PlanJob):
                        self._plan = job
                    else:
                        self._asks.append(job)
                    self._ready.notify()
        except (EOFError, OSError):
            os._exit(0)

    def take(self) -> PlanJob | RecutJob | PacketJob:
        """The next job."""
        with self._ready:
            while self._plan is None and not self._asks:
                self._ready.wait()
            if self._asks:
                return self._asks.pop(0)
            job, self._plan = self._plan, None
            assert job is not None
            return job

    def check(self, number: int) -> bool:
        """Whether the search shall stop; raises where there is another job."""
        if self._plan is not None or self._asks:
            raise _Superseded
        return self._stopped == number


def main() -> None:
    """Take jobs in and tell news, for as long as the page's process lives."""
    out = os.fdopen(os.dup(sys.stdout.fileno()), "wb")
    os.dup2(sys.stderr.fileno(), sys.stdout.fileno())  # what a library prints must not mix with the news
    line = _Line(sys.stdin.buffer)
    threading.Thread(target=line.listen, daemon=True).start()
    memory = Memory()

    def tell(news: News) -> None:
        pickle.dump(news, out)
        out.flush()

    while True:
        job = line.take()
        try:
            if isinstance(job, PacketJob):
                draw_packet(job)
                tell(News(job.number, stage="done"))
            elif isinstance(job, RecutJob):
                tell(News(job.number, stage="done", rest=rest_of(job)))
            else:
                plan_in_steps(job, memory, tell, partial(line.check, job.number))
        except _Superseded:
            continue
        except NestingError as error:
            tell(News(job.number, stage="wrong", problems=error.problems))
        except BrokenPipeError:
            os._exit(0)
        except Exception as error:  # whatever it is, the page says so and the next job is taken
            tell(News(job.number, stage="wrong", fault=f"{type(error).__name__}: {error}"))


if __name__ == "__main__":
    from nesting.desk.worker import main as main_by_name  # what is pickled must carry the module's own name

    main_by_name()
