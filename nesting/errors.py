"""What goes wrong, as values and as exceptions; nothing here prints.

A mistake of the user's is a :class:`Problem`: where it is, what is wrong in the user's own words, what to do.
Problems are collected and travel together in one :class:`NestingError`. A fault of the program is a
:class:`Fault` and says so. Only the command line turns either into words and an exit code.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, order=True)
class Place:
    """Where something was said: a file as the user knows it, a line from 1 up, and what it belongs to."""

    file: str = ""
    line: int = 0
    subject: str = ""

    def __str__(self) -> str:
        spot = f"{self.file}, line {self.line}" if self.file and self.line else self.file
        return ": ".join(text for text in (spot, self.subject) if text)


@dataclass(frozen=True, slots=True, order=True)
class Problem:
    """One mistake: the place, a sentence that says what is wrong, and a sentence that says what to do."""

    place: Place
    what: str
    todo: str

    def __str__(self) -> str:
        where = str(self.place)
        return f"{where}: {self.what} {self.todo}" if where else f"{self.what} {self.todo}"


class NestingError(Exception):
    """All the mistakes of the user's that were found, together; never empty."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems: tuple[Problem, ...] = tuple(problems)
        if not self.problems:
            raise Fault("A NestingError was raised without a problem.")
        super().__init__("\n".join(str(problem) for problem in self.problems))


class Fault(Exception):
    """The program itself went wrong: an answer failed its check, or a promise between rooms was broken."""
