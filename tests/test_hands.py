"""Papers that others take: the same plan in the same order, whoever did what; Ctrl-C and lost workers included."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from concurrent.futures import BrokenExecutor, Executor, Future, ProcessPoolExecutor, ThreadPoolExecutor
from multiprocessing import get_context
from pathlib import Path
from typing import Any

import pytest
from demos import DEMOS, NAMES, plan_of

from nesting.describe.project_file import read_project
from nesting.hands import Hands, each
from nesting.packing.layout import Outcome
from nesting.plan import make_plan

POSIX = pytest.mark.skipif(sys.platform == "win32", reason="this system sends no such signal")
SILENT = lambda sentence: None  # noqa: E731
NEVER = lambda: False  # noqa: E731


@pytest.fixture(scope="module")
def workers() -> Iterator[Executor]:
    with ProcessPoolExecutor(2, mp_context=get_context("spawn")) as executor:
        yield executor


@pytest.mark.parametrize("name", NAMES)
def test_processes_find_the_very_same_plan(name: str, workers: Executor) -> None:
    """The same project gives the same plan, whoever makes it and in how many processes."""
    assert make_plan(read_project(DEMOS / name), hands=Hands(workers, 2, after=0)) == plan_of(name)


def patient(job: int, say: Callable[[str], None], stop: Callable[[], bool]) -> tuple[int, int]:
    """Asks twenty times whether to stop; says its number and in which process it was."""
    for _ in range(20):
        if stop():
            break
        time.sleep(0.01)
    return job, os.getpid()


def test_results_come_in_order_and_all_take_their_share(workers: Executor) -> None:
    hands = Hands(workers, 2, after=0)
    each(patient, list(range(40)), SILENT, NEVER, hands)  # until the processes are there
    found = each(patient, list(range(12)), SILENT, NEVER, hands)
    assert [number for number, _ in found] == list(range(12))
    assert found[0][1] == os.getpid() != found[-1][1]


def test_nobody_is_called_before_it_is_time() -> None:
    class Nobody(Executor):
        def submit(self, *_: Any, **__: Any) -> Future[Any]:
            raise AssertionError("called too early")

    here = each(patient, [1, 2, 3], SILENT, NEVER, Hands(Nobody(), 2, after=1000))
    assert {where for _, where in here} == {os.getpid()}


class Lost(Executor):
    """Workers that say that they are there and are never seen again, or cannot be had at all."""

    def __init__(self, ever: bool) -> None:
        self.ever = ever

    def submit(self, task: Callable[..., Any], /, *given: Any, **_: Any) -> Future[Any]:
        """A future without a worker."""
        if not self.ever:
            raise OSError("no more processes")
        future: Future[Any] = Future()
        if given:
            future.set_exception(BrokenExecutor("gone"))
        else:
            future.set_result(None)
        return future


@pytest.mark.parametrize("ever", [True, False])
def test_what_a_lost_worker_had_is_done_here(ever: bool) -> None:
    found = each(patient, [1, 2, 3], SILENT, NEVER, Hands(Lost(ever), 2, after=0))
    assert [number for number, _ in found] == [1, 2, 3]


def until_told(job: int, say: Callable[[str], None], stop: Callable[[], bool]) -> str:
    while not stop():
        time.sleep(0.001)
    return "stopped"


def test_stop_reaches_those_who_help_and_what_they_have_is_taken() -> None:
    told: list[str] = []
    end = time.monotonic() + 0.5
    with ThreadPoolExecutor(2) as threads:
        hands = Hands(threads, 2, after=0)
        assert each(until_told, [1, 2, 3], told.append, lambda: time.monotonic() > end, hands) == ["stopped"] * 3


def test_progress_says_what_is_still_waited_for() -> None:
    told: list[str] = []
    begun = threading.Event()

    def first_here(job: int, say: Callable[[str], None], stop: Callable[[], bool]) -> None:
        if job == 0:
            while not begun.is_set():
                stop()
        else:
            begun.set()
            time.sleep(0.3)

    with ThreadPoolExecutor(1) as threads:
        each(first_here, [0, 1], told.append, NEVER, Hands(threads, 1, after=0))
    assert set(told) == {"1 more paper is being planned"}


def test_a_mistake_made_elsewhere_comes_out_here_and_the_others_end() -> None:
    failed = threading.Event()

    def fails(job: int, say: Callable[[str], None], stop: Callable[[], bool]) -> None:
        if job == 2:
            failed.set()
            raise ZeroDivisionError
        while not stop() and not (job == 0 and failed.is_set()):
            time.sleep(0.001)

    with ThreadPoolExecutor(2) as threads, pytest.raises(ZeroDivisionError):
        each(fails, [0, 2, 1], SILENT, NEVER, Hands(threads, 2, after=0))


COMMAND = """
import sys
from functools import partial
from pathlib import Path
from nesting import hands
from nesting.command_line import main
hands.processes = partial(hands.processes, after=0)
hands._cores = lambda: 2
ready = hands.Hands.ready
def seen(self):
    found = ready(self)
    if found:
        Path(sys.argv[1]).touch()
    return found
hands.Hands.ready = seen
main(sys.argv[2:])
"""


@POSIX
@pytest.mark.parametrize("after", [0.0, 3.0])
def test_ctrl_c_ends_the_work_of_all_with_the_best_so_far(tmp_path: Path, after: float) -> None:
    rows = "".join(f"{p},{17 + 13 * i % 71}/16,{23 + 29 * i % 97}/16,3\n" for p in "ab" for i in range(40))
    (tmp_path / "list.csv").write_text("paper,width,height,quantity\n" + rows)
    sold = 'sold = [{ sheet = "12 x 12", price = 0.95 }, { sheet = "8 1/2 x 11", price = 0.57 }]\n'
    (tmp_path / "papers.toml").write_text(f"[paper.a]\n{sold}[paper.b]\n{sold}")
    there = tmp_path / "there"
    words = [sys.executable, "-c", COMMAND, there, "plan", tmp_path, "--effort", "thorough", "--no-maps"]
    run = subprocess.Popen(
        list(map(str, words)), stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, start_new_session=True
    )
    end = time.monotonic() + 300
    while not there.exists() and time.monotonic() < end:
        time.sleep(0.02)
    time.sleep(after)
    os.killpg(run.pid, signal.SIGINT)
    _, errors = run.communicate(timeout=300)
    assert (run.returncode, errors) == (0, "")
    papers = json.loads((tmp_path / "plan" / "plan.json").read_text("utf-8"))["papers"]
    assert [(paper["outcome"], paper["missing"]) for paper in papers] == [(Outcome.STOPPED.value, [])] * 2
    while time.monotonic() < end:  # nobody is left behind
        try:
            os.killpg(run.pid, 0)
        except ProcessLookupError:
            break
        time.sleep(0.02)
    else:
        raise AssertionError("a worker was left behind")


@POSIX
def test_workers_end_when_whoever_called_them_is_killed(tmp_path: Path) -> None:
    script = """
import sys, time
from nesting import hands
hands._cores = lambda: 2
with hands.processes(after=0) as some:
    while not some.ready():
        time.sleep(0.01)
    print("there", flush=True)
    time.sleep(1000)
"""
    run = subprocess.Popen([sys.executable, "-c", script], stdout=subprocess.PIPE, text=True, start_new_session=True)
    assert run.stdout is not None
    assert run.stdout.readline() == "there\n"
    run.kill()
    run.wait()
    end = time.monotonic() + 60
    while time.monotonic() < end:
        try:
            os.killpg(run.pid, 0)
        except ProcessLookupError:
            return
        time.sleep(0.02)
    raise AssertionError("a worker was left behind")
