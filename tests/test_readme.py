"""The README tells the truth: its output is the demo's, its examples are read, its commands exist."""

from __future__ import annotations

import re
from pathlib import Path

from nesting.command_line import main
from nesting.describe.project_file import read_project

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
