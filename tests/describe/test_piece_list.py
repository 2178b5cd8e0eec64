"""A piece list from a spreadsheet: columns in any order, several separators and encodings, all mistakes at once."""

from __future__ import annotations

from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.describe.project import LoosePiece
from nesting.describe.project_file import read_project
from nesting.errors import NestingError, Place, Problem
from nesting.lengths import Length, Unit, inches, mm
from nesting.pieces.piece_list import Piece, PieceList
from nesting.reports.plan_csv import pieces_csv

PAPERS = 'unit = "mm"\n[paper.Red]\nsheet = "A4"\n[paper."Sea green"]\nsheet = "12 x 12 in"\n'
Row = tuple[str, Length, Length, int, str]


def pieces(folder: Path, data: bytes) -> tuple[LoosePiece, ...]:
    (folder / "papers.toml").write_text(PAPERS)
    (folder / "list.csv").write_bytes(data)
    return read_project(folder).pieces


def problems(folder: Path, text: str) -> tuple[Problem, ...]:
    with pytest.raises(NestingError) as wrong:
        pieces(folder, text.encode())
    return wrong.value.problems


def rows(found: tuple[LoosePiece, ...]) -> list[Row]:
    return [(piece.paper, piece.width, piece.height, piece.count, piece.label) for piece in found]


EXPECTED = [("Red", mm("47.5"), mm(100), 2, "tag, large"), ("Sea green", inches("11/2"), mm(80), 12, "")]


def test_columns_come_in_any_order(tmp_path: Path) -> None:
    text = 'label,height,quantity,paper,width\n"tag, large",100,2,Red,47.5\n\n,80 mm,12,Sea green,5 1/2 in\n'
    assert rows(pieces(tmp_path, text.encode())) == EXPECTED


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_semicolons_come_with_decimal_commas_in_many_encodings(tmp_path: Path, encoding: str) -> None:
    text = (
        "Colour;Width;Height;Qty;Name;Notes\r\nred;47,5;100;2;tag, large;für später\r\nSEA  GREEN;5 1/2 in;80;12;;\r\n"
    )
    assert rows(pieces(tmp_path, text.encode(encoding))) == EXPECTED


def test_tabs_separate_and_a_heading_may_name_the_unit(tmp_path: Path) -> None:
    text = "stock\twidth (cm)\theight [mm]\tcopies\tdescription\nRed\t4.75\t100\t2\ttag, large\n"
    assert rows(pieces(tmp_path, text.encode())) == EXPECTED[:1]


def test_a_line_that_announces_the_separator_is_obeyed(tmp_path: Path) -> None:
    text = "sep=;\r\npaper;width;height;quantity\r\nRed;10;20;1\r\n"
    assert rows(pieces(tmp_path, text.encode())) == [("Red", mm(10), mm(20), 1, "")]


def test_turn_is_yes_no_or_left_to_the_paper(tmp_path: Path) -> None:
    text = "paper,width,height,quantity,turn\nRed,1,2,1,Yes\nRed,1,2,1,no\nRed,1,2,1,\n"
    assert [piece.may_turn for piece in pieces(tmp_path, text.encode())] == [True, False, None]


def test_a_quantity_of_zero_leaves_the_row_out(tmp_path: Path) -> None:
    text = "paper,width,height,quantity\nRed,1,2,0\nRed,1,2,3.0\n"
    assert [piece.count for piece in pieces(tmp_path, text.encode())] == [3]


def test_all_mistakes_of_a_list_are_told_with_their_lines(tmp_path: Path) -> None:
    text = (
        "paper,width,height,quantity,label\n"
        "Red,1/0,20,1,a\n"
        "Rde,10,20,1,b\n"
        '"Red","10","20","1,000","c"\n'
        "Red,10,,2,d\n"
        "Red,4,5,10,20,e,f\n"
        "Rde,10,0,1,g\n"
    )
    found = [(problem.place.line, problem.what) for problem in problems(tmp_path, text)]
    assert found == [
        (2, "The width “1/0” divides by zero."),
        (3, "There is no paper “Rde” (2 lines name it)."),
        (4, "The quantity “1,000” is not a whole number up to 1 000 000."),
        (5, "The height is missing."),
        (6, "The line has 7 cells, the header has 5."),
        (7, "The height “0” is nothing."),
    ]


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("", "This piece list is empty."),
        ("red,1,2,3\n", "The first line names no known column."),
        ("paper,width,height,quantity\n", "This piece list has a header and no pieces."),
        ("paper,width,hight,quantity\nRed,1,2,3\n", "There is no column “height”."),
        ("paper,colour,width,height,quantity\n", "The columns “paper” and “colour” both say the paper."),
        ('paper,width,height,quantity\n"' + "x" * 200_000, "This is not a list of cells"),
    ],
)
def test_a_list_without_its_header_is_a_sentence(tmp_path: Path, text: str, what: str) -> None:
    assert problems(tmp_path, text)[0].what.startswith(what)


def test_a_list_that_is_wrong_throughout_is_not_read_to_its_end(tmp_path: Path) -> None:
    found = problems(tmp_path, "paper,width,height,quantity\n" + "Red,x,1,1\n" * 40_000)
    assert len(found) == 1001
    assert "the rest was not read" in found[-1].what


def test_one_list_is_planned_alone_with_the_papers_beside_it(tmp_path: Path) -> None:
    (tmp_path / "papers.toml").write_text(
        PAPERS + '[design.d]\nparts = [{ piece = "p", paper = "Red", size = "1 x 1" }]\n'
    )
    (tmp_path / "one.csv").write_text("paper,width,height,quantity\nRed,1,2,3\n")
    (tmp_path / "two.csv").write_text("paper,width,height,quantity\nRed,5,6,7\n")
    project = read_project(tmp_path / "one.csv")
    assert ([piece.count for piece in project.pieces], project.designs, project.title) == ([3], (), "one")


@settings(max_examples=40, deadline=None)
@given(names=st.lists(st.sampled_from(["=", "+", "-", "@", "'", "a", " b", '"', ";", ","]), min_size=1, max_size=4))
def test_a_list_that_was_written_is_read_as_it_was(names: list[str]) -> None:
    paper, label = "".join(names).strip() or "a", "".join(reversed(names)).strip()
    place = Place("list.csv", 2)
    wanted = PieceList((Piece("", label, "", paper, mm(30), inches("11/2"), 3, 1, 0, False, "", place),))
    with TemporaryDirectory() as folder:
        quoted = paper.replace('"', '\\"')
        (Path(folder) / "papers.toml").write_text(f'unit = "mm"\n[paper."{quoted}"]\nsheet = "A4"\n')
        (Path(folder) / "list.csv").write_text(pieces_csv(wanted, Unit.MILLIMETRE), newline="")
        (read,) = read_project(Path(folder)).pieces
    assert (read.paper, read.label, read.count) == (paper, label, 4)
    assert (read.width, read.height, read.may_turn) == (mm(30), inches("11/2"), False)
