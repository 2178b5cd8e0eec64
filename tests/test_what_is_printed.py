"""What every command prints: JSON and nothing else where that is asked for; no colour when piped; 80 columns."""

from __future__ import annotations

import contextlib
import io
import json
import os
import pty
import re
import shutil
import sys
import threading
from collections.abc import Iterator
from pathlib import Path

import click
import pytest
from click.testing import CliRunner
from demos import DEMOS, NAMES, plan_of
from rich.cells import cell_len

from nesting.command_line import main
from nesting.desk.serve import Serving
from nesting.reports.plan_folder import write_plan

# Every command of the tree, in an order in which each finds what it needs; "p": a starter project, planned.
WORDS = {
    "new": ["new", "q"],
    "check": ["check", "p", "--fit"],
    "pieces": ["pieces", "p"],
    "plan": ["plan", "p", "--detail", "--cost"],
    "packet": ["packet", "p", "--no-pictures"],
    "yield": ["yield", "p", "--money", "1", "--out", "yielded"],
    "batch": ["batch", "p", "--up-to", "2", "--picture", "waste.svg"],
    "compare": ["compare", "p", "--with", "p", "--effort", "quick"],
    "recut": ["recut", "p", "--spoiled", "A of cream = 1"],
    "explain": ["explain", "papers"],
    "desk": ["desk", "p", "--no-browser"],
    "stash add": ["stash", "add", "kraft", "5 x 7", "3"],
    "stash correct": ["stash", "correct", "1", "--kept", "box"],
    "stash take-out": ["stash", "take-out", "1", "2"],
    "stash put-back": ["stash", "put-back", "1"],
    "stash list": ["stash", "list"],
    "stash search": ["stash", "search", "kraft", "--fits", "1 x 1"],
    "stash export": ["stash", "export", "drawer.csv"],
    "stash import": ["stash", "import", "drawer.csv", "--again"],
    "stash history": ["stash", "history"],
    "done": ["done", "p"],
    "stash undo": ["stash", "undo"],
}
MORE = (["explain"], ["stash", "export"])


def commands(group: click.Group, before: str = "") -> Iterator[str]:
    for name, command in group.commands.items():
        if isinstance(command, click.Group):
            yield from commands(command, f"{before}{name} ")
        else:
            yield before + name


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A fresh folder to work in, with a drawer of its own; the desk says where it is and closes at once."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("NESTING_STASH", str(tmp_path / "drawer.sqlite"))
    monkeypatch.setattr(Serving, "run", Serving.leave)
    return tmp_path


@pytest.mark.usefixtures("here")
def test_every_command_can_answer_in_json_and_says_nothing_else() -> None:
    assert set(WORDS) == set(commands(main))
    for words in (["new", "p"], ["plan", "p", "--no-maps"]):
        assert CliRunner().invoke(main, words).exit_code == 0
    for words in (*WORDS.values(), *MORE):
        result = CliRunner().invoke(main, [*words, "--json"], catch_exceptions=False)
        assert result.exit_code == 0, (words, result.output)
        json.loads(result.stdout)
        assert "\x1b" not in result.output
        assert not result.stderr or words[0] == "desk", (words, result.stderr)


def test_the_desk_keeps_the_way_in_out_of_its_json(here: Path) -> None:
    CliRunner().invoke(main, ["new", "p"])
    result = CliRunner().invoke(main, ["desk", "p", "--no-browser", "--json"], catch_exceptions=False)
    data = json.loads(result.stdout)
    assert re.fullmatch(r"http://127\.0\.0\.1:\d+/", data.pop("address"))
    assert data == {"project": "p", "drawer": str(here / "drawer.sqlite")}
    assert "token" in result.stderr


# ------------------------------------------------------------------------------------------ colour and width


def looks(name: str) -> Iterator[list[str]]:
    """Every command that prints more than a line, for one demo; the questions of small batches."""
    yield ["check", name, "--fit"]
    yield ["pieces", name]
    yield ["plan", name, "--detail", "--cost", "--no-maps"]
    if plan_of(name).project.designs:
        yield ["batch", name, "--up-to", "2"]
        yield ["yield", name, "--money", "2"]
    yield ["compare", name, "--with", name, "--effort", "quick"]
    yield ["recut", name, "--cut-to", f"{plan_of(name).papers[0].paper.name} = 1"]
    yield ["done", name]
    yield ["stash", "list"]
    yield ["stash", "correct", "1", "--kept", "the long box [2] on the shelf", "--label", "a first try, faded"]
    yield ["stash", "list"]
    yield ["stash", "history"]
    yield ["plan", "nowhere"]


@contextlib.contextmanager
def terminal(monkeypatch: pytest.MonkeyPatch) -> Iterator[io.BytesIO]:
    """Standard output and errors are a terminal of 80 columns; what it was sent is in the buffer afterwards."""
    seen = io.BytesIO()
    ours, theirs = pty.openpty()

    def read() -> None:
        with contextlib.suppress(OSError):
            while sent := os.read(ours, 65536):
                seen.write(sent)

    reader = threading.Thread(target=read)
    reader.start()
    with monkeypatch.context() as patch, open(theirs, "w", encoding="utf-8") as screen:
        for variable, value in (("COLUMNS", "80"), ("LINES", "40"), ("TERM", "xterm-256color")):
            patch.setenv(variable, value)
        patch.delenv("NO_COLOR", raising=False)
        patch.setattr(sys, "stdout", screen)
        patch.setattr(sys, "stderr", screen)
        yield seen
    reader.join()
    os.close(ours)


def lines_of(sent: bytes) -> list[str]:
    """What stands on the terminal's lines, without colours; progress that is overwritten counts too."""
    return re.split(r"[\r\n]+", re.sub(r"\x1b\[[0-9;?]*[A-Za-z]", "", sent.decode("utf-8")))


@pytest.mark.parametrize("name", NAMES)
def test_nothing_is_coloured_when_piped_and_all_fits_80_columns(
    name: str, here: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shutil.copytree(DEMOS / name, here / name, ignore=shutil.ignore_patterns("plan", "packet"))
    monkeypatch.setattr("nesting.plan.make_plan", lambda *_, **__: plan_of(name))
    write_plan(plan_of(name), here / name / "plan", maps=False)
    coloured = False
    for number, words in enumerate(looks(name)):
        piped: list[str] = []
        if number % 2 == NAMES.index(name) % 2:  # each command for half of the demos
            result = CliRunner().invoke(main, words, catch_exceptions=False)
            assert result.exit_code in ((1,) if "nowhere" in words else (0, 3)), (words, result.output)
            assert "\x1b" not in result.output, words
            piped = result.output.splitlines()
        with terminal(monkeypatch) as seen, contextlib.suppress(SystemExit):
            main(words, standalone_mode=False)
        shown = seen.getvalue()
        coloured |= b"\x1b[1m" in shown
        assert [line for line in (*piped, *lines_of(shown)) if cell_len(line) > 80] == [], words
    assert coloured  # the terminal was one
