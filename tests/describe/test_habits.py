"""How the user works at the trimmer: read, checked, and used for the times of a plan."""

from __future__ import annotations

from pathlib import Path

import pytest

from nesting.cutting.sequence import measured_after
from nesting.describe.project import Habits
from nesting.describe.project_file import read_project
from nesting.errors import NestingError
from nesting.lengths import TICKS_PER_INCH, Unit
from nesting.plan import make_plan
from nesting.reports import words

LISTED = "paper,width,height,quantity,label\nred,3,4,12,tile\n"


STRIPS = "paper,width,height,quantity,label\nred,4,12,4,strip\n"


def folder(path: Path, trimmer: str, listed: str = LISTED) -> Path:
    (path / "all.toml").write_text(
        f'[paper.red]\nsheet = "12 x 12"\nweight = "80 gsm"\n[trimmer]\n{trimmer}\n', "utf-8"
    )
    (path / "list.csv").write_text(listed, "utf-8")
    return path


def test_what_is_left_out_is_common_practice(tmp_path: Path) -> None:
    assert read_project(folder(tmp_path, "")).trimmer.habits == Habits()


def test_slower_hands_make_a_longer_plan_of_the_same_cuts(tmp_path: Path) -> None:
    quick = make_plan(read_project(folder(tmp_path, "seconds = { stroke = 2, setting = 10 }"))).papers[0].order
    slow = make_plan(read_project(folder(tmp_path, "seconds = { stroke = 4, setting = 20 }"))).papers[0].order
    assert quick.passes == slow.passes
    assert slow.seconds - quick.seconds == 2 * quick.strokes + 10 * quick.settings


def test_a_large_offcut_is_given_up_for_time_at_the_price_that_the_user_sets(tmp_path: Path) -> None:
    """Three strips and one leave 8 x 12 whole; two sheets of two strips are one stack and leave 4 x 12 twice."""
    for worth, kept in ((0, [(4, 2)]), (300, [(8, 1)])):
        trimmer = f'deep = {{ "80 gsm" = 2 }}\nseconds = {{ measure = 0, offcut = {worth} }}'
        paper = make_plan(read_project(folder(tmp_path, trimmer, STRIPS))).papers[0]
        assert paper.sheets == 2
        assert [(min(o.width, o.height) // TICKS_PER_INCH, o.count) for o in paper.offcuts] == kept


def test_pieces_in_which_errors_add_up_are_avoided_at_the_price_of_measuring_them(tmp_path: Path) -> None:
    """Three strips fill a sheet to its edge, so one takes up two errors; two a sheet are all cut to the stop."""
    for measure, doubtful in ((0, 1), (300, 0)):
        trimmer = f'deep = {{ "80 gsm" = 2 }}\nseconds = {{ measure = {measure}, offcut = 300 }}'
        paper = make_plan(read_project(folder(tmp_path, trimmer, STRIPS))).papers[0]
        assert paper.sheets == 2
        assert measured_after(paper.uses, paper.order) == doubtful


def test_edges_that_are_not_to_be_trusted_are_trued_first_and_it_is_said(tmp_path: Path) -> None:
    trimmer = "square_first = true\n[paper.blue]\nsheet = \"12 x 12\"\nrim = { left = \"1/2\", top = \"1/4\" }"
    paper = make_plan(read_project(folder(tmp_path, trimmer, LISTED.replace("red", "blue")))).papers[0]
    trues = [line.squares for line in paper.order.passes]
    assert trues == sorted(trues, reverse=True), "no edge is trued after another cut"
    notes = " ".join(words.cut_notes(paper, Unit.INCH))
    assert "trues the left edge" in notes
    assert "trues the top edge" in notes


def test_a_cap_on_piles_is_kept(tmp_path: Path) -> None:
    assert make_plan(read_project(folder(tmp_path, "piles = 2"))).papers[0].order.piles <= 2


def test_every_wrong_habit_is_said(tmp_path: Path) -> None:
    trimmer = 'piles = 0\nerrors = "two"\nsquare_first = 1\nseconds = { stroke = -1, cough = 3 }'
    with pytest.raises(NestingError) as caught:
        read_project(folder(tmp_path, trimmer))
    said = "\n".join(map(str, caught.value.problems))
    assert len(caught.value.problems) == 5
    for word in ("piles", "two", "neither true nor false", "-1", "cough"):
        assert word in said
