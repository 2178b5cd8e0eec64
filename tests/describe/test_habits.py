"""How the user works at the trimmer: read, checked, and used for the times of a plan."""

from __future__ import annotations

from pathlib import Path

import pytest

from nesting.describe.project import Habits
from nesting.describe.project_file import read_project
from nesting.errors import NestingError
from nesting.plan import make_plan

LISTED = "paper,width,height,quantity,label\nred,3,4,12,tile\n"


def folder(path: Path, trimmer: str) -> Path:
    (path / "all.toml").write_text(f'[paper.red]\nsheet = "12 x 12"\n[trimmer]\n{trimmer}\n', "utf-8")
    (path / "list.csv").write_text(LISTED, "utf-8")
    return path


def test_what_is_left_out_is_common_practice(tmp_path: Path) -> None:
    assert read_project(folder(tmp_path, "")).trimmer.habits == Habits()


def test_slower_hands_make_a_longer_plan_of_the_same_cuts(tmp_path: Path) -> None:
    quick = make_plan(read_project(folder(tmp_path, "seconds = { stroke = 2, setting = 10 }"))).papers[0].order
    slow = make_plan(read_project(folder(tmp_path, "seconds = { stroke = 4, setting = 20 }"))).papers[0].order
    assert quick.passes == slow.passes
    assert slow.seconds - quick.seconds == 2 * quick.strokes + 10 * quick.settings


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
