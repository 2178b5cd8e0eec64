"""A project in a currency without decimals, through to its pages; two currencies are never added up."""

from __future__ import annotations

import csv
import io
import random
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.cost.sheet import cost_sheet
from nesting.describe.project_file import read_project
from nesting.errors import NestingError
from nesting.money import Currency, share
from nesting.plan import make_plan
from nesting.reports.cost_rows import cost_rows
from nesting.reports.plan_csv import shopping_csv
from nesting.reports.plan_data import plan_data

CRANES = """
unit = "mm"
[paper.washi]
sold = [{ sheet = "A4", price = "¥ 120" }]
[paper.kraft]
sold = [{ sheet = "A4", price = 85 }]
[shop.kami]
currency = "¥"
postage = 25
sells = [{ paper = "washi", sheet = "A4", pack = 5, price = 300 }]
[design.crane]
base = "kraft"
size = "210 x 148"
down = "74"
parts = [{ mat = "mat", on = 2, paper = "washi", smaller_by = "6" }]
[batch]
currency = "¥"
decimals = 0
budget = 3000
cards = { crane = 13 }
[costs]
hour = 1200
minutes = 5
tape = { price = 240, length = "25 m" }
each_card = { envelope = { price = 390, count = 20 }, bead = 0.5 }
overheads = "7 %"
margin = "20 %"
"""


def _said(folder: Path, text: str) -> list[str]:
    (folder / "cranes.toml").write_text(text, encoding="utf-8")
    with pytest.raises(NestingError) as wrong:
        read_project(folder)
    return [problem.what for problem in wrong.value.problems]


def test_sums_of_a_currency_without_decimals_are_whole_and_add_up(tmp_path: Path) -> None:
    (tmp_path / "cranes.toml").write_text(CRANES, encoding="utf-8")
    plan = make_plan(read_project(tmp_path))
    sheet = cost_sheet(plan, plan.project.costs)
    assert plan.price == 7 * 85 + 300 + 25  # two cards from a sheet of kraft; five of washi in a pack beat four singly
    assert sheet.cash == plan.price
    rows = cost_rows(sheet)
    assert sum(int(row.together) for row in rows if row.kind == "cost") == sheet.total
    assert [int(row.together) for row in rows if row.kind == "sum"] == [sheet.total]
    paid = list(csv.reader(io.StringIO(shopping_csv(plan))))[1:]
    assert sum(int(row[-1]) for row in paid) == plan.price
    data = plan_data(plan)
    assert (data["currency"], data["currency_decimals"], data["totals"]["price_cents"]) == ("¥", 0, plan.price)


@given(st.integers(0, 2**32))
@settings(max_examples=50, deadline=None)
def test_rounding_adds_up_to_the_unit(seed: int) -> None:
    choice = random.Random(seed)
    for money in (Currency("¥", 0), Currency("$")):
        paid, weights = choice.randrange(10**6), [choice.randrange(1, 999) for _ in range(choice.randint(1, 9))]
        shares = share(paid, weights)
        assert sum(money.read(money.write(one)) for one in shares) == money.read(money.write(paid)) == paid


def test_a_shop_in_another_currency_is_refused(tmp_path: Path) -> None:
    said = _said(tmp_path, CRANES.replace('[shop.kami]\ncurrency = "¥"', '[shop.kami]\ncurrency = "EUR"'))
    assert said == ["This shop's prices are in “EUR”, and the project counts in “¥”."]


def test_a_price_in_another_currency_and_one_with_cents_are_refused(tmp_path: Path) -> None:
    said = _said(tmp_path, CRANES.replace("¥ 120", "$ 1.20").replace("hour = 1200", "hour = 12.50"))
    assert said == [
        "“$ 1.20” is in “$”, and this project counts in “¥”.",
        "“12.50” has decimals, and this project's currency has none.",
    ]


def test_decimals_are_none_or_two(tmp_path: Path) -> None:
    said = _said(tmp_path, CRANES.replace("decimals = 0", "decimals = 3"))
    assert said[0] == "“3” is no number of decimals that prices have."
