"""What lies in the drawer and what was done to it, as values.

In: nothing. Out: the types that the ledger stores and the commands show. The fact of the trade: a drawer silts up
when nobody knows what is in it, so every lot has a number to write on it, a size, a direction and a place.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import Enum

from nesting.describe.findings import same_word
from nesting.describe.papers import Grain, PrintDirection, Sheet
from nesting.lengths import Length, Unit

MOST_SHEETS = 1_000_000


@dataclass(frozen=True, slots=True)
class Details:
    """What is known of sheets or offcuts that are all alike.

    unit: the one in which the user gave the size, and sees it again. direction: None where it is not known.
    kept: where they lie; label: the user's own words on them.
    """

    paper: str
    sheet: Sheet
    unit: Unit = Unit.INCH
    direction: PrintDirection | None = None
    grain: Grain = Grain.UNKNOWN
    kept: str = ""
    label: str = ""

    def like(self, other: Details) -> bool:
        """The same paper, size, place and label, whatever unit each was given in."""
        return replace(self, unit=other.unit) == other

    def fits(self, width: Length, height: Length) -> bool:
        """A piece of width x height can be cut from one; turned a quarter only where no print forbids it."""
        across, up = self.sheet.usable
        if width <= across and height <= up:
            return True
        may_turn = self.direction in (None, PrintDirection.NONE)
        return may_turn and height <= across and width <= up

    def is_of(self, paper: str) -> bool:
        """Of the paper of that name; case and blanks are not looked at."""
        return same_word(self.paper) == same_word(paper)


@dataclass(frozen=True, slots=True)
class Item:
    """One lot in the drawer: its number, what it is, how many there are now, and the day it was first put in."""

    number: int
    details: Details
    count: int
    added: str


class Act(Enum):
    """What was done."""

    ADD = "added"
    CORRECT = "corrected"
    TAKE_OUT = "taken out"
    PUT_BACK = "put back"
    IMPORT = "imported"
    CUT = "plan cut"
    UNDO = "undone"


@dataclass(frozen=True, slots=True)
class Change:
    """So many more (or fewer, below 0) of the item of that number."""

    item: int
    count: int


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of the ledger; numbers give the order, `at` is only what the clock said (UTC).

    undoes, undone_by: numbers of other entries, 0 where there is none. corrected: items whose details were set.
    """

    number: int
    at: str
    act: Act
    note: str
    undoes: int
    undone_by: int
    changes: tuple[Change, ...]
    corrected: tuple[int, ...]
