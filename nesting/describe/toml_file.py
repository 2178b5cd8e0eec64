"""One TOML file as a table of values that know their line; the only module that imports tomllib.

In: a path. Out: a TomlFile, or sentences about what is not TOML in it. Where one table is broken the others are
still read, so that one slip does not hide the rest.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from itertools import pairwise
from pathlib import Path

from nesting.describe.findings import Findings, quoted
from nesting.describe.text_file import read_text, shown_name
from nesting.describe.toml_lines import KeyPath, key_lines
from nesting.errors import Place

LONGEST_LINE = 1000  # characters
_HEADER = re.compile(r"\s*\[{1,2}\s*[\"']?(?:paper|design|batch|trimmer)\b")
_SPOT = re.compile(r"\(at (?:line (\d+), column (\d+)|end of document)\)$")
_IN_QUOTES = 'Words and sizes stand in quotes, like sheet = "12 x 12"; inside them write in for inches.'
_TODO = (
    ("twice", "Keep one of the two."),
    ("Cannot overwrite", "This key stands there twice; keep one of the two."),
    ("Cannot mutate", "This key or table stands there twice; keep one of the two."),
    ("Cannot redefine", "This key or table stands there twice; keep one of the two."),
    ("Duplicate inline", "Keep one of the two."),
    ("table declaration", 'Write [paper.pine], or with blanks in the name [paper."russet apples"].'),
    ("Unclosed inline table", "Close it with } on the same line; entries are separated by commas."),
    ("Unclosed array", "Close the list with ]; its entries are separated by commas."),
    ("Unescaped", "Inside quotes write in for inches, and no backslash."),
    ("Unterminated", "Close the words with the quote they began with."),
    ("Illegal character", "Close the words with the quote they began with, on the same line."),
    ("key part", "A list or inline table ends with ] or }, and a line begins with a key, like price = 0.95."),
    ("Expected '='", 'Write key = value, like sheet = "12 x 12"; a note for yourself begins with #.'),
)


@dataclass(frozen=True)
class TomlFile:
    """What a file says: `words` by key, floats as exact Decimals, and the line each key path stands on."""

    name: str
    words: dict[str, object]
    lines: Mapping[KeyPath, int] = field(repr=False, default_factory=dict)

    def line(self, path: KeyPath) -> int:
        """The line of a key, or of what it stands in where the key itself has none."""
        while path and path not in self.lines:
            path = path[:-1]
        return self.lines.get(path, 0)


def read_toml(path: Path, findings: Findings) -> TomlFile | None:
    """Read one file; None where nothing of it can be used. All that is not TOML is noted."""
    name = shown_name(path)
    text = read_text(path, findings)
    if text is None or not _lines_are_short(text, name, findings):
        findings.unread = True
        return None
    text = text.replace("\r\n", "\n")
    try:
        return _parsed(name, text)
    except RecursionError:
        findings.add(
            Place(name), "Lists or tables lie too deep in one another.", "Write the file as the examples show."
        )
    except ValueError as wrong:
        return _what_can_be_read(name, text, wrong, findings)
    findings.unread = True
    return None


def _parsed(name: str, text: str) -> TomlFile:
    return TomlFile(name, tomllib.loads(text, parse_float=Decimal), key_lines(text))


def _lines_are_short(text: str, name: str, findings: Findings) -> bool:
    for number, line in enumerate(text.split("\n"), 1):
        if len(line) > LONGEST_LINE:
            findings.add(
                Place(name, number),
                f"This line has more than {LONGEST_LINE} characters.",
                "Break it: a list may run over several lines.",
            )
            return False
    return True


def _what_can_be_read(name: str, text: str, wrong: ValueError, findings: Findings) -> TomlFile | None:
    """Note what is broken, table by table, and read the tables that are whole."""
    findings.unread = True
    lines = text.split("\n")
    starts = [0] + [i for i, line in enumerate(lines) if i and _HEADER.match(line)] + [len(lines)]
    kept: list[str] = []
    broken = False
    for start, end in pairwise(starts):
        block = lines[start:end]
        try:
            tomllib.loads("\n".join(block), parse_float=Decimal)
            kept += block
        except (ValueError, RecursionError) as slip:
            _note_slip(name, block, start, slip, findings)
            kept += [""] * len(block)
            broken = True
    if not broken:
        _note_slip(name, lines, 0, wrong, findings)
        return None
    try:
        return _parsed(name, "\n".join(kept))
    except (ValueError, RecursionError) as slip:
        _note_slip(name, lines, 0, slip, findings)
        return None


def _note_slip(name: str, lines: list[str], before: int, slip: Exception, findings: Findings) -> None:
    """Put the parser's message into a sentence with the line and what most likely went wrong."""
    if isinstance(slip, RecursionError):
        findings.add(Place(name, before + 1), "Lists lie too deep in one another.", "Write them as the examples show.")
        return
    message = str(slip)
    spot = _SPOT.search(message)
    if spot and spot[1]:
        number = min(int(spot[1]), len(lines))
    else:  # at the end, or a number of thousands of digits, which the parser does not place
        number = next((i for i in range(len(lines), 0, -1) if lines[i - 1].strip()), 1)
    reason = _SPOT.sub("", message).strip() if spot else "a value cannot be read"
    reason = reason[:1].lower() + reason[1:] if len(reason) < 120 else "something stands there twice"
    todo = next((todo for sign, todo in _TODO if sign in message), _IN_QUOTES)
    said = quoted(lines[number - 1].strip())
    findings.add(Place(name, before + number), f"{said} is not TOML ({reason}).", todo)
