"""What one card more costs, against the plan of the batch with that card written in."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from nesting.cost.sheet import cost_sheet
from nesting.describe.project_file import read_project
from nesting.plan import Plan, make_plan
from nesting.questions.one_more import with_one_more
from nesting.reports.cost_rows import one_more_words

CARDS = """
[paper.pine]
sold = [{ sheet = "12 x 12", price = "1.00" }]
[paper.kraft]
sold = [{ sheet = "12 x 12", price = "0.40" }]
SHOP
[design.wide]
base = "pine"
size = "6 x 6"
parts = [{ mat = "mat", on = 1, paper = "kraft", size = "4 x 4" }]
[design.tag]
base = "kraft"
size = "4 x 4"
[batch]
currency = "$"
cards = { wide = WIDE, tag = TAGS }
[costs]
hour = 12
minutes = 5
each_card = { envelope = "0.125" }
overheads = "10 %"
"""
SHOP = '[shop.heron]\npostage = "0.20"\nsells = [{ paper = "pine", sheet = "12 x 12", pack = 3, price = "1.80" }]'


def _costs(folder: Path, wide: int, tags: int, shop: str = "") -> Plan:
    text = CARDS.replace("WIDE", str(wide)).replace("TAGS", str(tags)).replace("SHOP", shop)
    (folder / "cards.toml").write_text(text)
    return with_one_more(make_plan(read_project(folder)))


@pytest.mark.parametrize(("wide", "tags"), [(4, 4), (4, 5), (5, 4), (7, 2)])
def test_one_card_more_takes_what_the_larger_batch_takes_more(tmp_path: Path, wide: int, tags: int) -> None:
    plan = _costs(tmp_path, wide, tags)
    found = {one.design: one for one in plan.one_more}
    assert plan.price is not None
    for design, larger in (("wide", (wide + 1, tags)), ("tag", (wide, tags + 1))):
        more = _costs(tmp_path, *larger)
        assert more.proven
        assert more.price is not None
        assert found[design].certain
        assert found[design].paper == more.price - plan.price
        assert sum(count for _, count in found[design].sheets) == more.to_buy - plan.to_buy
        cuts = sum(  # at twelve an hour, by the piece
            Fraction(paper.order.seconds, 3 * sum(kind.need for kind in paper.packing.task.pieces))
            for paper in plan.papers
            if design == "wide" or paper.paper.name == "kraft"
        )
        wanted = Fraction(11, 10) * (found[design].paper + 100 + Fraction(25, 2) + cuts)  # five minutes, an envelope
        assert abs(found[design].cents - wanted) <= 4  # each line is whole cents


def test_the_card_that_fits_in_what_is_left_needs_no_paper(tmp_path: Path) -> None:
    plan = _costs(tmp_path, 3, 4)
    said = one_more_words(cost_sheet(plan, plan.project.costs))
    assert said[0].startswith("One more wide costs $ 1.")
    assert said[0].endswith(": no paper need be bought.")
    plan = _costs(tmp_path, 4, 4)
    said = one_more_words(cost_sheet(plan, plan.project.costs))
    assert "$ 1.00 of it for 1 sheet more of pine." in said[0]


def test_sheets_of_a_pack_that_are_not_cut_are_there_for_one_card_more(tmp_path: Path) -> None:
    plan = _costs(tmp_path, 17, 0, SHOP)  # five sheets: two packs; the sixth is there
    assert plan.purchase is not None
    for one in plan.one_more:
        assert (one.paper, one.sheets, one.certain) == (0, (), True)
    plan = _costs(tmp_path, 24, 0, SHOP)  # six sheets are full
    wide = next(one for one in plan.one_more if one.design == "wide")
    assert (wide.paper, wide.sheets) == (100, (("pine", 1),))
    assert not wide.certain


def test_nothing_is_said_where_a_price_is_not_known(tmp_path: Path) -> None:
    plan = _costs(tmp_path, 4, 4)
    papers = tuple(
        replace(one, sold=tuple(replace(sold, price=None) for sold in one.sold)) for one in plan.project.papers
    )
    assert with_one_more(make_plan(replace(plan.project, papers=papers))).one_more == ()
