"""A full disk, a folder that may not be written, Ctrl-C, kill -9, two runs in one folder: whole files and sentences.

The drawer's own faults are in test_stash_faults.py.
"""

from __future__ import annotations

import errno
import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from nesting import plan as stages
from nesting.command_line import main
from nesting.describe.project import Project
from nesting.describe.project_file import read_project
from nesting.packing.solve import Effort
from nesting.plan import Plan, make_plan
from nesting.reports.plan_folder import write_plan

DEMOS = Path(__file__).parent.parent / "demo_projects"
RUN = [sys.executable, "-c", "import sys; from nesting.command_line import main; main(sys.argv[1:])"]
POSIX = pytest.mark.skipif(sys.platform == "win32", reason="this system sends no such signal")


@pytest.fixture(scope="module")
def plans() -> tuple[Plan, Plan]:
    """Two plans with other papers and another number of layouts."""
    first, second = (make_plan(read_project(DEMOS / name), effort=Effort.QUICK)
                     for name in ("class_kit_list", "winter_window"))  # fmt: skip
    return first, second


def contents(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in sorted(folder.iterdir())}


def listed(folder: Path) -> set[str]:
    return {"plan.json", *json.loads((folder / "plan.json").read_text("utf-8"))["files"]}


@pytest.mark.parametrize("number", range(6))
def test_where_the_disk_is_full_the_earlier_plan_stays_whole(
    plans: tuple[Plan, Plan], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: int
) -> None:
    write_plan(plans[0], tmp_path, maps=False)
    before = contents(tmp_path)
    written = []

    def full(handle: int) -> None:
        written.append(handle)
        if len(written) > number:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "fsync", full)
    if number < 4:  # so many files there are
        with pytest.raises(Exception, match=r"No space left on device.*Free some space"):
            write_plan(plans[1], tmp_path, maps=False)
        assert contents(tmp_path) == before
    else:
        write_plan(plans[1], tmp_path, maps=False)
        assert set(contents(tmp_path)) == listed(tmp_path)
        assert contents(tmp_path)["plan.json"] != before["plan.json"]


@pytest.mark.parametrize("command", ["plan", "packet", "new", "batch"])
def test_every_command_that_writes_says_where_it_could_not(tmp_path: Path, command: str) -> None:
    """In the place of a folder stands a file: the superuser may not write there either."""
    (tmp_path / "file").write_text("mine")
    place, project = tmp_path / "file" / "inside", str(DEMOS / "class_kit_list")
    words = {
        "plan": ["plan", project, "--effort", "quick", "--out", str(place)],
        "packet": ["packet", project, "--effort", "quick", "--out", str(place / "p.pdf")],
        "new": ["new", str(place)],
        "batch": ["batch", str(DEMOS / "folding_theatre"), "--up-to", "1", "--picture", str(place / "p.svg")],
    }[command]
    ended = CliRunner().invoke(main, words)
    assert (ended.exit_code, type(ended.exception)) == (1, SystemExit)
    said = ended.output + ended.stderr
    assert "Not a directory" in " ".join(said.split())
    assert "→" in said
    assert (tmp_path / "file").read_text() == "mine"


@POSIX
def test_a_disk_that_is_full_in_the_midst_of_a_packet_leaves_no_half_of_it(tmp_path: Path) -> None:
    limit = "import resource; resource.setrlimit(resource.RLIMIT_FSIZE, (20000, 20000)); "
    words = ["packet", str(DEMOS / "class_kit_list"), "--effort", "quick", "--out", str(tmp_path / "new")]
    ended = subprocess.run([RUN[0], "-c", limit + RUN[2], *words], capture_output=True, text=True, check=False)
    assert ended.returncode == 1
    assert "File too large" in ended.stderr
    left = [path.name for path in (tmp_path / "new").iterdir()]
    assert [name for name in left if name.startswith(".") or name.endswith((".pdf", ".html"))] == []


@POSIX
def test_ctrl_c_gives_the_best_plan_so_far_and_says_that_it_was_stopped(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    rows = "".join(f"a,{17 + 13 * i % 71}/16,{23 + 29 * i % 97}/16,3\n" for i in range(40))
    (tmp_path / "list.csv").write_text("paper,width,height,quantity\n" + rows)
    (tmp_path / "papers.toml").write_text(
        '[paper.a]\nsold = [{ sheet = "12 x 12", price = 0.95 }, { sheet = "8 1/2 x 11", price = 0.57 }]\n'
    )

    def interrupted(project: Project, *, progress: Callable[[str], None], **options: Any) -> Plan:
        asked: list[str] = []

        def tell(sentence: str) -> None:
            if not asked:
                os.kill(os.getpid(), signal.SIGINT)
            asked.append(sentence)
            progress(sentence)

        return make_plan(project, progress=tell, **options)

    monkeypatch.setattr("nesting.plan.make_plan", interrupted)
    ended = CliRunner().invoke(main, ["plan", str(tmp_path), "--effort", "thorough", "--no-maps"])
    assert ended.exit_code == 0, ended.output
    paper = json.loads((tmp_path / "plan" / "plan.json").read_text("utf-8"))["papers"][0]
    assert (paper["outcome"], paper["missing"]) == ("stopped", [])
    assert "stopped" in ended.output
    assert set(contents(tmp_path / "plan")) == listed(tmp_path / "plan")


def test_the_order_of_cuts_too_is_no_longer_looked_for_once_told_to_stop(monkeypatch: pytest.MonkeyPatch) -> None:
    project = read_project(DEMOS / "harvest_stall")
    calm = make_plan(project, effort=Effort.QUICK)
    looked: list[object] = []
    monkeypatch.setattr("nesting.cutting.choose.with_fewer_layouts", lambda *given: looked.append(given))
    packed: list[bool] = []
    true_in_order = stages.in_order

    def then_stop(*given: Any) -> Plan:
        packed.append(True)
        return true_in_order(*given)

    monkeypatch.setattr(stages, "in_order", then_stop)
    hasty = make_plan(project, effort=Effort.QUICK, stop=lambda: bool(packed))
    assert looked == []
    bounds = [[paper.packing.answer.bound for paper in made.papers] for made in (hasty, calm)]
    assert bounds[0] == bounds[1]


WRITER = """
import sys
from pathlib import Path
from nesting.describe.project import Project
from nesting.describe.project_file import read_project
from nesting.packing.solve import Effort
from nesting.plan import make_plan
from nesting.reports.plan_folder import write_plan
made = [make_plan(read_project(Path(name)), effort=Effort.QUICK) for name in sys.argv[2:]]
print("ready", flush=True)
for turn in range(int(sys.stdin.readline())):
    write_plan(made[turn % len(made)], Path(sys.argv[1]), maps=False)
"""


def writer(folder: Path, *names: str) -> subprocess.Popen[str]:
    words = [sys.executable, "-c", WRITER, str(folder), *(str(DEMOS / name) for name in names)]
    started = subprocess.Popen(words, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
    assert started.stdout
    assert started.stdout.readline() == "ready\n"
    return started


def begin(started: subprocess.Popen[str], turns: int) -> None:
    assert started.stdin
    started.stdin.write(f"{turns}\n")
    started.stdin.flush()


@POSIX
def test_a_run_killed_at_any_moment_leaves_whole_files_and_the_next_one_tidies_up(
    plans: tuple[Plan, Plan], tmp_path: Path
) -> None:
    for pause in (0.07, 0.15):
        started = writer(tmp_path, "class_kit_list", "winter_window")
        begin(started, 10_000)
        time.sleep(pause)
        started.kill()
        started.communicate()
        if (tmp_path / "plan.json").exists():
            assert json.loads((tmp_path / "plan.json").read_text("utf-8"))["format"] == "sheet plan"
    write_plan(plans[0], tmp_path, maps=False)
    assert set(contents(tmp_path)) == listed(tmp_path)


@POSIX
def test_two_runs_in_one_folder_take_turns(tmp_path: Path) -> None:
    runs = [writer(tmp_path, "class_kit_list"), writer(tmp_path, "winter_window")]
    for run in runs:
        begin(run, 20)
    assert [(run.communicate()[0], run.returncode) for run in runs] == [("", 0), ("", 0)]
    assert set(contents(tmp_path)) == listed(tmp_path)
    title = json.loads((tmp_path / "plan.json").read_text("utf-8"))["title"]
    assert ("gate" in (tmp_path / "pieces.csv").read_text("utf-8")) == (title == "Winter window")
