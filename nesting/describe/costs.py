"""What a card costs beyond its paper, as the user describes it: adhesive, things on every card, minutes, margin.

In: nothing. Out: frozen types that the reader fills. The fact of the trade: tape is bought by the roll and glue by
what it covers, envelopes by the pack, and the hours are what a price at the stall most often leaves out.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from fractions import Fraction


class Adhesive(Enum):
    """What holds a piece: along its edge by running length, or under it by area, as its rate says."""

    TAPE = "tape"
    GLUE = "glue"
    FOAM = "foam"


class Measure(Enum):
    """What an amount is counted in."""

    LENGTH = "length"  # ticks
    AREA = "area"  # square ticks
    COUNT = "count"


@dataclass(frozen=True, slots=True)
class Rate:
    """`cents` for every `per` of something: a roll of so many ticks, a pack of so many."""

    cents: Fraction
    per: int = 1
    measure: Measure = Measure.COUNT

    def of(self, amount: int | Fraction) -> Fraction:
        """What so much of it costs, in exact cents."""
        return self.cents * amount / self.per


@dataclass(frozen=True, slots=True)
class NamedRate:
    """A thing that goes with every card."""

    name: str
    rate: Rate


@dataclass(frozen=True, slots=True)
class NamedSum:
    """A sum in cents that is spent once."""

    name: str
    cents: int


@dataclass(frozen=True, slots=True)
class DesignCosts:
    """What one design says for itself; minutes None: as for all. stuck: names of parts with what holds them."""

    design: str
    minutes: Fraction | None = None
    stuck: tuple[tuple[str, Adhesive], ...] = ()
    each_card: tuple[NamedRate, ...] = ()
    once: tuple[NamedSum, ...] = ()


@dataclass(frozen=True, slots=True)
class Costs:
    """Everything that was said of costs; without a word of it only paper is counted.

    hour: cents for an hour of work, 0 where it is not given. minutes: of assembly a card; minutes_once: of getting
    ready, a batch. adhesives: what each costs; stuck_with: what holds a piece of which nothing else was said.
    overheads: share added to all costs. margin: share of the price that is to remain. price_step: prices are
    rounded up to a whole number of it, in cents.
    """

    hour: int = 0
    minutes: Fraction = Fraction(0)
    minutes_once: Fraction = Fraction(0)
    adhesives: tuple[tuple[Adhesive, Rate], ...] = ()
    stuck_with: Adhesive | None = None
    each_card: tuple[NamedRate, ...] = ()
    once: tuple[NamedSum, ...] = ()
    overheads: Fraction = Fraction(0)
    margin: Fraction = Fraction(0)
    price_step: int = 1
    designs: tuple[DesignCosts, ...] = ()

    def of_design(self, name: str) -> DesignCosts:
        """What that design says for itself."""
        return next((own for own in self.designs if own.design == name), DesignCosts(name))


NO_COSTS = Costs()
