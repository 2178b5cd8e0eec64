"""The names of the papers, for whatever is cut from them or sold.

In: a word of the user's. Out: the paper of that name, or a mistake with the nearest name there is.
"""

from __future__ import annotations

from dataclasses import dataclass

from nesting.describe.findings import Findings
from nesting.describe.names import Names, composed
from nesting.describe.values import Said, words
from nesting.quoting import SHOWN, printable, quoted


@dataclass(frozen=True)
class PaperNames:
    """The papers that parts may be cut from; `all_read` is false where a file could not be read."""

    names: Names
    all_read: bool

    def check(self, said: Said, findings: Findings) -> str | None:
        """The paper of that name; None, and a mistake noted, where there is none."""
        word = words(said, findings)
        if word is None or composed(word) in self.names:
            return None if word is None else composed(word)
        if self.all_read:
            todo = findings.hint(word, self.names, f"describe it under the heading [paper.{_key(word)}].")
            findings.add(said.place, f"There is no paper {quoted(word)}.", todo)
        return None


def _key(word: str) -> str:
    plain = all(letter.isascii() and (letter.isalnum() or letter in "-_") for letter in word)
    if len(word) > SHOWN or not printable(word) or '"' in word:
        return "NAME"
    return word if plain and word else f'"{word}"'
