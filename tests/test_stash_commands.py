"""The drawer from the shell: short lines in, tables and sentences out."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from nesting.errors import NestingError
from nesting.stash_commands import stash, stash_group

Run = Callable[..., str]


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Run:
    monkeypatch.setenv("NESTING_STASH", str(tmp_path / "drawer.sqlite"))

    def call(*words: str) -> str:
        result = CliRunner().invoke(stash, words)
        if result.exception is not None and not isinstance(result.exception, SystemExit):
            raise result.exception
        assert result.exit_code == 0, result.output
        return str(result.output)

    return call


def test_what_is_added_is_listed_found_taken_and_put_back(run: Run) -> None:
    said = run("add", "pine", "5 1/2 x 7", "3", "--print", "one-way", "--grain", "up", "--kept", "box [2]")
    assert said == "No. 1, pine 5 1/2 x 7 in: 3 now in the drawer; write its number on it.\n"
    run("add", "kraft", "A4", "--rim", "5 mm")
    listed = run("list")
    assert "5 1/2 x 7 in" in listed
    assert "box [2]" in listed
    assert "one-way" in listed
    assert "kraft" not in run("search", "PIN")
    assert "Nothing found" in run("search", "pine", "--fits", "7 x 5 1/2")
    assert "pine" in run("search", "--fits", "5 x 7")
    assert run("take-out", "1", "2").endswith(": 1 left.\n")
    assert run("put-back", "1").endswith(": 2 in the drawer.\n")


def test_a_lot_is_corrected_and_every_change_is_shown_and_undone(run: Run) -> None:
    run("add", "pine", "5 x 7")
    said = run("correct", "1", "--paper", "russet apples", "--count", "4")
    assert said == "No. 1, russet apples 5 x 7 in: 4 corrected.\n"
    assert run("undo").startswith("Entry 2 (corrected, ")
    assert "pine" in run("list")
    shown = run("history")
    assert "corrected (undone by 3)" in shown
    assert "undone 2" in shown


def test_a_correction_that_changes_nothing_says_so(run: Run) -> None:
    run("add", "pine", "5 x 7")
    for words in ((), ("--count", "1"), ("--size", "5 x 7")):
        said = run("correct", "1", *words)
        assert said == "No. 1, pine 5 x 7 in: 1 as it was; say what is to be corrected.\n"
    assert "corrected" not in run("history")


def test_a_size_without_quotes_is_told_to_stand_in_quotes() -> None:
    result = CliRunner().invoke(stash, ["add", "pine", "5", "x", "7"])
    assert result.exit_code == 2
    assert "“x” is not a whole number; a size of several words stands in quotes" in " ".join(result.output.split())


def test_the_drawer_is_said_as_json_too(run: Run) -> None:
    run("add", "pine", "5 x 7 1/2", "3", "--print", "one-way")
    (lot,) = json.loads(run("list", "--json"))
    assert (lot["number"], lot["paper"], lot["size"], lot["count"], lot["print"]) == (
        1, "pine", "5 x 7 1/2 in", 3, "one-way",
    )  # fmt: skip
    assert json.loads(run("search", "oak", "--json")) == []
    run("take-out", "1", "2")
    first, second = json.loads(run("history", "--json"))
    assert (first["what"], first["changes"]) == ("added", [{"item": 1, "count": 3}])
    assert (second["what"], second["changes"]) == ("taken out", [{"item": 1, "count": -2}])
    assert second["undone_by"] is None


def test_a_list_goes_out_and_comes_back(run: Run, tmp_path: Path) -> None:
    run("--unit", "mm", "add", "pine", "100 x 150", "3", "--label", "=odd")
    listed = run("list")
    assert run("export", str(tmp_path / "out.csv")) == f"wrote {tmp_path / 'out.csv'}\n"
    assert run("export") == (tmp_path / "out.csv").read_text("utf-8")
    run("undo")
    assert run("list") == "Nothing found.\n"
    assert run("import", str(tmp_path / "out.csv")) == "3 sheets put in, as 1 item.\n"
    assert run("list") == listed


def test_all_mistakes_of_a_command_are_said_at_once(run: Run) -> None:
    with pytest.raises(NestingError) as error:
        run("add", " ", "five by seven", "--rim", "1,2", "--label", "a\nb")
    assert len(error.value.problems) == 4
    with pytest.raises(NestingError, match="The rim leaves nothing"):
        run("add", "pine", "5 x 7", "--rim", "2 1/2")


def test_looking_into_a_drawer_that_is_not_there_makes_none(run: Run, tmp_path: Path) -> None:
    for words in (["list"], ["search", "pine"], ["history"], ["undo"], ["take-out", "1"], ["export"]):
        with pytest.raises(NestingError, match="There is no drawer here yet"):
            run(*words)
    assert list(tmp_path.iterdir()) == []


def test_every_command_is_wrapped_so_that_mistakes_become_words(monkeypatch: pytest.MonkeyPatch) -> None:
    before = {name: command.callback for name, command in stash.commands.items()}
    wrapped: list[object] = []

    def plainly(callback: object) -> object:
        wrapped.append(callback)
        return callback

    group = stash_group(plainly)
    assert isinstance(group, click.Group)
    assert wrapped == list(before.values())
