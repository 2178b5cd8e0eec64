"""The plan on the page is the plan of the command; it comes in steps, can be stopped, and follows every change."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from desks import DEMOS, starter, visiting

from nesting.describe.project import Project
from nesting.describe.project_file import read_project
from nesting.desk.planner import Planner
from nesting.desk.worker import Memory, News, PlanJob, plan_in_steps
from nesting.errors import NestingError
from nesting.packing.layout import Answer, Outcome, PackingTask
from nesting.packing.solve import solve
from nesting.plan import Plan, make_plan
from nesting.questions import again
from nesting.questions.one_more import with_one_more

PATIENCE = 90


def _news(project: Project, until: Callable[[News], bool], check: Callable[[list[News]], bool]) -> list[News]:
    """What is told of a project up to some news, that one included."""
    told: list[News] = []

    def tell(news: News) -> None:
        told.append(news)
        if until(news):
            raise StopIteration

    with suppress(StopIteration):
        plan_in_steps(PlanJob(1, project), Memory(), tell, lambda: check(told))
    return told


def test_the_plan_is_the_commands_own() -> None:
    project = read_project(DEMOS / "folding_theatre")
    told = _news(project, lambda news: news.full is not None, lambda told: False)
    full = told[-1].full
    assert full == make_plan(project)
    first = next(news.first for news in told if news.first is not None)
    assert [paper.paper.name for paper in first.papers] == [paper.paper.name for paper in full.papers]
    assert first.complete


def test_a_project_with_shops_is_planned_in_one_go() -> None:
    project = read_project(DEMOS / "spring_market")
    told = _news(project, lambda news: news.full is not None, lambda told: False)
    assert not any(news.first for news in told)
    assert told[-1].full is not None
    assert told[-1].full.purchase is not None


def test_other_numbers_are_planned_from_what_is_known(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without a search from scratch, and no worse than one by more than a sheet in all."""
    project = read_project(DEMOS / "harvest_stall")
    memory = Memory()
    _first_plan(project, memory)
    fewer, more = (
        replace(project, batch=tuple(replace(line, count=line.count + by) for line in project.batch)) for by in (-1, 1)
    )
    scratch = [_first_plan(one, Memory()) for one in (fewer, more)]
    searched: list[PackingTask] = []

    def search(task: PackingTask, **how: Any) -> Answer:
        searched.append(task)
        return solve(task, **how)

    monkeypatch.setattr(again, "solve", search)
    known = [_first_plan(one, memory) for one in (fewer, more)]
    small = [task for task in searched if sum(piece.need for piece in task.pieces) > again.SMALL]
    assert small == []
    for found, best in zip(known, scratch, strict=True):
        assert found.complete
        assert found.sheets <= best.sheets + 1
    searched.clear()
    assert _first_plan(more, memory) == known[1]
    assert searched == []


def _first_plan(project: Project, memory: Memory) -> Plan:
    told: list[News] = []

    def tell(news: News) -> None:
        told.append(news)
        if news.first is not None:
            raise StopIteration

    with suppress(StopIteration):
        plan_in_steps(PlanJob(1, project), memory, tell, lambda: False)
    assert told[-1].first is not None
    return told[-1].first


def test_the_worker_plans_is_stopped_and_plans_the_next(tmp_path: Path) -> None:
    project = read_project(starter(tmp_path / "p"))
    planner = Planner()
    try:
        planner.want(project)
        assert planner.wait_for(("done", "wrong"), PATIENCE).stage == "done"
        state = planner.state
        assert state.current
        assert state.plan == with_one_more(make_plan(project))
        assert state.curve is not None
        turn = state.turn
        planner.want(project)
        assert planner.state.turn == turn  # nothing new is asked
        more = replace(project, batch=tuple(replace(line, count=31) for line in project.batch))
        planner.want(more)
        assert not planner.state.current
        assert planner.wait_for(("full", "curve", "done", "wrong"), PATIENCE).current
        assert planner.state.plan is not None
        assert planner.state.plan.project.batch[0].count == 31
    finally:
        planner.close()


def test_a_stopped_plan_says_that_it_was_stopped() -> None:
    """The search itself asks whether to go on; what it had by then is a whole plan, and is no proof."""
    project = read_project(DEMOS / "winter_window")
    told = _news(project, lambda news: news.full is not None, lambda told: any(news.first for news in told))
    full = told[-1].full
    assert full is not None
    assert full.complete
    outcomes = {paper.outcome for paper in full.papers}
    assert outcomes <= {Outcome.PROVEN, Outcome.STOPPED}
    assert Outcome.STOPPED in outcomes


def test_when_the_worker_dies_the_page_says_so_and_plans_again(tmp_path: Path) -> None:
    project = read_project(starter(tmp_path / "p"))
    planner = Planner()
    try:
        planner.want(project)
        planner.close()
        planner.want(replace(project, title="again"))
        assert planner.wait_for(("curve", "done", "wrong"), PATIENCE).plan is not None
    finally:
        planner.close()


def test_a_piece_that_fits_no_sheet_is_told_on_the_table(tmp_path: Path) -> None:
    folder = starter(tmp_path / "p")
    text = (folder / "papers.toml").read_text("utf-8")
    (folder / "papers.toml").write_text(text.replace('sheet = "8 1/2 x 11"', 'sheet = "4 x 4"'), "utf-8")
    with visiting(folder) as visitor:
        visitor.get("/")
        state = visitor.desk.planner.wait_for(("wrong", "done"), PATIENCE)
        assert state.stage == "wrong"
        assert state.problems
        assert state.problems[0].todo in visitor.get("/").get_data(as_text=True).replace("&#39;", "'")


def test_a_packet_that_cannot_be_written_is_a_sentence(tmp_path: Path) -> None:
    project = read_project(starter(tmp_path / "p"))
    (tmp_path / "a file").write_text("", "utf-8")
    planner = Planner()
    try:
        planner.want(project)
        plan = planner.wait_for(("curve", "done"), PATIENCE).plan
        assert plan is not None
        with pytest.raises(NestingError):
            planner.packet(plan, tmp_path / "a file", "letter")
    finally:
        planner.close()
