"""Names that the user gives: to papers, designs, panels and parts.

In: words and their places. Out: names that can be printed and told apart, or the mistake noted. The habit it serves:
"Pine" and "pine" are one paper to a person, so they may not be two to the program.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator

from nesting.describe.findings import Findings, same_word
from nesting.errors import Place
from nesting.quoting import printable, quoted

LONGEST_NAME = 80


class Names:
    """The names of one kind of thing, and where each was first given."""

    def __init__(self) -> None:
        self._given: dict[str, tuple[str, Place]] = {}

    def __iter__(self) -> Iterator[str]:
        return (name for name, _ in self._given.values())

    def __contains__(self, name: object) -> bool:
        return isinstance(name, str) and bool(name) and self.meant(name) == composed(name)

    def meant(self, word: str) -> str:
        """The name that a word means when case and blanks are not looked at; "" if there is none."""
        return self._given.get(same_word(word), ("", Place()))[0]

    def give(self, word: str, place: Place, findings: Findings) -> str | None:
        """Take a new name; None, and the mistake noted, where it cannot be printed or is taken."""
        name = composed(word)
        fault = _fault(name)
        if fault:
            findings.add(place, f"The name {quoted(name)} {fault[0]}.", fault[1])
            return None
        other, first = self._given.setdefault(same_word(name), (name, place))
        if first is place:
            return name
        where = f"{first.file}, line {first.line}"
        if other == name:
            what = f"The name {quoted(name)} is given twice; the first is in {where}."
        else:
            what = f"The name {quoted(name)} differs only by case or blanks from {quoted(other)} in {where}."
        findings.add(place, what, "Rename one of the two, or take it out.")
        return None


def composed(word: str) -> str:
    """The word in Unicode's composed form, so that equal looks are equal words."""
    return unicodedata.normalize("NFC", word)


def _fault(name: str) -> tuple[str, str] | None:
    if not name.strip():
        return "is empty", "Give a name of letters or digits."
    if len(name) > LONGEST_NAME:
        return f"has more than {LONGEST_NAME} characters", "Give a shorter one."
    if not printable(name):
        return "holds a control character", "Type the name anew."
    if name != name.strip():
        return "begins or ends with a blank", "Take the blank out."
    return None
