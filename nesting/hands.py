"""More hands for the papers of a batch: some papers are done here, others meanwhile by the workers of an executor.

In: a function and a job for each paper. Out: the results in the order of the jobs, the same whoever did them. The fact
of the trade: papers wait for nobody, but to call a helper takes half a second, and most batches are done by then.
"""

from __future__ import annotations

import os
import signal
import tempfile
import threading
import time
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import BrokenExecutor, Executor, Future, wait
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Generic, TypeVar

Job = TypeVar("Job")
Result = TypeVar("Result")
Say = Callable[[str], None]
Stop = Callable[[], bool]
Task = Callable[[Job, Say, Stop], Result]  # the function and its jobs go to other processes: both can be pickled

AFTER = 1.0  # seconds of the processor before helpers are called
MOST = 7  # helpers
LOOK = 0.05  # seconds between two looks whether to stop


class Hands:
    """Workers of an executor, which are given papers once they are there.

    many: how many papers are given away at once. after: seconds of the processor until they are called.
    """

    def __init__(self, executor: Executor, many: int, after: float = AFTER) -> None:
        self.executor, self.many = executor, many
        self._when = time.process_time() + after
        self._called: list[Future[None]] = []

    def ready(self) -> bool:
        """Whether there is a worker to be given something; calls them when it is time."""
        if not self._called and time.process_time() >= self._when and self.many:
            try:
                self._called = [self.executor.submit(_here) for _ in range(self.many)]
            except (BrokenExecutor, OSError):  # no processes to be had on this machine
                self.many = 0
        return any(future.done() and future.exception() is None for future in self._called)


def each(task: Task[Job, Result], jobs: Sequence[Job], say: Say, stop: Stop, hands: Hands | None) -> list[Result]:
    """The result of every job; say and stop as in planning. `stop` also ends what the workers do."""
    if hands is None:
        return [task(job, say, stop) for job in jobs]
    with tempfile.TemporaryDirectory(prefix="nesting-") as folder:
        return _Shift(task, jobs, stop, hands, Path(folder)).run(say)


class _Shift(Generic[Job, Result]):
    """One round of jobs: the first ones are done here, the last ones given away."""

    def __init__(
        self, task: Task[Job, Result], jobs: Sequence[Job], stop: Stop, hands: Hands, folder: Path
    ) -> None:
        self.task, self.jobs, self.stop, self.hands = task, jobs, stop, hands
        self.todo = deque(range(len(jobs)))
        self.away: dict[int, Future[Result]] = {}
        self.token = folder / "go on"
        self.token.touch()

    def run(self, say: Say) -> list[Result]:
        done: dict[int, Result] = {}
        while self.todo:
            number = self.todo.popleft()
            done[number] = self.task(self.jobs[number], say, self.ends)
        for number in sorted(self.away):
            done[number] = self._fetched(number, say)
        return [done[number] for number in range(len(self.jobs))]

    def ends(self) -> bool:
        """Whether to stop; on this occasion what can be given away is."""
        if self.stop():
            self.token.unlink(missing_ok=True)
            return True
        if self.todo and self.hands.ready():
            busy = sum(not future.done() for future in self.away.values())
            with suppress(BrokenExecutor, OSError):
                while self.todo and busy < self.hands.many:
                    number = self.todo[-1]
                    self.away[number] = self.hands.executor.submit(_away, self.task, self.jobs[number], str(self.token))
                    self.todo.pop()
                    busy += 1
        return False

    def _fetched(self, number: int, say: Say) -> Result:
        """What a worker found; found here where the worker is gone."""
        future = self.away[number]
        while not wait([future], timeout=LOOK).done:
            self.ends()
            left = sum(not other.done() for other in self.away.values())
            say("1 more paper is being planned" if left == 1 else f"{left} more papers are being planned")
        try:
            return future.result()
        except BrokenExecutor:
            return self.task(self.jobs[number], say, self.ends)


def _here() -> None:
    """What a worker does to show that it is there."""


def _away(task: Task[Job, Result], job: Job, token: str) -> Result:
    """One job in a worker, which stops when the token is gone."""
    return task(job, lambda sentence: None, lambda: not os.path.exists(token))


@contextmanager
def processes(after: float = AFTER) -> Iterator[Hands | None]:
    """A process for each core but this one; None on a single core. Costs nothing until they are called."""
    many = min(MOST, _cores() - 1)
    if many < 1:
        yield None
        return
    from concurrent.futures import ProcessPoolExecutor
    from multiprocessing import get_context

    class Quiet(ProcessPoolExecutor):
        """Its processes never hear of Ctrl-C, not even while they begin."""

        def submit(self, *args, **named):  # type: ignore[no-untyped-def]
            with _without_interrupts():
                return super().submit(*args, **named)

    executor = Quiet(many, mp_context=get_context("spawn"), initializer=_begin)
    try:
        yield Hands(executor, many, after)
    finally:
        executor.shutdown(wait=False, cancel_futures=True)


def _cores() -> int:
    """The cores that this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


@contextmanager
def _without_interrupts() -> Iterator[None]:
    """A process that begins meanwhile inherits that Ctrl-C is held back; here it counts a moment later."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _begin() -> None:
    """In a worker: Ctrl-C is for the process that called it, and when that one is gone, so is this one."""
    from multiprocessing import parent_process

    signal.signal(signal.SIGINT, signal.SIG_IGN)
    parent = parent_process()

    def watch() -> None:
        if parent is not None:
            parent.join()
            os._exit(1)

    threading.Thread(target=watch, daemon=True).start()
