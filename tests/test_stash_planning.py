"""From the drawer into a plan and back: offcuts are used first, taken out once, and what is left over is put in."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from nesting.describe.papers import Grain, PrintDirection, Sheet
from nesting.describe.project import BatchLine, Project
from nesting.describe.project_file import read_project
from nesting.errors import NestingError, Place
from nesting.lengths import inches
from nesting.plan import make_plan
from nesting.questions.recut import Spoiled, recut, rest_of
from nesting.stash.drawer import Lot, Stash
from nesting.stash.items import Change, Details
from nesting.stash.planning import mark_of, offcut_lots, record_plan, used_items, with_drawer

NOWHERE = Place("batch.toml", 1)
OWN = Sheet(inches(5), inches(7))


@pytest.fixture
def project(tmp_path: Path) -> Project:
    (tmp_path / "project.toml").write_text(
        '[paper.pine]\nsheet = "12 x 12"\nprice = 1\ngrain = "up"\nat_hand = [{ sheet = "5 x 7", count = 1 }]\n'
        "[batch]\ncards = { robin = 4 }\n[trimmer]\nkeep = '2 x 3'\n"
        '[design.robin]\nparts = [{ piece = "tag", paper = "pine", size = "5 x 7" }]\n',
        "utf-8",
    )
    return read_project(tmp_path)


def _lot(paper: str, width: int, height: int, count: int, direction: PrintDirection | None = None) -> Lot:
    return Lot(Details(paper, Sheet(inches(width), inches(height)), direction=direction), count)


def test_the_drawer_joins_what_the_project_lists_where_paper_and_print_agree(project: Project, tmp_path: Path) -> None:
    with Stash(tmp_path / "drawer.sqlite", new=True) as stash:
        stash.add([_lot("Pine", 5, 7, 2), _lot("kraft", 5, 7, 9), _lot("pine", 5, 7, 9, PrintDirection.ONE_WAY)])
        paper = with_drawer(project, stash.items()).paper("pine")
    found = [(held.sheet, held.count, bool(held.place.file)) for held in paper.at_hand]
    assert found == [(OWN, 1, True), (OWN, 2, False)]


def test_a_plan_that_was_cut_takes_its_paper_out_of_the_drawer_and_puts_its_offcuts_in(
    project: Project, tmp_path: Path
) -> None:
    with Stash(tmp_path / "drawer.sqlite", new=True) as stash:
        stash.add([_lot("pine", 5, 7, 2), _lot("pine", 7, 9, 3)])
        plan = make_plan(with_drawer(project, stash.items()))
        before = {item.number: item.count for item in stash.items()}
        used = used_items(plan, stash)
        offcuts = offcut_lots(plan)
        numbers = record_plan(stash, plan)
        assert plan.complete
        # four are wanted: one lies in the project's own list, so the drawer gives three and nothing is bought
        assert plan.to_buy == 0
        assert sum(change.count for change in used) == 3
        after = {item.number: item.count for item in stash.items(gone=True)}
        for number, count in before.items():
            assert after[number] == count - sum(c.count for c in used if c.item == number)
        assert sum(after[number] for number in dict.fromkeys(numbers)) == sum(lot.count for lot in offcuts)
        with pytest.raises(NestingError, match="This plan was recorded already"):
            record_plan(stash, plan)
        stash.undo()
        assert {item.number: item.count for item in stash.items()} == before


def test_offcuts_keep_the_print_and_the_grain_of_their_sheet(project: Project) -> None:
    paper = replace(project.papers[0], at_hand=(), direction=PrintDirection.ONE_WAY)
    lots = offcut_lots(make_plan(replace(project, papers=(paper,))))
    # four of 5 x 7 upright take two sheets of 12 x 12, on each of which 12 x 5 and 2 x 7 or the like are left
    assert lots
    assert {(lot.details.direction, lot.details.grain) for lot in lots} == {(PrintDirection.ONE_WAY, Grain.UP)}
    assert all(min(lot.details.sheet.width, lot.details.sheet.height) >= inches(2) for lot in lots)


def test_what_was_taken_away_since_is_said_and_nothing_is_changed(project: Project, tmp_path: Path) -> None:
    with Stash(tmp_path / "drawer.sqlite", new=True) as stash:
        stash.add([_lot("pine", 5, 7, 3)])
        plan = make_plan(with_drawer(project, stash.items()))
        stash.take_out(1, 2)
        with pytest.raises(NestingError, match="pine: The plan takes 2 more of 5 x 7 in than there are"):
            record_plan(stash, plan)
        assert [item.count for item in stash.items()] == [1]


def test_lots_that_differ_only_in_their_place_are_used_up_from_the_lowest_number(
    project: Project, tmp_path: Path
) -> None:
    with Stash(tmp_path / "drawer.sqlite", new=True) as stash:
        stash.add([_lot("pine", 5, 7, 2), Lot(Details("pine", OWN, kept="box"), 4)])
        plan = make_plan(with_drawer(project, stash.items()))
        assert used_items(plan, stash) == (Change(1, 2), Change(2, 1))


def test_the_mark_of_a_plan_is_the_same_for_the_same_plan_only(project: Project) -> None:
    first, again = make_plan(project), make_plan(project)
    assert mark_of(first) == mark_of(again)
    other = make_plan(replace(project, title="another batch"))
    assert mark_of(other) != mark_of(first)


def test_the_rest_of_a_plan_is_recorded_with_it_once_and_taken_back_in_one(project: Project, tmp_path: Path) -> None:
    with Stash(tmp_path / "drawer.sqlite", new=True) as stash:
        stash.add([_lot("pine", 7, 9, 1)])
        plan = make_plan(with_drawer(replace(project, batch=(BatchLine("robin", 5, NOWHERE),)), stash.items()))
        rest = recut(plan, {}, [Spoiled("pine", "A", 1)])
        assert rest.plan is not None
        again = replace(rest.plan, project=plan.project, rest_of=rest_of(plan, rest, mark_of(plan)))
        before = {item.number: item.count for item in stash.items()}
        area = sum(one.details.sheet.width.ticks * one.details.sheet.height.ticks * one.count for one in stash.items())
        record_plan(stash, again)
        assert stash.faults() == ()
        left = sum(one.details.sheet.width.ticks * one.details.sheet.height.ticks * one.count for one in stash.items())
        bought = sum(one.to_buy for one in (*plan.papers, *again.papers)) * 144 * inches(1).ticks ** 2
        assert left <= area + bought - 5 * 35 * inches(1).ticks ** 2  # six are cut, one of them from the project's own
        for twice in (again, plan):
            with pytest.raises(NestingError, match="This plan was recorded already"):
                record_plan(stash, twice)
        stash.undo()
        assert {item.number: item.count for item in stash.items()} == before
        record_plan(stash, plan)
        record_plan(stash, again)  # now the table's paper lies in the drawer, and only the rest is taken
        both = sum(one.details.sheet.width.ticks * one.details.sheet.height.ticks * one.count for one in stash.items())
        assert both == left


def test_sheets_that_packs_bring_beyond_need_are_put_into_the_drawer(tmp_path: Path) -> None:
    (tmp_path / "project.toml").write_text(
        '[paper.pine]\nsheet = "12 x 12"\ngrain = "up"\n[batch]\ncards = { robin = 9 }\n'
        '[shop.near]\nsells = [{ paper = "pine", pack = 5, price = 2 }]\n'
        '[design.robin]\nparts = [{ piece = "tag", paper = "pine", size = "6 x 6" }]\n'
    )
    with Stash(tmp_path / "drawer.sqlite", new=True) as stash:
        record_plan(stash, make_plan(read_project(tmp_path)))
        whole = [item for item in stash.items() if item.details.sheet.height == inches(12) == item.details.sheet.width]
        assert [(item.count, item.details.grain) for item in whole] == [(2, Grain.UP)]


def test_an_odd_offcut_is_cut_before_a_fresh_sheet_but_no_large_one_for_a_scrap(tmp_path: Path) -> None:
    (tmp_path / "project.toml").write_text(
        '[paper.pine]\nsold = [{ sheet = "12 x 12", price = 1 }, { sheet = "4 x 4", price = 0.15 }]\n'
        '[batch]\ncards = { robin = 1 }\n[design.robin]\nparts = [{ piece = "tag", paper = "pine", size = "3 x 3" }]\n'
    )
    plain = read_project(tmp_path)
    with Stash(tmp_path / "drawer.sqlite", new=True) as stash:
        stash.add([_lot("pine", 12, 11, 1)])
        assert make_plan(with_drawer(plain, stash.items())).papers[0].at_hand == 0
        stash.add([_lot("pine", 3, 4, 1), _lot("pine", 5, 5, 1)])
        plan = make_plan(with_drawer(plain, stash.items()))
        assert (plan.to_buy, plan.papers[0].at_hand) == (0, 1)
        assert used_items(plan, stash) == (Change(2, 1),)
