"""Shapes that share a blank: laid out again from their corners, they lie inside it and keep their distance.

The layout here is made without the program's formulas: every next shape is pushed to the left as far as the distance
between polygons allows (measured by corners and sides), in floating point.
"""

from __future__ import annotations

import math
import re
from dataclasses import replace
from fractions import Fraction
from itertools import combinations
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.describe.explain import explain
from nesting.describe.project_file import read_project
from nesting.errors import NestingError
from nesting.fit import closed_card
from nesting.lengths import ZERO, Length, inches
from nesting.pieces.piece_list import Piece, piece_list
from nesting.pieces.shapes import Slanted, best_blank, blank_for
from nesting.plan import make_plan

Point = tuple[float, float]
ONE_TICK = Length(1)


def corners(shape: Slanted, turned: bool) -> list[Point]:
    w, h, left, right = (float(side.ticks) for side in (shape.width, shape.height, shape.left, shape.right))
    points = [(0.0, 0.0), (w, 0.0), (w - right, h), (left, h)]
    return [(w - x, h - y) for x, y in points] if turned else points


def moved(points: list[Point], x: float, y: float = 0.0) -> list[Point]:
    return [(px + x, py + y) for px, py in points]


def to_side(p: Point, a: Point, b: Point) -> float:
    dx, dy = b[0] - a[0], b[1] - a[1]
    length = dx * dx + dy * dy
    share = 0.0 if not length else max(0.0, min(1.0, ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / length))
    return math.hypot(p[0] - a[0] - share * dx, p[1] - a[1] - share * dy)


def inside(p: Point, shape: list[Point]) -> bool:
    sides = zip(shape, [*shape[1:], shape[0]], strict=True)
    turns = [(b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0]) for a, b in sides]
    return all(turn > 1e-6 for turn in turns) or all(turn < -1e-6 for turn in turns)


def crosses(one: list[Point], other: list[Point]) -> bool:
    """Whether they overlap: no side of either separates them."""
    for shape in (one, other):
        for a, b in zip(shape, [*shape[1:], shape[0]], strict=True):
            nx, ny = b[1] - a[1], a[0] - b[0]
            if not (nx or ny):
                continue  # the tip of a triangle
            spans = [[nx * x + ny * y for x, y in points] for points in (one, other)]
            slack = 1e-9 * max(1.0, math.hypot(nx, ny)) * 1e3
            if max(spans[0]) <= min(spans[1]) + slack or max(spans[1]) <= min(spans[0]) + slack:
                return False
    return True


def distance(one: list[Point], other: list[Point]) -> float:
    if crosses(one, other):
        return -1.0
    sides = [
        (p, a, b) for u, v in ((one, other), (other, one)) for p in u for a, b in zip(v, [*v[1:], v[0]], strict=True)
    ]
    return min(to_side(*side) for side in sides)


def pushed(before: list[Point], points: list[Point], apart: float, far: float) -> list[Point]:
    """As far to the left as it can come from the right without coming nearer than `apart` to the one before."""
    low = min(x for x, _ in before) - min(x for x, _ in points)  # one upon the other
    high = low + far
    while high - low > 1e-3:
        middle = (low + high) / 2
        free = distance(before, moved(points, middle)) >= apart
        low, high = (low, middle) if free else (middle, high)
    return moved(points, high)


sides = st.integers(2_000, 200_000)


@settings(max_examples=25, deadline=None)
@given(sides, sides, st.integers(0, 100), st.integers(0, 100), st.integers(0, 50), st.integers(1, 5))
def test_shapes_in_a_blank_keep_their_allowance_and_waste_none(
    width: int, height: int, lean: int, leaning_left: int, spare: int, count: int
) -> None:
    runs, allowance = width * lean // 100, height * spare // 100  # wider apart, corners and not sides would be nearest
    left = runs * leaning_left // 100
    shape = Slanted(Length(width), Length(height), Length(left), Length(runs - left))
    blank = blank_for(shape, count, Length(allowance), ONE_TICK)
    laid: list[list[Point]] = []
    for number in range(count):
        points = corners(shape, turned=number % 2 == 1)
        laid.append(pushed(laid[-1], points, 2 * allowance, 3.0 * (width + height + allowance)) if laid else points)
    assert all(distance(one, other) >= 2 * allowance - 1e-3 for one, other in combinations(laid, 2))
    needed = max(x for shape_ in laid for x, _ in shape_) - min(x for shape_ in laid for x, _ in shape_) + 2 * allowance
    assert needed - 1 <= blank.width.ticks <= needed + 2 * count + 1
    assert blank.height.ticks == height + 2 * allowance


@pytest.mark.parametrize(
    ("shape", "count", "across"),
    [
        (Slanted(inches(2), inches(3), inches(1), inches(1)), 2, "3"),  # half a width for every further triangle
        (Slanted(inches(2), inches(3), inches(1), inches(1)), 6, "7"),
        (Slanted(inches(2), inches(3), ZERO, inches(2)), 2, "2"),  # two right triangles are a rectangle
        (Slanted(inches(2), inches(1), inches("1/2"), inches("1/2")), 3, "5"),  # 2 + 1 + 2, top 1
        (Slanted(inches(3), inches(1), ZERO, inches(1)), 2, "5"),  # 3 + 2
    ],
)
def test_rows_worked_out_by_hand(shape: Slanted, count: int, across: str) -> None:
    assert blank_for(shape, count, ZERO, ONE_TICK).width == inches(across)


def test_with_an_allowance_the_slanted_gap_is_rounded_up_to_the_ruler() -> None:
    """A 3-4-5 triangle: between the long sides 2 x 1/8 in become 1/4 x 5/4 = 5/16 along the foot of 3 over 4."""
    shape = Slanted(inches(3), inches(4), ZERO, inches(3))
    assert blank_for(shape, 2, inches("1/8"), ONE_TICK).width == inches("57/16")
    assert blank_for(shape, 2, inches("1/8"), inches("1/8")).width == inches("29/8")


def test_what_no_sheet_takes_or_what_saves_nothing_is_cut_one_by_one() -> None:
    shape = Slanted(inches(2), inches(3), inches(1), inches(1))
    assert best_blank(shape, 6, ZERO, ONE_TICK, lambda w, h: w <= inches(5)).count == 4
    flat = Slanted(inches(1), inches("1/8"), inches("1/2"), inches("1/2"))  # so flat that the gap eats what is shared
    assert best_blank(flat, 4, inches("1/2"), ONE_TICK, lambda w, h: True).count == 1


def of_shape(at: Path, words: str, cards: int = 3, paper: str = "plain") -> tuple[Piece, ...]:
    at.mkdir(exist_ok=True)
    part = f'{{ blank = "roof", paper = "{paper}", {words}, count = 4 }}'
    papers = '[paper.plain]\nsheet = "12 x 12"\n[paper.print]\nsheet = "12 x 12"\nprint = "one-way"\n'
    weight = papers.replace("[paper.print]", 'weight = "200 gsm"\n[paper.print]')
    design = f'[design.house]\nfamily = "flat card"\nbase = "plain"\nsize = "5 x 5"\nparts = [{part}]\n'
    (at / "all.toml").write_text(f"{weight}{design}[batch]\ncards = {{ house = {cards} }}\n")
    project = read_project(at)
    make_plan(project)
    return tuple(piece for piece in piece_list(project).pieces if piece.part == "roof")


def test_shapes_share_a_blank_of_paper_that_only_a_shop_sells(tmp_path: Path) -> None:
    (tmp_path / "all.toml").write_text(
        '[paper.plain]\n[shop.Heron]\nsells = [{ paper = "plain", sheet = "12 x 12", price = 1 }]\n'
        '[design.house]\nfamily = "flat card"\nbase = "plain"\nsize = "5 x 5"\n'
        'parts = [{ blank = "roof", paper = "plain", size = "2 x 3", shape = "triangle", to_a_blank = 4, count = 4 }]\n'
        "[batch]\ncards = { house = 3 }\n"
    )
    (roof,) = [piece for piece in piece_list(read_project(tmp_path)).pieces if piece.part == "roof"]
    assert (roof.need, roof.shapes) == (3, 4)


def test_twelve_triangles_take_three_strips_of_four(tmp_path: Path) -> None:
    (roof,) = of_shape(tmp_path, 'size = "2 x 3", shape = "triangle", to_a_blank = 4')
    assert (roof.need, roof.shapes, roof.per_card) == (3, 4, 4)
    assert (roof.width, roof.height, roof.each) == (inches(5), inches(3), (inches(2), inches(3)))
    assert "4 triangles from each blank, every second one upside down" in roof.came_from
    (few,) = of_shape(tmp_path, 'size = "2 x 3", shape = "triangle"')
    assert (few.need, few.width) == (6, inches(3))


def test_a_print_with_one_way_up_shares_no_blank(tmp_path: Path) -> None:
    (roof,) = of_shape(tmp_path, 'size = "2 x 3", shape = "triangle"', paper="print")
    assert (roof.need, roof.shapes, roof.width) == (12, 1, inches(2))


@pytest.mark.parametrize(
    ("shape", "share"),
    [
        ('shape = "triangle"', Fraction(1, 2)),
        ('shape = "right triangle"', Fraction(1, 2)),
        ('shape = "trapezoid", top = "1"', Fraction(3, 4)),
        ('shape = "right trapezoid", top = "1/2"', Fraction(5, 8)),
    ],
)
def test_a_shape_weighs_its_own_area(tmp_path: Path, shape: str, share: Fraction) -> None:
    of_shape(tmp_path, f'size = "2 x 3", {shape}')
    project = read_project(tmp_path)
    whole = replace(project.designs[0], parts=())
    grams = [closed_card(project, design).grams for design in (project.designs[0], whole)]
    assert grams[0] is not None
    assert grams[1] is not None
    square_inch = 200 * Fraction("0.00064516")
    assert grams[0] - grams[1] == 4 * share * 6 * square_inch


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ('shape = "trapezoid"', "The key “top” is missing"),
        ('shape = "trapezoid", top = "2"', "has a top of 2, but is only 2 wide"),
        ('shape = "triangle", top = "1"', "Only a trapezoid has a “top”"),
        ("to_a_blank = 3", "What shape shares the blank is not said"),
        ('shape = "circle"', "“circle” is not one of"),
    ],
)
def test_mistakes_in_shapes_are_sentences(tmp_path: Path, words: str, said: str) -> None:
    with pytest.raises(NestingError, match=said):
        of_shape(tmp_path, f'size = "2 x 3", {words}')


def test_the_example_that_is_shown_is_read(tmp_path: Path) -> None:
    shown = "\n".join(line.strip() for line in explain("shapes").splitlines() if re.match(r" {4}\S", line))
    papers = "\n".join(f'[paper.{name}]\nsheet = "12 x 12"' for name in ("cream", "pine", "kraft"))
    (tmp_path / "all.toml").write_text(f"{shown}\n{papers}\n[batch]\ncards = {{ village = 2 }}\n")
    found = {piece.part: piece for piece in piece_list(read_project(tmp_path)).pieces}
    assert [found[name].shapes for name in ("flag", "pot")] == [6, 2]
    assert [found[name].need for name in ("flag", "pot")] == [2, 1]
    assert found["flag"].width == inches("7/2")
    assert found["pot"].width == inches("65/16")  # 2 + 1 3/4 + 1/8 + 1/8 x 1.014 = 4.002, up to the ruler


def test_circles_in_staggered_rows_save_nothing_before_eleven_and_then_next_to_nothing() -> None:
    """Rows of m and m - 1 circles of width 1, each row half a circle aside: why circles keep their squares."""
    saving: dict[int, float] = {}
    for rows in range(2, 6):
        for m in range(2, 12):
            for short in (m - 1, m):  # every second row has one fewer, or all as many and half a circle more room
                count = sum(m if row % 2 == 0 else short for row in range(rows))
                width = m if short < m else m + 0.5
                area = width * (1 + (rows - 1) * math.sqrt(3) / 2)
                if area < count - 1e-9:
                    saving[count] = max(saving.get(count, 0.0), 1 - area / count)
    assert min(saving) == 11
    assert 0.005 < saving[11] < 0.01
