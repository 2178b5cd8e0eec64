"""What a single value means: a length, a size, a count, a yes or no, a word of a few.

In: a Said, that is a value with the place where the user wrote it. Out: the typed value, or None with the mistake
noted. Every reader here has the same shape, so that tables can be read key by key.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from decimal import Decimal
from enum import Enum
from fractions import Fraction
from typing import TypeVar

from nesting.describe.findings import Findings
from nesting.describe.sizes import read_pair, read_sheet
from nesting.describe.toml_file import TomlFile
from nesting.describe.toml_lines import KeyPath, Step
from nesting.errors import Place
from nesting.lengths import Length, Unit, read_length
from nesting.money import UNNAMED, Currency
from nesting.quoting import printable, quoted
from nesting.standards import grammage

T = TypeVar("T")
E = TypeVar("E", bound=Enum)
LONGEST_NOTE = 500


@dataclass(frozen=True, slots=True)
class Said:
    """A value, the file and key path where it stands, what it belongs to in the user's words, its unit and currency."""

    value: object
    file: TomlFile
    unit: Unit
    path: KeyPath = ()
    subject: str = ""
    currency: Currency = UNNAMED

    @property
    def place(self) -> Place:
        """Where it was said."""
        return Place(self.file.name, self.file.line(self.path), self.subject)

    def inside(self, step: Step, value: object) -> Said:
        """A value inside this one; a key is added to the subject, a number in a list is not."""
        words = f"{self.subject}, {step}" if self.subject else str(step)
        subject = self.subject if isinstance(step, int) else words
        return replace(self, value=value, path=(*self.path, step), subject=subject)

    def about(self, subject: str) -> Said:
        """The same, belonging to another subject."""
        return replace(self, subject=subject)

    def entries(self) -> list[Said]:
        """The entries of a list; a value that is no list is a list of one."""
        if not isinstance(self.value, list):
            return [self]
        return [self.inside(i, value) for i, value in enumerate(self.value)]


Reader = Callable[[Said, Findings], T | None]


def words(said: Said, findings: Findings) -> str | None:
    """Free words on one line."""
    value = said.value
    if not isinstance(value, str):
        findings.add(said.place, f"{quoted(value)} is not words.", 'Write words in quotes, like "smooth".')
    elif len(value) > LONGEST_NOTE:
        findings.add(said.place, f"{quoted(value)} has more than {LONGEST_NOTE} characters.", "Say it shorter.")
    elif not printable(value):
        findings.add(said.place, f"{quoted(value)} holds a control character or a line end.", "Take it out.")
    else:
        return value.strip()
    return None


def _spelled(said: Said, findings: Findings, like: str) -> str | None:
    """A length, size or price as text: numbers may stand without quotes."""
    value = said.value
    if isinstance(value, bool) or not isinstance(value, str | int | Decimal):
        findings.add(said.place, f"{quoted(value)} is not {like}.", f"Write {like}.")
        return None
    if quoted(value) != f"“{value!s}”":
        findings.add(said.place, f"{quoted(value)} is not {like}.", f"Write {like}.")
        return None
    return str(value)


def _tried(said: Said, findings: Findings, like: str, reader: Callable[[str], T]) -> T | None:
    text = _spelled(said, findings, like)
    if text is None:
        return None
    try:
        return reader(text)
    except ValueError as wrong:
        findings.refuse(said.place, str(wrong))
        return None


def length(said: Said, findings: Findings) -> Length | None:
    """A length of 0 or more."""
    return _tried(said, findings, "a length such as 1 7/8 or 47.5 mm", lambda text: read_length(text, said.unit))


def positive_length(said: Said, findings: Findings) -> Length | None:
    """A length above 0."""
    found = length(said, findings)
    if found is not None and not found:
        findings.add(said.place, f"{quoted(said.value)} is nothing.", "Write a length above 0.")
        return None
    return found


def size(said: Said, findings: Findings) -> tuple[Length, Length] | None:
    """Width and height, both above 0: "5 1/2 x 8 1/2" or a sheet's name."""
    like = "a size such as 5 1/2 x 8 1/2 or A4"
    return _tried(said, findings, like, lambda text: read_sheet(text, said.unit))


def length_or_pair(said: Said, findings: Findings) -> tuple[Length, Length] | None:
    """One length for both ways, or a pair across x up."""
    like = "a length such as 1/8, or a pair such as 1/8 x 1/4"
    return _tried(said, findings, like, lambda text: read_pair(text, said.unit))


def price(said: Said, findings: Findings) -> int | None:
    """A price in cents, or whatever the currency's smallest coin is."""
    return _tried(said, findings, "a price such as 0.95", said.currency.read)


def weight(said: Said, findings: Findings) -> Fraction | None:
    """A paper weight in grams per square metre, above 0."""
    found = _tried(said, findings, "a paper weight such as 216 gsm or 65 lb cover", grammage)
    if found is not None and not found:
        findings.add(said.place, f"{quoted(said.value)} is no weight.", "Write a weight above 0, or leave it out.")
        return None
    return found


def yes_no(said: Said, findings: Findings) -> bool | None:
    """True or false."""
    if isinstance(said.value, bool):
        return said.value
    findings.add(said.place, f"{quoted(said.value)} is neither true nor false.", "Write true or false, without quotes.")
    return None


def whole(lowest: int, highest: int) -> Reader[int]:
    """A reader of whole numbers in a range."""

    def read(said: Said, findings: Findings) -> int | None:
        value = said.value
        if isinstance(value, int) and not isinstance(value, bool) and lowest <= value <= highest:
            return value
        what = f"{quoted(value)} is not a whole number from {lowest} to {highest:,}.".replace(",", " ")
        findings.add(said.place, what, "Write the number without quotes and in this range.")
        return None

    return read


def one_of(kinds: type[E]) -> Reader[E]:
    """A reader of one word out of an Enum's values."""

    def read(said: Said, findings: Findings) -> E | None:
        known = [str(kind.value) for kind in kinds]
        if isinstance(said.value, str) and said.value.strip().lower() in known:
            return kinds(said.value.strip().lower())
        choice = ", ".join(f"“{word}”" for word in known)
        findings.add(said.place, f"{quoted(said.value)} is not one of {choice}.", "Write one of these words in quotes.")
        return None

    return read
