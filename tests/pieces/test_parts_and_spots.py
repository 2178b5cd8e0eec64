"""Borders, windows, prints that run on, triangles and pairs: where a part lies and what must be cut for it."""

from __future__ import annotations

import re
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.describe.designs import CardDesign, CardPart, PartKind, SmallerBy
from nesting.describe.explain import explain
from nesting.describe.families import FAMILIES, Given
from nesting.describe.project import Project
from nesting.describe.project_file import read_project
from nesting.errors import NestingError, Place, Problem
from nesting.lengths import Length, Unit, inches, mm
from nesting.packing.layout import Axis, Block
from nesting.packing.pack import pack
from nesting.pieces.piece_list import Piece, piece_list
from nesting.pieces.spots import Spot, find_spots
from nesting.pieces.supply import supply

PAPERS = """
[paper.plain]
sheet = "12 x 12"
[paper.print]
sheet = "12 x 12"
print = "one-way"
"""
HALF = 'family = "half fold"\nbase = "plain"\nsize = "5 x 7"'


def project(folder: Path, parts: str, base: str = HALF, extra: str = "", cards: int = 1) -> Project:
    batch = f"[batch]\ncards = {{ card = {cards} }}"
    (folder / "all.toml").write_text(f"[design.card]\n{base}\nparts = [\n{parts}\n]\n{PAPERS}\n{batch}\n{extra}\n")
    return read_project(folder)


def pieces(folder: Path, parts: str, base: str = HALF, extra: str = "", cards: int = 1) -> list[Piece]:
    return [piece for piece in piece_list(project(folder, parts, base, extra, cards)).pieces if piece.part != "base"]


def refused(folder: Path, parts: str, base: str = HALF) -> str:
    with pytest.raises(NestingError) as caught:
        pieces(folder, parts, base)
    return str(caught.value)


def spot_of(folder: Path, part: str, parts: str) -> Spot:
    found: list[Problem] = []
    made = project(folder, parts)
    (spot, _), *_ = find_spots(made.designs[0], made.unit, found)[part]
    assert not found
    return spot


def test_an_uneven_border_takes_off_both_its_sides_and_moves_the_layer(tmp_path: Path) -> None:
    border = '{ left = "1/8", top = "1/4", right = "3/8", bottom = 1 }'
    parts = f"""
      {{ mat = "frame", on = "back", paper = "plain", smaller_by = "1/4" }},
      {{ layer = "art", on = "frame", paper = "print", border = {border} }},
    """
    art = pieces(tmp_path, parts)[1]
    assert (art.width, art.height) == (inches("17/4"), inches("11/2"))
    spot = spot_of(tmp_path, "art", parts)
    assert (spot.x, spot.y) == (inches(5) + inches("1/4"), inches("3/8"))  # panel 2 begins at 5; frame in its middle


EIGHTHS = st.integers(0, 12).map(lambda eighths: inches(Fraction(eighths, 8)))


@given(st.lists(st.tuples(EIGHTHS, EIGHTHS), min_size=1, max_size=4), st.sampled_from(["side", "top"]))
def test_borders_are_even_and_each_layer_lies_inside_the_one_below(
    steps: list[tuple[Length, Length]], fold: str
) -> None:
    shape = FAMILIES["half fold"].build(Given({"size": (inches(20), inches(24)), "fold": fold}))
    parts = []
    for i, (across, down) in enumerate(steps):
        on = {"on_part": f"part {i - 1}"} if i else {"panels": (1, 2)}
        part = CardPart(PartKind.MAT, f"part {i}", Place(), SmallerBy(across, down), "plain", **on)
        parts.append(part)
    design = CardDesign("card", Place(), shape.bases[0], shape.names, tuple(parts))
    problems: list[Problem] = []
    spots = find_spots(design, Unit.INCH, problems)
    assert not problems
    for part in parts:
        assert len(spots[part.name]) == 2
        for spot, under in spots[part.name]:
            assert under is not None
            left, top = spot.x - under.x, spot.y - under.y
            assert 2 * left == part.size.across  # type: ignore[union-attr]
            assert 2 * top == part.size.down  # type: ignore[union-attr]
            assert under.width - spot.width - left == left
            assert under.height - spot.height - top == top


def test_inches_and_millimetres_agree(tmp_path: Path) -> None:
    inch = pieces(tmp_path, '{ mat = "m", on = "front", paper = "plain", border = "1/8" }')
    metric = pieces(
        tmp_path, '{ mat = "m", on = "front", paper = "plain", border = "3.175 mm" }',
        base='family = "half fold"\nbase = "plain"\nsize = "127 x 177.8 mm"',
    )  # fmt: skip
    assert [(p.width, p.height) for p in inch] == [(p.width, p.height) for p in metric]
    assert [(p.width, p.height) for p in inch] == [(inches("4.75"), mm("171.45"))]


def test_a_window_must_leave_a_rim(tmp_path: Path) -> None:
    mat = '{ mat = "m", on = "front", paper = "plain", smaller_by = 1 },'  # 4 x 6
    said = refused(tmp_path, mat + '{ window = "w", on = "m", size = "3 7/8 x 2" }')
    assert "leaves a rim of 1/16 in at the left" in said
    assert "under 1/8 in" in said
    assert len(pieces(tmp_path, mat + '{ window = "w", on = "m", size = "3 7/8 x 2", rim = "1/16" }')) == 1
    assert len(pieces(tmp_path, mat + '{ window = "w", on = "m", size = "3 3/4 x 2" }')) == 1
    assert "rim of 0 in at the right" in refused(
        tmp_path, mat + '{ window = "w", on = "m", size = "2 x 2", at = "2 x 1" }'
    )


def test_a_part_may_not_reach_over_an_edge_but_a_tab_may(tmp_path: Path) -> None:
    said = refused(tmp_path, '{ strip = "s", on = "front", paper = "plain", size = "3 x 1", at = "2 1/4 x 0" }')
    assert "reaches 1/4 in over the right edge" in said
    assert len(pieces(tmp_path, '{ tab = "t", on = "front", paper = "plain", size = "3 x 1", at = "3 x 0" }')) == 1


def test_a_print_that_runs_on_is_one_area_with_its_parts_in_order(tmp_path: Path) -> None:
    parts = '{ layer = "sky", on = ["inside left", "inside right"], paper = "print", smaller_by = 1, runs_on = true }'
    made = project(tmp_path, parts, extra='[trimmer]\nkerf = "1/16"', cards=2)
    (sky,) = (piece for piece in piece_list(made).pieces if piece.part == "sky")
    assert (sky.width, sky.height) == (inches("8.0625"), inches(6))
    assert sky.block == (inches(4), inches(4))
    assert (sky.need, sky.per_card, sky.where) == (2, 1, "inside left, inside right") or sky.where == "front, back"
    packing = pack(made, piece_list(made), supply(made))
    task = next(paper.task for paper in packing.papers if paper.paper.name == "print")
    assert task.pieces[0].block == Block(Axis.ACROSS, (inches(4).ticks, inches(4).ticks))
    assert sum(use.copies for paper in packing.papers for use in paper.answer.uses) > 0


def test_panels_that_do_not_follow_each_other_cannot_carry_one_print(tmp_path: Path) -> None:
    gate = 'family = "gate fold"\nbase = "plain"\nsize = "5 x 7"'
    said = refused(
        tmp_path, '{ layer = "sky", on = "gates", paper = "print", smaller_by = "1/8", runs_on = true }', gate
    )
    assert "does not lie on panels side by side" in said


def test_two_right_triangles_come_from_each_rectangle_unless_the_print_has_one_way_up(tmp_path: Path) -> None:
    shape = 'size = "1 x 1", allowance = "1/8", shape = "right triangle"'
    part = f'{{{{ blank = "corner", paper = "{{}}", {shape}, count = 5 }}}}'
    (plain,) = pieces(tmp_path, part.format("plain"), cards=3)
    assert (plain.need, plain.per_card, plain.shapes) == (8, 5, 2)  # 15 triangles, 8 rectangles
    assert (plain.width, plain.height) == (inches("26/16"), inches("5/4"))  # 1 + 1/4 x root of 2 + 1/4, to the ruler
    (printed,) = pieces(tmp_path, part.format("print"), cards=3)
    assert (printed.need, printed.per_card, printed.shapes) == (15, 5, 1)


def test_a_pair_is_a_left_one_and_a_right_one(tmp_path: Path) -> None:
    found = pieces(tmp_path, '{ piece = "hinge", paper = "plain", size = "1 x 2", pair = true }', cards=4)
    assert [(piece.part, piece.need) for piece in found] == [("hinge (left)", 4), ("hinge (right)", 4)]


def test_keys_that_a_part_does_not_take_are_named(tmp_path: Path) -> None:
    assert "A mat takes no “rim”; only a window does" in refused(
        tmp_path, '{ mat = "m", on = "front", paper = "plain", smaller_by = 1, rim = 1 }'
    )
    assert "“at” needs something" in refused(tmp_path, '{ piece = "p", paper = "plain", size = "1 x 1", at = "1 x 1" }')
    assert "The borders already say" in refused(
        tmp_path, '{ mat = "m", on = "front", paper = "plain", at = "1 x 1",'
        ' border = { left = 1, top = 1, right = 2, bottom = 1 } }',
    )  # fmt: skip
    assert "“bottom” is missing" in refused(
        tmp_path, '{ mat = "m", on = "front", paper = "plain", border = { left = 1, top = 1, right = 2 } }'
    )


def test_the_examples_of_the_parts_are_read(tmp_path: Path) -> None:
    lines = (line[4:] for line in explain("parts").splitlines() if re.match("    (?!  {6})", line))
    papers = "\n".join(f'[paper.{name}]\nsheet = "12 x 12"' for name in ("cream", "pine", "kraft"))
    text = "\n".join(lines) + f"\n{papers}\n[batch]\ncards = {{ wreath = 2, window = 1 }}\n"
    (tmp_path / "all.toml").write_text(text)
    made = read_project(tmp_path)
    assert {part.name: part.raised_by for part in made.designs[0].parts}["wish"] == inches("1/16")
    assert made.designs[1].parts[1].runs_on
    assert [piece.part for piece in piece_list(made).pieces] == [
        "base", "art", "wish", "ivy", "tag (left)", "tag (right)", "base", "view", "sky",
    ]  # fmt: skip
