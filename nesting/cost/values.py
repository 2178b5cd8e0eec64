"""The cost sheet as values: what to buy, what each paper's value went into, every cost with each design's share of it.

In: nothing. Out: frozen types. Money is whole cents. The fact of the trade: what is spent today is not what a card
costs, since paper is left over and paper lay in the drawer; the two are told apart here.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from fractions import Fraction

from nesting.buying.purchase import OneMore, Purchase
from nesting.describe.papers import Sheet
from nesting.money import Currency


class Kind(Enum):
    """What money goes into."""

    PAPER = "paper in pieces"
    WASTE = "paper wasted"
    INK = "ink"
    STICKING = "sticking"
    EACH_CARD = "on every card"
    ONCE = "once"
    CUTTING = "cutting"
    ASSEMBLY = "putting together"
    GETTING_READY = "getting ready"
    POSTAGE = "postage"
    OVERHEADS = "overheads"


@dataclass(frozen=True, slots=True)
class BuyLine:
    """So many new sheets of one size to cut; price: cents for one, None where not known or part of a pack's."""

    paper: str
    sheet: Sheet
    count: int
    price: int | None

    @property
    def cents(self) -> int | None:
        """What they cost together."""
        return None if self.price is None else self.price * self.count


@dataclass(frozen=True, slots=True)
class PaperValue:
    """What the sheets taken of one paper are worth, and what became of it: bought + at_hand = pieces + waste + kept.

    at_hand: sheets and offcuts from the drawer, valued at what the same area of new paper would cost. kept:
    offcuts worth keeping, in no card's cost. priced: False where no price is known, and all sums are 0.
    """

    paper: str
    bought: int
    at_hand: int
    pieces: int
    waste: int
    kept: int
    priced: bool = True


@dataclass(frozen=True, slots=True)
class CostLine:
    """One cost: `shares[i]` cents of it are for design number i of the sheet; `how` says how it was reckoned."""

    kind: Kind
    name: str
    cents: int
    shares: tuple[int, ...]
    how: str = ""


@dataclass(frozen=True, slots=True)
class DesignCost:
    """What the cards of one design cost together, and the price of one; design "": pieces of a plain list.

    price: cents, None where there are no cards. It leaves the wanted margin and is rounded up to the wanted step.
    """

    design: str
    cards: int
    cents: int
    price: int | None

    @property
    def per_card(self) -> Fraction | None:
        """Exact cents a card; whole cents times cards need not give the sum, this does."""
        return Fraction(self.cents, self.cards) if self.cards else None


@dataclass(frozen=True, slots=True)
class CostSheet:
    """Everything about the money of one plan."""

    currency: Currency
    to_buy: tuple[BuyLine, ...]
    papers: tuple[PaperValue, ...]
    lines: tuple[CostLine, ...]
    designs: tuple[DesignCost, ...]
    purchase: Purchase | None = None
    one_more: tuple[OneMore, ...] = ()

    @property
    def cash(self) -> int | None:
        """What is to be spent on paper now, postage included; None where a price is not known."""
        if self.purchase is not None:
            return self.purchase.cents
        known = [line.cents for line in self.to_buy if line.cents is not None]
        return sum(known) if len(known) == len(self.to_buy) else None

    @property
    def total(self) -> int:
        """What the batch costs, paper left over not counted."""
        return sum(line.cents for line in self.lines)

    @property
    def kept(self) -> int:
        """What the paper left over and worth keeping is worth."""
        return sum(paper.kept for paper in self.papers)

    @property
    def beyond_need(self) -> int:
        """What was paid for sheets that are bought because packs hold more than is cut; no card bears it."""
        if self.purchase is None:
            return 0
        return self.purchase.cents - self.purchase.postage - sum(paper.bought for paper in self.papers)

    @property
    def at_hand(self) -> int:
        """What the paper taken from the drawer would cost new."""
        return sum(paper.at_hand for paper in self.papers)

    @property
    def unpriced(self) -> tuple[str, ...]:
        """Papers that are cut and have no price; their value is missing everywhere."""
        return tuple(paper.paper for paper in self.papers if not paper.priced)

    @property
    def per_card(self) -> Fraction | None:
        """Exact cents a card over all designs; None where there are none."""
        cards = sum(design.cards for design in self.designs)
        return Fraction(self.total, cards) if cards else None
