"""Sizes and numbers beyond all measure end soon, in little memory, in a plan or in sentences; names harm nobody.

Each case is the whole command in a program of its own, with its memory capped and its processor time counted.
"""

from __future__ import annotations

import csv
import re
import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree

import pytest
from click.testing import CliRunner

from nesting.command_line import main

resource = pytest.importorskip("resource", reason="this system counts no memory and no processor time")
MEMORY = 1 << 30
SECONDS = 40  # of the processor, on a slow machine; what is not bounded takes hours
SHEET = '[paper.a]\nsheet = "12 x 12"\nprice = 1\n'
ROLL = '[paper.a]\nsheet = "12 in x 10 m"\nprice = 9\n'.replace("10 m", "10000 mm")
HEADER = "paper,width,height,quantity\n"
SIZES = [f"a,{7 + 5 * i % 61}/16,{9 + 7 * i % 83}/16,25000\n" for i in range(5)]

PLANNED = {
    "a million pieces of one size": (SHEET, HEADER + "a,3,4,1000000\n"),
    "a hundred thousand pieces in five sizes": (SHEET, HEADER + "".join(SIZES)),
    "strips of 1/64 in from a roll of 10 m": (ROLL, HEADER + "a,1/64,12,90\na,1/32,1,120\n"),
}
REFUSED = {
    "a thousand million copies": (SHEET, HEADER + "a,3,4,1000000000\n", "is not a whole number up to 1 000 000"),
    "the same line by line": (SHEET, HEADER + "a,3,4,1000000\n" * 1000, "1000000000 pieces are wanted in all"),
    "specks on a roll": (ROLL, HEADER + "a,1/64,1/64,1000000\n", "one sheet of a gives 1000000 of it"),
    "lines without end": (SHEET, HEADER + "a,3,4,1\n" * 600_000, "50000 are the most that is read"),
    "nothing": (SHEET, HEADER + "a,0,4,1\n", "is nothing"),
    "less than nothing": (SHEET, HEADER + "a,-3,4,1\n", "is not a length"),
    "no number": (SHEET, HEADER + "a,nan,inf,NaN\n", "is not a length"),
    "half a piece": (SHEET, HEADER + "a,3,4,0.5\n", "is not a whole number"),
    "a sheet as wide as a field": ('[paper.a]\nsheet = "12 x 9999999"\n', HEADER + "a,3,4,1\n", "longer than 100 m"),
    "off the grid": (SHEET, HEADER + "a,1/3,4,1\n", "finer than this program's grid"),
}


def plan(folder: Path, papers: str, pieces: str) -> subprocess.CompletedProcess[str]:
    (folder / "papers.toml").write_text(papers)
    (folder / "list.csv").write_text(pieces)
    capped = (
        "import resource, sys\n"
        f"resource.setrlimit(resource.RLIMIT_AS, ({MEMORY}, {MEMORY}))\n"
        f"resource.setrlimit(resource.RLIMIT_CPU, ({SECONDS}, {SECONDS}))\n"
        "from nesting.command_line import main\n"
        "main(sys.argv[1:])\n"
    )
    words = ["plan", str(folder), "--no-maps", "--effort", "quick"]
    return subprocess.run([sys.executable, "-c", capped, *words], capture_output=True, text=True, check=False)


@pytest.mark.parametrize("case", PLANNED)
def test_what_is_large_and_true_is_planned_soon(tmp_path: Path, case: str) -> None:
    ended = plan(tmp_path, *PLANNED[case])
    assert (ended.returncode, ended.stderr.count("Traceback")) == (0, 0), ended.stderr[-500:]
    assert re.search("[0-9] sheets? (is|are) cut in all", " ".join(ended.stdout.split()))


@pytest.mark.parametrize("case", REFUSED)
def test_what_cannot_be_meant_is_a_sentence(tmp_path: Path, case: str) -> None:
    papers, pieces, said = REFUSED[case]
    ended = plan(tmp_path, papers, pieces)
    assert ended.returncode == 1, ended.stderr[-500:]
    assert said in " ".join((ended.stdout + ended.stderr).split())
    assert not (tmp_path / "plan").exists()


NAMES = [
    "=1+1",
    "+1",
    "-1",
    "@SUM(A1)",
    "../../up",
    "C:\\CON",
    "a/b",
    "<script>alert(1)</script>",
    "&amp;",
    "[bold]b[/bold]",
]


def test_names_that_are_formulas_paths_or_tags_are_written_as_mere_words(tmp_path: Path) -> None:
    papers = "".join(f"[paper.'{name}']\nsheet = \"6 x 6\"\nprice = 1\n" for name in NAMES)
    (tmp_path / "papers.toml").write_text(papers)
    rows = "".join(f'"{name}",3,4,2,"{name}"\n' for name in NAMES)
    (tmp_path / "list.csv").write_text("paper,width,height,quantity,label\n" + rows)
    ended = CliRunner().invoke(main, ["plan", str(tmp_path), "--detail", "--cost"])
    assert ended.exit_code == 0, ended.output[-500:]
    assert "[bold]b[/bold]" in ended.output
    assert {path.parent for path in tmp_path.rglob("*") if path.is_file()} == {tmp_path, tmp_path / "plan"}
    for path in (tmp_path / "plan").glob("*.csv"):
        with path.open(encoding="utf-8", newline="") as file:
            assert [cell for row in csv.reader(file) for cell in row if cell.startswith(("=", "+", "@"))] == []
    for path in (tmp_path / "plan").glob("*.svg"):
        tree = ElementTree.fromstring(path.read_text("utf-8"))
        assert not [node for node in tree.iter() if node.tag.endswith("script")]
