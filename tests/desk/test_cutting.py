"""The cutting goes on where it was: pass by pass, back again, through a restart, and with pieces spoiled on the way."""

from __future__ import annotations

import json
from collections import Counter
from dataclasses import replace
from pathlib import Path

import pytest
from desks import demo, starter, visiting

from nesting.cutting.passes import What
from nesting.describe.project_file import read_project
from nesting.desk.cutting import Cutting
from nesting.errors import NestingError
from nesting.plan import Plan, make_plan
from nesting.questions.recut import Spoiled, recut
from nesting.stash.planning import mark_of


@pytest.fixture(scope="module")
def theatre(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Plan]:
    folder = demo("folding_theatre", tmp_path_factory.mktemp("cut") / "p")
    return folder, make_plan(read_project(folder))


def test_the_plan_beside_the_trimmer_is_read_back_with_every_cut(theatre: tuple[Path, Plan], tmp_path: Path) -> None:
    folder, plan = theatre
    cutting = Cutting(tmp_path / "cutting")
    cutting.begin(plan)
    again = Cutting(tmp_path / "cutting").now(read_project(folder))
    assert again is not None
    assert mark_of(again.plan) == mark_of(plan) == cutting.mark()
    for paper, known in zip(again.plan.papers, plan.papers, strict=True):
        assert paper.order.passes == known.order.passes
        assert paper.order.parts == known.order.parts
        assert sorted(paper.order.cuts, key=repr) == sorted(known.order.cuts, key=repr)


def test_steps_are_on_the_disk_at_once_and_count_once(theatre: tuple[Path, Plan], tmp_path: Path) -> None:
    folder, plan = theatre
    name = plan.papers[0].paper.name
    cutting = Cutting(tmp_path / "cutting")
    cutting.begin(plan)
    for line in (0, 0, 1, 1, 5):  # pressed twice, and a page that was left open
        cutting.step(name, line)
    assert _done(tmp_path, folder, name) == 2
    cutting.step_back(name, 0)  # an old page again
    assert _done(tmp_path, folder, name) == 2
    cutting.step_back(name, 1)
    assert _done(tmp_path, folder, name) == 1


def _done(place: Path, folder: Path, name: str) -> int:
    work = Cutting(place / "cutting").now(read_project(folder))
    assert work is not None
    return work.done.get(name, 0)


def test_what_lies_there_grows_to_what_is_needed(theatre: tuple[Path, Plan], tmp_path: Path) -> None:
    """Counted by hand from the layouts once a paper is cut, not from the passes."""
    folder, plan = theatre
    cutting = Cutting(tmp_path / "cutting")
    cutting.begin(plan)
    for paper in plan.papers:
        for line in range(len(paper.order.passes)):
            cutting.step(paper.paper.name, line)
    work = cutting.now(read_project(folder))
    assert work is not None
    assert work.all_finished
    for paper in work.plan.papers:
        if any(leaf.part.name[-1:].isdigit() for leaf in paper.order.parts):
            continue  # a print that runs on: its panels are counted together
        counted: Counter[str] = Counter()
        for leaf in paper.order.parts:
            if leaf.part.what is What.PIECE:
                counted[leaf.part.name] += paper.uses[leaf.layout].copies
        assert work.cut_so_far(paper) == dict(counted)


def test_the_rest_is_planned_twice_and_survives_a_restart(tmp_path: Path) -> None:
    project = read_project(starter(tmp_path / "p"))
    plan = make_plan(project)
    cutting = Cutting(tmp_path / "cutting")
    cutting.begin(plan)
    for number in (1, 2):
        work = Cutting(tmp_path / "cutting").now(project)
        assert work is not None
        assert work.number == number
        paper = work.plan.papers[0]
        for line in range(len(paper.order.passes)):
            cutting.step(paper.paper.name, line)
        work = cutting.now(project)
        assert work is not None
        letter, there = max(work.cut_so_far(work.plan.papers[0]).items(), key=lambda pair: pair[1])
        cutting.spoil(paper.paper.name, letter, there)
        work = cutting.now(project)
        assert work is not None
        assert work.spoiled == (Spoiled(paper.paper.name, letter, there),)
        truncated = replace(work.plan, papers=tuple(work.so_far(one) for one in work.plan.papers))
        rest = recut(truncated, {}, work.spoiled)
        assert rest.plan is not None
        cutting.go_on(rest)
        again = Cutting(tmp_path / "cutting").now(project)
        assert again is not None
        assert mark_of(again.plan) == mark_of(rest.plan)
        held = {one.name: {(h.sheet, h.count) for h in one.at_hand} for one in again.plan.project.papers}
        assert held == {one.name: {(h.sheet, h.count) for h in one.at_hand} for one in rest.project.papers}


def test_a_damaged_file_of_progress_is_a_sentence(tmp_path: Path) -> None:
    folder = starter(tmp_path / "p")
    progress = folder / "plan" / "cutting" / "progress.json"
    progress.parent.mkdir(parents=True)
    odd = '{"version": 1, "rounds": [{"done": {"pine": 1}, "spoiled": [1], "mark": 1, "at_hand": {}}]}'
    planless = '{"version": 1, "rounds": [{"done": {}, "spoiled": [], "mark": "1", "at_hand": {}}]}'
    for text in ("", "{", "[]", '{"version": 1}', '{"version": 9, "rounds": []}', odd, planless):
        progress.write_text(text, "utf-8")
        with pytest.raises(NestingError):
            Cutting(progress.parent).now(read_project(folder))
        with visiting(folder) as visitor:
            answer = visitor.get("/cut")
            assert answer.status_code == 400
            assert "Begin the cutting anew" in answer.text or "Plan the project again" in answer.text
            assert visitor.send("/cut-forget", {}).status_code == 303
            assert visitor.get("/cut").status_code == 200


def test_a_link_that_leads_out_is_not_written_through(tmp_path: Path) -> None:
    folder = starter(tmp_path / "p")
    (tmp_path / "elsewhere").mkdir()
    (folder / "plan").symlink_to(tmp_path / "elsewhere")
    with visiting(folder) as visitor:
        visitor.get("/")
        visitor.desk.planner.wait_for(("curve", "done"), 60)
        assert visitor.send("/cut-begin", {}).status_code == 400
    assert list((tmp_path / "elsewhere").iterdir()) == []


def test_the_cutting_stays_with_its_plan_when_the_project_changes(tmp_path: Path) -> None:
    folder = starter(tmp_path / "p")
    with visiting(folder) as visitor:
        visitor.get("/")
        visitor.desk.planner.wait_for(("curve", "done"), 60)
        assert visitor.send("/cut-begin", {}).status_code == 303
        mark = visitor.desk.cutting.mark()
        visitor.save("counts", fields={"autumn": "3"})
        visitor.get("/")
        visitor.desk.planner.wait_for(("curve", "done"), 60)
        assert "was changed since this plan was begun" in visitor.get("/cut").text
        assert visitor.desk.cutting.mark() == mark
        work = visitor.desk.cutting.now(visitor.desk.look().project)  # type: ignore[arg-type]
        assert work is not None
        assert work.plan.project.batch[0].count == 20
        assert json.loads((folder / "plan" / "cutting" / "progress.json").read_text("utf-8"))["rounds"]
