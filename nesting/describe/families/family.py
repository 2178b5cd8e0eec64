"""What a family of cards is: a name, the parameters it takes, and how they become bases with named panels.

In: parameters as the user gave them. Out: a Shape, or CannotBe with the parameter that is at fault. The fact of the
trade: makers think of the closed card ("a gate fold of 5 x 7"); where it is scored follows from that.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from enum import Enum
from typing import cast

from nesting.describe.designs import Base
from nesting.lengths import Length, Unit, inches, mm, write_length

Size = tuple[Length, Length]
Value = Length | Size | int | str | tuple[Length, ...] | tuple["Given", ...]


class CannotBe(Exception):
    """A parameter that makes no card: which one, what is wrong, what to do. The reader turns it into a Problem."""

    def __init__(self, key: str, what: str, todo: str) -> None:
        super().__init__(f"{key}: {what} {todo}")
        self.key, self.what, self.todo = key, what, todo


class Takes(Enum):
    """What kind of value a parameter takes."""

    SIZE = "a size"
    LENGTH = "a length"
    LENGTHS = "a length, or a list of lengths"
    COUNT = "a whole number"
    WORD = "a word"
    TABLES = "a list of tables"


@dataclass(frozen=True, slots=True)
class Parameter:
    """One key of a family: what it means in words, how it is written, and what holds where it is left out.

    default None and not `optional`: it must be given. choices: the words it may be. lowest, highest: of a count.
    inner: the keys of each table of a list of tables. may_be_nothing: a length may be 0.
    """

    key: str
    takes: Takes
    words: str
    example: str
    default: Value | None = None
    optional: bool = False
    choices: tuple[str, ...] = ()
    lowest: int = 1
    highest: int = 100
    inner: tuple[Parameter, ...] = ()
    may_be_nothing: bool = False

    def usual(self, unit: Unit) -> Value | None:
        """The default in a project of this unit: for lengths, `default` may hold a pair (inch, metric)."""
        if self.takes not in (Takes.LENGTH, Takes.LENGTHS) or not isinstance(self.default, tuple):
            return self.default
        value = self.default[0 if unit is Unit.INCH else 1]
        assert isinstance(value, Length)
        return value if self.takes is Takes.LENGTH else (value,)


@dataclass(frozen=True, slots=True)
class Given:
    """The parameters of one card, defaults filled in; `unit` is the one that sentences are written in."""

    values: Mapping[str, Value] = field(default_factory=dict)
    unit: Unit = Unit.INCH

    def has(self, key: str) -> bool:
        """Whether there is a value."""
        return key in self.values

    def size(self, key: str = "size") -> Size:
        """Width and height."""
        return cast(Size, self.values[key])

    def length(self, key: str) -> Length:
        """A length."""
        return cast(Length, self.values[key])

    def lengths(self, key: str) -> tuple[Length, ...]:
        """A list of lengths."""
        return cast(tuple[Length, ...], self.values[key])

    def count(self, key: str) -> int:
        """A whole number."""
        return cast(int, self.values[key])

    def word(self, key: str) -> str:
        """One of the choices."""
        return str(self.values[key])

    def tables(self, key: str) -> tuple[Given, ...]:
        """A list of tables."""
        return cast(tuple[Given, ...], self.values[key])

    def words(self, length: Length) -> str:
        """A length as this card's maker writes it."""
        return write_length(length, self.unit, with_unit=True)


@dataclass(frozen=True, slots=True)
class Shape:
    """What a family makes: bases (paper and place are still empty), and its names for panels and groups of them.

    `names` always has "all": every panel that a mat can lie on.
    """

    bases: tuple[Base, ...]
    names: tuple[tuple[str, tuple[int, ...]], ...]


@dataclass(frozen=True, slots=True)
class Family:
    """A family of cards: its name, what it is in a sentence, its parameters, and the function that builds it."""

    name: str
    words: str
    takes: tuple[Parameter, ...]
    build: Callable[[Given], Shape]


SIZE = Parameter("size", Takes.SIZE, "the closed card, across x up", 'size = "4 1/4 x 5 1/2"')
SIZE_OR_FLAT = Parameter("size", Takes.SIZE, "the closed card, across x up", 'size = "4 1/4 x 5 1/2"', optional=True)
FLAT = Parameter(
    "flat", Takes.SIZE, "or else the flat sheet it is folded from", 'flat = "8 1/2 x 5 1/2"', optional=True
)
FOLD = Parameter(
    "fold", Takes.WORD, "the side of the closed card at which it is folded", 'fold = "top"',
    default="side", choices=("side", "top"),
)  # fmt: skip
SIXTEENTH = (inches("1/16"), mm("1.5"))
EIGHTH = (inches("1/8"), mm(3))


def names(**groups: int | tuple[int, ...]) -> tuple[tuple[str, tuple[int, ...]], ...]:
    """Names of panels, written as keywords: an underscore stands for a blank."""
    return tuple(
        (word.replace("_", " "), (panels,) if isinstance(panels, int) else panels) for word, panels in groups.items()
    )
