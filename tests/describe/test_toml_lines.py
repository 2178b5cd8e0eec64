"""Each key of a TOML text is found on the line where it stands."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.describe.toml_lines import KeyPath, key_lines

DEMOS = sorted((Path(__file__).parents[2] / "demo_projects").glob("*/*.toml"))

HARD = '''# a comment = [ not a list
"quoted key" = 1 # another
'literal "key"'.inner = """
[not.a.table]
x = "\\""" and ""quotes"" inside"""""
list = [ # comment ]
  [1, 2,],
  { a = "}", b.c = ']' },
  \'\'\'
]\'\'\',
  1979-05-27 07:32:00,
]
"\\u00e9" = 'x'
[table]
y = {}
[[many]]
z = 1
[[many]]
z = 2
[many.sub."a.b"]
w = true
'''
HARD_LINES: dict[KeyPath, int] = {
    ("quoted key",): 2,
    ('literal "key"',): 3,
    ('literal "key"', "inner"): 3,
    ("list",): 6,
    ("list", 0): 7,
    ("list", 0, 0): 7,
    ("list", 0, 1): 7,
    ("list", 1): 8,
    ("list", 1, "a"): 8,
    ("list", 1, "b"): 8,
    ("list", 1, "b", "c"): 8,
    ("list", 2): 9,
    ("list", 3): 11,
    ("é",): 13,
    ("table",): 14,
    ("table", "y"): 15,
    ("many",): 16,
    ("many", 0): 16,
    ("many", 0, "z"): 17,
    ("many", 1): 18,
    ("many", 1, "z"): 19,
    ("many", 1, "sub"): 20,
    ("many", 1, "sub", "a.b"): 20,
    ("many", 1, "sub", "a.b", "w"): 21,
}


def paths(value: object, path: KeyPath = ()) -> Iterator[KeyPath]:
    if path:
        yield path
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from paths(inner, (*path, key))
    elif isinstance(value, list):
        for i, inner in enumerate(value):
            yield from paths(inner, (*path, i))


def test_strings_comments_and_tables_do_not_lead_astray() -> None:
    assert key_lines(HARD) == HARD_LINES
    assert set(HARD_LINES) == set(paths(tomllib.loads(HARD)))


@pytest.mark.parametrize("file", DEMOS, ids=lambda file: f"{file.parent.name}/{file.name}")
def test_every_key_of_a_demo_stands_on_its_line(file: Path) -> None:
    text = file.read_text(encoding="utf-8")
    found = key_lines(text)
    assert set(found) == set(paths(tomllib.loads(text)))
    rows = text.split("\n")
    for path, line in found.items():
        if isinstance(path[-1], str):
            assert path[-1] in rows[line - 1]


KEYS = st.text(min_size=1, max_size=6)
LEAVES = st.booleans() | st.integers(-9, 9) | st.text(max_size=8)
VALUES = st.recursive(LEAVES, lambda inner: st.lists(inner, max_size=3) | st.dictionaries(KEYS, inner, max_size=3))


def spelled(value: object, rows: list[str], path: KeyPath, lines: dict[KeyPath, int], newline: bool) -> None:
    """Write a value at the end of the last row, lists over several lines, and note where everything stands."""
    if isinstance(value, dict):
        rows[-1] += "{ "
        for i, (key, inner) in enumerate(value.items()):
            rows[-1] += ", " if i else ""
            lines[(*path, key)] = len(rows)
            rows[-1] += f"{quoted(key)} = "
            spelled(inner, rows, (*path, key), lines, newline=False)
        rows[-1] += " }"
    elif isinstance(value, list):
        rows[-1] += "["
        for i, inner in enumerate(value):
            if newline:
                rows.append("  ")
            lines[(*path, i)] = len(rows)
            spelled(inner, rows, (*path, i), lines, newline)
            rows[-1] += ", # ]\n".rstrip("\n") if newline else ","
        if newline:
            rows.append("")
        rows[-1] += "]"
    else:
        rows[-1] += quoted(value) if isinstance(value, str) else str(value).lower()


def quoted(text: str) -> str:
    return '"' + "".join(f"\\U{ord(letter):08x}" if not letter.isalnum() else letter for letter in text) + '"'


@settings(max_examples=150, deadline=None)
@given(st.dictionaries(KEYS, VALUES, max_size=4))
def test_the_scanner_finds_every_value_that_was_written(values: dict[str, object]) -> None:
    rows = ["# first"]
    lines: dict[KeyPath, int] = {}
    for key, value in values.items():
        rows.append(f"{quoted(key)} = ")
        lines[(key,)] = len(rows)
        spelled(value, rows, (key,), lines, newline=True)
    text = "\n".join(rows)
    assert tomllib.loads(text) == values
    assert key_lines(text) == lines
