"""The demo projects and the starter are read without a problem and show what they are meant to show."""

from __future__ import annotations

from pathlib import Path

import pytest

from nesting.describe.designs import PartKind
from nesting.describe.papers import PrintDirection
from nesting.describe.project import Project
from nesting.describe.project_file import read_project
from nesting.describe.starter import FILES, write_starter
from nesting.errors import NestingError
from nesting.lengths import Unit, inches, mm
from nesting.pieces.piece_list import piece_list

DEMOS = Path(__file__).parents[2] / "demo_projects"


def demo(name: str) -> Project:
    return read_project(DEMOS / name)


@pytest.mark.parametrize("name", sorted(folder.name for folder in DEMOS.iterdir() if folder.is_dir()))
def test_every_demo_project_gives_pieces(name: str) -> None:
    assert sum(piece.count for piece in piece_list(demo(name)).pieces) > 20


def test_the_stall_has_twenty_cards_of_three_designs_in_prints_of_all_directions() -> None:
    stall = demo("harvest_stall")
    assert sum(line.count for line in stall.batch) == 20
    assert len(stall.designs) == 3
    assert len(stall.papers) >= 6
    assert {paper.direction for paper in stall.papers} == set(PrintDirection)
    assert any(held.sheet.width != inches(12) for paper in stall.papers for held in paper.at_hand)


def test_the_lantern_walk_is_metric_with_home_printed_paper() -> None:
    walk = demo("lantern_walk")
    assert walk.unit is Unit.MILLIMETRE
    widths = {sold.sheet.width for paper in walk.papers for sold in paper.sold}
    assert {mm(210), mm(305)} <= widths
    assert all(sold.sheet.rim.left for sold in walk.paper("star sky").sold)


def test_the_theatre_is_made_once_from_what_is_at_hand() -> None:
    theatre = demo("folding_theatre")
    assert [line.count for line in theatre.batch] == [1]
    assert not any(paper.sold for paper in theatre.papers)
    base = theatre.designs[0].base
    assert base is not None
    assert [(panel.number, panel.width, panel.height) for panel in base.panels if panel.number in {1, 5, 8}] == [
        (1, inches("2.5"), inches(8)),
        (5, inches("2.5"), inches(8)),
        (8, inches(4), inches(4)),
    ]
    assert len(base.panels) == 11


def test_the_class_kit_is_a_piece_list_alone() -> None:
    kit = demo("class_kit_list")
    assert not kit.designs
    assert len(kit.pieces) == 11
    assert kit.pieces[-2].width == mm(50)


def test_the_starter_is_one_card_twenty_times(tmp_path: Path) -> None:
    folder = tmp_path / "new" / "cards"
    written = write_starter(folder)
    assert sorted(path.name for path in folder.iterdir()) == sorted(FILES)
    assert [path.parent for path in written] == [folder] * len(FILES)
    starter = read_project(folder)
    assert [line.count for line in starter.batch] == [20]
    kinds = [part.kind for part in starter.designs[0].parts]
    assert (kinds.count(PartKind.MAT), kinds.count(PartKind.LAYER)) == (2, 2)


def test_the_starter_never_touches_a_folder_that_holds_something(tmp_path: Path) -> None:
    (tmp_path / "mine.txt").write_text("mine")
    with pytest.raises(NestingError, match="not empty"):
        write_starter(tmp_path)
    with pytest.raises(NestingError, match="a file, not a folder"):
        write_starter(tmp_path / "mine.txt")
    with pytest.raises(NestingError, match="cannot be written"):
        write_starter(tmp_path / "mine.txt" / "below")
    assert [path.name for path in tmp_path.iterdir()] == ["mine.txt"]


TWENTY_CARDS = """
[paper.cream]
sheet = "8 1/2 x 11"
price = 0.35
[paper.pine]
sheet = "12 x 12"
price = 0.80
[paper.leaves]
print = "one-way"
sheet = "12 x 12"
price = 0.95
[design.autumn]
base = "cream"
size = "8 1/2 x 5 1/2"
across = "4 1/4"
parts = [
  { mat = "frame", on = 2, paper = "pine", smaller_by = "1/8" },
  { layer = "picture", on = "below", paper = "leaves", smaller_by = "1/8" },
  { mat = "plate", on = "below", paper = "pine", size = "3 1/8 x 1 1/8" },
  { layer = "greeting", on = "below", paper = "cream", border = "1/16" },
]
[batch]
cards = { autumn = 20 }
"""


def test_twenty_cards_with_two_mats_and_two_layers_take_at_most_25_lines(tmp_path: Path) -> None:
    (tmp_path / "all.toml").write_text(TWENTY_CARDS)
    assert len([line for line in TWENTY_CARDS.splitlines() if line.strip()]) <= 25
    pieces = piece_list(read_project(tmp_path)).pieces
    assert [(piece.part, piece.need, piece.width, piece.height) for piece in pieces] == [
        ("base", 20, inches("8.5"), inches("5.5")),
        ("frame", 20, inches("33/8"), inches("43/8")),
        ("picture", 20, inches(4), inches("21/4")),
        ("plate", 20, inches("25/8"), inches("9/8")),
        ("greeting", 20, inches(3), inches(1)),
    ]
