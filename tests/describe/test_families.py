"""Families of cards: panels add up, folds shut flat, published panel widths come out, mistakes are sentences.

Sources of the widths: a printers' folding guide (letter, double gate and roll fold of 11 and 17 in; sums checked), a
bookbinders' guide (gap of a gate fold, 1/8 in in all). Everything else is worked out by hand.
"""

from __future__ import annotations

import re
from dataclasses import fields, is_dataclass, replace
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.describe.designs import Area, Base, CardDesign, FoldKind, Line, Panel
from nesting.describe.explain import explain
from nesting.describe.families import FAMILIES, CannotBe, Family, Given, Shape
from nesting.describe.folding import NotFlat, fold_shut, main_fold_runs_down
from nesting.describe.project_file import read_project
from nesting.errors import NestingError
from nesting.lengths import ZERO, Length, Unit, inches, mm
from nesting.pieces.piece_list import piece_list

CARDS = {
    "flat card": ['size = "4 x 6"'],
    "half fold": ['size = "4 1/4 x 5 1/2"'],
    "tri-fold": ['size = "4 x 6"'],
    "letter fold": ['flat = "11 x 8 1/2"'],
    "roll fold": ['flat = "17 x 11"', "count = 4", 'shorter = ["3/32", "1/16"]'],
    "gate fold": ['size = "5 x 7"'],
    "double gate": ['flat = "17 x 11"'],
    "accordion": ['size = "4 x 6"', "count = 5", 'step = "1/4"'],
    "pocket": ['size = "4 x 6"', 'depth = "2 1/2"'],
    "stepped card": [
        'size = "4 1/4 x 5 1/2"', 'steps = [{ from = "1 3/4", to = "3 3/4", front = "1 1/4", back = "3/4" }]',
    ],
    "standing card": ['size = "4 x 3"', 'stands = "2 x 1 1/2"'],
    "easel": ['size = "5 x 5"'],
    "box-ended": ['size = "9 x 5"', 'box = "2 x 3/4"'],
    "tunnel": ['size = "5 x 7"', "frames = 4", 'rim = "3/4"', 'depth = "1/2"'],
    "envelope": ['size = "5 3/4 x 4 3/8"', 'back = "3 1/4"', 'flap = "2"'],
}  # fmt: skip


def folder(at: Path, family: str, lines: list[str], parts: str = "") -> Path:
    at.mkdir(exist_ok=True)
    design = "\n".join(["[design.card]", f'family = "{family}"', 'base = "cream"', *lines, parts])
    (at / "all.toml").write_text(f'{design}\n[paper.cream]\nsheet = "24 x 36"\n[batch]\ncards = {{ card = 3 }}\n')
    return at


def card(at: Path, family: str, lines: list[str], parts: str = "") -> CardDesign:
    return read_project(folder(at, family, lines, parts)).designs[0]


def problems(at: Path, family: str, lines: list[str]) -> str:
    with pytest.raises(NestingError) as caught:
        read_project(folder(at, family, lines))
    return str(caught.value)


def built(family: str, **values: object) -> Shape:
    found = FAMILIES[family]
    usual = {p.key: p.usual(Unit.INCH) for p in found.takes if p.usual(Unit.INCH) is not None}
    shape = shape_or_key(found, {**usual, **values})
    assert isinstance(shape, Shape)
    return shape


def widths(design: CardDesign) -> list[Length]:
    assert design.base is not None
    return [panel.width for panel in design.base.panels]


def overlap(one: Panel | Area, other: Panel | Area) -> int:
    across = min(one.x + one.width, other.x + other.width) - max(one.x, other.x)
    up = min(one.y + one.height, other.y + other.height) - max(one.y, other.y)
    return max(0, across.ticks) * max(0, up.ticks)


def assert_adds_up(base: Base) -> None:
    """Panels and what is cut away cover the base, each spot once; windows lie in a panel."""
    parts: list[Panel | Area] = [*base.panels, *base.cut_away]
    assert sum(part.width.ticks * part.height.ticks for part in parts) == base.width.ticks * base.height.ticks
    for i, part in enumerate(parts):
        assert part.width > ZERO
        assert part.height > ZERO
        assert part.x >= ZERO
        assert part.y >= ZERO
        assert part.x + part.width <= base.width
        assert part.y + part.height <= base.height
        assert not any(overlap(part, other) for other in parts[i + 1 :])
    for window in base.windows:
        assert any(overlap(window, panel) == window.width.ticks * window.height.ticks for panel in base.panels)


def assert_lies_between_panels(base: Base, line: Line) -> None:
    """Half a tick to either side of the middle of every stretch lies another panel."""
    start, end = (line.y1, line.y2) if line.runs_down else (line.x1, line.x2)
    across = line.x1 if line.runs_down else line.y1
    marks = {start.ticks, end.ticks}
    for panel in base.panels:
        low, size = (panel.y, panel.height) if line.runs_down else (panel.x, panel.width)
        marks |= {mark for mark in (low.ticks, (low + size).ticks) if start.ticks < mark < end.ticks}
    for a, b in pairwise(sorted(marks)):
        middle = Fraction(a + b, 2)
        sides = []
        for aside in (across.ticks - Fraction(1, 2), across.ticks + Fraction(1, 2)):
            x, y = (aside, middle) if line.runs_down else (middle, aside)
            sides += [p.number for p in base.panels if p.x.ticks < x < (p.x + p.width).ticks
                      and p.y.ticks < y < (p.y + p.height).ticks]  # fmt: skip
        assert len(set(sides)) == 2


def shut(base: Base) -> tuple[Length, Length, dict[int, Area]]:
    moved = fold_shut(base)
    areas = {p.number: moved[p.number].area(p.x, p.y, p.width, p.height) for p in base.panels}
    left, top = min(a.x for a in areas.values()), min(a.y for a in areas.values())
    right = max(a.x + a.width for a in areas.values())
    bottom = max(a.y + a.height for a in areas.values())
    return right - left, bottom - top, areas


@pytest.mark.parametrize("family", FAMILIES)
def test_the_panels_of_every_family_add_up_to_the_base_and_fold_flat(tmp_path: Path, family: str) -> None:
    design = card(tmp_path, family, CARDS[family])
    numbers = [panel.number for base in design.bases for panel in base.panels]
    assert numbers == list(range(1, len(numbers) + 1))
    for base in design.bases:
        assert_adds_up(base)
        for line in [fold.line for fold in base.folds] + list(base.slits):
            assert_lies_between_panels(base, line)
        fold_shut(base)
    named = {number for _, panels in design.names for number in panels}
    assert named <= set(numbers)
    assert {"front", "back", "outside", "inside", "all"} - {name for name, _ in design.names} <= {"back", "inside"}


@pytest.mark.parametrize("family", FAMILIES)
def test_every_family_is_said_in_few_lines_and_its_bases_are_pieces(tmp_path: Path, family: str) -> None:
    assert len(CARDS[family]) <= 4  # beside family and base
    folder(tmp_path, family, CARDS[family])
    project = read_project(tmp_path)
    pieces = piece_list(project).pieces
    bases = project.designs[0].bases
    assert [(piece.part, piece.width, piece.height) for piece in pieces] == [(b.name, b.width, b.height) for b in bases]
    assert [piece.need for piece in pieces] == [3 * len(base.lies) for base in bases]


def test_a_letter_fold_of_eleven_inches_has_the_printed_panels(tmp_path: Path) -> None:
    design = card(tmp_path, "letter fold", ['flat = "11 x 8 1/2"'])
    assert widths(design) == [inches("59/16"), inches("59/16"), inches("29/8")]  # 3 11/16, 3 11/16, 3 5/8


def test_a_double_gate_of_seventeen_inches_has_the_printed_panels(tmp_path: Path) -> None:
    design = card(tmp_path, "double gate", ['flat = "17 x 11"'])
    assert widths(design) == [inches("4.21875"), inches("4.28125"), inches("4.28125"), inches("4.21875")]


def test_a_roll_fold_of_seventeen_inches_has_the_printed_panels(tmp_path: Path) -> None:
    design = card(tmp_path, "roll fold", CARDS["roll fold"])
    assert widths(design) == [inches("4.3125"), inches("4.3125"), inches("4.21875"), inches("4.15625")]


def test_the_gates_of_a_gate_fold_leave_an_eighth_in_all(tmp_path: Path) -> None:
    design = card(tmp_path, "gate fold", ['size = "5 x 7"'])
    assert widths(design) == [inches("39/16"), inches(5), inches("39/16")]
    assert design.base is not None
    _, _, areas = shut(design.base)
    left, right = sorted((areas[1], areas[3]), key=lambda area: area.x)
    assert right.x - (left.x + left.width) == inches("1/8")


def test_in_a_metric_project_the_defaults_are_metric(tmp_path: Path) -> None:
    folder(tmp_path, "letter fold", ['size = "100 x 210"'])
    (tmp_path / "all.toml").write_text('unit = "mm"\n' + (tmp_path / "all.toml").read_text())
    assert widths(read_project(tmp_path).designs[0]) == [mm(100), mm(100), mm("98.5")]


def test_the_closed_size_is_what_was_asked_for(tmp_path: Path) -> None:
    for family in ("flat card", "half fold", "tri-fold", "gate fold", "accordion", "pocket", "stepped card", "easel",
                   "box-ended", "tunnel", "envelope"):  # fmt: skip
        design = card(tmp_path, family, CARDS[family])
        asked = next(line for line in CARDS[family] if line.startswith("size"))
        assert design.base is not None
        width, height, _ = shut(design.base)
        again = card(tmp_path, "flat card", [asked]).base
        assert again is not None
        assert (width, height) == (again.width, again.height), family


def test_an_easel_shut_has_its_halves_under_the_upper_end_of_the_front(tmp_path: Path) -> None:
    design = card(tmp_path, "easel", CARDS["easel"])
    _, _, areas = shut(design.bases[0])
    half = inches("5/2")
    assert areas[1] == areas[2] == Area(ZERO, ZERO, inches(5), half)
    assert areas[3] == Area(ZERO, ZERO, inches(5), inches(5))


def test_a_standing_part_reaches_above_the_fold(tmp_path: Path) -> None:
    design = card(tmp_path, "standing card", CARDS["standing card"])
    width, height, _ = shut(design.bases[0])
    assert (width, height) == (inches(4), inches("9/2"))


def test_a_stepped_accordion_shows_each_pair_beside_the_one_before() -> None:
    shape = built("accordion", size=(inches(4), inches(6)), count=5, step=inches("1/4"))
    assert [panel.width for panel in shape.bases[0].panels] == [
        inches(number) for number in ("7/2", "7/2", "15/4", "15/4", "4")
    ]
    _, _, areas = shut(shape.bases[0])
    assert len({area.x for area in areas.values()}) == 1


def test_a_step_said_by_its_reach_is_the_same_as_its_folds_and_slits_said_one_by_one(tmp_path: Path) -> None:
    step = card(tmp_path / "step", "stepped card", CARDS["stepped card"]).bases[0]
    (tmp_path / "free").mkdir()
    (tmp_path / "free" / "all.toml").write_text(
        """
        [design.card]
        base = "cream"
        size = "8 1/2 x 5 1/2"
        across = ["3", "3 3/4 mountain", "4 1/4", "5"]
        slits = ["3 x 1 3/4 to 5 x 1 3/4", "5 x 3 3/4 to 3 x 3 3/4"]
        joined = [[1, 2, 3], [4, 5], [8, 9], [11, 12, 13], [14, 15]]
        [paper.cream]
        sheet = "12 x 12"
        [batch]
        cards = { card = 1 }
        """
    )
    free = read_project(tmp_path / "free").designs[0].bases[0]
    assert set(free.slits) == set(step.slits)
    assert set(free.folds) == set(step.folds)
    mountains = [fold.line for fold in step.folds if fold.kind is FoldKind.MOUNTAIN]
    assert mountains == [Line(inches("15/4"), inches("7/4"), inches("15/4"), inches("15/4"))]
    assert shut(free)[:2] == shut(step)[:2] == (inches("17/4"), inches("11/2"))


def test_an_inner_fold_in_the_wrong_place_cannot_be_shut(tmp_path: Path) -> None:
    step = card(tmp_path, "stepped card", CARDS["stepped card"]).bases[0]
    quarter = inches("1/4")
    panels = [
        Panel(p.number, p.x, p.y, p.width + quarter, p.height) if p.number == 3
        else Panel(p.number, p.x + quarter, p.y, p.width - quarter, p.height) if p.number == 4
        else p
        for p in step.panels
    ]  # fmt: skip
    folds = [
        type(f)(f.kind, Line(f.line.x1 + quarter, f.line.y1, f.line.x2 + quarter, f.line.y2))
        if f.kind is FoldKind.MOUNTAIN else f
        for f in step.folds
    ]  # fmt: skip
    with pytest.raises(NotFlat):
        fold_shut(replace(step, panels=tuple(panels), folds=tuple(folds)))


def test_folds_beside_an_unfolded_wing_cannot_be_shut(tmp_path: Path) -> None:
    (tmp_path / "all.toml").write_text(
        """
        [design.theatre]
        base = "cream"
        size = "9 x 8"
        across = [3, 6]
        down = [4]
        joined = [[1, 4]]
        [paper.cream]
        sheet = "12 x 12"
        [batch]
        cards = { theatre = 1 }
        """
    )
    with pytest.raises(NotFlat):
        fold_shut(read_project(tmp_path).designs[0].bases[0])


def test_the_main_fold_is_the_longer_one() -> None:
    size = (inches(4), inches(6))
    assert main_fold_runs_down(built("half fold", size=size).bases[0]) is True
    assert main_fold_runs_down(built("half fold", size=size, fold="top").bases[0]) is False
    assert main_fold_runs_down(built("flat card", size=size).bases[0]) is None


EIGHTHS = st.integers(8, 80).map(lambda eighths: inches(Fraction(eighths, 8)))


@given(EIGHTHS, EIGHTHS, st.integers(2, 9), st.sampled_from(["side", "top"]), EIGHTHS, EIGHTHS)
def test_any_card_that_is_built_adds_up_shuts_flat_and_doubles_when_doubled(
    width: Length, height: Length, count: int, fold: str, one: Length, other: Length
) -> None:
    third = Length(min(width, height).ticks // 3)
    quarter = inches("1/4")
    step = {"from": third, "to": 2 * third, "front": Length(one.ticks // 4), "back": Length(other.ticks // 4)}
    values: dict[str, object] = {
        "size": (width, height), "fold": fold, "count": max(3, count), "frames": count, "shorter": quarter,
        "gap": quarter, "step": quarter, "depth": one, "tab": quarter, "rim": quarter, "stands": (one, other),
        "box": (one, other), "back": one, "flap": other, "steps": (Given(step),),
    }  # fmt: skip
    for name, family in FAMILIES.items():
        mine = {parameter.key: values[parameter.key] for parameter in family.takes if parameter.key in values}
        if name == "roll fold":
            mine["shorter"] = (quarter,)
        shape = shape_or_key(family, mine)
        if isinstance(shape, str):
            assert shape in {parameter.key for parameter in family.takes}
            continue
        for base in shape.bases:
            assert_adds_up(base)
            fold_shut(base)
        assert shape_or_key(family, {key: twice(value) for key, value in mine.items()}) == doubled_shape(shape)


def shape_or_key(family: Family, values: dict[str, object]) -> Shape | str:
    """The shape, or the key that is at fault."""
    try:
        return family.build(Given(values))  # type: ignore[arg-type]
    except CannotBe as wrong:
        return wrong.key


def twice(value: object) -> object:
    if isinstance(value, Length):
        return 2 * value
    if isinstance(value, tuple):
        return tuple(twice(inner) for inner in value)
    if isinstance(value, Given):
        return Given({key: twice(inner) for key, inner in value.values.items()})  # type: ignore[misc]
    return value


def doubled_shape(shape: Shape) -> Shape:
    def big(thing: object) -> object:
        if isinstance(thing, Length):
            return 2 * thing
        if isinstance(thing, tuple):
            return tuple(big(inner) for inner in thing)
        if is_dataclass(thing) and not isinstance(thing, type):
            return replace(thing, **{f.name: big(getattr(thing, f.name)) for f in fields(thing)})
        return thing

    found = big(shape)
    assert isinstance(found, Shape)
    return found


def test_a_part_lies_on_every_outside_panel_and_on_every_copy_of_a_frame(tmp_path: Path) -> None:
    parts = 'parts = [{ mat = "cover", on = "outside", paper = "cream", smaller_by = "1/4" }]'
    folder(tmp_path, "tunnel", CARDS["tunnel"], parts)
    mats = [piece for piece in piece_list(read_project(tmp_path)).pieces if piece.part == "cover"]
    assert [(piece.width, piece.height, piece.per_card) for piece in mats] == [(inches("19/4"), inches("27/4"), 4)]


def test_the_two_faces_of_a_panel_keep_their_names(tmp_path: Path) -> None:
    parts = """parts = [
      { mat = "cover", on = "front", paper = "cream", smaller_by = "1/4" },
      { mat = "verse", on = "inside left", paper = "cream", smaller_by = "1/2" },
    ]"""
    folder(tmp_path, "half fold", CARDS["half fold"], parts)
    pieces = piece_list(read_project(tmp_path)).pieces
    assert [piece.where for piece in pieces] == ["", "front", "inside left"]


def test_bases_may_be_of_different_papers(tmp_path: Path) -> None:
    folder(tmp_path, "easel", CARDS["easel"])
    text = (tmp_path / "all.toml").read_text().replace('base = "cream"', 'base = { stand = "cream", front = "pine" }')
    (tmp_path / "all.toml").write_text(text + '[paper.pine]\nsheet = "12 x 12"\n')
    assert [base.paper for base in read_project(tmp_path).designs[0].bases] == ["cream", "pine"]


def test_mistakes_in_a_family_are_sentences_with_their_place(tmp_path: Path) -> None:
    said = problems(tmp_path, "gate fould", ['size = "5 x 7"'])
    assert "line 2" in said
    assert "Did you mean “gate fold”" in said
    assert "“size” is missing" in problems(tmp_path, "easel", [])
    assert "Nothing is known by the key “across”" in problems(tmp_path, "half fold", ['size = "5 x 7"', "across = [1]"])
    assert "Neither “size” nor “flat”" in problems(tmp_path, "half fold", [])
    assert "Both the closed size and the flat" in problems(
        tmp_path, "half fold", ['size = "5 x 7"', 'flat = "10 x 7"']
    )
    assert "line 5" in problems(tmp_path, "gate fold", ['size = "5 x 7"', "gap = 6"])
    assert "not one of “side”, “top”" in problems(tmp_path, "half fold", ['size = "5 x 7"', 'fold = "bottom"'])
    assert "overlap at 2 in" in problems(
        tmp_path, "stepped card",
        ['size = "5 x 7"', "steps = [{ from = 1, to = 3, front = 1, back = 1 },"
         " { from = 2, to = 4, front = 1, back = 1 }]"],
    )  # fmt: skip
    assert "may hold from, to, front, back" in problems(
        tmp_path, "stepped card", ['size = "5 x 7"', "steps = [{ from = 1, to = 3, front = 1, back = 1, zebra = 1 }]"]
    )
    assert "cannot be shared into 3 equal parts" in problems(tmp_path, "tri-fold", ['flat = "10 x 7"'])
    assert "no list of at most" in problems(tmp_path, "stepped card", ['size = "5 x 7"', "steps = 3"])


def test_slits_and_parts_cut_away_are_checked(tmp_path: Path) -> None:
    def said(lines: str) -> str:
        paper = '[paper.cream]\nsheet = "12 x 12"\n[batch]\ncards = { card = 1 }\n'
        text = f'[design.card]\nbase = "cream"\nsize = "8 x 6"\n{lines}\n{paper}'
        (tmp_path / "all.toml").write_text(text)
        try:
            read_project(tmp_path)
        except NestingError as error:
            return str(error)
        return ""

    assert "neither straight across nor straight down" in said('slits = ["1 x 1 to 2 x 2"]')
    assert "is not a slit" in said('slits = ["1 x 1"]')
    assert "runs out of the base" in said('slits = ["1 x 1 to 9 x 1"]')
    assert "All panels are cut away" in said("across = [4]\ncut_away = [1, 2]")
    assert "Panel 2 is cut away" in said(
        'across = [4]\ncut_away = [2]\nparts = [{ mat = "m", on = 2, paper = "cream", smaller_by = "1/8" }]'
    )
    assert said('across = ["4 mountain"]\ndown = [3]\ncut_away = [2]') == ""
    base = read_project(tmp_path).designs[0].bases[0]
    assert_adds_up(base)
    assert {(fold.kind.value, fold.line) for fold in base.folds} == {
        ("mountain", Line(inches(4), inches(3), inches(4), inches(6))),
        ("valley", Line(ZERO, inches(3), inches(4), inches(3))),
    }


def test_every_family_and_every_key_is_explained_and_the_examples_are_read(tmp_path: Path) -> None:
    text = explain("families")
    for name, family in FAMILIES.items():
        keys = re.search(rf"(?m)^{name} {{2,}}(.*)$", text)
        assert keys, name
        assert all(parameter.key in keys[1] for parameter in family.takes)
    blocks = (block.splitlines() for block in text.split("\n\n"))
    examples = "\n".join(line[4:] for block in blocks for line in block if all(li.startswith("    ") for li in block))
    papers = "\n".join(f'[paper.{name}]\nsheet = "24 x 36"' for name in ("cream", "pine", "kraft"))
    (tmp_path / "all.toml").write_text(f"{examples}\n{papers}\n[batch]\ncards = {{ gates = 1, desk = 1 }}\n")
    assert [design.family for design in read_project(tmp_path).designs] == ["gate fold", "easel"]


def test_every_example_of_a_parameter_is_read(tmp_path: Path) -> None:
    for name, family in FAMILIES.items():
        given = [parameter.example for parameter in family.takes if parameter.key not in {"flat", "at"}]
        lines = [line for line in given if not (name == "box-ended" and line.startswith("tab"))]
        card(tmp_path, name, lines)
