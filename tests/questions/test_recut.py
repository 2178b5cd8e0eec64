"""Half-way through: what lies on the table is all that there was, and the rest is planned from it."""

from __future__ import annotations

import json
from collections import Counter
from dataclasses import replace
from pathlib import Path

import pytest

from nesting.cutting.passes import What
from nesting.describe.papers import Sheet
from nesting.describe.project import Project
from nesting.describe.project_file import read_project
from nesting.errors import NestingError
from nesting.lengths import inches
from nesting.packing.solve import Effort
from nesting.plan import Plan, held_sheets, make_plan
from nesting.questions.recut import Recut, Spoiled, _strips, kinds_by_letter, on_the_table, recut, rest_of
from nesting.reports.plan_folder import write_plan
from nesting.reports.plan_read import read_plan
from nesting.reports.question_words import read_cut_to, read_spoiled
from nesting.stash.planning import mark_of, offcut_lots

DEMOS = Path(__file__).parents[2] / "demo_projects"
NAMES = ("harvest_stall", "lantern_walk", "folding_theatre")


@pytest.fixture(scope="module", params=NAMES)
def planned(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> tuple[Project, Plan, Plan]:
    project = read_project(DEMOS / request.param)
    plan = make_plan(project, effort=Effort.QUICK)
    folder = tmp_path_factory.mktemp("plan")
    write_plan(plan, folder, maps=False)
    return project, plan, read_plan(folder, project)


def test_a_plan_comes_back_from_its_file_as_it_was(planned: tuple[Project, Plan, Plan]) -> None:
    _, plan, again = planned
    assert mark_of(again) == mark_of(plan)
    assert offcut_lots(again) == offcut_lots(plan)
    assert (again.sheets, again.to_buy, again.price) == (plan.sheets, plan.to_buy, plan.price)
    for one, other in zip(plan.papers, again.papers, strict=True):
        assert other.letters == one.letters
        assert [line.comes for line in other.order.passes] == [line.comes for line in one.order.passes]


def test_what_lies_on_the_table_grows_into_all_the_pieces(planned: tuple[Project, Plan, Plan]) -> None:
    _, _, plan = planned
    for paper in plan.papers:
        last = max((line.number for line in paper.order.passes), default=0)
        before = -1
        whole = paper.area_taken
        for done in range(last + 1):
            table = on_the_table(paper, done)
            made = sum(table.pieces.values())
            area = sum(sheet.width.ticks * sheet.height.ticks * count for sheet, count in table.sheets)
            assert made >= before
            assert area <= whole
            before, whole = made, area
        table = on_the_table(paper, last)
        assert table == on_the_table(paper, None)
        assert dict(table.pieces) == {n: kind.need for n, kind in enumerate(paper.packing.task.pieces) if kind.need}
        kept = sum(leaf.part.what is What.KEEP for leaf in paper.order.parts)
        assert bool(table.sheets) is bool(kept)


def test_before_the_first_cut_all_sheets_lie_there_whole(planned: tuple[Project, Plan, Plan]) -> None:
    _, _, plan = planned
    for paper in plan.papers:
        table = on_the_table(paper, 0)
        assert sum(count for _, count in table.sheets) == paper.sheets
        assert {sheet for sheet, _ in table.sheets} <= {source.sheet for source in paper.packing.sources}


def test_when_nothing_is_spoiled_the_rest_takes_no_new_sheet(planned: tuple[Project, Plan, Plan]) -> None:
    _, _, plan = planned
    for paper in plan.papers[:3]:
        last = max((line.number for line in paper.order.passes), default=0)
        for done in sorted({0, last // 2, last}):
            rest = recut(plan, {paper.paper.name: done}, [])
            assert rest.plan is None or (rest.plan.complete and not rest.plan.to_buy)


def test_a_spoiled_piece_is_cut_again_and_only_that(planned: tuple[Project, Plan, Plan]) -> None:
    project, _, plan = planned
    if not any(paper.sold for paper in project.papers):
        pytest.skip("nothing can be bought for this project, so a spoiled base is lost")
    for paper in plan.papers:
        kind = min(paper.letters)
        spare = sum(piece.spare for piece in paper.packing.kinds[kind])
        rest = recut(plan, {}, [Spoiled(paper.paper.name, paper.letters[kind], spare + 2)])
        assert rest.plan is not None
        assert rest.plan.complete
        assert [(piece.paper, piece.count) for piece in rest.project.pieces] == [(paper.paper.name, 2)]
        assert rest.fewest_new <= rest.plan.to_buy <= 2
        if spare:
            assert recut(plan, {}, [Spoiled(paper.paper.name, paper.letters[kind], spare)]).plan is None


def test_more_spoiled_than_cut_and_stops_that_do_not_exist_are_refused(planned: tuple[Project, Plan, Plan]) -> None:
    _, _, plan = planned
    first = plan.papers[0]
    letter = first.letters[min(first.letters)]
    with pytest.raises(NestingError, match="0 are cut so far"):
        recut(plan, {first.paper.name: 0}, [Spoiled(first.paper.name, letter, 1)])
    with pytest.raises(NestingError, match="stop settings, not 99"):
        recut(plan, {first.paper.name: 99}, [])


def test_words_at_the_table_are_understood_or_answered(planned: tuple[Project, Plan, Plan]) -> None:
    _, _, plan = planned
    first = plan.papers[0]
    name, kind = first.paper.name, min(first.letters)
    letter = first.letters[kind]
    title = first.packing.kinds[kind][0].title
    assert read_spoiled(plan, [f"{letter.lower()} of {name.upper()} = 2", title]) == (
        Spoiled(name, letter, 2), Spoiled(name, letter, 1),
    )  # fmt: skip
    assert read_cut_to(plan, [f"{name}=3"]) == {name: 3}
    with pytest.raises(NestingError) as caught:
        read_spoiled(plan, ["Z of nothing = 1", f"{letter} of {name} = some"])
    assert len(caught.value.problems) == 2
    with pytest.raises(NestingError):
        read_cut_to(plan, ["no such paper = 1"])


def test_strips_at_the_edges_come_off_the_near_one_first() -> None:
    assert _strips(100, 100, 5, 3, 0) == (5, 3)
    assert _strips(95, 100, 5, 3, 0) == (0, 3)
    assert _strips(94, 100, 5, 3, 1) == (0, 3)
    assert _strips(92, 100, 5, 3, 0) == (0, 0)
    assert _strips(100, 100, 0, 3, 0) == (0, 3)


def test_a_plan_changed_by_hand_or_not_there_is_refused(tmp_path: Path) -> None:
    project = read_project(DEMOS / "harvest_stall")
    with pytest.raises(NestingError, match="There is no plan here"):
        read_plan(tmp_path, project)
    write_plan(make_plan(project, effort=Effort.QUICK), tmp_path, maps=False)
    path = tmp_path / "plan.json"
    data = json.loads(path.read_text("utf-8"))
    good = json.dumps(data)
    data["papers"][0]["layouts"][0]["copies"] += 1
    path.write_text(json.dumps(data), "utf-8")
    with pytest.raises(NestingError, match="does not stand up to the check"):
        read_plan(tmp_path, project)
    for broken in (good[:-20], "[]", good.replace('"is": "cut"', '"is": "torn"'), good.replace('"tree"', '"twig"')):
        path.write_text(broken, "utf-8")
        with pytest.raises(NestingError, match="not whole"):
            read_plan(tmp_path, project)


def test_a_rest_of_a_rest_offers_all_that_lies_on_the_table_once(tmp_path: Path) -> None:
    (tmp_path / "tags.toml").write_text(
        '[paper.pine]\nsold = [{ sheet = "12 x 12", price = 1 }]\nat_hand = [{ sheet = "12 x 12", count = 2 }]\n'
        '[paper.moss]\nsold = [{ sheet = "12 x 12", price = 1 }]\n[batch]\ntitle = "tags"\n'
    )
    lines = "paper,width,height,quantity,label\npine,6,6,3,square\npine,2,2,1,tag\nmoss,5,5,1,square\n"
    (tmp_path / "tags.csv").write_text(lines)
    project = read_project(tmp_path)

    def again(plan: Plan, folder: str) -> Plan:
        write_plan(plan, tmp_path / folder, maps=False)
        return read_plan(tmp_path / folder, project)

    first = again(make_plan(project, effort=Effort.QUICK), "plan")
    assert [paper.at_hand for paper in first.papers] == [1, 0]
    square = next(letter for letter, kind in kinds_by_letter(first.papers[0]).items() if kind == 0)
    rest = recut(first, {}, [Spoiled("pine", square, 1)])
    assert rest.plan is not None
    second = again(replace(rest.plan, rest_of=rest_of(first, rest, mark_of(first))), "recut")
    once_more = recut(second, {}, [Spoiled("pine", "A", 1)])
    assert once_more.plan is not None

    def lies(found: Recut, name: str) -> Counter[Sheet]:
        return Counter({held.sheet: held.count for held in found.project.paper(name).at_hand})

    used = Counter(one.sheet for one in held_sheets(rest.plan))
    left = lies(rest, "pine") - used
    assert lies(rest, "moss") == lies(once_more, "moss")  # no piece of moss was spoiled: its offcuts lie there still
    assert all(lies(once_more, "pine")[sheet] >= count for sheet, count in left.items())
    area = sum(sheet.width.ticks * sheet.height.ticks * count for sheet, count in lies(once_more, "pine").items())
    pieces = 4 * inches(6).ticks ** 2 + inches(2).ticks ** 2  # three squares and a tag, then one square more
    assert area == 2 * inches(12).ticks ** 2 - pieces
