"""The whole of what the user says: papers, designs, batch and trimmer in one frozen value.

In: nothing. Out: the type `Project` that every later stage starts from.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from fractions import Fraction

from nesting.describe.costs import NO_COSTS, Costs
from nesting.describe.designs import CardDesign
from nesting.describe.papers import Paper
from nesting.describe.shops import Shop
from nesting.errors import Place
from nesting.lengths import ZERO, Length, Unit, inches
from nesting.money import Currency


class SpareRule(Enum):
    """How spares are counted."""

    NONE = "none"
    EACH = "each"  # so many of every piece kind
    SHARE = "share"  # one in so many, at least one


@dataclass(frozen=True, slots=True)
class Spares:
    """Pieces cut beyond need: `number` of each kind, or one in `number` of each kind and at least one."""

    rule: SpareRule = SpareRule.NONE
    number: int = 0

    def of(self, need: int) -> int:
        """How many spares go with so many pieces needed."""
        if self.rule is SpareRule.EACH:
            return self.number
        if self.rule is SpareRule.SHARE and need:
            return max(1, -(-need // self.number))
        return 0


@dataclass(frozen=True, slots=True)
class CentreRule:
    """Hidden centres of mats may be cut out and used: a rim is left under the layer; price in cents for each."""

    rim: Length = inches("1/4")
    price: int = 10


@dataclass(frozen=True, slots=True)
class BatchLine:
    """So many cards of one design."""

    design: str
    count: int
    place: Place


@dataclass(frozen=True, slots=True)
class LoosePiece:
    """A piece given outright, as a line of a piece list."""

    paper: str
    width: Length
    height: Length
    count: int
    label: str
    place: Place
    may_turn: bool | None = None


@dataclass(frozen=True, slots=True)
class Habits:
    """How the user works at the trimmer; common practice, no published source.

    piles: the most piles of unfinished parts that may lie about. errors: a piece in which more stop settings add up
    is flagged. square_first: the sheets' edges are not to be trusted. halve_rows: rows in which errors would add up
    are halved first. The times are in seconds; what it takes to measure a piece in which errors add up, and what an
    offcut as large as a sheet is worth, are our own choice.
    """

    piles: int = 8
    errors: int = 2
    square_first: bool = False
    halve_rows: bool = False
    stroke: int = 4
    setting: int = 15
    turn: int = 4
    stack: int = 6
    measure: int = 20
    offcut: int = 300


@dataclass(frozen=True, slots=True)
class Trimmer:
    """What the trimmer can do; None means no limit. The defaults are common practice, no published source.

    deep: sheets per pass, by grammage: each entry (up to so many g/m2, so many sheets), lightest first; papers
    heavier than all entries, or of unknown weight, are cut one at a time.
    keep_from: both sides of a leftover must reach these (shorter and longer) to be an offcut worth keeping.
    """

    longest_cut: Length | None = None
    largest_setting: Length | None = None
    narrowest_held: Length = ZERO
    kerf: Length = ZERO
    ruler_step: Length = inches("1/16")
    deep: tuple[tuple[int, int], ...] = ()
    keep_from: tuple[Length, Length] = (inches(1), inches(3))
    habits: Habits = Habits()


@dataclass(frozen=True, slots=True)
class Project:
    """Everything that was said. `unit` is the one that plans are written in; `currency` is the sign before prices.

    grain_from: papers of this weight or heavier, or of unknown weight, are folded along their grain where the sheet
    allows it (printed advice to score begins at 150 to 200 g/m2); grain_required_from: from this weight on no base is
    cut whose main fold would cross the grain. centres None: mats are left whole. budget: cents that paper may cost,
    None where that was not said.
    """

    title: str
    unit: Unit
    currency: Currency
    papers: tuple[Paper, ...]
    designs: tuple[CardDesign, ...]
    batch: tuple[BatchLine, ...]
    spares: Spares
    pieces: tuple[LoosePiece, ...]
    trimmer: Trimmer
    grain_from: Fraction = Fraction(150)
    grain_required_from: Fraction | None = None
    centres: CentreRule | None = None
    costs: Costs = NO_COSTS
    shops: tuple[Shop, ...] = ()
    budget: int | None = None

    def paper(self, name: str) -> Paper:
        """The paper of that name; KeyError if there is none."""
        return {paper.name: paper for paper in self.papers}[name]

    def design(self, name: str) -> CardDesign:
        """The design of that name; KeyError if there is none."""
        return {design.name: design for design in self.designs}[name]

