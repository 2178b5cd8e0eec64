"""A folder of text files becomes a project; sizes, names and numbers arrive exactly."""

from __future__ import annotations

from pathlib import Path

import pytest

from nesting.describe.designs import OwnSize, PartKind, SmallerBy
from nesting.describe.papers import Grain, PrintDirection, Rim
from nesting.describe.project import Project, SpareRule
from nesting.describe.project_file import read_project
from nesting.lengths import ZERO, Unit, inches, mm
from nesting.pieces.piece_list import piece_list

PAPERS = """
[paper.cream]
note = "cardstock, smooth"
weight = "80 lb cover"
grain = "up"
sheet = "8 1/2 x 11"
price = 0.35
at_hand = 4

[paper."russet apples"]
print = "one-way"
rim = { bottom = "1/2" }
sold = ["12 x 12", { sheet = "A4 landscape", price = "0.60", rim = "5 mm" }]
at_hand = ["5 x 7", { sheet = "6 x 12", count = 2 }]
"""
ROBIN = """
[design.robin]
base = "cream"
size = "8 1/2 x 5 1/2"
across = ["4 1/4"]
panels = { front = 2 }
parts = [
  { mat = "frame", on = "front", paper = "cream", smaller_by = "1/8" },
  { layer = "picture", on = "below", paper = "russet apples", border = "1/8 x 1/4" },
  { window = "peek", on = "frame", size = "1 x 1 1/2" },
  { blank = "leaf", paper = "cream", size = "30 x 40 mm", allowance = "1/8", count = 3, turn = true },
]
"""
BATCH = """
[batch]
title = "Autumn stall"
currency = "$"
cards = { robin = 12 }
spares = "1 in 10"
"""


@pytest.fixture
def project(tmp_path: Path) -> Project:
    (tmp_path / "papers.toml").write_text(PAPERS)
    (tmp_path / "designs.toml").write_text(ROBIN)
    (tmp_path / "batch.toml").write_text(BATCH)
    return read_project(tmp_path)


def test_papers_carry_weight_grain_price_and_drawer(project: Project) -> None:
    cream = project.paper("cream")
    assert (cream.note, cream.grain, cream.direction) == ("cardstock, smooth", Grain.UP, PrintDirection.NONE)
    assert cream.weight is not None
    assert round(cream.weight) == 216
    assert [(sold.sheet.width, sold.sheet.height, sold.price) for sold in cream.sold] == [
        (inches("8.5"), inches(11), 35)
    ]
    assert [(held.sheet.width, held.count) for held in cream.at_hand] == [(inches("8.5"), 4)]


def test_an_entry_s_own_rim_goes_before_the_paper_s(project: Project) -> None:
    first, second = project.paper("russet apples").sold
    assert first.sheet.rim == Rim(bottom=inches("1/2"))
    assert second.sheet.rim == Rim(mm(5), mm(5), mm(5), mm(5))
    assert (second.sheet.width, second.sheet.height, second.price) == (mm(297), mm(210), 60)
    assert [held.count for held in project.paper("russet apples").at_hand] == [1, 2]


def test_scores_make_panels_from_the_left(project: Project) -> None:
    base = project.design("robin").base
    assert base is not None
    assert [(panel.number, panel.x, panel.width) for panel in base.panels] == [
        (1, ZERO, inches("4.25")),
        (2, inches("4.25"), inches("4.25")),
    ]
    assert project.design("robin").names == (("front", (2,)), ("all", (1, 2)))


def test_parts_keep_their_rule_and_what_they_lie_on(project: Project) -> None:
    frame, picture, peek, leaf = project.design("robin").parts
    assert (frame.kind, frame.panels, frame.size) == (PartKind.MAT, (2,), SmallerBy(inches("1/8"), inches("1/8")))
    assert (picture.on_part, picture.size) == ("frame", SmallerBy(inches("1/4"), inches("1/2")))
    assert (peek.paper, peek.on_part, peek.size) == ("", "frame", OwnSize(inches(1), inches("3/2")))
    assert (leaf.size, leaf.allowance, leaf.count, leaf.may_turn) == (
        OwnSize(mm(30), mm(40)),
        inches("1/8"),
        3,
        True,
    )
    assert picture.place.file == "designs.toml"
    assert picture.place.line == 9


def test_the_batch_says_how_many_and_how_many_spares(project: Project) -> None:
    assert (project.title, project.currency.sign, project.unit) == ("Autumn stall", "$", Unit.INCH)
    assert [(line.design, line.count) for line in project.batch] == [("robin", 12)]
    assert project.spares.rule is SpareRule.SHARE
    assert project.spares.of(12) == 2


def test_all_means_every_panel_of_a_base_of_ones_own(tmp_path: Path) -> None:
    text = (
        '[paper.cream]\nsheet = "12 x 12"\n[design.card]\nbase = "cream"\nsize = "9 x 4"\nacross = [3, 6]\n'
        'parts = [{ mat = "frame", on = "all", paper = "cream", smaller_by = "1/4" }]\n[batch]\ncards = { card = 2 }\n'
    )
    (tmp_path / "all.toml").write_text(text)
    frame = piece_list(read_project(tmp_path)).pieces[1]
    assert (frame.need, frame.per_card, frame.where) == (6, 3, "panels 1, 2, 3")
