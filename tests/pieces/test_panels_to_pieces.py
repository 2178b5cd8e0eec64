"""Panels become mats, mats become layers, and every size says where it came from."""

from __future__ import annotations

from pathlib import Path

import pytest

from nesting.describe.project_file import read_project
from nesting.errors import NestingError
from nesting.lengths import Unit, write_size
from nesting.pieces.piece_list import Piece, PieceList, piece_list

PAPERS = """
[paper.base]
sheet = "12 x 12"
[paper.mat]
sheet = "12 x 12"
[paper.print]
sheet = "12 x 12"
print = "one-way"
"""


def pieces_of(folder: Path, design: str, batch: str = "cards = { card = 1 }") -> PieceList:
    (folder / "papers.toml").write_text(PAPERS, "utf-8")
    (folder / "designs.toml").write_text(f"[design.card]\n{design}\n", "utf-8")
    (folder / "batch.toml").write_text(f"[batch]\n{batch}\n", "utf-8")
    return piece_list(read_project(folder))


def sizes(pieces: tuple[Piece, ...]) -> dict[str, int]:
    found: dict[str, int] = {}
    for piece in pieces:
        size = write_size(piece.width, piece.height, Unit.INCH)
        found[size] = found.get(size, 0) + piece.need
    return found


def test_a_seven_by_twelve_base_gives_the_mats_and_layers_that_makers_write_down(tmp_path: Path) -> None:
    """Common practice, no published source: scores at 2, 4, 8, 10 and at 2, 5; the two end panels run the full 7."""
    listed = pieces_of(
        tmp_path,
        """
base = "base"
size = "12 x 7"
across = [2, 4, 8, 10]
down = [2, 5]
joined = [[1, 6, 11], [5, 10, 15]]
panels = { all = [1, 2, 3, 4, 5, 7, 8, 9, 12, 13, 14] }
parts = [
  { mat = "mat", on = "all", paper = "mat", smaller_by = "1/8" },
  { layer = "layer", on = "mat", paper = "print", smaller_by = "1/8" },
]
""",
    )
    assert sizes(listed.of_paper("mat")) == {
        "1 7/8 x 6 7/8": 2, "1 7/8 x 1 7/8": 4, "1 7/8 x 2 7/8": 2, "3 7/8 x 2 7/8": 1, "3 7/8 x 1 7/8": 2,
    }  # fmt: skip
    assert sizes(listed.of_paper("print")) == {
        "1 3/4 x 6 3/4": 2, "1 3/4 x 1 3/4": 4, "1 3/4 x 2 3/4": 2, "3 3/4 x 2 3/4": 1, "3 3/4 x 1 3/4": 2,
    }  # fmt: skip


def test_each_size_says_where_it_came_from(tmp_path: Path) -> None:
    listed = pieces_of(
        tmp_path,
        """
base = "base"
size = "4 x 7"
across = [2]
parts = [
  { mat = "frame", on = 2, paper = "mat", smaller_by = "1/8" },
  { layer = "picture", on = "frame", paper = "print", border = "1/8" },
  { blank = "leaf", paper = "mat", size = "1 x 1", allowance = "1/8", count = 3 },
]
""",
    )
    assert [(piece.title, piece.came_from, piece.need) for piece in listed.pieces] == [
        ("card: base", "flat base, 1 score", 1),
        ("card: frame, panel 2", "panel 2 x 7, 1/8 smaller", 1),
        ("card: picture, panel 2", "frame 1 7/8 x 6 7/8, 1/4 smaller", 1),
        ("card: leaf", "size as given, with 1/8 to spare all round", 3),
    ]
    assert sizes((listed.pieces[3],)) == {"1 1/4 x 1 1/4": 3}


def test_spares_are_one_in_ten_and_at_least_one(tmp_path: Path) -> None:
    """Common practice, no published source."""
    listed = pieces_of(tmp_path, 'base = "base"\nsize = "4 x 7"\n', 'cards = { card = 21 }\nspares = "1 in 10"')
    assert [(piece.need, piece.spare) for piece in listed.pieces] == [(21, 3)]
    listed = pieces_of(tmp_path, 'base = "base"\nsize = "4 x 7"\n', 'cards = { card = 3 }\nspares = "1 in 10"')
    assert [(piece.need, piece.spare) for piece in listed.pieces] == [(3, 1)]


def test_a_directed_print_is_not_turned_unless_the_user_says_so(tmp_path: Path) -> None:
    listed = pieces_of(
        tmp_path,
        """
parts = [
  { piece = "a", paper = "print", size = "2 x 3" },
  { piece = "b", paper = "print", size = "2 x 4", turn = true },
  { piece = "c", paper = "mat", size = "2 x 3" },
  { piece = "d", paper = "mat", size = "2 x 4", turn = false },
]
""",
    )
    assert [piece.may_turn for piece in listed.pieces] == [False, True, True, False]


def test_a_mat_that_would_be_nothing_and_one_larger_than_its_panel_are_both_said(tmp_path: Path) -> None:
    with pytest.raises(NestingError) as caught:
        pieces_of(
            tmp_path,
            """
base = "base"
size = "4 x 7"
across = [2]
parts = [
  { mat = "thin", on = 1, paper = "mat", smaller_by = "2" },
  { layer = "on the thin one", on = "thin", paper = "print", smaller_by = "1/8" },
  { strip = "wide", on = 2, paper = "mat", size = "3 x 1" },
]
""",
        )
    said = [str(problem) for problem in caught.value.problems]
    assert len(said) == 2
    assert "designs.toml, line 7" in said[0]
    assert "leaves nothing" in said[0]
    assert "“wide” of 3 x 1 is larger than" in said[1]
