"""The reverse questions from the shell: one plain sentence first, files where they are asked for, mistakes in words."""

from __future__ import annotations

import csv
import io
import json
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import click
import pytest
from click.testing import CliRunner, Result

from nesting.describe.project_file import read_project
from nesting.errors import NestingError
from nesting.packing.solve import Effort
from nesting.plan import make_plan
from nesting.question_commands import question_commands
from nesting.reports.plan_folder import write_plan
from nesting.stash.drawer import Lot, Stash
from nesting.stash.items import Details

DEMOS = Path(__file__).parents[2] / "demo_projects"


def as_it_is(command: Callable[..., Any]) -> Callable[..., Any]:
    return command


def run(*words: str | Path) -> Result:
    group = click.Group(commands={command.name or "": command for command in question_commands(as_it_is)})
    result = CliRunner().invoke(group, [str(word) for word in words])
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        raise result.exception
    return result


@pytest.fixture
def stall(tmp_path: Path) -> Path:
    folder = tmp_path / "stall"
    shutil.copytree(DEMOS / "harvest_stall", folder)
    return folder


@pytest.fixture
def planned(stall: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    write_plan(make_plan(read_project(stall), effort=Effort.QUICK), stall / "plan", maps=False)
    monkeypatch.setenv("NESTING_STASH", str(stall / "drawer.sqlite"))
    return stall


def test_yield_says_how_many_and_why_not_more(stall: Path) -> None:
    said = run("yield", stall, "--cards", "cottage window", "--money", "5").output
    assert said.startswith("7 cards can be made with $ 5.00 and what is at hand.")
    assert "8 cannot be made, that is proven: new sheets for them cost at least" in said
    data = json.loads(run("yield", stall, "--json").output)
    assert (data["cards"], data["proven"], data["proven_impossible"]) == (0, True, 1)


def test_yield_writes_the_plan_that_it_found(tmp_path: Path) -> None:
    walk, out = DEMOS / "lantern_walk", tmp_path / "small"
    assert f"files in {out}" in run("yield", walk, "--cards", "procession", "--money", "4", "--out", out).output
    data = json.loads((tmp_path / "small" / "plan.json").read_text("utf-8"))
    assert data["totals"]["complete"]
    assert data["totals"]["price_cents"] <= 400


def test_yield_counts_on_the_drawer_when_asked(stall: Path) -> None:
    theatre = DEMOS / "folding_theatre"
    drawer = stall / "drawer.sqlite"
    with Stash(drawer, new=True):
        pass
    assert run("yield", theatre, "--file", drawer).output.startswith("1 card can be made from what is at hand.")


def test_mistakes_in_the_sum_and_in_the_mix_are_told_together(stall: Path) -> None:
    with pytest.raises(NestingError) as caught:
        run("yield", stall, "--cards", "pumkin patch", "--money", "lots")
    assert len(caught.value.problems) == 2


def test_batch_as_table_data_csv_and_picture(stall: Path) -> None:
    picture = stall / "left.svg"
    said = run("batch", stall, "--up-to", "4", "--picture", picture).output
    assert "cost a card" in said
    assert all(len(line) <= 80 for line in said.splitlines() if not line.startswith("wrote"))
    assert picture.read_text("utf-8").startswith("<")
    data = json.loads(run("batch", stall, "--up-to", "4", "--json").output)
    assert [size["cards"] for size in data["sizes"]] == [1, 2, 3, 4]
    rows = list(csv.DictReader(io.StringIO(run("batch", stall, "--up-to", "4", "--step", "2", "--csv").output)))
    assert [row["cards"] for row in rows] == ["2", "4"]
    assert [int(row["sheets"]) for row in rows] == [data["sizes"][1]["sheets"], data["sizes"][3]["sheets"]]
    with pytest.raises(NestingError, match="what kind of picture"):
        run("batch", stall, "--up-to", "2", "--picture", stall / "left.doc")


def test_two_projects_side_by_side(stall: Path) -> None:
    kit = stall.parent / "kit"
    shutil.copytree(DEMOS / "class_kit_list", kit)
    data = json.loads(run("compare", DEMOS / "folding_theatre", "--with", kit, "--effort", "quick", "--json").output)
    assert (data["left"]["cards"], data["right"]["cards"], data["difference"]["cards"]) == (1, 0, -1)
    assert data["difference"]["sheets"] == data["right"]["sheets"] - data["left"]["sheets"]
    said = run("compare", kit, "--with", kit, "--effort", "quick").output
    assert "comes to the same" in said
    assert max(map(len, said.splitlines())) <= 80
    with pytest.raises(NestingError, match="compared as it stands"):
        run("compare", kit, "--with", kit, "--paper", "a = b")


def test_done_is_recorded_once_and_can_be_undone(planned: Path) -> None:
    said = run("done", planned).output
    assert "Put in: no. 1," in said
    with Stash(planned / "drawer.sqlite") as stash:
        there = stash.items()
        assert there
        with pytest.raises(NestingError, match="recorded already"):
            run("done", planned)
        assert stash.items() == there
        stash.undo()
        assert stash.items() == ()
    assert "Put in" in run("done", planned).output


def test_done_takes_out_of_the_drawer_what_the_plan_took_from_it(tmp_path: Path) -> None:
    folder, drawer = tmp_path / "theatre", tmp_path / "drawer.sqlite"
    shutil.copytree(DEMOS / "folding_theatre", folder)
    project = read_project(folder)
    lots = [
        Lot(Details(paper.name, held.sheet, direction=paper.direction), held.count)
        for paper in project.papers
        for held in paper.at_hand
    ]
    with Stash(drawer, new=True) as stash:
        stash.add(lots)
        before = sum(item.count for item in stash.items())
    text = (folder / "papers.toml").read_text("utf-8")
    kept = ['sheet = "1 x 1"' if line.startswith("at_hand") else line for line in text.splitlines()]
    (folder / "papers.toml").write_text("\n".join(kept), "utf-8")
    assert run("yield", folder, "--file", drawer, "--out", folder / "plan").output.startswith("1 card can be made")
    data = json.loads((folder / "plan" / "plan.json").read_text("utf-8"))
    said = run("done", folder, "--file", drawer).output
    assert said.startswith(f"Recorded: {data['totals']['sheets']} sheets taken out of the drawer.")
    with Stash(drawer) as stash:
        put_in = sum(offcut["count"] for paper in data["papers"] for offcut in paper["offcuts"])
        assert sum(item.count for item in stash.items()) == before - data["totals"]["sheets"] + put_in


def test_recut_plans_the_rest_and_writes_it(planned: Path) -> None:
    said = run("recut", planned, "--spoiled", "A of cream = 1", "--spoiled", "orchard gate: base").output
    assert "Nothing is missing" in said or "Still to be cut" in said
    said = run("recut", planned, "--spoiled", "A of cream = 6").output
    assert "Still to be cut:" in said
    assert "new sheet" in said
    assert json.loads((planned / "recut" / "plan.json").read_text("utf-8"))["totals"]["complete"]
    data = json.loads(run("recut", planned, "--spoiled", "A of cream = 6", "--json").output)
    assert data["totals"]["complete"]


def test_recut_tells_all_mistakes_at_once(planned: Path) -> None:
    with pytest.raises(NestingError) as caught:
        run("recut", planned, "--spoiled", "A of creem = 1", "--cut-to", "mos = 1")
    assert len(caught.value.problems) == 2
    assert "Did you mean “A of cream”" in caught.value.problems[0].todo
