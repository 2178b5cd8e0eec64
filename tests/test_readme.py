"""The README tells the truth: its output and pictures are the demo's, its examples are read, its commands exist."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

from PIL import Image

from nesting.command_line import main
from nesting.describe.project_file import read_project
from nesting.plan import make_plan
from nesting.reports.packet import packet
from nesting.reports.page_frame import LETTER
from nesting.reports.pages import save
from nesting.reports.plan_maps import paper_maps

ROOT = Path(__file__).parent.parent
README = ROOT / "README.md"
DEMO = ROOT / "demo_projects" / "harvest_stall" / "expected.txt"
OUTPUT = re.compile(r"(<!-- output: demo -->\n```\n).*?(```\n)", re.DOTALL)


def test_the_output_shown_is_that_of_the_demo(rewrite: bool) -> None:
    shown = DEMO.read_text("utf-8").split("\n\n")[0] + "\n"
    text = README.read_text("utf-8")
    if rewrite:
        README.write_text(OUTPUT.sub(lambda match: match[1] + shown + match[2], text), "utf-8")
    match = OUTPUT.search(README.read_text("utf-8"))
    assert match is not None
    assert match[0] == match[1] + shown + match[2]


def write_pictures() -> None:
    """The map of a layout and the first page of a paper in the packet, as small as can be read."""
    plan = make_plan(read_project(DEMO.parent))
    pumpkin = next(paper for paper in plan.papers if paper.paper.name == "pumpkin")
    page = next(page for page in packet(plan, LETTER) if "pumpkin" in page.title)
    save(replace(paper_maps(plan.project, pumpkin)[0], dpi=75), DEMO.parent / "sheet_map.png")
    save(replace(page, dpi=75), DEMO.parent / "packet_page.png")


def test_its_pictures_are_there_small_and_whole(rewrite: bool) -> None:
    if rewrite:
        write_pictures()
    shown = re.findall(r'<img src="([^"]+\.png)"', README.read_text("utf-8"))
    assert len(shown) == 2
    for name in shown:
        assert (ROOT / name).stat().st_size < 60_000
        with Image.open(ROOT / name) as picture:
            picture.load()
            assert 300 < picture.width < 800


def test_the_examples_make_a_project_without_mistakes(tmp_path: Path) -> None:
    blocks = re.findall(r"```toml\n(.*?)```", README.read_text("utf-8"), re.DOTALL)
    assert len(blocks) >= 3
    for number, block in enumerate(blocks):
        (tmp_path / f"{number}.toml").write_text(block, "utf-8")
    (tmp_path / "cream.toml").write_text('[paper.cream]\nsheet = "8 1/2 x 11"\n', "utf-8")
    project = read_project(tmp_path)
    assert [design.name for design in project.designs] == ["autumn"]


def test_every_command_named_exists() -> None:
    named = set(re.findall(r"`nesting ([a-z]+)", README.read_text("utf-8")))
    assert named
    assert named <= set(main.commands)


def test_every_command_has_a_line_of_help() -> None:
    for command in main.commands.values():
        assert command.help
        assert command.get_short_help_str(200).endswith(".")
