"""Shops: what they sell is read exactly, and every mistake in their tables is said in one go."""

from __future__ import annotations

from pathlib import Path

import pytest

from nesting.describe.papers import Rim
from nesting.describe.project import Project
from nesting.describe.project_file import read_project
from nesting.describe.shops import Offer, Ware
from nesting.errors import NestingError
from nesting.lengths import inches

PAPERS = """
[paper.pine]
sheet = "12 x 12"
price = 0.95
rim = { bottom = "1/2" }
[paper.kraft]
[paper.cream]
sheet = "letter"
[design.tag]
base = "pine"
size = "4 x 4"
[batch]
cards = { tag = 3 }
"""


def read(folder: Path, shops: str) -> Project:
    (folder / "all.toml").write_text(PAPERS)
    (folder / "shops.toml").write_text(shops)
    return read_project(folder)


def mistakes(folder: Path, shops: str) -> list[str]:
    with pytest.raises(NestingError) as error:
        read(folder, shops)
    return [f"{problem.place.line}: {problem.what}" for problem in error.value.problems]


def test_single_sheets_packs_and_pads_are_read_with_their_sheets(tmp_path: Path) -> None:
    project = read(tmp_path, """
[shop."Mill Lane"]
postage = 2.50
sells = [
  { paper = "pine", price = 0.90 },
  { paper = "cream", pack = 25, price = 6, at_most = 2 },
  { name = "pad", holds = { pine = 4, kraft = 4 }, sheet = "6 x 6", price = 3.10 },
  { paper = "kraft", sheet = "8 x 8", rim = "1/4", price = 0.30 },
]
""")  # fmt: skip
    (shop,) = project.shops
    pine, cream = project.paper("pine").sold[0].sheet, project.paper("cream").sold[0].sheet
    assert (shop.name, shop.postage) == ("Mill Lane", 250)
    assert shop.sells[0] == Offer("sheet", 90, ((Ware("pine", pine), 1),), "Mill Lane")
    assert shop.sells[1] == Offer("pack of 25", 600, ((Ware("cream", cream), 25),), "Mill Lane", 2)
    pad = shop.sells[2]
    assert [(ware.paper, ware.sheet.width, count) for ware, count in pad.holds] == [
        ("pine", inches(6), 4),
        ("kraft", inches(6), 4),
    ]
    assert pad.holds[0][0].sheet.rim == Rim(bottom=inches("1/2"))  # the paper's own
    assert shop.sells[3].holds[0][0].sheet.rim.left == inches("1/4")


def test_all_mistakes_of_all_shops_are_said_at_once(tmp_path: Path) -> None:
    assert mistakes(tmp_path, """[shop.one]
postage = "two"
sells = [
  { paper = "pin", price = 1 },
  { paper = "kraft", price = 1 },
  { paper = "pine", holds = { pine = 2 }, price = 1 },
  { holds = { pine = 0 }, sheet = "6 x 6", price = 1 },
  { sheet = "6 x 6", price = 1 },
  { paper = "pine", prize = 1 },
  "pine",
  { paper = "cream", price = 1 },
]
[shop.two]
""") == [
        "2: “two” is not a price.",
        "4: There is no paper “pin”.",
        "5: Of kraft it is not said which sheet this is; none is named with the paper.",
        "6: “paper” stands beside “holds”.",
        "7: “0” is not a whole number from 1 to 10 000.",
        "8: It is not said of which paper this is.",
        "9: Nothing is known by the key “prize”.",
        "10: “pine” is nothing that a shop sells.",
        "13: The key “sells” is missing.",
    ]  # fmt: skip


def test_a_sheet_without_any_price_cannot_be_compared(tmp_path: Path) -> None:
    shop = '[shop.one]\nsells = [{ paper = "kraft", sheet = "6 x 6", price = 1 }]\n'
    assert mistakes(tmp_path, shop) == ["8: This sheet of cream has no price, and no shop sells it."]


def test_a_budget_is_a_sum_of_money(tmp_path: Path) -> None:
    shop = '[shop.one]\nsells = [{ holds = { kraft = 1, cream = 2 }, sheet = "letter", price = 1 }]\n'
    (tmp_path / "all.toml").write_text(PAPERS + "budget = 24.50\n")
    (tmp_path / "shops.toml").write_text(shop)
    assert read_project(tmp_path).budget == 2450


def test_more_shops_than_can_be_compared_are_refused(tmp_path: Path) -> None:
    one = '[shop.s{}]\nsells = [{{ holds = {{ cream = 1, kraft = 1 }}, sheet = "letter", price = 1 }}]\n'
    said = mistakes(tmp_path, "".join(one.format(number) for number in range(10)))
    assert said == ["17: This is shop number 9 of 10; at most 8 are compared."]
