"""Templates at full size: true to the design in millimetres, cuts and scores apart, valid for any reader of SVG."""

from __future__ import annotations

import functools
import re
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from nesting.describe.project import Project
from nesting.describe.project_file import read_project
from nesting.lengths import Length, Unit, inches, mm
from nesting.pieces.piece_list import piece_list
from nesting.reports.base_svg import Template, template_svg, templates

DEMOS = Path(__file__).parents[2] / "demo_projects"
NAMES = sorted(path.name for path in DEMOS.iterdir() if path.is_dir())
SVG = "{http://www.w3.org/2000/svg}"
GROUPS = ["cuts", "mountain-scores", "valley-scores"]


@functools.cache
def project_of(name: str) -> Project:
    return read_project(DEMOS / name)


def templates_of(name: str) -> tuple[Template, ...]:
    return templates(project_of(name), piece_list(project_of(name)))


def read(template: Template, unit: Unit = Unit.INCH) -> ET.Element:
    return ET.fromstring(template_svg(template, unit))


def paths(root: ET.Element, group: str) -> list[str]:
    (found,) = (g for g in root.iter(f"{SVG}g") if g.get("id") == group)
    return [path.get("d", "") for path in found.iter(f"{SVG}path")]


def named(name: str, title: str) -> Template:
    (found,) = (each for each in templates_of(name) if each.title == title)
    return found


@pytest.mark.parametrize("name", NAMES)
def test_one_unit_is_one_millimetre_and_the_three_groups_are_always_there(name: str) -> None:
    for template in templates_of(name):
        root = read(template)
        _, _, wide, high = root.get("viewBox", "").split()
        assert (root.get("width"), root.get("height")) == (f"{wide}mm", f"{high}mm")
        assert mm(wide) == template.width
        assert mm(high) == template.height
        assert [g.get("id") for g in root.iter(f"{SVG}g")] == GROUPS
        assert not list(root.iter(f"{SVG}text"))


@pytest.mark.parametrize("name", NAMES)
def test_no_line_leaves_its_sheet(name: str) -> None:
    for template in templates_of(name):
        for group in GROUPS:
            for path in paths(read(template), group):
                for sign, numbers in re.findall(r"([MLHV])([^MLHVZ]+)", path):
                    ends = [mm(number) for number in numbers.split()]
                    xs = ends if sign == "H" else [] if sign == "V" else ends[:1]
                    ys = ends if sign == "V" else [] if sign == "H" else ends[1:]
                    assert all(Length(0) <= x <= template.width for x in xs)
                    assert all(Length(0) <= y <= template.height for y in ys)


@pytest.mark.parametrize("name", NAMES)
def test_every_base_of_the_batch_every_blank_and_every_part_with_a_window_has_one(name: str) -> None:
    project = project_of(name)
    found = {each.title for each in templates_of(name)}
    for design in project.designs:
        assert {f"{design.name}: {base.name}" for base in design.bases} <= found
        windowed = {part.on_part for part in design.parts if part.kind.value == "window"}
        for part in design.parts:
            wanted = part.kind.value == "blank" or part.name in windowed
            assert (f"{design.name}: {part.name}" in found) is wanted


def test_a_fold_of_4_1_4_in_is_scored_at_107_95_mm() -> None:
    root = read(named("harvest_stall", "pumpkin patch: base"))
    assert paths(root, "valley-scores") == ["M107.95 0L107.95 139.7"]
    assert paths(root, "mountain-scores") == []
    assert paths(root, "cuts") == ["M0 0H215.9V139.7H0Z"]


def test_a_step_has_its_slits_among_the_cuts_and_its_edge_among_the_mountains() -> None:
    root = read(named("winter_window", "stair: base"))
    assert paths(root, "cuts")[:2] == ["M76.2 44.45L127 44.45", "M76.2 95.25L127 95.25"]
    assert paths(root, "mountain-scores") == ["M95.25 44.45L95.25 95.25"]


def test_a_window_of_the_front_is_cut_into_the_base_and_one_of_a_mat_into_the_mat() -> None:
    base = named("harvest_stall", "cottage window: base")
    (window,) = base.areas
    assert (window.width, window.height) == (inches("19/8"), inches("19/8"))
    # the front is the lower half, 5 1/2 x 4 1/4; the window lies in its middle
    assert (window.x, window.y) == (inches("25/16"), inches("17/4") + inches("15/16"))
    wall = named("harvest_stall", "cottage window: wall")
    (hole,) = wall.areas
    assert hole.x + hole.x + hole.width == wall.width
    assert hole.y + hole.y + hole.height == wall.height
    assert len(paths(read(wall), "cuts")) == 2


BUNTING = """unit = "mm"
[paper.cream]
sheet = "210 mm x 297 mm"
[paper.kraft]
sheet = "210 mm x 297 mm"
[design.tent]
base = "cream"
size = "200 mm x 100 mm"
across = ["100 mm"]
parts = [ { blank = "flag", paper = "kraft", size = "40 mm x 30 mm", shape = "%s", %s count = 2 } ]
[batch]
title = "Tents"
cards = { tent = 2 }
"""


def flag(tmp_path: Path, shape: str, more: str = "") -> list[str]:
    (tmp_path / "tents.toml").write_text(BUNTING % (shape, more), "utf-8")
    project = read_project(tmp_path)
    (found,) = (each for each in templates(project, piece_list(project)) if each.part == "flag")
    return paths(read(found, Unit.MILLIMETRE), "cuts")


def test_two_right_triangles_share_their_slanted_side_which_is_cut_once(tmp_path: Path) -> None:
    assert flag(tmp_path, "right triangle") == ["M0 0L40 30", "M0 0H40V30H0Z"]


def test_triangles_with_an_allowance_keep_it_on_all_sides(tmp_path: Path) -> None:
    lines = flag(tmp_path, "triangle", 'allowance = "2 mm",')
    *sides, outline = [[float(number) for number in re.findall(r"[\d.]+", line)] for line in lines]
    right, foot = outline[2], outline[3]
    assert len(sides) == 6  # two triangles that touch nothing
    for x0, y0, x1, y1 in sides:
        assert min(x0, x1) >= 2
        assert max(x0, x1) <= right - 2
        assert (min(y0, y1), max(y0, y1)) in {(2, foot - 2), (2, 2), (foot - 2, foot - 2)}
    # the two slanted sides that face each other lie four millimetres apart
    slanted = sorted(side for side in sides if side[1] != side[3])
    facing = [side for side in slanted if side not in (slanted[0], slanted[-1])]
    assert len(facing) == 2
    (x0, y0, x1, y1), (u0, v0, *_) = facing
    across, up = x1 - x0, y1 - y0
    apart = abs((u0 - x0) * up - (v0 - y0) * across) / (across**2 + up**2) ** 0.5
    assert 4 <= apart < 4.01


def test_names_are_written_so_that_they_cannot_break_the_file() -> None:
    root = read(Template("<script>&", '"a"', mm(40), mm(30)), Unit.MILLIMETRE)
    assert root.findtext(f"{SVG}title") == '<script>&: "a"'
