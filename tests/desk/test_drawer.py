"""The drawer on the page is the drawer of the command: the same ledger, the same numbers, the same undo."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

from desks import starter, visiting

from nesting.stash.drawer import Stash


def test_lots_are_put_in_taken_corrected_and_undone(tmp_path: Path) -> None:
    with visiting(starter(tmp_path / "p")) as visitor:
        assert "Nothing is in the drawer yet" in visitor.get("/drawer").text
        assert visitor.get("/drawer/1").status_code == 404
        form = {"paper": "pine", "size": "5 1/4 x 7", "count": "3", "print": "", "grain": "up", "kept": "box 2"}
        assert visitor.send("/drawer-add", form).status_code == 303
        assert visitor.send("/drawer-take/1", {}).status_code == 303
        assert visitor.send("/drawer-put/1", {}).status_code == 303
        form = {**form, "size": "5 x 7", "count": "9", "label": "tag"}
        assert visitor.send("/drawer-correct/1", form).status_code == 303
        (item,) = visitor.desk.items()
        assert (item.number, item.count, item.details.kept, item.details.label) == (1, 9, "box 2", "tag")
        assert "box 2" in visitor.get("/drawer").text
        assert "Nothing of that paper" in visitor.get("/drawer?paper=kraft").text
        assert visitor.send("/drawer-undo", {}).status_code == 303
        (item,) = visitor.desk.items()
        assert (item.count, item.details.label) == (3, "")
        with Stash(visitor.desk.drawer) as stash:
            assert stash.faults() == ()


def test_all_mistakes_of_a_lot_are_told_at_once(tmp_path: Path) -> None:
    with visiting(starter(tmp_path / "p")) as visitor:
        answer = visitor.send("/drawer-add", {"paper": " ", "size": "5 x oops", "count": "-1", "kept": "x" * 300})
        assert answer.status_code == 400
        for words in ("is empty", "oops", "-1", "200 characters"):
            assert words in answer.text
        assert visitor.desk.items() == ()


def test_the_offcuts_of_the_plan_that_was_cut_go_in_once(tmp_path: Path) -> None:
    with visiting(starter(tmp_path / "p")) as visitor:
        visitor.send("/drawer-add", {"paper": "pine", "size": "12 x 12", "count": "1"})
        visitor.send("/use-drawer", {"drawer": "yes"})
        visitor.get("/")
        state = visitor.desk.planner.wait_for(("curve", "done"), 60)
        assert state.plan is not None
        assert any(paper.at_hand for paper in state.plan.papers if paper.paper.name == "pine")
        visitor.send("/cut-begin", {})
        assert "Offcuts of the plan" in visitor.get("/drawer").text
        assert visitor.send("/drawer-record", {}).status_code == 303
        there: Counter[tuple[str, int, int]] = Counter()
        left: Counter[tuple[str, int, int]] = Counter()
        for item in visitor.desk.items():
            there[item.details.paper, item.details.sheet.width.ticks, item.details.sheet.height.ticks] += item.count
        for paper in state.plan.papers:
            for offcut in paper.offcuts:
                left[paper.paper.name, offcut.width, offcut.height] += offcut.count
        assert there == left
        assert "Offcuts of the plan" not in visitor.get("/drawer").text
        again = visitor.send("/drawer-record", {})
        assert again.status_code == 400
        assert "recorded already" in again.text
