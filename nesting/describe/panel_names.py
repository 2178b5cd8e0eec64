"""The panels of a base: cut apart by its scores, joined where they are not scored apart, and named.

In: the base's size, scores, `joined` and `panels`. Out: Panels, and the answer to "which panel is meant?". The fact of
the trade: a score may stop short, so that two panels of the grid are one.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from itertools import pairwise

from nesting.describe.designs import Panel
from nesting.describe.findings import Findings
from nesting.describe.names import Names
from nesting.describe.values import Said
from nesting.errors import Place
from nesting.lengths import ZERO, Length
from nesting.quoting import quoted

MOST_PANELS = 400


@dataclass
class PanelNames:
    """Panels by number, the numbers that a joined panel has taken up, those cut away, and the user's names.

    `sure` is false where the base itself is wrong, so that no panel of it can be called unknown.
    """

    panels: dict[int, Panel] = field(default_factory=dict)
    taken_up: dict[int, int] = field(default_factory=dict)
    gone: set[int] = field(default_factory=set)
    groups: dict[str, tuple[int, ...]] = field(default_factory=dict)
    sure: bool = True

    def number(self, said: Said, number: int, findings: Findings) -> int | None:
        """The panel of that number, None and a mistake noted where there is none."""
        if number in self.panels:
            return number
        if number in self.taken_up:
            lowest = self.taken_up[number]
            findings.add(said.place, f"Panel {number} is joined to panel {lowest}.", f"Write {lowest}.")
        elif number in self.gone:
            findings.add(said.place, f"Panel {number} is cut away.", "Name another panel.")
        elif self.sure:
            count = len(self.panels) + len(self.taken_up) + len(self.gone)
            there = "one panel" if count == 1 else f"panels 1 to {count}"
            what = f"There is no panel {quoted(number)}; the base has {there}."
            findings.add(said.place, what, "Count row by row from the top left, or check the scores.")
        return None


def grid(width: Length, height: Length, across: Iterable[Length], down: Iterable[Length]) -> dict[int, Panel]:
    """The panels between the scores and the edges, numbered row by row from the top left."""
    xs, ys = [ZERO, *across, width], [ZERO, *down, height]
    corners = [(x, y, right, below) for y, below in pairwise(ys) for x, right in pairwise(xs)]
    return {number: Panel(number, x, y, right - x, below - y) for number, (x, y, right, below) in enumerate(corners, 1)}


def join_panels(book: PanelNames, said: Said, findings: Findings) -> None:
    """Join each list of panel numbers into one panel that keeps the lowest number."""
    if not isinstance(said.value, list):
        findings.add(said.place, f"{quoted(said.value)} is no list of panels.", "Write it like joined = [[1, 6, 11]].")
        book.sure = False
        return
    groups = said.entries() if any(isinstance(entry, list) for entry in said.value) else [said]
    for group in groups if said.value else []:
        if not _join_one(book, group, findings):
            book.sure = False


def _join_one(book: PanelNames, said: Said, findings: Findings) -> bool:
    numbers = _numbers(book, said, findings)
    if numbers is None:
        return False
    if len(numbers) < 2:
        findings.add(said.place, "One panel alone cannot be joined.", "Name two or more neighbours, like [1, 2].")
        return False
    panels = [book.panels[number] for number in numbers]
    x, y = min(panel.x for panel in panels), min(panel.y for panel in panels)
    right = max(panel.x + panel.width for panel in panels)
    bottom = max(panel.y + panel.height for panel in panels)
    area = sum(panel.width.ticks * panel.height.ticks for panel in panels)
    if area != (right - x).ticks * (bottom - y).ticks:
        listed = ", ".join(map(str, numbers))
        what = f"The panels {listed} together are not a rectangle."
        findings.add(said.place, what, "Join only neighbours that form a rectangle.")
        return False
    lowest = min(numbers)
    for number in numbers:
        del book.panels[number]
        if number != lowest:
            book.taken_up[number] = lowest
    book.panels[lowest] = Panel(lowest, x, y, right - x, bottom - y)
    return True


def cut_away(book: PanelNames, said: Said, findings: Findings) -> list[Panel]:
    """Take panels out with the knife; at least one must be left."""
    numbers = _numbers(book, said, findings)
    if numbers is None:
        book.sure = False
        return []
    if len(numbers) == len(book.panels):
        findings.add(said.place, "All panels are cut away.", "Leave at least one.")
        book.sure = False
        return []
    book.gone |= set(numbers)
    return [book.panels.pop(number) for number in numbers]


def name_panels(book: PanelNames, said: Said, names: Names, findings: Findings) -> None:
    """Take the table `panels`: a name for a panel or for a group of panels."""
    if not isinstance(said.value, dict):
        findings.add(
            said.place, f"{quoted(said.value)} is no table of names.", "Write it like { front = 2, ends = [1, 5] }."
        )
        book.sure = False
        return
    for word, value in said.value.items():
        inner = said.inside(word, value)
        if word.strip().isdecimal() or word == "below":
            findings.add(inner.place, f"{quoted(word)} cannot name a panel.", "Choose a word, like front.")
            continue
        name = names.give(word, inner.place, findings)
        numbers = _numbers(book, inner, findings)
        if name is not None:
            book.groups[name] = tuple(sorted(numbers or ()))


def _numbers(book: PanelNames, said: Said, findings: Findings) -> list[int] | None:
    """A number, or a list of different numbers, of panels; None and the mistakes noted where one is wrong."""
    found: list[int] = []
    entries = said.entries()
    for entry in entries:
        if not isinstance(entry.value, int) or isinstance(entry.value, bool):
            findings.add(
                entry.place, f"{quoted(entry.value)} is not the number of a panel.", "Write it like 2 or [1, 5]."
            )
            continue
        number = book.number(entry, entry.value, findings)
        if number is not None and not repeated(number, found, entry.place, findings):
            found.append(number)
    if not entries:
        findings.add(said.place, "No panel is named.", "Write the number of a panel, or a list like [1, 5].")
    return found if found and len(found) == len(entries) else None


def repeated(number: int, found: list[int], place: Place, findings: Findings) -> bool:
    """Whether a panel is named twice; noted where it is."""
    if number in found:
        findings.add(
            place, f"Panel {number} is named twice.", "Name each panel once; for several copies write count = 2."
        )
        return True
    return False
