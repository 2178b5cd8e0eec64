"""Every place a piece can come from: sheets to buy and what lies in the drawer.

In: a Project. Out: the Supply, a list of sources per paper. The facts of the trade: a good offcut in the drawer is
used before a new sheet is cut; and a sheet out of a pack has no price of its own, but bears a share of the pack's.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from fractions import Fraction

from nesting.describe.papers import Paper, Sheet
from nesting.describe.project import Project
from nesting.describe.shops import Offer, Ware


class SourceKind(Enum):
    """Where paper comes from."""

    BUY = "to buy"
    SHEET = "sheet at hand"
    OFFCUT = "offcut at hand"
    CENTRE = "centre of a mat"
    CUT_OUT = "cut-out of a window"

    @property
    def at_hand(self) -> bool:
        """It lies in the drawer."""
        return self in (SourceKind.SHEET, SourceKind.OFFCUT)

    @property
    def from_a_piece(self) -> bool:
        """It comes out of a piece of this plan, whose paper is counted there."""
        return self in (SourceKind.CENTRE, SourceKind.CUT_OUT)


@dataclass(frozen=True, slots=True)
class Source:
    """One size of one paper from one place; price in cents for one (None: not given), limit None: no end of it.

    share: exact cents of a pack's price that one sheet bears, where shops sell it; None where they do not.
    """

    kind: SourceKind
    paper: str
    sheet: Sheet
    price: int | None
    limit: int | None
    share: Fraction | None = None

    @property
    def worth(self) -> Fraction | None:
        """Cents for one, or its share of a pack; None where neither is known."""
        return self.share if self.share is not None else None if self.price is None else Fraction(self.price)


@dataclass(frozen=True, slots=True)
class Supply:
    """All sources; within each paper what is cut out comes first, then what is at hand, then what is to buy."""

    sources: tuple[Source, ...]

    def of_paper(self, name: str) -> tuple[Source, ...]:
        """The sources of one paper."""
        return tuple(source for source in self.sources if source.paper == name)


def supply(project: Project, cut_out: tuple[Source, ...] = ()) -> Supply:
    """Every source of every paper of the project; `cut_out` comes from the batch's own pieces."""
    wares = wares_of(project)
    return Supply(cut_out + tuple(source for paper in project.papers for source in _of_paper(paper, wares)))


def sheets_of(project: Project, paper: Paper) -> tuple[Sheet, ...]:
    """Every sheet of a paper that is at hand or can be bought, in a shop or anywhere."""
    return tuple(source.sheet for source in _of_paper(paper, wares_of(project)))


def _of_paper(paper: Paper, wares: dict[Ware, Source]) -> list[Source]:
    in_shops = [source for ware, source in wares.items() if ware.paper == paper.name]
    sold_sizes = {(sold.sheet.width, sold.sheet.height) for sold in paper.sold}
    sold_sizes |= {(source.sheet.width, source.sheet.height) for source in in_shops}
    at_hand: dict[Sheet, int] = {}
    for held in paper.at_hand:
        at_hand[held.sheet] = at_hand.get(held.sheet, 0) + held.count
    sources = [
        Source(
            SourceKind.SHEET if (sheet.width, sheet.height) in sold_sizes else SourceKind.OFFCUT,
            paper.name, sheet, None, count,
        )
        for sheet, count in at_hand.items()
        if count
    ]  # fmt: skip
    if in_shops:
        return sources + in_shops
    cheapest: dict[Sheet, int | None] = {}
    for sold in paper.sold:
        known = cheapest.get(sold.sheet)
        prices = [price for price in (known, sold.price) if price is not None]
        cheapest[sold.sheet] = min(prices, default=None)
    sources += [Source(SourceKind.BUY, paper.name, sheet, price, None) for sheet, price in cheapest.items()]
    return sources


def offers_of(project: Project) -> tuple[Offer, ...]:
    """All that can be bought: the sheets sold singly anywhere, without postage, and what the shops sell."""
    singly = tuple(
        Offer("sheet", sold.price, ((Ware(paper.name, sold.sheet), 1),))
        for paper in project.papers
        for sold in paper.sold
        if sold.price is not None
    )
    return (*singly, *(offer for shop in project.shops for offer in shop.sells))


def shares_of(offer: Offer) -> dict[Ware, Fraction]:
    """Exact cents of the price that one sheet of each ware bears: the price shared out by area."""
    areas = {ware: ware.sheet.width.ticks * ware.sheet.height.ticks for ware, _ in offer.holds}
    whole = sum(areas[ware] * count for ware, count in offer.holds)
    return {ware: Fraction(offer.cents * area, whole) for ware, area in areas.items()}


def wares_of(project: Project) -> dict[Ware, Source]:
    """What shops sell as sources, each at its least share of a price; nothing where the project names no shop."""
    if not project.shops:
        return {}
    shares: dict[Ware, Fraction] = {}
    limits: dict[Ware, int | None] = {}
    for offer in offers_of(project):
        each = shares_of(offer)
        for ware, count in offer.holds:
            shares[ware] = min(shares.get(ware, each[ware]), each[ware])
            known = limits.get(ware, 0)
            limits[ware] = None if known is None or offer.limit is None else known + count * offer.limit
    return {
        ware: Source(SourceKind.BUY, ware.paper, ware.sheet, None, limits[ware], share)
        for ware, share in shares.items()
    }
