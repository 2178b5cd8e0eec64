"""Every mistake is a sentence with its file, its line and a way out; all are told at once and none twice."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from nesting.describe.project_file import read_project
from nesting.describe.sizes import read_sheet
from nesting.errors import NestingError, Problem
from nesting.lengths import Unit

PAPERS = """
[paper.pine]
sheet = "12 x 12"
[paper.cream]
sheet = "A4"
"""
DESIGN = """
[design.robin]
base = "cream"
size = "8 1/2 x 5 1/2"
across = ["4 1/4"]
panels = { front = 2 }
parts = [
  { mat = "frame", on = "front", paper = "pine", smaller_by = "1/8" },
]
"""
BATCH = "[batch]\ncards = { robin = 2 }\n"


def problems(folder: Path, **texts: str) -> tuple[Problem, ...]:
    for name, text in texts.items():
        (folder / f"{name}.toml").write_text(text, encoding="utf-8")
    with pytest.raises(NestingError) as wrong:
        read_project(folder)
    return wrong.value.problems


def whole_project(folder: Path, old: str, new: str) -> list[str]:
    """The problems of a good project in which one stretch of text is changed."""
    good = PAPERS + DESIGN + BATCH
    assert old in good
    return [str(problem) for problem in problems(folder, all=good.replace(old, new))]


def test_a_wrong_paper_does_not_hide_a_wrong_design_or_batch(tmp_path: Path) -> None:
    found = problems(
        tmp_path,
        papers=PAPERS.replace("12 x 12", "12 x"),
        designs=DESIGN.replace("front = 2", "front = 3"),
        batch=BATCH.replace("= 2", "= -2"),
    )
    assert [(problem.place.file, problem.place.line) for problem in found] == [
        ("batch.toml", 2),
        ("designs.toml", 6),
        ("papers.toml", 3),
    ]


def test_a_broken_table_does_not_hide_the_mistakes_of_others(tmp_path: Path) -> None:
    found = problems(tmp_path, all=PAPERS.replace('"12 x 12"', "12 x 12") + DESIGN.replace("mat", "mta") + BATCH)
    assert [(problem.place.line, problem.what) for problem in found] == [
        (3, "“sheet = 12 x 12” is not TOML: more follows where the line should end."),
        (13, "Nothing is known by the key “mta”."),
    ]


@pytest.mark.parametrize("length", ["1/8", "1 1/8", "3 mm", "12x12", '12"'])
def test_a_length_without_quotes_in_a_part_is_told_apart_from_a_missing_bracket(tmp_path: Path, length: str) -> None:
    (found,) = problems(tmp_path, all=PAPERS + DESIGN.replace('"1/8"', length) + BATCH)
    assert found.what.endswith("is not TOML: a length is not in quotes.")
    assert found.todo.startswith("Words and sizes stand in quotes")
    (found,) = problems(tmp_path, all=PAPERS + DESIGN.replace('"1/8" }', '3 count = 2 }') + BATCH)
    assert found.what.endswith("is not TOML: a table does not end with }.")


def test_a_file_that_cannot_be_read_makes_no_noise_about_what_it_holds(tmp_path: Path) -> None:
    (tmp_path / "papers.toml").write_bytes(PAPERS.encode("utf-16"))
    found = problems(tmp_path, designs=DESIGN, batch=BATCH)
    assert [str(problem) for problem in found] == [
        "papers.toml: This file is not text in UTF-8. Save it again with the encoding UTF-8."
    ]


def test_a_part_on_a_wrong_part_is_not_reported_twice(tmp_path: Path) -> None:
    more = '{ layer = "picture", on = "frame", paper = "cream", border = "1/8" },\n]'
    good = PAPERS + DESIGN.replace("\n]", f"\n{more}") + BATCH
    for old, new in [('mat = "frame"', 'mta = "frame"'), ("1/8", "1/z"), ('paper = "pine"', 'paper = "pin"')]:
        assert len(problems(tmp_path, all=good.replace(old, new, 1))) == 1


CASES = [
    ('paper = "pine"', 'paper = "pin"', "There is no paper “pin”. Did you mean “pine”?"),
    ('paper = "pine"', 'paper = "Pine"', "There is no paper “Pine”. Did you mean “pine”?"),
    ('paper = "pine"', 'paper = "gold leaf"', 'Describe it under the heading [paper."gold leaf"].'),
    ('on = "front"', 'on = "frnt"', "There is no panel or part “frnt” in this design. Did you mean “front”?"),
    ('on = "front"', "on = 3", "There is no panel “3”; the base has panels 1 to 2."),
    ('on = "front"', "on = [1, 1]", "Panel 1 is named twice."),
    ('on = "front"', "on = true", "“true” is no panel and no part."),
    ('on = "front"', "on = []", "The list is empty."),
    ('on = "front"', 'on = "below"', "Nothing stands before the first part."),
    ('on = "front"', 'on = "frame"', "“frame” on “frame”: it lies on itself."),
    ('on = "front", ', "", "“smaller_by” needs something that the part lies on."),
    (', smaller_by = "1/8"', "", "The key “smaller_by” is missing."),
    ('smaller_by = "1/8"', 'smaller_by = "1/8", size = "1 x 1"', "The size is said more than once"),
    ('smaller_by = "1/8"', 'smaller_by = "1/3 x 1"', "finer than this program's grid"),
    ('smaller_by = "1/8"', 'smaller_by = "1/8", count = 0', "“0” is not a whole number from 1 to 10 000."),
    ('smaller_by = "1/8"', 'smaller_by = "1/8", allowance = 1', "A mat takes no allowance"),
    ('smaller_by = "1/8"', 'smaler_by = "1/8"', "Did you mean “smaller_by”?"),
    ('smaller_by = "1/8"', 'smaller_by = "1/8", turn = "yes"', "“yes” is neither true nor false."),
    ('mat = "frame"', 'mat = "frame", layer = "x"', "The part is said to be “mat” and “layer” at once."),
    ('mat = "frame"', 'mat = "below"', "“below” cannot name a part."),
    ('mat = "frame"', 'mat = "front"', "The name “front” is given twice; the first is in all.toml, line 11."),
    ('mat = "frame"', 'mat = ""', "The name “” is empty."),
    ('mat = "frame"', 'mat = "a\\u0007b"', "holds a control character"),
    ('mat = "frame"', 'mat = "a\\u202eb"', "holds a control character"),
    ('mat = "frame"', f'mat = "{"x" * 81}"', "has more than 80 characters"),
    ('mat = "frame", ', "", "The part does not say what it is."),
    ('mat = "frame"', 'window = "frame"', "A window is a hole and takes no paper."),
    ("front = 2", "front = 2, Front = 1", "The name “Front” differs only by case or blanks from “front”"),
    ("front = 2", "front = [2, 2]", "Panel 2 is named twice."),
    ("front = 2", 'front = "2"', "“2” is not the number of a panel."),
    ('"4 1/4"]', '"4 1/4", "4.25"]', "The score at “4.25” is there twice."),
    ('"4 1/4"]', '"8 1/2"]', "The score at “8 1/2” lies outside the base, which is 8 1/2 in wide."),
    ('"4 1/4"]', '"4 1/4"]\njoined = [[2, 3]]', "There is no panel “3”"),
    ('"4 1/4"]', '"1", "2", "3"]\njoined = [[1, 3]]', "The panels 1, 3 together are not a rectangle."),
    ('"4 1/4"]', '"1"]\njoined = [[1, 2]]', "Panel 2 is joined to panel 1. Write 1."),
    ('"4 1/4"]', '"1"]\njoined = [[2]]', "One panel alone cannot be joined."),
    ('size = "8 1/2 x 5 1/2"\n', "", "The key “size” is missing."),
    ('base = "cream"\nsize = "8 1/2 x 5 1/2"\n', "", "“across” belongs to a base, and the design has none."),
    ('"8 1/2 x 5 1/2"', '"8 1/2 x 0"', "has a side of nothing"),
    ('"8 1/2 x 5 1/2"', '"80 mm x 5 1/2"', "gives a unit for one side only"),
    ('"8 1/2 x 5 1/2"', '"8 1/2 x"', "“8 1/2 x” has one side only. Write both"),
    ('"12 x 12"', '"12 x 12"\nsold = ["A4"]', "“sheet” stands beside “sold”."),
    ('sheet = "12 x 12"', "price = 3", "The price belongs to no sheet."),
    ('sheet = "12 x 12"', "at_hand = 3", "“3” sheets are at hand, but of which size?"),
    ('sheet = "12 x 12"', 'sold = ["A4", "A5"]\nat_hand = 3', "of which of the sizes sold?"),
    ('sheet = "12 x 12"', 'sold = ["A4", "210 x 297 mm"]', "The same sheet is sold twice."),
    ('sheet = "12 x 12"', 'note = "no sheet"', "Of this paper no sheet is sold and none is at hand."),
    ('"12 x 12"', '"12 x 12"\nrim = 6', "The rim leaves nothing of this sheet."),
    ('"12 x 12"', '"12 x 12"\nprint = "sideways"', "“sideways” is not one of “none”, “two-way”, “one-way”."),
    ('"12 x 12"', '"12 x 12"\nprice = 0.955', "“0.955” is not a price."),
    ('"12 x 12"', '"12 x 12"\nweight = "heavy"', "“heavy” is not a paper weight."),
    ('"12 x 12"', '"12 x 12"\nat_hand = -1', "“-1” is not a whole number from 0 to 1 000 000."),
    (
        "[paper.cream]",
        "[paper.pine]",
        "“[paper.pine]” is not TOML: this table stands there twice. Keep one of the two.",
    ),
    ("[paper.cream]", "[papr.cream]", "Did you mean “paper”?"),
    ("robin = 2", "robin = 2, wren = 1", "There is no design “wren”."),
    ("robin = 2", "robin = 0", "No card is wanted."),
    ("robin = 2", "robin = 1_000_001", "is not a whole number from 0 to 1 000 000."),
    ("robin = 2", "robin = nan", "“NaN” is not a whole number"),
    (BATCH, "", "It is not said how many cards are wanted."),
    (BATCH, BATCH + 'spares = "a few"', "“a few” does not say how many spares."),
    (BATCH, BATCH + "[trimmer]\nkerf = 3", "A blade that removes “3” is no trimmer."),
    (BATCH, BATCH + '[trimmer]\ndeep = { "100 gsm" = 1, "200 gsm" = 2 }', "more sheets are cut in a pass"),
    (BATCH, BATCH + "[trimmer]\nlongest_cut = 0", "“0” is nothing."),
]


@pytest.mark.parametrize(("old", "new", "said"), CASES)
def test_one_slip_is_one_sentence(tmp_path: Path, old: str, new: str, said: str) -> None:
    found = whole_project(tmp_path, old, new)
    assert len(found) == 1, found
    assert said in found[0]


@pytest.mark.parametrize(
    ("size", "own"),
    [("12 x twelve", "twelve"), ("twelve x 12 mm", "twelve"), ("1//2 x 12 mm", "1//2"), ("12 by 12 foo", "12 foo")],
)
def test_a_wrong_side_of_a_size_is_quoted_as_it_was_written(size: str, own: str) -> None:
    with pytest.raises(ValueError, match=f"“{re.escape(own)}” is not a length"):
        read_sheet(size, Unit.INCH)
