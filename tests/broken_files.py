"""A grammar of broken files: true files with values changed, stretches torn out, rows cut short, odd encodings.

In: a true text and a source of chance. Out: the bytes of a broken file. Four kinds: TOML, piece lists, lists of the
drawer, plans as JSON. Odd values are what people, spreadsheets and other programs put where something else should be.
"""

from __future__ import annotations

import json
import random
import re
from collections.abc import Callable
from typing import Any

WORDS = (
    "", " ", "nan", "NaN", "inf", "-inf", "Infinity", "null", "None", "true", "#REF!", "#N/A", "=1+1", "=CMD|'x'!A0",
    "@SUM(1)", "+1", "-1", "'", "''", "../../etc", "C:\\CON", "/", "<script>alert(1)</script>", "&amp;", "%s%n", "{0}",
    "\u202epine", "\ufeff", "\u00a0", "p\u0131ne", "e\u0301", "\U0001f332" * 30, "\x1b[31m", "\x00", "a" * 90,
    "a" * 600,
    "1/0", "0/1", "1/3", "1/128", "1 1 1/2", "1--2", "--", "1/2/3", "999999999/1", "1e9", "1e-9", ".5", "5.", "1,5",
    "1.000,5",
    "12 x", "x 12", "12 x 12 x 12", "0 x 0", "A99", "letter portrait", "12 x 1/0", "100000 in", "99999 mm x 99999 mm",
    "1/64 x 1/64", "0.01 mm x 0.01 mm", "80 lb", "0 gsm", "99999999 gsm", "80 lb tissue", "1 in 0", "1 in 99999",
    "0 in 1",
    "\u0661\u0662", "\uff11\uff12", "\u00bd", "12\u2033", "5\u20445", "1\u00a01/2",
)  # fmt: skip
NUMBERS = (
    "0", "-1", "-0", "1", "2", "7", "1000000", "1000001", "999999999", "1000000000", "9" * 30, "9" * 400, "0x7fffffff",
    "-0x1", "0o7", "1e3", "1e308", "1e309", "-1e309", "1e-400", "nan", "inf", "-inf", "0.1", "0.123456789012345",
    "1_000",
    "1979-05-27", "07:32:00", "true", "false",
)  # fmt: skip
SHAPES = ("[]", "{}", "[[]]", "[{}]", "{ x = 1 }", '["a", "b"]', "[1, 2]", "[[1, 2], [2, 3]]", '[""]', "[0]", "[-1]",
          '[{ sheet = "12 x 12" }, 3]', "{ a = 1, b = 2 }", '{ left = "1" }', '"on"', '"below"')  # fmt: skip
SCRAPS = (
    "[", "]", "{", "}", '"', "'", '"""', "'''", "=", ",", ".", "#", "\n", "\r", "\r\n", "\\", "\t", ";", "\0", "[[x]]",
    "[paper.a]", "[design.x]", "[[design.x.parts]]", "[batch]", "[trimmer]", "[costs]", "unit = 7", 'unit = "cm"',
    "a.b.c = 1",
    "sep=;", '\\u0000', "\u2028",
)  # fmt: skip
ENCODINGS = ("utf-8",) * 10 + ("utf-8-sig", "utf-16", "utf-16-le", "utf-32", "cp1252", "latin-1", "utf-7", "cp437")
_VALUE = re.compile(r'(?<==)\s*("[^"\n]*"|\[[^\[\]\n]*\]|[^,\n}\]]+)')
_KEY = re.compile(r"[A-Za-z_]+(?=\s*=)")
Breaker = Callable[[str, random.Random], str]


def odd_toml(chance: random.Random) -> str:
    """A value as TOML writes it, seldom the one that is meant."""
    kind = chance.random()
    if kind < 0.5:
        return '"' + chance.choice(WORDS).replace("\\", "\\\\").replace('"', "") + '"'
    return chance.choice(NUMBERS if kind < 0.8 else SHAPES)


def broken_toml(text: str, chance: random.Random) -> str:
    """Some values replaced by odd ones, keys swapped, lines lost or doubled; now and then torn anywhere."""
    for _ in range(chance.choice((1, 1, 1, 2, 4))):
        found = list(_VALUE.finditer(text)) if chance.random() < 0.6 else []
        keys = [match[0] for match in _KEY.finditer(text)] if not found else []
        if found:
            spot = chance.choice(found)
            text = f"{text[: spot.start()]} {odd_toml(chance)}{text[spot.end() :]}"
        elif keys and chance.random() < 0.4:
            text = text.replace(chance.choice(keys), chance.choice(keys), chance.choice((1, -1)))
        else:
            text = torn(text, chance) if chance.random() < 0.5 else _lines(text, chance)
    return text


def broken_list(text: str, chance: random.Random) -> str:
    """A list of cells with odd cells, short and long rows, another separator, decimal commas."""
    rows = [line.split(",") for line in text.splitlines()]
    for _ in range(chance.choice((1, 2, 3, 8))):
        row = chance.choice(rows)
        at = chance.randrange(len(row)) if row else 0
        match chance.randrange(6):
            case 0 | 1 | 2 if row:
                row[at] = chance.choice(WORDS + NUMBERS)
            case 3 if row:
                del row[at]
            case 4:
                row.insert(at, chance.choice(WORDS))
            case _:
                rows.insert(chance.randrange(len(rows) + 1), list(row) if row else [])
    sign = chance.choice((",", ",", ";", "\t", "|"))
    text = chance.choice(("\n", "\r\n", "\r")).join(sign.join(row) for row in rows)
    text = chance.choice(("", "", "", "sep=;\n", "\n\n")) + text
    return torn(text, chance) if chance.random() < 0.2 else text


def broken_json(text: str, chance: random.Random) -> str:
    """A plan with odd values somewhere in its depth, keys lost, lists shortened; now and then torn."""
    if chance.random() < 0.1:
        return torn(text, chance)
    data: Any = json.loads(text)
    for _ in range(chance.choice((1, 1, 1, 2, 3))):
        _break_inside(data, chance)
    return json.dumps(data, ensure_ascii=chance.random() < 0.5)


def _break_inside(data: Any, chance: random.Random) -> None:
    """Go down at random and change what is there."""
    here, steps = data, chance.randint(0, 9)
    while True:
        keys = list(here) if isinstance(here, dict) else list(range(len(here)))
        if not keys:
            return
        key = chance.choice(keys)
        if steps > 0 and isinstance(here[key], dict | list) and here[key]:
            here, steps = here[key], steps - 1
            continue
        match chance.randrange(7):
            case 0:
                del here[key]
            case 1 if isinstance(here, list):
                here.append(here[key])
            case 2 if isinstance(here[key], int):
                here[key] += chance.choice((-1, 1, 2, -1000, 10**9, 10**30, 0.5))
            case _:
                here[key] = chance.choice(
                    (None, True, False, 0, -1, 1, 2.5, float("nan"), 10**40, "", "x", [], {}, [[]], [0], {"is": "cut"},
                     "piece", "cut", "across", *WORDS[:12])
                )  # fmt: skip
        return


def torn(text: str, chance: random.Random) -> str:
    """A stretch lost, doubled, or replaced by a scrap."""
    start = chance.randint(0, len(text))
    end = min(len(text), start + chance.choice((0, 0, 1, 2, 8, 40, 300)))
    middle = chance.choice((chance.choice(SCRAPS), chance.choice(WORDS), text[start:end] * 2, ""))
    return text[:start] + middle + text[end:]


def _lines(text: str, chance: random.Random) -> str:
    lines = text.splitlines(keepends=True)
    if not lines:
        return text
    at = chance.randrange(len(lines))
    match chance.randrange(3):
        case 0:
            del lines[at]
        case 1:
            lines.insert(chance.randrange(len(lines) + 1), lines[at])
        case _:
            lines[at] = chance.choice(SCRAPS) + lines[at]
    return "".join(lines)


def encoded(text: str, chance: random.Random) -> bytes:
    """The text in some encoding, with a few bytes changed now and then."""
    data = bytearray(text.encode(chance.choice(ENCODINGS), "replace"))
    while data and chance.random() < 0.05:
        data[chance.randrange(len(data))] = chance.randrange(256)
    return bytes(data)
