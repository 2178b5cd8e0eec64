"""What is known of the plan at this moment: asked for by the page, told by the worker.

In: projects as they are saved. Out: a State that grows: papers one by one, a first plan, the full plan, the curve.
The fact it serves: somebody who changes a number wants to see at once what it does, and the proof can come later.
"""

from __future__ import annotations

import pickle
import subprocess
import sys
import threading
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import IO

from nesting.describe.project import Project
from nesting.desk.worker import News, PacketJob, PlanJob, RecutJob, StopJob
from nesting.errors import NestingError, Place, Problem
from nesting.plan import PaperPlan, Plan
from nesting.questions.batch_curve import Curve
from nesting.questions.recut import Recut, Spoiled

BUSY = ("first", "full", "curve")
PATIENCE = 600  # seconds for one answer


@dataclass(frozen=True, slots=True)
class State:
    """All that is known. turn: rises with every change, so that a page knows when to look again.

    stage: "", first, full, curve, done or wrong. fresh: papers of the plan that is being made. plan: the last whole
    plan, of `plan_of`; it is an older project's until the first plan of this one is there.
    """

    turn: int = 0
    number: int = 0
    stage: str = ""
    sentence: str = ""
    project: Project | None = None
    fresh: dict[str, PaperPlan] = field(default_factory=dict)
    plan: Plan | None = None
    plan_of: int = 0
    full: bool = False
    stopped: bool = False
    curve: Curve | None = None
    curve_of: int = 0
    problems: tuple[Problem, ...] = ()
    fault: str = ""

    @property
    def busy(self) -> bool:
        """The worker is at it."""
        return self.stage in BUSY

    @property
    def current(self) -> bool:
        """The plan is this project's."""
        return self.plan is not None and self.plan_of == self.number


class Planner:
    """Keeps one worker busy with the latest project."""

    def __init__(self) -> None:
        self._lock = threading.Condition()
        self._state = State()
        self._worker: subprocess.Popen[bytes] | None = None
        self._answers: dict[int, News] = {}
        self._waiting: set[int] = set()
        self._numbers = 0

    @property
    def state(self) -> State:
        """What is known now."""
        with self._lock:
            return self._state

    def warm_up(self) -> None:
        """Begin the worker, so that the first plan does not wait for it."""
        with self._lock:
            self._started()

    def want(self, project: Project) -> None:
        """Plan this project from now on; nothing happens where that is what is being planned."""
        with self._lock:
            if self._state.project == project and self._state.stage != "":
                return
            self._numbers += 1
            self._change(
                number=self._numbers, stage="first", sentence="a first plan", project=project, fresh={}, full=False,
                stopped=False, problems=(), fault="",
            )  # fmt: skip
            self._send(PlanJob(self._numbers, project))

    def stop(self) -> None:
        """End the search with the best so far."""
        with self._lock:
            if self._state.stage in ("first", "full"):
                self._change(stopped=True, sentence="stopping with the best so far")
                self._send(StopJob(self._state.number))

    def recut(self, plan: Plan, spoiled: tuple[Spoiled, ...]) -> Recut:
        """The rest of a plan; waits for it. Raises NestingError with what stands against it."""
        news = self._ask(lambda number: RecutJob(number, plan, spoiled))
        assert news.rest is not None
        return news.rest

    def packet(self, plan: Plan, folder: Path, page: str) -> None:
        """Draw a plan's packet; waits for it. Raises NestingError where it cannot be written."""
        self._ask(lambda number: PacketJob(number, plan, folder, page))

    def _ask(self, job: Callable[[int], RecutJob | PacketJob]) -> News:
        """One answer from the worker; what it was planning is begun anew afterwards."""
        with self._lock:
            self._numbers += 1
            number = self._numbers
            interrupted = self._state.project if self._state.busy else None
            self._waiting.add(number)
            self._send(job(number))
            self._lock.wait_for(lambda: number in self._answers, PATIENCE)
            self._waiting.discard(number)
            news = self._answers.pop(number, News(number, fault="It took too long."))
            if interrupted is not None and self._state.project == interrupted:
                self._change(stage="")
                self.want(interrupted)
        if news.problems or news.fault:
            raise NestingError(news.problems or [Problem(Place(), news.fault, "Nothing was changed; try again.")])
        return news

    def close(self) -> None:
        """End the worker."""
        with self._lock:
            if self._worker is not None:
                self._worker.kill()
                self._worker.wait()
                self._worker = None

    # ------------------------------------------------------------------------------------------ the worker

    def _started(self) -> subprocess.Popen[bytes]:
        if self._worker is None or self._worker.poll() is not None:
            self._worker = subprocess.Popen(
                [sys.executable, "-m", "nesting.desk.worker"], stdin=subprocess.PIPE, stdout=subprocess.PIPE
            )
            assert self._worker.stdout is not None
            threading.Thread(target=self._listen, args=(self._worker.stdout,), daemon=True).start()
        return self._worker

    def _send(self, job: PlanJob | RecutJob | PacketJob | StopJob) -> None:
        try:
            stream = self._started().stdin
            assert stream is not None
            pickle.dump(job, stream)
            stream.flush()
        except OSError:
            self._change(stage="wrong", fault="The planning process ended.")

    def _listen(self, stream: IO[bytes]) -> None:
        try:
            while True:
                self._hear(pickle.load(stream))
        except (EOFError, OSError, pickle.UnpicklingError):
            with self._lock:
                if self._worker is not None and self._worker.stdout is stream:
                    fault = "The planning process ended."
                    self._answers.update({number: News(number, fault=fault) for number in self._waiting})
                    if self._state.busy:
                        self._change(stage="wrong", fault=f"{fault} Change something to plan again.")
                    self._lock.notify_all()

    def _hear(self, news: News) -> None:
        with self._lock:
            if news.number != self._state.number:
                if news.number in self._waiting:
                    self._answers[news.number] = news
                    self._lock.notify_all()
                return
            known = self._state
            if news.paper is not None:
                self._change(fresh={**known.fresh, news.paper.paper.name: news.paper})
            if news.first is not None:
                self._change(plan=news.first, plan_of=news.number, full=False)
            if news.full is not None:
                self._change(plan=news.full, plan_of=news.number, full=True, fresh={})
            if news.stage:
                self._change(stage=news.stage, problems=news.problems, fault=news.fault)
            if news.stage == "done":
                self._change(curve=news.curve, curve_of=news.number)
            if news.sentence:
                self._change(sentence=news.sentence)

    def _change(self, **what: object) -> None:
        self._state = replace(self._state, turn=self._state.turn + 1, **what)  # type: ignore[arg-type]
        self._lock.notify_all()

    def wait_for(self, stages: tuple[str, ...], seconds: float) -> State:
        """The state once it is at one of these stages, or after so many seconds."""
        with self._lock:
            self._lock.wait_for(lambda: self._state.stage in stages, seconds)
            return self._state
