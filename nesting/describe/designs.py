"""Card designs as the user describes them: a base, its scores, and what is stuck on its panels.

In: nothing. Out: frozen types that the reader fills; sizes that must be derived are worked out in the pieces room.
The fact of the trade: a card is a base whose scores make panels, and every mat is a fixed amount smaller than
what lies below it.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from nesting.errors import Place
from nesting.lengths import Length


@dataclass(frozen=True, slots=True)
class Panel:
    """A rectangle of the base between scores and edges; numbers run from 1, row by row from the top left."""

    number: int
    x: Length
    y: Length
    width: Length
    height: Length


@dataclass(frozen=True, slots=True)
class Base:
    """The folded cardstock, flat: size, scores measured from the left edge and from the top edge, its panels."""

    paper: str
    width: Length
    height: Length
    scores_across: tuple[Length, ...]
    scores_down: tuple[Length, ...]
    panels: tuple[Panel, ...]
    place: Place
    may_turn: bool | None = None


class PartKind(Enum):
    """What a part of a card is; mats and layers may carry others."""

    MAT = "mat"
    LAYER = "layer"
    STRIP = "strip"
    BLANK = "blank"
    PIECE = "piece"
    WINDOW = "window"


@dataclass(frozen=True, slots=True)
class SmallerBy:
    """Smaller than what lies below by this much overall: half of it shows as border on each side."""

    across: Length
    down: Length


@dataclass(frozen=True, slots=True)
class OwnSize:
    """A size given outright, across x up as the card is seen."""

    width: Length
    height: Length


@dataclass(frozen=True, slots=True)
class CardPart:
    """One thing cut for a card, or a window cut into one.

    on: names of panels, given as the numbers of `Base.panels`, or the name of another part; empty for a part that
    is only counted. count: copies on each panel. allowance: added all round to a blank before it is cut.
    may_turn: None leaves it to the paper's print direction.
    """

    kind: PartKind
    name: str
    place: Place
    size: SmallerBy | OwnSize
    paper: str = ""
    panels: tuple[int, ...] = ()
    on_part: str = ""
    on_words: str = ""
    count: int = 1
    allowance: Length | None = None
    may_turn: bool | None = None


@dataclass(frozen=True, slots=True)
class CardDesign:
    """One kind of card. `names` gives the user's names of panels and groups: name, panel numbers."""

    name: str
    place: Place
    base: Base | None = None
    names: tuple[tuple[str, tuple[int, ...]], ...] = ()
    parts: tuple[CardPart, ...] = ()
