"""Broken, random and hostile files end in sentences, soon and without a traceback."""

from __future__ import annotations

import os
import time
from pathlib import Path

import pytest
from fuzzing import DEMOS, WILD, damaged, faults_of, read_beside
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.describe.project import Project
from nesting.describe.project_file import read_project
from nesting.errors import NestingError, Problem

SECONDS = 30  # of the processor, far more than needed; what this catches would run for hours
HEADER = "paper,width,height,quantity\n"


def problems(folder: Path) -> tuple[Problem, ...]:
    start = time.process_time()
    with pytest.raises(NestingError) as wrong:
        read_project(folder)
    assert time.process_time() - start < SECONDS
    assert [fault for problem in wrong.value.problems for fault in faults_of(problem)] == []
    return wrong.value.problems


def expect_sentences(found: Project | tuple[Problem, ...]) -> None:
    if not isinstance(found, Project):
        assert found
        assert [fault for problem in found for fault in faults_of(problem)] == []


@settings(max_examples=150, deadline=None)
@given(st.sampled_from(["harvest_stall", "folding_theatre", "class_kit_list"]), damaged())
def test_damaged_files_end_in_sentences(demo: str, file: tuple[str, bytes]) -> None:
    expect_sentences(read_beside(demo, *file))


@settings(max_examples=100, deadline=None)
@given(st.sampled_from(["wild.toml", "wild.csv"]), WILD)
def test_wild_words_end_in_sentences(name: str, text: str) -> None:
    expect_sentences(read_beside("class_kit_list", name, text.encode("utf-8", "replace")))


@settings(max_examples=100, deadline=None)
@given(st.sampled_from(["wild.toml", "wild.csv"]), st.binary(max_size=200))
def test_random_bytes_end_in_sentences(name: str, data: bytes) -> None:
    expect_sentences(read_beside("class_kit_list", name, data))


CELLS = st.sampled_from(
    ["white", "Teal", "8 1/2", "1/0", "-1", "12", "", " ", "=1+1", '"', '"a,b"', "yes", "#REF!", "1,5"]
)


@settings(max_examples=100, deadline=None)
@given(st.sampled_from(",;\t"), st.lists(st.lists(CELLS, min_size=3, max_size=6), max_size=8))
def test_random_piece_lists_end_in_sentences(sign: str, rows: list[list[str]]) -> None:
    text = "\r\n".join(sign.join(row) for row in [["Paper", "Width", "Height", "Qty"], *rows])
    expect_sentences(read_beside("class_kit_list", "kit.csv", text.encode()))


MANY = {
    "deep lists": ("all.toml", "x = " + "[" * 500 + "\n" + "[" * 500 + "\n" + "]" * 500 + "\n" + "]" * 500),
    "very deep lists": ("all.toml", ("x = " + "[\n" * 100_000) + "]" * 100),
    "deep tables": ("all.toml", "x = " + "{a=" * 300 + "1" + "}" * 300),
    "one long line": ("all.toml", "a." * 1_000_000 + "b = 1"),
    "many dotted keys": ("all.toml", "".join("a." * 400 + f"b{i} = 1\n" for i in range(1000))),
    "a number of many digits": ("all.toml", "[paper.a]\nprice = " + "9" * 900 + "\nat_hand = 0x" + "f" * 900 + "\n"),
    "an exponent of many digits": ("all.toml", '[paper.a]\nsheet = "A4"\nprice = 1e99999999999999999999\n'),
    "many papers": ("all.toml", "".join(f"[paper.p{i}]\nshet = 1\n" for i in range(20_000))),
    "many parts": ("all.toml", "[design.d]\nparts = [\n" + "{ mta = 1 },\n" * 100_000 + "]"),
    "many wrong keys": ("all.toml", "[paper.a]\n" + "".join(f"sheet{i} = 1\n" for i in range(20_000))),
    "many scores": (
        "all.toml",
        '[design.d]\nsize = "A4"\nacross = [\n' + "".join(f'"{i}/64",\n' for i in range(1, 400)) + "]",
    ),
    "many broken tables": ("all.toml", "[paper.a]\nx = y\n" * 20_000),
    "many names of one look": ("all.toml", "".join(f'[paper."{" " * i}a"]\n' for i in range(900))),
    "a wrong list": ("all.csv", HEADER + "pine,x,y,z\n" * 200_000),
    "many unknown papers": ("all.csv", HEADER + "".join(f"pine{i},1,1,1\n" for i in range(30_000))),
    "a quote that is never closed": ("all.csv", HEADER + '"pine,1,1,1\n' + "x,1,1,1\n" * 10_000),
    "nothing but separators": ("all.csv", ",;\t" * 200_000),
    "nothing but lines": ("all.csv", "\n" * 1_000_000),
    "nothing but quotes": ("all.csv", '"' * 1_000_000),
}


@pytest.mark.parametrize("case", MANY)
def test_hostile_sizes_end_soon(tmp_path: Path, case: str) -> None:
    name, text = MANY[case]
    (tmp_path / name).write_text(text)
    problems(tmp_path)


@pytest.mark.parametrize("name", ["a.toml", "a.csv"])
def test_files_over_5_mb_are_not_read(tmp_path: Path, name: str) -> None:
    (tmp_path / name).write_bytes(b"#" * 50_000_000)
    assert problems(tmp_path)[0].what == "This file is larger than 5 MB."


def test_folders_that_are_no_project_are_sentences(tmp_path: Path) -> None:
    assert problems(tmp_path / "nowhere")[0].what == "There is no such folder."
    assert problems(tmp_path)[0].what == "The folder holds no .toml file and no .csv file."
    (tmp_path / "a.txt").write_text("")
    assert problems(tmp_path / "a.txt")[0].what == "This is not a folder."
    assert problems(tmp_path / "a\0b")
    assert "cannot be read" in problems(Path("x" * 5000))[0].what


def test_a_folder_in_place_of_a_file_is_a_sentence(tmp_path: Path) -> None:
    (tmp_path / "a.toml").mkdir()
    (tmp_path / "loop.csv").symlink_to(tmp_path / "loop.csv")
    assert [problem.place.file for problem in problems(tmp_path)] == ["a.toml", "loop.csv"]


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="the superuser may read everything")
def test_a_file_that_may_not_be_read_is_a_sentence(tmp_path: Path) -> None:
    (tmp_path / "a.toml").write_text("")
    (tmp_path / "a.toml").chmod(0)
    assert "cannot be read" in problems(tmp_path)[0].what


def test_too_many_files_are_no_project(tmp_path: Path) -> None:
    for i in range(101):
        (tmp_path / f"{i}.csv").write_text("")
    assert problems(tmp_path)[0].what == "The folder holds more than 100 files of a project."


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-le", "utf-32", "cp1252"])
def test_a_toml_file_in_another_encoding_is_a_sentence(tmp_path: Path, encoding: str) -> None:
    (tmp_path / "a.toml").write_bytes('unit = "in"\nnote = "für"'.encode(encoding))
    found = problems(tmp_path)[0]
    assert found.what == "This file is not text in UTF-8."
    assert found.place.line == (2 if encoding == "cp1252" else 0)


def test_marks_line_ends_and_hidden_files_do_no_harm(tmp_path: Path) -> None:
    for path in (DEMOS / "harvest_stall").glob("*.toml"):
        text = path.read_text(encoding="utf-8").replace("\n", "\r\n")
        (tmp_path / path.name.upper()).write_bytes(text.encode("utf-8-sig"))
    (tmp_path / "._papers.toml").write_bytes(b"\0\1\2")
    (tmp_path / "~$list.csv").write_bytes(b"\0\1\2")
    assert len(read_project(tmp_path).papers) == len(read_project(DEMOS / "harvest_stall").papers)
