"""The mistakes found while a project is read, gathered so that all are shown at once.

In: places and sentences. Out: a list of Problems, and words close to a misspelt one. The habit it serves: a slip
of one letter is answered with the word that was meant.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable
from difflib import get_close_matches

from nesting.errors import Place, Problem
from nesting.quoting import SHOWN

PATIENCE = 1000  # mistakes in one project after which no close words are looked for


class Findings:
    """Problems in the order found. `unread` is true once a file, or part of one, could not be read at all."""

    def __init__(self) -> None:
        self.problems: list[Problem] = []
        self.unread = False

    def add(self, place: Place, what: str, todo: str) -> None:
        """Note one mistake: what is wrong and what to do, each a whole sentence."""
        self.problems.append(Problem(place, what, todo))

    def refuse(self, place: Place, sentence: str) -> None:
        """Note a mistake told in one sentence "what is wrong; what to do."."""
        what, _, todo = sentence.rpartition("; ")
        self.add(place, f"{what}.", todo[:1].upper() + todo[1:])

    def nearest(self, word: str, known: Iterable[str]) -> str:
        """The known word closest to a misspelt one, "" where none is close."""
        if len(self.problems) > PATIENCE or len(word) > SHOWN:
            return ""
        by_key = {same_word(name): name for name in known}
        close = get_close_matches(same_word(word), list(by_key)[:500], n=1, cutoff=0.6)
        return by_key[close[0]] if close else ""

    def hint(self, word: str, known: Iterable[str], otherwise: str) -> str:
        """What to do about an unknown word: the close one if there is one, and the other way out."""
        close = self.nearest(word, known)
        return f"Did you mean “{close}”? If not, {otherwise}" if close else otherwise[:1].upper() + otherwise[1:]

    def in_order(self) -> tuple[Problem, ...]:
        """All problems by file and line, each once."""
        return tuple(dict.fromkeys(sorted(self.problems, key=lambda found: (found.place.file, found.place.line))))


def same_word(word: str) -> str:
    """Two words with the same key differ at most by case and by blanks."""
    return " ".join(unicodedata.normalize("NFC", word).casefold().split())
