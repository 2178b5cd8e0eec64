"""Papers as the user describes them: one stock, how it looks, the sheets it is sold in and those at hand.

In: nothing. Out: frozen types that the reader fills. The facts of the trade: a print has a direction, cardstock
has a grain, and a sheet is not always usable to its edge.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from fractions import Fraction

from nesting.errors import Place
from nesting.lengths import ZERO, Length


class PrintDirection(Enum):
    """Which ways up a print may be seen."""

    NONE = "none"  # a plain colour or an all-over print: any way
    TWO_WAY = "two-way"  # stripes: a half turn looks the same, a quarter turn does not
    ONE_WAY = "one-way"  # figures, lettering: upright only


class Grain(Enum):
    """The direction in which the fibres of a sheet run, with the sheet lying as its size is written."""

    UNKNOWN = "unknown"
    ACROSS = "across"  # along the first dimension named
    UP = "up"  # along the last dimension named


@dataclass(frozen=True, slots=True)
class Rim:
    """The strips along a sheet's edges that cannot be used."""

    left: Length = ZERO
    top: Length = ZERO
    right: Length = ZERO
    bottom: Length = ZERO


@dataclass(frozen=True, slots=True)
class Sheet:
    """A whole sheet or an offcut: width across, height up, with the print upright, and its unusable rim."""

    width: Length
    height: Length
    rim: Rim = Rim()

    @property
    def usable(self) -> tuple[Length, Length]:
        """Width and height inside the rim."""
        return self.width - self.rim.left - self.rim.right, self.height - self.rim.top - self.rim.bottom


@dataclass(frozen=True, slots=True)
class SoldSheet:
    """A size that a paper is sold (or printed at home) in; price in cents for one, None where it is not given.

    page: the same as it is fed to the printer at home, with the printer's own rim; None where nothing is printed.
    """

    sheet: Sheet
    price: int | None
    place: Place
    page: Sheet | None = None


@dataclass(frozen=True, slots=True)
class HeldSheet:
    """Sheets or offcuts of one size that lie in the drawer."""

    sheet: Sheet
    count: int
    place: Place


FIT = 0  # the scale at which all of a print is on the page


@dataclass(frozen=True, slots=True)
class Printed:
    """A print of one's own: its size at 100 %, and the scale it is printed at, in whole per cent or FIT."""

    width: Length
    height: Length
    percent: int


@dataclass(frozen=True, slots=True)
class Paper:
    """One stock. Weight is ISO 536 grammage, None where it is not given; the note is the user's own words.

    thickness: of one sheet, None where it is not given. centres: mats of it may be cut out under their layers.
    stand_in: the paper that takes its place when it runs short, "" for none. The price of a sheet includes its ink,
    but for papers that shops sell.
    printed: what is printed on it at home; the rims of its sheets hold all that this print leaves white.
    rim: that of its sheets, where nothing else is said of one. ink: cents for a page of a paper that shops sell.
    """

    name: str
    place: Place
    note: str = ""
    weight: Fraction | None = None
    direction: PrintDirection = PrintDirection.NONE
    grain: Grain = Grain.UNKNOWN
    sold: tuple[SoldSheet, ...] = ()
    at_hand: tuple[HeldSheet, ...] = ()
    thickness: Length | None = None
    centres: bool = True
    stand_in: str = ""
    printed: Printed | None = None
    rim: Rim = Rim()
    ink: int = 0
