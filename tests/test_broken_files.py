"""Broken files of every kind end in a value or in sentences; the long run is benchmarks/fuzz.py."""

from __future__ import annotations

import json
import random
from collections.abc import Callable, Iterator
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from broken_files import NUMBERS, WORDS, broken_json, broken_list, broken_toml, encoded
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.describe.findings import Findings
from nesting.describe.project import Project
from nesting.describe.project_file import read_project
from nesting.describe.sizes import read_pair, read_sheet
from nesting.errors import NestingError, Place
from nesting.lengths import Unit, read_length
from nesting.money import Currency
from nesting.packing.solve import Effort
from nesting.pieces.piece_list import piece_list
from nesting.plan import make_plan
from nesting.quoting import printable
from nesting.reports.plan_folder import write_plan
from nesting.reports.plan_read import read_plan
from nesting.standards import grammage
from nesting.stash.list_file import read_list

DEMOS = Path(__file__).parent.parent / "demo_projects"
CHANCE = st.integers(0, 2**32).map(random.Random)
DRAWER = "paper,width,height,count,print,label\npine,12 in,12 in,3,none,=gift\nkraft,140 mm,5 1/2,1,unknown,\n"


def expect_sentences(read: Callable[[], object]) -> tuple[str, ...]:
    """What is said, if anything is: of every mistake where, what, and what to do."""
    try:
        read()
    except NestingError as wrong:
        for problem in wrong.problems:
            assert problem.place.file
            for sentence in (problem.what, problem.todo):
                assert sentence[-1] in ".?"
                assert printable(sentence)
                assert len(sentence) < 400
        return tuple(problem.what for problem in wrong.problems)
    return ()


@pytest.fixture(scope="module")
def planned() -> Iterator[tuple[Project, str]]:
    project = read_project(DEMOS / "class_kit_list")
    with TemporaryDirectory() as name:
        write_plan(make_plan(project, effort=Effort.QUICK), Path(name), maps=False)
        yield project, (Path(name) / "plan.json").read_text("utf-8")


@settings(max_examples=120, deadline=None)
@given(st.sampled_from(sorted(path.name for path in DEMOS.iterdir() if path.is_dir())), CHANCE)
def test_projects_with_odd_values_end_in_sentences(demo: str, chance: random.Random) -> None:
    with TemporaryDirectory() as name:
        folder = Path(name)
        for path in (DEMOS / demo).glob("*.[tc]*"):
            (folder / path.name).write_bytes(path.read_bytes())
        broken = chance.choice(sorted(folder.glob("*.toml")))
        broken.write_bytes(encoded(broken_toml(broken.read_text("utf-8"), chance), chance))
        expect_sentences(lambda: piece_list(read_project(folder)))


def test_a_list_with_a_paper_of_no_name_is_a_sentence(tmp_path: Path) -> None:
    for path in (DEMOS / "winter_window").glob("*.toml"):
        text = path.read_text("utf-8").replace('["blue berries", "red berries"]', '[""]')
        (tmp_path / path.name).write_text(text, "utf-8")
    assert expect_sentences(lambda: piece_list(read_project(tmp_path))) == ("There is no paper “”.",)


@settings(max_examples=120, deadline=None)
@given(CHANCE)
def test_lists_of_the_drawer_with_odd_cells_end_in_sentences(chance: random.Random) -> None:
    with TemporaryDirectory() as name:
        path = Path(name) / "drawer.csv"
        path.write_bytes(encoded(broken_list(DRAWER, chance), chance))
        expect_sentences(lambda: read_list(path, Unit.INCH))


@settings(max_examples=120, deadline=None)
@given(CHANCE)
def test_plans_with_odd_values_end_in_sentences(planned: tuple[Project, str], chance: random.Random) -> None:
    project, text = planned
    with TemporaryDirectory() as name:
        (Path(name) / "plan.json").write_bytes(encoded(broken_json(text, chance), chance))
        expect_sentences(lambda: read_plan(Path(name), project))


@pytest.mark.parametrize("text", ["[" * 100_000, '{"a":' * 100_000, "9" * 1_000_000, "", "null", "[]", "\ufeff{}"])
def test_what_is_no_plan_is_a_sentence(planned: tuple[Project, str], tmp_path: Path, text: str) -> None:
    (tmp_path / "plan.json").write_text(text, encoding="utf-8")
    assert expect_sentences(lambda: read_plan(tmp_path, planned[0]))


def test_a_layout_nested_without_end_is_a_sentence(planned: tuple[Project, str], tmp_path: Path) -> None:
    data = json.loads(planned[1])
    leaf = json.dumps(data["papers"][0]["layouts"][0]["tree"])
    deep = '{"is": "cut", "width": 1, "height": 1, "axis": "across", "parts": [' * 5000 + leaf + "]}" * 5000
    data["papers"][0]["layouts"][0]["tree"] = "DEEP"
    (tmp_path / "plan.json").write_text(json.dumps(data).replace('"DEEP"', deep), encoding="utf-8")
    assert expect_sentences(lambda: read_plan(tmp_path, planned[0]))


@pytest.mark.parametrize("title", ["\ud800", "\x1b[31mred", "two\nlines", "\u202eturned"])
def test_a_plan_whose_words_a_screen_would_obey_is_a_sentence(
    planned: tuple[Project, str], tmp_path: Path, title: str
) -> None:
    for where in ("title", "letter"):
        data = json.loads(planned[1])
        (data if where == "title" else data["papers"][0]["kinds"][0])[where] = title
        (tmp_path / "plan.json").write_text(json.dumps(data), encoding="utf-8")
        assert expect_sentences(lambda: read_plan(tmp_path, planned[0]))


@given(st.sampled_from([*WORDS, *NUMBERS]) | st.text(max_size=90))
def test_words_that_are_no_length_size_price_or_weight_are_quoted_so_that_a_screen_shows_them(word: str) -> None:
    readers: tuple[Callable[[], object], ...] = (
        lambda: read_length(word, Unit.INCH),
        lambda: read_sheet(word, Unit.MILLIMETRE),
        lambda: read_pair(word, Unit.CENTIMETRE),
        lambda: Currency().read(word),
        lambda: grammage(word),
    )
    for read in readers:
        findings = Findings()
        try:
            read()
        except ValueError as wrong:
            findings.refuse(Place("typed"), str(wrong))
        for problem in findings.problems:
            assert printable(problem.what + problem.todo)
            assert len(problem.what) < 400
