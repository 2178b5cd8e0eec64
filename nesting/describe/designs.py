"""Card designs as the user describes them: a base, its scores, and what is stuck on its panels.

In: nothing. Out: frozen types that the reader fills; sizes that must be derived are worked out in the pieces room.
The fact of the trade: a card is a base whose scores make panels, and every mat is a fixed amount smaller than
what lies below it. A base is seen flat with its inside facing the reader: x runs to the right, y down.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from nesting.errors import Place
from nesting.lengths import ZERO, Length


@dataclass(frozen=True, slots=True)
class Panel:
    """A rectangle of the base between scores and edges; numbers run from 1, row by row from the top left.

    A family of cards numbers its panels in its own order; further bases of a card count on from the first one's.
    """

    number: int
    x: Length
    y: Length
    width: Length
    height: Length


@dataclass(frozen=True, slots=True)
class Area:
    """A rectangle of the base that is taken out with the knife: cut away at the edge, or a window."""

    x: Length
    y: Length
    width: Length
    height: Length


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line on the flat base, down (x1 = x2) or across (y1 = y2), from the left or from the top."""

    x1: Length
    y1: Length
    x2: Length
    y2: Length

    @property
    def runs_down(self) -> bool:
        """Whether it runs from top to bottom."""
        return self.x1 == self.x2

    @property
    def length(self) -> Length:
        """How long it is."""
        return (self.x2 - self.x1) + (self.y2 - self.y1)


class FoldKind(Enum):
    """Which way a fold goes, with the inside facing the reader."""

    VALLEY = "valley"  # folded up, towards the reader
    MOUNTAIN = "mountain"  # folded away


@dataclass(frozen=True, slots=True)
class Fold:
    """A scored fold; `shut`: it lies folded over by half a turn in the closed card, else it stays straight there."""

    kind: FoldKind
    line: Line
    shut: bool = True


@dataclass(frozen=True, slots=True)
class Base:
    """The folded cardstock, flat: size, scores measured from the left edge and from the top edge, its panels.

    folds: every fold as far as it runs; slits: cuts inside the base, made with the knife. cut_away lies outside
    the panels, windows lie in them; panels and cut_away together cover the base. lies: for each copy that one
    card takes, where the upper left corner of its first panel lies in the closed card.
    """

    paper: str
    width: Length
    height: Length
    scores_across: tuple[Length, ...]
    scores_down: tuple[Length, ...]
    panels: tuple[Panel, ...]
    place: Place
    may_turn: bool | None = None
    name: str = "base"
    folds: tuple[Fold, ...] = ()
    slits: tuple[Line, ...] = ()
    cut_away: tuple[Area, ...] = ()
    windows: tuple[Area, ...] = ()
    lies: tuple[tuple[Length, Length], ...] = ((ZERO, ZERO),)


class PartKind(Enum):
    """What a part of a card is; mats and layers may carry others."""

    MAT = "mat"
    LAYER = "layer"
    STRIP = "strip"
    BANNER = "banner"
    TAB = "tab"  # may reach out over what it lies on
    BLANK = "blank"
    PIECE = "piece"
    WINDOW = "window"


class Outline(Enum):
    """The shape that is taken from a blank; all but ANY may share one."""

    ANY = "any"
    TRIANGLE = "triangle"  # its tip above the middle
    RIGHT_TRIANGLE = "right triangle"  # upright at the left
    TRAPEZOID = "trapezoid"  # its shorter side above the middle of the longer one
    RIGHT_TRAPEZOID = "right trapezoid"  # upright at the left


@dataclass(frozen=True, slots=True)
class SmallerBy:
    """Smaller than what lies below by this much overall: half of it shows on each side, unless `CardPart.at` says."""

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
    may_turn: None leaves it to the paper's print direction. at: its upper left corner on what it lies on, None: in
    the middle. rim: what a window must leave all round, None: the usual. reuse: its cut-out serves as paper.
    raised_by: foam below it. runs_on: one print across all its panels, cut from one area. pair: one left-handed and
    one right-handed. or_papers: other papers it may be cut from; spread: evenly from all of them. top: the shorter
    side of a trapezoid. to_a_blank: how many shapes may share a blank.
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
    at: tuple[Length, Length] | None = None
    rim: Length | None = None
    reuse: bool = False
    raised_by: Length | None = None
    outline: Outline = Outline.ANY
    top: Length | None = None
    to_a_blank: int = 2
    runs_on: bool = False
    pair: bool = False
    or_papers: tuple[str, ...] = ()
    spread: bool = False


@dataclass(frozen=True, slots=True)
class CardDesign:
    """One kind of card. `names` gives the names of panels and groups: name, panel numbers.

    A card of several bases (an easel's front, the frames of a tunnel) has the further ones in `more_bases`.
    centres: hidden centres may be cut out of its mats, where the batch allows it.
    """

    name: str
    place: Place
    base: Base | None = None
    names: tuple[tuple[str, tuple[int, ...]], ...] = ()
    parts: tuple[CardPart, ...] = ()
    family: str = ""
    more_bases: tuple[Base, ...] = ()
    centres: bool = True

    @property
    def bases(self) -> tuple[Base, ...]:
        """All bases, the main one first."""
        return () if self.base is None else (self.base, *self.more_bases)
