"""Paper printed at home: the print at its scale is what can be used of a page. Worked out by hand."""

from __future__ import annotations

import re
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.cost.sheet import cost_sheet
from nesting.cost.values import Kind
from nesting.describe.explain import explain
from nesting.describe.papers import FIT, Printed, Rim, Sheet
from nesting.describe.printed_at_home import printed_on, scale_on
from nesting.describe.project_file import read_project
from nesting.errors import NestingError
from nesting.lengths import ZERO, Length, inches, mm
from nesting.plan import Plan, make_plan
from nesting.reports.words import notes

A4 = Sheet(mm(210), mm(297), Rim(mm(5), mm(5), mm(5), mm(5)))


def plan(at: Path, paper: str, size: str = "100 x 100 mm", cards: int = 1) -> Plan:
    at.mkdir(exist_ok=True)
    part = f'parts = [{{ layer = "sky", paper = "stars", size = "{size}" }}]'
    batch = f"[batch]\ncards = {{ card = {cards} }}"
    (at / "all.toml").write_text(f'unit = "mm"\n[paper.stars]\n{paper}\n[design.card]\n{part}\n{batch}\n')
    return make_plan(read_project(at))


def test_a_print_that_is_fitted_leaves_a_square_in_the_middle_of_the_page() -> None:
    """12 in are 304.8 mm; of 200 x 287 mm that can be printed 200 / 304.8 = 65.6 %, so 65 %: 198.12 mm."""
    printed = Printed(inches(12), inches(12), FIT)
    assert scale_on(A4, printed) == 65
    assert printed_on(A4, printed).usable == (mm("198.12"), mm("198.12"))
    assert printed_on(A4, printed).rim.left == mm("5.94")
    assert printed_on(A4, printed).rim.top == mm("49.44")


def test_a_print_larger_than_the_page_runs_off_and_uses_all_that_can_be_printed() -> None:
    assert printed_on(A4, Printed(mm(300), mm(400), 100)) == A4


@given(
    st.integers(1000, 10**6), st.integers(1000, 10**6), st.integers(1, 400) | st.just(FIT), st.integers(0, 50_000)
)  # fmt: skip
def test_what_can_be_used_is_never_more_than_the_print_nor_than_the_printer_prints(
    width: int, height: int, percent: int, rim: int
) -> None:
    white = Length(rim)
    page = Sheet(mm(210), mm(297), Rim(white, ZERO, white, white))
    printed = Printed(Length(width), Length(height), percent)
    found, scale = printed_on(page, printed), Fraction(scale_on(page, printed), 100)
    for used, room, image, least in zip(
        found.usable, page.usable, (width, height), (found.rim.left, found.rim.top), strict=True
    ):
        assert used.ticks == min(room.ticks, int(image * scale))
        assert least >= ZERO
    assert found.rim.left >= page.rim.left
    assert found.rim.bottom >= page.rim.bottom
    if percent == FIT and scale < 4 and scale > Fraction(1, 100):
        assert width * scale <= page.usable[0].ticks
        assert height * scale <= page.usable[1].ticks
        bigger = scale + Fraction(1, 100)
        assert width * bigger > page.usable[0].ticks or height * bigger > page.usable[1].ticks


PIECE = '\n[design.card]\nparts = [{ layer = "l", paper = "dots", size = "2 x 2" }]\n[batch]\ncards = { card = 1 }\n'
HOME = 'sheet = "A4"\nprice = 0.10\nink = 0.35\nrim = "5 mm"\nimage = "200 x 200"\n'


def test_the_scale_decides_how_many_pages_and_the_plan_says_how_to_print_them(tmp_path: Path) -> None:
    whole, half = plan(tmp_path / "a", HOME, cards=4), plan(tmp_path / "b", HOME + 'scale = "50 %"', cards=4)
    assert (whole.sheets, whole.price, half.sheets, half.price) == (1, 45, 4, 180)
    assert notes(half) == [
        "stars: print 4 pages of 210 x 297 mm at 50 %, not “fitted to the page”, 0.45 a page with its ink;"
        " 100 x 100 mm can be used."
    ]
    larger = notes(plan(tmp_path / "c", HOME + 'scale = "150 %"'))
    assert "200 x 287 mm can be used, the rest of the print runs off the page" in larger[0]


def test_a_piece_too_large_for_the_print_says_by_how_much_and_at_which_scale_it_would_do(tmp_path: Path) -> None:
    with pytest.raises(NestingError) as caught:
        plan(tmp_path, HOME + 'scale = "50 %"', size="120 x 130 mm")
    assert "30 mm too high" in str(caught.value)
    assert "Print it larger, at 65 % or more" in str(caught.value)


@pytest.mark.parametrize(
    ("paper", "said"),
    [
        ('sheet = "A4"\nscale = "50 %"', "The scale of which print?"),
        ('sheet = "A4"\nimage = "A4"\nscale = "500 %"', "“500 %” is no scale"),
        ('sheet = "A4"\nimage = "A4"\nscale = 0.5', "“0.5” is no scale"),
        ('sheet = "A4"\nink = 0.5', "The ink has a price, the paper has none"),
        ('sheet = "A4"\nimage = "big"', "“big”"),
    ],
)
def test_mistakes_are_sentences(tmp_path: Path, paper: str, said: str) -> None:
    with pytest.raises(NestingError, match=said):
        plan(tmp_path, paper)


def test_the_example_that_is_shown_is_read(tmp_path: Path) -> None:
    shown = "\n".join(line.strip() for line in explain("printing").splitlines() if re.match(" {4}\\S", line))
    (tmp_path / "all.toml").write_text(shown + PIECE)
    stars, dots = read_project(tmp_path).papers
    assert stars.printed == Printed(inches(12), inches(12), FIT)
    assert [sold.price for sold in dots.sold] == [45, 60]


def test_ink_for_pages_from_a_shop_is_no_part_of_what_is_paid_there_and_each_page_bears_it(tmp_path: Path) -> None:
    (tmp_path / "cards.toml").write_text(
        '[paper.stars]\nsheet = "letter"\nprice = "0.20"\nink = 0.35\n'
        '[shop.heron]\nsells = [{ paper = "stars", pack = 10, price = "0.80" }]\n'
        '[design.wide]\nbase = "stars"\nsize = "8 1/2 x 5 1/2"\n'
        '[design.small]\nbase = "stars"\nsize = "4 1/4 x 5 1/2"\n'
        "[batch]\ncards = { wide = 8, small = 4 }\n"
    )
    made = make_plan(read_project(tmp_path))
    sheet = cost_sheet(made, made.project.costs)
    assert (made.price, sheet.cash, made.to_buy) == (80, 80, 5)  # five pages: a pack of ten is cheaper than five
    (ink,) = (line for line in sheet.lines if line.kind is Kind.INK)
    assert (ink.name, ink.cents, ink.shares) == ("stars", 175, (140, 35))
