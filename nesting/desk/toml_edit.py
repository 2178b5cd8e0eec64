"""TOML files changed a key at a time, their comments, order and spelling kept; the only module that imports tomlkit.

In: texts. Out: texts that differ where something else was said and nowhere else. The fact it serves: the files stay
the hand-written ones of their owner, who reads them again after the page has been at them.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AoT, Array, InlineTable, Item, Table

_NUMBER = re.compile(r"\d{1,12}(\.\d{1,12})?")
Document = tomlkit.TOMLDocument


@dataclass(frozen=True, slots=True)
class Shown:
    """A value as a field shows it; `plain`: one that a line of a form can hold."""

    text: str = ""
    plain: bool = True


def read_document(text: str) -> Document | None:
    """The file, None where it is no TOML."""
    try:
        return tomlkit.parse(text)
    except (TOMLKitError, ValueError, RecursionError):
        return None


def write_document(document: Document) -> str:
    """The file's text."""
    return tomlkit.dumps(document)


def shown(table: Mapping[str, Any], key: str, kind: str) -> Shown:
    """What a key says, as a field of this kind shows it."""
    value = table.get(key)
    if value is None:
        return Shown()
    if isinstance(value, bool):
        return Shown("yes" if value else "no", kind in ("yes", "choice"))
    if isinstance(value, list) and kind == "list" and all(isinstance(one, (str, int, float)) for one in value):
        return Shown(", ".join(_plain(one) for one in value))
    if isinstance(value, (dict, list)):
        return Shown(value.as_string().strip() if isinstance(value, Item) else str(value), False)
    return Shown(_plain(value))


def _plain(value: Any) -> str:
    return str(value) if isinstance(value, str) or not isinstance(value, Item) else value.as_string()


def put(table: Any, key: str, kind: str, text: str) -> None:
    """Say something else under a key; nothing where it says so already, and "" takes the key out."""
    text = text.strip()
    before = shown(table, key, kind)
    if not before.plain or before.text == text:
        return
    if kind == "yes":
        if (text == "yes") != (before.text == "yes"):
            _set(table, key, True) if text == "yes" else _drop(table, key)
    elif not text:
        _drop(table, key)
    else:
        _set(table, key, typed(text, kind, table.get(key)))


def typed(text: str, kind: str, before: Any = None) -> Any:
    """The value in TOML: a number where one is meant, a list where there are several, else words in quotes."""
    text = text.strip()
    if kind == "list":
        entries = [part.strip() for part in text.split(",") if part.strip()]
        numbers = isinstance(before, list) and any(not isinstance(one, str) for one in before)
        if isinstance(before, str | int) and not isinstance(before, bool) and len(entries) == 1:
            return typed(entries[0], "number" if isinstance(before, int) else "words", before)
        array = tomlkit.array()
        for entry in entries:
            array.append(_number(entry) if numbers and _NUMBER.fullmatch(entry) else entry)
        return array
    was_number = isinstance(before, (int, float)) and not isinstance(before, bool)
    if _NUMBER.fullmatch(text) and (kind == "number" or was_number):
        return _number(text)
    return text


def _number(text: str) -> Any:
    return tomlkit.value(text.lstrip("0") if re.fullmatch(r"0+[1-9]\d*", text) else text)


def _set(table: Any, key: str, value: Any) -> None:
    """Set a key; a new one goes below the last key of its table, above the comments that lead on to the next."""
    if isinstance(table, Table) and key not in table:
        body = table.value.body
        rest: list[Any] = []
        while body and body[-1][0] is None:
            rest.insert(0, body.pop())
        table.add(key, value)
        body.extend(rest)
    else:
        table[key] = value


def _drop(table: Any, key: str) -> None:
    if key in table:
        del table[key]


def put_table(table: Any, key: str) -> None:
    """An empty table between braces under a new key."""
    _set(table, key, tomlkit.inline_table())


def put_row(parts: Any, number: int, values: Mapping[str, Any]) -> None:
    """Say the whole of one entry of a list of tables anew; keys keep their order, new ones come last."""
    row = parts[number]
    if isinstance(row, InlineTable):
        parts[number] = _inline(values)
        return
    for key in [key for key in row if key not in values]:
        del row[key]
    for key, value in values.items():
        if key not in row or row[key] != value:
            _set(row, key, value)


def add_row(table: Any, key: str, values: Mapping[str, Any]) -> None:
    """Add an entry to the list of tables under a key, in the way the list is written."""
    parts = table.get(key)
    if isinstance(parts, AoT):
        row = tomlkit.table()
        for name, value in values.items():
            row.add(name, value)
        parts.append(row)
    elif isinstance(parts, Array) and len(parts):
        parts.add_line(_inline(values), indent="  ")
    else:
        line = _inline(values).as_string()
        _set(table, key, tomlkit.parse(f"x = [\n  {line},\n]\n")["x"])


def drop_rows(parts: Any, numbers: Iterable[int]) -> None:
    """Take entries out of a list of tables."""
    for number in sorted(set(numbers), reverse=True):
        del parts[number]


def _inline(values: Mapping[str, Any]) -> InlineTable:
    words = ", ".join(f"{_key(key)} = {written(value)}" for key, value in values.items())
    made = tomlkit.parse(f"x = {{ {words} }}\n")["x"]
    assert isinstance(made, InlineTable)
    return made


def written(value: Any) -> str:
    """A value as TOML writes it."""
    return str(tomlkit.item(value).as_string()).strip()


def _key(word: str) -> str:
    return word if re.fullmatch(r"[A-Za-z0-9_-]+", word) else tomlkit.string(word).as_string()


def heading(path: Sequence[str], lines: Iterable[tuple[str, str]]) -> str:
    """A new table as text: its heading, and a line for each key with its value as TOML."""
    head = ".".join(_key(step) for step in path)
    return f"[{head}]\n" + "".join(f"{_key(key)} = {value}\n" for key, value in lines)


def renamed(text: str, kind: str, old: str, new: str) -> str:
    """The file with another name in all headings of one table, as [kind.NAME], [kind.NAME.more], [[kind.NAME.more]]."""
    spelled = {re.escape(word) for word in (_key(old), f'"{old}"', f"'{old}'")}
    heading = re.compile(
        rf"(?m)^([ \t]*\[{{1,2}}[ \t]*{kind}[ \t]*\.[ \t]*)(?:{'|'.join(sorted(spelled))})(?=[ \t]*[\].])"
    )
    return heading.sub(lambda match: match[1] + _key(new), text)


def rename_key(table: Any, key: str, old: str, new: str) -> None:
    """Another name for a key of the table under a key, in its place where the table stands between braces."""
    inner = table[key]
    if isinstance(inner, InlineTable):
        table[key] = _inline({new if name == old else str(name): value for name, value in inner.items()})
    else:
        value = inner[old]
        del inner[old]
        _set(inner, new, value)


def without(text: str, path: Sequence[str]) -> str:
    """The file without one table; comments between it and the next table stay."""
    document = read_document(text)
    if document is None:
        return text
    parent: Any = document
    for step in path[:-1]:
        parent = parent[step]
    rest = _comments_after(parent[path[-1]])
    del parent[path[-1]]
    left = write_document(document)
    at = next((n for n, (one, other) in enumerate(zip(text, left, strict=False)) if one != other), len(left))
    at = left.rfind("\n", 0, at) + 1
    return left[:at] + rest + left[at:]


def _comments_after(table: Any) -> str:
    """The comments at a table's end that follow a blank line, and so belong to what comes next."""
    while isinstance(table, (Table, AoT)):
        if isinstance(table, AoT):
            table = table[-1]
            continue
        body = table.value.body
        if body and isinstance(body[-1][1], (Table, AoT)):
            table = body[-1][1]
            continue
        tail: list[str] = []
        for key, item in reversed(body):
            if key is not None:
                break
            tail.insert(0, item.as_string())
        words = "".join(tail)
        _, blank, comments = words.partition("\n") if words.startswith("\n") else ("", "", words)
        return comments.lstrip("\n") if blank or not words.strip() else ""
    return ""
