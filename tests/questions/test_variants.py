"""Variants of one project side by side: each is the plan of the project as one would have written it by hand."""

from __future__ import annotations

from pathlib import Path

import pytest

from nesting.describe.project_file import read_project
from nesting.errors import NestingError
from nesting.packing.solve import Effort
from nesting.plan import make_plan
from nesting.questions.compare import Figures, figures
from nesting.questions.variants import AS_PLANNED, variants
from nesting.reports.side_by_side import comparison, difference_words, side_by_side_data

TAGS = """
[paper.pine]
sold = [{ sheet = "12 x 12", price = "1.00" }, { sheet = "6 x 12", price = "0.60" }]
[paper.kraft]
sold = [{ sheet = "12 x 12", price = "0.40" }]
[design.wide]
base = "pine"
size = "6 x 6"
[design.narrow]
base = "pine"
size = "4 x 6"
[batch]
currency = "$"
cards = { wide = 7 }
"""


@pytest.fixture
def tags(tmp_path: Path) -> Path:
    (tmp_path / "tags.toml").write_text(TAGS)
    return tmp_path


def _sides(folder: Path, **said: list[str]) -> tuple[Figures, Figures]:
    left, right = variants(read_project(folder), **said)
    one, two = (figures(make_plan(side.project, effort=Effort.QUICK), side.words) for side in (left, right))
    return one, two


def _by_hand(folder: Path, *changes: tuple[str, str]) -> Figures:
    text = TAGS
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    (folder / "tags.toml").write_text(text)
    return figures(make_plan(read_project(folder), effort=Effort.QUICK))


def test_another_paper_is_the_plan_with_that_paper_written_in(tags: Path) -> None:
    left, right = _sides(tags, papers=["pine = kraft"])
    assert (left.title, right.title) == (AS_PLANNED, "kraft")
    assert (left.price, right.price) == (200, 80)  # four from a sheet: seven take two sheets
    hand = _by_hand(tags, ('base = "pine"', 'base = "kraft"'))
    assert (right.sheets, right.price, right.cost, right.seconds) == (hand.sheets, hand.price, hand.cost, hand.seconds)


def test_two_sizes_of_one_paper(tags: Path) -> None:
    left, right = _sides(tags, sheets=["pine = 6 x 12 or 12 x 12 at 0.90"])
    assert (left.title, right.title) == ("pine 6 x 12", "pine 12 x 12")
    assert (left.sheets, left.price, right.sheets, right.price) == (4, 240, 2, 180)
    rows = {row[0]: row[1:] for row in comparison(left, right)}
    assert rows["sheets"] == ("4", "2", "-2")
    assert rows["to pay for paper"] == ("2.40", "1.80", "-0.60")
    assert side_by_side_data(left, right)["difference"]["price_cents"] == -60


def test_a_size_that_nobody_sells_needs_its_price(tags: Path) -> None:
    with pytest.raises(NestingError) as wrong:
        variants(read_project(tags), sheets=["pine = 8 x 8"])
    (problem,) = wrong.value.problems
    assert problem.what == "pine 8 x 8 is not sold; pine is sold as 12 x 12, 6 x 12."
    left, right = _sides(tags, sheets=["pine = 8 x 8 at 0.30"])
    assert (right.sheets, right.price) == (7, 210)
    assert difference_words(left, right).startswith("Pine 8 x 8 takes $ ")


def test_two_designs_as_many_cards_of_each(tags: Path) -> None:
    left, right = _sides(tags, designs=["wide = narrow"])
    assert (left.cards, right.cards) == (7, 7)
    hand = _by_hand(tags, ("wide = 7", "narrow = 7"))
    assert (right.sheets, right.price, right.waste) == (hand.sheets, hand.price, hand.waste)


def test_sheets_in_shops_are_left_in_one_size_too(tags: Path) -> None:
    shop = '\n[shop.heron]\nsells = [{ paper = "pine", sheet = "6 x 12", pack = 4, price = "1.60" }]\n'
    (tags / "tags.toml").write_text(TAGS + shop)
    left, right = _sides(tags, sheets=["pine = 6 x 12 or 12 x 12"])
    assert (left.price, right.price) == (160, 200)


def test_all_that_is_wrong_is_said_at_once(tags: Path) -> None:
    project = read_project(tags)
    with pytest.raises(NestingError) as wrong:
        variants(project, papers=["pin = kraft", "pine"], sheets=["pine = huge"], designs=["narrow = wide"])
    said = [f"{problem.what} {problem.todo}" for problem in wrong.value.problems]
    assert "Did you mean “pine”?" in said[0]
    assert "does not say what is to be compared" in said[1]
    assert "“huge” is not a size" in said[2]
    assert "The batch holds no narrow." in said[3]
    with pytest.raises(NestingError, match="not said what is to be compared"):
        variants(project)
