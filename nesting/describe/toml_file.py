"""One TOML file as a table of values that know their line; the only module that imports tomllib.

In: a path. Out: a TomlFile, or sentences about what is not TOML in it. Where one table is broken the others are
still read, so that one slip does not hide the rest.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal, InvalidOperation
from itertools import pairwise
from pathlib import Path

from nesting.describe.findings import Findings
from nesting.describe.text_file import read_text, shown_name
from nesting.describe.toml_lines import KeyPath, key_lines
from nesting.errors import Place
from nesting.quoting import quoted

LONGEST_LINE = 1000  # characters
_HEADER = re.compile(r"\s*\[{1,2}\s*[\"']?(?:paper|design|batch|trimmer|costs)\b")
_SPOT = re.compile(r"\(at (?:line (\d+), column (\d+)|end of document)\)$")
_IN_QUOTES = 'Words and sizes stand in quotes, like sheet = "12 x 12"; inside them write in for inches.'
_ONE_OF_TWO = "Keep one of the two."
_QUOTE = "Close the words with the quote they began with, on the same line."
_HALF_A_LENGTH = re.compile(r"[0-9][ \t]*\Z"), re.compile(r'[ \t]*(?:[/0-9"\u00d7]|(?:x|in|mm|cm)(?![a-z_]))')
_MEANINGS = (  # a sign in the parser's message, what is wrong, what to do
    ("twice", "this table stands there twice", _ONE_OF_TWO),
    ("Cannot overwrite", "this key stands there twice", _ONE_OF_TWO),
    ("Cannot mutate", "this key or table stands there twice", _ONE_OF_TWO),
    ("Cannot redefine", "this key or table stands there twice", _ONE_OF_TWO),
    ("Duplicate inline", "a key stands there twice", _ONE_OF_TWO),
    ("declaration", "the heading does not end with ]", 'Write [paper.pine], or with blanks [paper."russet apples"].'),
    ("Unclosed inline table", "a table does not end with }", "Close it on its own line; commas separate its entries."),
    ("Unclosed array", "a list does not end with ]", "Close it; commas separate its entries."),
    ("Unescaped", "a backslash stands in quotes", "Take it out; for inches write in."),
    ("Unterminated", "the closing quote is missing", _QUOTE),
    ("Illegal character", "a closing quote is missing or a character is not allowed", _QUOTE),
    (
        "key part",
        "a key is expected here",
        "A line begins with a key, like price = 0.95; lists end with ], tables with }.",
    ),
    ("Invalid statement", "a key is expected here", 'Begin the line with a key, like sheet = "12 x 12".'),
    ("Expected '='", "there is no equals sign", 'Write it like sheet = "12 x 12"; a note for yourself begins with #.'),
    ("after a statement", "more follows where the line should end", _IN_QUOTES),
    ("", "a value is neither in quotes nor a number", _IN_QUOTES),
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
    return TomlFile(name, tomllib.loads(text, parse_float=_exact), key_lines(text))


def _exact(number: str) -> Decimal | str:
    """The number as written; one whose exponent no Decimal holds stays words, which no reader takes for a number."""
    try:
        return Decimal(number)
    except InvalidOperation:
        return number


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
            tomllib.loads("\n".join(block), parse_float=_exact)
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
    reason, todo = next((reason, todo) for sign, reason, todo in _MEANINGS if sign in message)
    if spot and spot[2] and "Unclosed" in message and _ends_in_a_length(lines[number - 1], int(spot[2]) - 1):
        reason, todo = "a length is not in quotes", _IN_QUOTES
    said = quoted(lines[number - 1].strip())
    findings.add(Place(name, before + number), f"{said} is not TOML: {reason}.", todo)


def _ends_in_a_length(line: str, at: int) -> bool:
    """Whether the parser took the first number of a length without quotes, such as 1/8, and stumbled over the rest."""
    number, rest = _HALF_A_LENGTH
    return bool(number.search(line[:at]) and rest.match(line[at:]))
