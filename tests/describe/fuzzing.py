"""Hostile inputs for the reader: random words, broken files, and true files damaged in random places."""

from __future__ import annotations

from pathlib import Path
from tempfile import TemporaryDirectory

from hypothesis import strategies as st

from nesting.describe.project import Project
from nesting.describe.project_file import read_project
from nesting.errors import NestingError, Problem
from nesting.quoting import printable

DEMOS = Path(__file__).parents[2] / "demo_projects"
FILES = sorted(DEMOS.glob("*/*.toml")) + sorted(DEMOS.glob("*/*.csv"))
PIECES = [
    "[", "]", "{", "}", '"', "'", '"""', "'''", "=", ",", ".", "#", "\n", "\r", "\r\n", "\\", "\0", "\ufeff", "\u202e",
    "\x1b[31m", " ", "-1", "0", "1e" + "9" * 30, "nan", "-inf", "9" * 400, "0x" + "f" * 400, "1979-05-27", "true",
    "[paper.a]", "[[design.x.parts]]", "[design.x]", "[batch]", "[trimmer]", "unit = 7", "a.b.c = 1", "parts = 3",
    "on = []", "on = [[]]", "joined = [[1,2],[2,3]]", "panels = {below = 1}", "across = [1e3, true, {}]", "size = []",
    "1/0", "x", "paper = {}", "rim = {left = 1e9}", "sold = [[]]", "at_hand = [1]", "deep = {x = 1}", "cards = 3",
    'name = "\\u0000"', "e\N{COMBINING ACUTE ACCENT}", ";", "\t", "sep=;", "=1+1", "<script>", "../..",
]  # fmt: skip
SCRAPS = st.sampled_from(PIECES) | st.text(max_size=12)


@st.composite
def damaged(draw: st.DrawFn) -> tuple[str, bytes]:
    """A file of a demo project with a few scraps put in, or a few stretches taken out or doubled."""
    path = draw(st.sampled_from(FILES))
    text = path.read_text(encoding="utf-8")
    for _ in range(draw(st.integers(1, 4))):
        start = draw(st.integers(0, len(text)))
        end = min(len(text), start + draw(st.sampled_from([0, 0, 1, 2, 8, 40, 300])))
        middle = draw(SCRAPS | st.just(text[start:end] * 2))
        text = text[:start] + middle + text[end:]
    encoding = draw(st.sampled_from(["utf-8"] * 8 + ["utf-16", "cp1252", "utf-16-le"]))
    return path.name, text.encode(encoding, "replace")


WILD = st.lists(SCRAPS, max_size=40).map("".join) | st.text(max_size=200)


def read_beside(demo: str, name: str, data: bytes) -> Project | tuple[Problem, ...]:
    """Read a demo project with one file put in place of its own; anything but a NestingError is a fault."""
    with TemporaryDirectory() as place:
        folder = Path(place)
        for path in (path for path in FILES if path.parent.name == demo):
            (folder / path.name).write_bytes(path.read_bytes())
        (folder / name).write_bytes(data)
        try:
            return read_project(folder)
        except NestingError as wrong:
            return wrong.problems


def faults_of(problem: Problem) -> list[str]:
    """What is not as it should be in the words of a problem."""
    faults = []
    if not problem.place.file:
        faults.append("names no file")
    if problem.place.line < 0:
        faults.append("names a line before the first")
    for sentence in (problem.what, problem.todo):
        if not sentence or sentence[-1] not in ".?" or sentence[-2:] in {"..", ".?"}:
            faults.append(f"is no sentence: {sentence!r}")
        if not printable(sentence) or len(sentence) > 400:
            faults.append(f"cannot be shown: {sentence!r}")
        if "(at line" in sentence or "Traceback" in sentence or "<class" in sentence:
            faults.append(f"shows the works: {sentence!r}")
    return faults
