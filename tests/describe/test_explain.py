"""Every example that the texts of `nesting explain` show is read by the reader."""

from __future__ import annotations

import re
import textwrap
from pathlib import Path

import pytest

from nesting.describe.explain import explain, topics
from nesting.describe.project_file import read_project
from nesting.describe.sizes import read_sheet
from nesting.errors import NestingError
from nesting.lengths import Unit, read_length
from nesting.plan import make_plan


def examples(topic: str) -> list[str]:
    """The blocks indented by four blanks."""
    blocks = re.findall(r"(?m)(?:^    \S.*\n(?:^ {4,}.*\n|^\n(?=    \S))*)", explain(topic))
    return [textwrap.dedent(block) for block in blocks]


@pytest.mark.parametrize("topic", topics())
def test_a_text_fits_the_screen_and_shows_an_example(topic: str) -> None:
    lines = explain(topic).splitlines()
    assert len(lines) < 60
    assert max(map(len, lines)) <= 80
    assert examples(topic)


def test_the_examples_of_all_topics_together_are_a_project(tmp_path: Path) -> None:
    for topic in ("papers", "shops", "designs", "batch", "trimmer"):
        (tmp_path / f"{topic}.toml").write_text("\n".join(examples(topic)))
    (tmp_path / "list.csv").write_text(examples("pieces")[0])
    project = read_project(tmp_path)
    assert [paper.name for paper in project.papers] == ["cream", "russet apples", "pine", "kraft"]
    assert [len(design.parts) for design in project.designs] == [5, 2]
    assert [line.count for line in project.batch] == [12, 1]
    assert [(shop.name, len(shop.sells), shop.postage) for shop in project.shops] == [
        ("Ferry Street Papers", 2, 0),
        ("Three Herons Mail Order", 2, 320),
    ]
    assert len(project.trimmer.deep) == 3
    assert len(project.pieces) == 3


def test_every_length_and_size_shown_is_one() -> None:
    lengths, unit, keys, sizes = examples("lengths")
    assert len({read_length(line, Unit.INCH) for line in lengths.splitlines()}) == 5  # 1 7/8 in three spellings
    assert all(read_sheet(line, Unit.INCH) for line in sizes.splitlines())
    assert unit == 'unit = "mm"\n'
    assert keys.startswith('size = "5 1/2 x 8 1/2"')


def test_an_unknown_topic_is_answered_with_the_one_that_was_meant() -> None:
    with pytest.raises(NestingError, match="Did you mean “trimmer”"):
        explain("trimer")
    with pytest.raises(NestingError, match="Choose one of papers"):
        explain("xyz")


@pytest.mark.parametrize("topic", ["choosing", "fit"])
def test_the_example_of_a_topic_that_tells_a_whole_story_is_planned(tmp_path: Path, topic: str) -> None:
    (tmp_path / "all.toml").write_text("\n".join(examples(topic)))
    assert make_plan(read_project(tmp_path)).complete
