"""What a part lies on: panels by number or name, the part before it, or another part of the design.

In: the word, number or list behind `on`, the panels, and the parts whose names are known. Out: On, or a mistake with
what could have been meant. The fact of the trade: layers are glued on layers, and the lowest on panels.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from nesting.describe.designs import PartKind
from nesting.describe.findings import Findings
from nesting.describe.names import composed
from nesting.describe.panel_names import PanelNames, repeated
from nesting.describe.tables import Table
from nesting.describe.values import Said
from nesting.errors import Place
from nesting.quoting import quoted


@dataclass
class Draft:
    """A part whose kind and name are known; what it lies on is looked up once all names are."""

    kind: PartKind
    name: str
    table: Table
    place: Place


@dataclass
class Drafts:
    """The parts of a design whose names are known so far."""

    by_name: dict[str, Draft] = field(default_factory=dict)
    doubtful: set[str] = field(default_factory=set)  # words of parts that could not be read, which may be names


@dataclass(frozen=True)
class On:
    """What a part lies on: panels or another part, and the user's words for it."""

    panels: tuple[int, ...] = ()
    part: str = ""
    words: str = ""


def lies_on(
    said: Said, before: Draft | None, first: bool, drafts: Drafts, book: PanelNames, findings: Findings
) -> On | None:
    """What the words behind `on` mean, None and a mistake noted where they mean nothing.

    before: the part that stands before this one, None where it could not be read; first: no part stands before it.
    """
    value = said.value
    if value == "below":
        if first:
            findings.add(said.place, "Nothing stands before the first part.", "Write what it lies on, like on = 1.")
        return None if before is None else _on_part(said, before, findings)
    if isinstance(value, str) and composed(value) in drafts.by_name:
        return _on_part(said, drafts.by_name[composed(value)], findings)
    entries = said.entries()
    found: list[int] = []
    heard: list[str] = []
    for entry in entries:
        numbers = _panels_meant(entry, isinstance(value, list), drafts, book, findings)
        if numbers is None:
            continue
        heard.append(f"panel {numbers[0]}" if _as_number(entry.value) is not None else str(entry.value))
        found += [number for number in numbers if not repeated(number, found, entry.place, findings)]
    if not entries:
        findings.add(said.place, "The list is empty.", "Name the panels, like on = [1, 5].")
    return On(tuple(found), "", ", ".join(heard)) if found else None


def _as_number(value: object) -> int | None:
    if isinstance(value, str) and value.strip().isdecimal() and len(value) < 10:
        return int(value)
    return value if isinstance(value, int) and not isinstance(value, bool) else None


def _on_part(said: Said, below: Draft, findings: Findings) -> On | None:
    if below.kind is PartKind.WINDOW:
        todo = "Put it on the part that the window is cut into."
        findings.add(said.place, f"Nothing can lie on the window {quoted(below.name)}.", todo)
        return None
    return On((), below.name, below.name)


def _panels_meant(
    said: Said, in_list: bool, drafts: Drafts, book: PanelNames, findings: Findings
) -> tuple[int, ...] | None:
    """The panels of one word or number, None and a mistake noted where it means none."""
    number = _as_number(said.value)
    if number is not None:
        if not book.panels and book.sure:
            findings.add(said.place, "The design has no base, so it has no panels.", "Give it a base and a size.")
            return None
        panel = book.number(said, number, findings)
        return None if panel is None else (panel,)
    if not isinstance(said.value, str):
        findings.add(
            said.place, f"{quoted(said.value)} is no panel and no part.", 'Write on = 2, on = "front" or on = [1, 5].'
        )
        return None
    word = composed(said.value)
    if word in book.groups:
        return book.groups[word] or None
    if in_list and word in drafts.by_name:
        todo = "Write one part for each part that it lies on."
        findings.add(said.place, f"{quoted(word)} is a part; a list names panels only.", todo)
    elif book.sure and word not in drafts.doubtful:
        known = [*book.groups, *drafts.by_name]
        todo = findings.hint(word, known, "write the number of a panel or the name of a part of this design.")
        findings.add(said.place, f"There is no panel or part {quoted(word)} in this design.", todo)
    return None
