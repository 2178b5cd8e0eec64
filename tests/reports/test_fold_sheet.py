"""Fold sheets as data: to scale, every line in its place and sign, steps in order, the ruler true."""

from __future__ import annotations

import re
import zlib
from dataclasses import replace
from fractions import Fraction
from itertools import combinations
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.describe.designs import Area, Base, Fold, FoldKind, Line, Panel
from nesting.errors import Place
from nesting.lengths import Length, Unit, inches, mm
from nesting.reports import pages
from nesting.reports.drawing import Box, Disc, Drawing, Label, Rectangle, Strokes, every_group, every_shape, extent
from nesting.reports.fold_lines import check_lines, fold_line
from nesting.reports.fold_sheet import FoldSubject, fold_pages
from nesting.reports.fold_steps import Make, steps
from nesting.reports.fold_turn import turned
from nesting.reports.lettering import plain
from nesting.reports.look import BLADE, CARD_EDGE
from nesting.reports.page_frame import A4, LETTER, Numbering, PageSize


def _line(*ends: int | str) -> Line:
    return Line(*(inches(end) for end in ends))


def _panel(number: int, *box: int | str) -> Panel:
    return Panel(number, *(inches(side) for side in box))


def _fold(kind: FoldKind, *ends: int | str) -> Fold:
    return Fold(kind, _line(*ends))


V, M = FoldKind.VALLEY, FoldKind.MOUNTAIN
PLACE = Place()


def swing() -> Base:
    """A base with a block that swings out: four scores, two slits."""
    return Base(
        "rust", inches("17/2"), inches("11/2"), (), (),
        (_panel(1, 0, 0, 3, "11/2"), _panel(2, 5, 0, "7/2", "11/2"), _panel(3, 3, "7/4", "3/4", 2),
         _panel(4, "15/4", "7/4", "5/4", 2)),
        PLACE,
        folds=(
            _fold(V, 3, "7/4", 3, "15/4"), _fold(M, "15/4", "7/4", "15/4", "15/4"), _fold(V, "17/4", 0, "17/4", "7/4"),
            _fold(V, "17/4", "15/4", "17/4", "11/2"), _fold(V, 5, "7/4", 5, "15/4"),
        ),
        slits=(_line(3, "7/4", 5, "7/4"), _line(3, "15/4", 5, "15/4")),
    )  # fmt: skip


def _plain_card(width: Length, height: Length) -> Base:
    half = Length(width.ticks // 2)
    zero = Length(0)
    fold = Fold(V, Line(half, zero, half, height))
    return Base("cream", width, height, (), (), (Panel(1, zero, zero, half, height),), PLACE, folds=(fold,))


def _base_box(drawing: Drawing) -> Box:
    (outline,) = [
        s for g in every_group(drawing.shapes, "base") for s in g.shapes if isinstance(s, Rectangle)
    ]  # fmt: skip
    assert outline.weight == CARD_EDGE
    return outline.box


def _check(subject: FoldSubject, size: PageSize, scale: Fraction) -> tuple[Drawing, ...]:
    sheets = fold_pages(subject, size, Numbering("Winter Orchard", 7, 7))
    box = _base_box(sheets[0])
    assert box.width == pytest.approx(float(subject.base.width.in_unit(Unit.INCH) * scale))
    assert box.height == pytest.approx(float(subject.base.height.in_unit(Unit.INCH) * scale))
    made = steps(subject.base, subject.unit)
    told = [g.get("step") for page in sheets for g in every_group(page.shapes, "step")]
    assert told == [str(step.number) for step in made]
    for step in made:
        (group,) = [g for g in every_group(sheets[0].shapes, "fold") if g.name == f"step-{step.number}"]
        ink = [s for s in group.shapes if isinstance(s, Strokes)]
        at = float(step.setting.in_unit(Unit.INCH) * scale)
        for each in step.lines:
            edge = box.x0 if each.runs_down else box.y0
            middles = [(s[0] + s[2]) / 2 if each.runs_down else (s[1] + s[3]) / 2 for i in ink for s in i.segments]
            assert any(middle == pytest.approx(edge + at, abs=1e-3) for middle in middles)
    for page in sheets:
        assert size.live.holds(extent(page.shapes), slack=0.05)
        labels = [s.box.inset(0.005) for s in every_shape(page.shapes) if isinstance(s, Label)]
        for one, other in combinations(labels, 2):
            assert not one.meets(other)
    return sheets


@pytest.mark.parametrize("size", [LETTER, A4], ids=["letter", "A4"])
def test_a_base_with_slits_is_drawn_to_scale_with_all_its_steps(size: PageSize) -> None:
    sheets = _check(FoldSubject("Wassail", swing(), 4, Unit.INCH, ((1, "back"), (2, "front"))), size, Fraction(3, 4))
    assert len(sheets) == (1 if size is LETTER else 2)  # turned and at full size it fits A4 alone
    words = [s.text for s in every_shape(sheets[0].shapes) if isinstance(s, Label)]
    assert words.count("drawn at 3/4 size") == 1
    assert "inside faces you" in words


def test_a_small_base_is_drawn_at_full_size() -> None:
    (page,) = _check(FoldSubject("note", _plain_card(inches(6), inches(4)), 30, Unit.INCH), LETTER, Fraction(1))
    assert "drawn at full size" in [s.text for s in every_shape(page.shapes) if isinstance(s, Label)]


def test_a_base_in_millimetres_keeps_its_scale_too() -> None:
    _check(FoldSubject("lantern", _plain_card(mm(210), mm(148)), 12, Unit.MILLIMETRE), A4, Fraction(3, 4))


def test_a_base_that_fits_at_full_size_only_when_it_is_turned_has_a_page_of_its_own_so() -> None:
    window_in = Area(inches(1), inches(2), inches(2), inches("1/2"))
    base = replace(_plain_card(inches("17/2"), inches("11/2")), windows=(window_in,))
    _, page = fold_pages(FoldSubject("gate", base, 6, Unit.INCH), LETTER)
    box = _base_box(page)
    assert [box.width, box.height] == pytest.approx([5.5, 8.5])
    assert LETTER.live.holds(extent(page.shapes), slack=0.05)
    (fold,) = [s for g in every_group(page.shapes, "fold") if g.name == "step-1" for s in g.shapes]
    assert isinstance(fold, Strokes)
    assert {round(y - box.y0, 3) for x0, y, x1, _ in fold.segments if x0 != x1} == {4.25}
    (window,) = [s for g in every_group(page.shapes, "fold") if g.name == "step-2" for s in g.shapes]
    assert isinstance(window, Rectangle)
    assert [window.box.x0 - box.x0, window.box.y0 - box.y0] == pytest.approx([5.5 - 2.5, 1])
    words = [s.text for s in every_shape(page.shapes) if isinstance(s, Label)]
    assert "at full size, to lay under  ·  turned: its top is at the right" in words
    labels = [s.box.inset(0.005) for s in every_shape(page.shapes) if isinstance(s, Label)]
    assert not any(one.meets(other) for one, other in combinations(labels, 2))


def test_four_turns_are_none_and_a_turn_keeps_every_length() -> None:
    once = turned(swing())
    assert (once.width, once.height) == (swing().height, swing().width)
    assert [fold.line.length for fold in once.folds] == [fold.line.length for fold in swing().folds]
    assert turned(turned(turned(once))) == swing()


def test_scores_come_before_slits_and_slits_before_what_is_cut_out() -> None:
    base = swing()
    area = Area(*(inches(n) for n in ("1/2", "1/2", 1, 1)))
    windowed = Base(
        base.paper, base.width, base.height, (), (), base.panels, PLACE, folds=base.folds, slits=base.slits,
        windows=(area,),
    )  # fmt: skip
    made = steps(windowed, Unit.INCH)
    assert [step.make for step in made] == [
        Make.VALLEY, Make.MOUNTAIN, Make.VALLEY, Make.VALLEY, Make.SLIT, Make.SLIT, Make.CUT_OUT
    ]  # fmt: skip
    assert [step.number for step in made] == [1, 2, 3, 4, 5, 6, 7]
    _check(FoldSubject("Wassail", windowed, 4, Unit.INCH), LETTER, Fraction(1, 2))


def test_the_table_says_how_far_each_line_runs() -> None:
    assert [plain(step.far) for step in steps(swing(), Unit.INCH)] == [
        "slit to slit", "slit to slit", "edge to slit, both ends", "slit to slit", "from 3 to 5", "from 3 to 5"
    ]  # fmt: skip


@given(st.floats(0.3, 9.0), st.sampled_from([Make.VALLEY, Make.MOUNTAIN]))
@settings(max_examples=60, deadline=None)
def test_a_fold_begins_and_ends_on_a_full_dash(length: float, make: Make) -> None:
    shapes = fold_line((1.0, 2.0), (1.0, 2.0 + length), make)
    (dashes,) = [s for s in shapes if isinstance(s, Strokes)]
    sizes = [s[3] - s[1] for s in dashes.segments]
    assert dashes.segments[0][1] == pytest.approx(2.0)
    assert dashes.segments[-1][3] == pytest.approx(2.0 + length, abs=1e-3)
    assert max(sizes) - min(sizes) < 1e-3
    dots = [s for s in shapes if isinstance(s, Disc)]
    assert len(dots) == (len(sizes) - 1 if make is Make.MOUNTAIN else 0)


def test_only_folds_are_dashed() -> None:
    (line, *bars) = [s for s in fold_line((0, 0), (3, 0), Make.SLIT) if isinstance(s, Strokes)]
    assert len(line.segments) == 1
    assert len(bars[0].segments) == 2


def test_the_lines_that_check_the_print_are_4_in_and_100_mm() -> None:
    strokes = [s for s in check_lines(0.5, 9.0).shapes if isinstance(s, Strokes)]
    lengths = sorted(s.segments[0][2] - s.segments[0][0] for s in strokes)
    assert lengths == [pytest.approx(100 / 25.4), pytest.approx(4.0)]


def test_the_ruler_marks_are_where_the_lengths_are() -> None:
    (page,) = fold_pages(FoldSubject("Wassail", swing(), 4, Unit.INCH), LETTER)
    box = _base_box(page)
    (ruler,) = every_group(page.shapes, "ruler")
    (ticks,) = [s for s in ruler.shapes if isinstance(s, Strokes)]
    assert [round((s[0] - box.x0) / 0.75 * 8, 6) for s in ticks.segments] == [pytest.approx(n) for n in range(69)]


@given(
    st.lists(st.integers(1, 95), min_size=0, max_size=14, unique=True),
    st.lists(st.integers(1, 60), max_size=8, unique=True),
)
@settings(max_examples=25, deadline=None)
def test_any_number_of_scores_finds_its_place(across: list[int], down: list[int]) -> None:
    width, height = inches(12), inches(8)
    zero = Length(0)
    places = [inches(Fraction(n, 8)) for n in across]
    folds = [Fold(V if n % 2 else M, Line(x, zero, x, height)) for n, x in enumerate(places)]
    folds += [Fold(V, Line(zero, inches(Fraction(n, 8)), width, inches(Fraction(n, 8)))) for n in down]
    base = Base("pine", width, height, (), (), (Panel(1, zero, zero, width, height),), PLACE, folds=tuple(folds))
    sheets = fold_pages(FoldSubject("many", base, 3, Unit.INCH), LETTER)
    told = [g.get("step") for page in sheets for g in every_group(page.shapes, "step")]
    assert told == [str(n + 1) for n in range(len(folds))]
    stops = [g.get("step") for page in sheets for g in every_group(page.shapes, "stop")]
    assert sorted(stops) == sorted(told)
    for page in sheets:
        discs = [extent(g.shapes[-3:-1]) for g in every_group(page.shapes, "stop")]
        for one, other in combinations(discs, 2):
            assert not one.inset(0.03).meets(other.inset(0.03))


def test_the_printed_lines_of_4_in_and_100_mm_are_that_long_in_the_file(tmp_path: Path) -> None:
    pages.save_pages(fold_pages(FoldSubject("Wassail", swing(), 4, Unit.INCH), A4), tmp_path / "fold.pdf")
    found = set()
    for stream in re.findall(rb"stream\r?\n(.*?)\r?\nendstream", (tmp_path / "fold.pdf").read_bytes(), re.DOTALL):
        try:
            text = zlib.decompress(stream).decode("latin-1")
        except zlib.error:
            continue
        for x0, y0, x1, y1 in re.findall(r"(\S+) (\S+) m\n(\S+) (\S+) l\n", text):
            if y0 == y1:
                found.add(round(float(x1) - float(x0), 2))
    assert {288.0, round(100 / 25.4 * 72, 2)} <= found


def test_the_number_of_a_frame_stands_beside_its_window_and_the_window_bears_its_step() -> None:
    window = Area(inches("3/4"), inches("3/4"), inches("7/2"), inches("11/2"))
    panels = (Panel(1, Length(0), Length(0), inches(5), inches(7)),)
    base = Base("cream", inches(5), inches(7), (), (), panels, PLACE, name="frame", windows=(window,))
    (page,) = fold_pages(FoldSubject("tunnel", base, 3, Unit.INCH, ((1, "frames"),)), LETTER)
    (square,) = [s.box for g in every_group(page.shapes, "panel") for s in g.shapes if isinstance(s, Rectangle)]
    (hole,) = [s.box for g in every_group(page.shapes, "fold") for s in g.shapes if isinstance(s, Rectangle)]
    assert not square.meets(hole)
    assert _base_box(page).holds(square)
    (disc,) = [
        s for g in every_group(page.shapes, "cut-out") for s in g.shapes if isinstance(s, Disc) and s.fill == BLADE
    ]
    assert hole.centre == pytest.approx((disc.x, disc.y))
