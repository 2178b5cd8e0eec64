"""The packet: every page numbered once, every paper, map, pass and base in it, nothing left out."""

from __future__ import annotations

import functools
import re
from pathlib import Path

import pytest

from nesting.describe.project_file import read_project
from nesting.plan import Plan, make_plan
from nesting.reports.drawing import Drawing, Label, Text, every_shape
from nesting.reports.packet import packet, write_packet
from nesting.reports.page_frame import A4, LETTER, PageSize

DEMOS = Path(__file__).parents[2] / "demo_projects"


@functools.cache
def plan_of(name: str) -> Plan:
    return make_plan(read_project(DEMOS / name))


def words_of(page: Drawing) -> list[str]:
    said = []
    for shape in every_shape(page.shapes):
        if isinstance(shape, Text):
            said.append(shape.text)
        elif isinstance(shape, Label):
            said.append("".join(run.text for run in shape.ink() if isinstance(run, Text)))
    return said


@pytest.mark.parametrize("size", [LETTER, A4], ids=["letter", "A4"])
@pytest.mark.parametrize("name", ["lantern_walk", "class_kit_list"])
def test_pages_are_numbered_from_one_to_the_last_and_all_of_one_size(name: str, size: PageSize) -> None:
    pages = packet(plan_of(name), size)
    found = [re.search(r"page (\d+) of (\d+)", " ".join(words_of(page))) for page in pages]
    assert [match and match[0] for match in found] == [f"page {n} of {len(pages)}" for n in range(1, len(pages) + 1)]
    assert {(page.width, page.height) for page in pages} == {(size.width, size.height)}


def test_every_paper_has_pages_with_all_its_layouts() -> None:
    plan = plan_of("lantern_walk")
    pages = packet(plan, LETTER)
    for paper in plan.papers:
        said = [" ".join(words_of(page)) for page in pages if paper.paper.name in words_of(page)[:1]]
        assert said
        for number in range(1, len(paper.uses) + 1):
            assert any(f"Layout {number}" in text for text in said)


def test_every_scored_base_has_its_fold_sheet() -> None:
    plan = plan_of("lantern_walk")
    said = [" ".join(words_of(page)) for page in packet(plan, LETTER)]
    for design in plan.project.designs:
        assert any(design.name in text and "fold sheet" in text for text in said)


def test_the_cover_says_how_to_keep_ones_fingers() -> None:
    assert "makers' instructions" in " ".join(words_of(packet(plan_of("class_kit_list"), LETTER)[0]))


def test_the_packet_is_one_pdf(tmp_path: Path) -> None:
    path = tmp_path / "new" / "packet.pdf"
    count = write_packet(plan_of("class_kit_list"), path, LETTER)
    data = path.read_bytes()
    assert data.startswith(b"%PDF")
    assert len(re.findall(rb"/Type /Page\b", data)) == count
    assert [each.name for each in path.parent.iterdir()] == ["packet.pdf"]


def test_a_window_cut_into_the_front_of_a_card_is_on_its_fold_sheet() -> None:
    pages = packet(plan_of("harvest_stall"), LETTER)
    (sheet,) = [words_of(page) for page in pages if words_of(page)[:1] == ["cottage window"]]
    assert "cut out with a knife" in sheet
    assert "window" in sheet
