"""A table taken key by key: every key typed, every unknown key answered with the one that was meant.

In: a Said whose value is a table. Out: typed values, mistakes noted. The habit it serves: a misspelt key is one
mistake, not two; it is not reported again as missing.
"""

from __future__ import annotations

from typing import TypeVar

from nesting.describe.findings import Findings
from nesting.describe.names import Names
from nesting.describe.values import Reader, Said
from nesting.errors import Place
from nesting.quoting import quoted

T = TypeVar("T")
MOST_KEYS = 100  # more than any table has use for; beyond them no misspelt key is looked for


class Table:
    """Keys are taken one after the other; `close` reports those nobody asked for and those that are missing."""

    def __init__(self, said: Said, findings: Findings) -> None:
        self.said = said
        self.findings = findings
        self.values: dict[str, object] = said.value if isinstance(said.value, dict) else {}
        self.known: list[str] = []
        self.missing: list[tuple[str, str]] = []

    @property
    def place(self) -> Place:
        """Where the table stands."""
        return self.said.place

    def has(self, key: str) -> bool:
        """Whether the user wrote this key."""
        return key in self.values

    def meant(self, key: str) -> bool:
        """Whether the user wrote this key, or one that is close to it."""
        return key in self.values or any(self.findings.nearest(word, [key]) for word in list(self.values)[:MOST_KEYS])

    def at(self, key: str) -> Said | None:
        """The raw value of a key, None where it is not there."""
        self.known.append(key)
        return self.said.inside(key, self.values[key]) if key in self.values else None

    def take(self, key: str, reader: Reader[T]) -> T | None:
        """The value of a key, None where it is not there or wrong."""
        said = self.at(key)
        return None if said is None else reader(said, self.findings)

    def need(self, key: str, reader: Reader[T], example: str) -> T | None:
        """The value of a key that must be there; the example shows how to write it."""
        if key not in self.values:
            self.missing.append((key, example))
        return self.take(key, reader)

    def list_of(self, key: str, reader: Reader[T]) -> list[T]:
        """The values of a list, the wrong ones left out; a single value is a list of one."""
        said = self.at(key)
        if said is None:
            return []
        found = [reader(entry, self.findings) for entry in said.entries()]
        return [value for value in found if value is not None]

    def refuse(self, key: str, what: str, todo: str) -> None:
        """Note a mistake at a key that is there."""
        self.findings.add(self.said.inside(key, None).place, what, todo)

    def close(self, may_hold: str) -> None:
        """Report unknown keys (what the table may hold is said in words) and missing ones."""
        unknown = [key for key in self.values if key not in self.known]
        meant = set()
        for key in unknown:
            close = self.findings.nearest(key, self.known)
            meant.add(close)
            todo = f"Did you mean “{close}”?" if close else f"Take it out; {may_hold}"
            place = Place(self.place.file, self.said.inside(key, None).place.line, self.place.subject)
            self.findings.add(place, f"Nothing is known by the key {quoted(key)}.", todo)
        for key, example in self.missing:
            if key not in meant:
                self.findings.add(self.place, f"The key “{key}” is missing.", f"Add it, like {example}.")


def named_tables(files: list[Said], key: str, names: Names, findings: Findings) -> dict[str, Said]:
    """All tables [key.NAME] of all files by name; the names are added to those given."""
    found: dict[str, Said] = {}
    for file in files:
        group = as_table(file, key, f"[{key}.NAME]", findings)
        for word, value in as_items(group):
            said = group.inside(word, value).about(f"{key} {quoted(word)}")
            name = names.give(word, said.place, findings)
            findings.unread |= name is None
            if not isinstance(value, dict):
                todo = f"Write a table under the heading [{key}.NAME]."
                findings.add(said.place, f"{quoted(value)} is not a table.", todo)
            elif name is not None:
                found[name] = said
    return found


def as_table(said: Said, key: str, heading: str, findings: Findings) -> Said:
    """The table under a key, an empty one where there is none; anything else is a mistake."""
    value = dict(as_items(said)).get(key, {})
    inner = said.inside(key, value)
    if not isinstance(value, dict):
        findings.add(inner.place, f"{quoted(value)} is not a table.", f"Write it under the heading {heading}.")
        findings.unread = True
    return inner


def as_items(said: Said) -> list[tuple[str, object]]:
    """Keys and values of a table as written, none where it is no table."""
    return list(said.value.items()) if isinstance(said.value, dict) else []
