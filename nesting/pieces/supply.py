"""Every place a piece can come from: sheets to buy and what lies in the drawer.

In: a Project. Out: the Supply, a list of sources per paper. The fact of the trade: a good offcut in the drawer is
used before a new sheet is cut.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from nesting.describe.papers import Paper, Sheet
from nesting.describe.project import Project


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
    """One size of one paper from one place; price in cents for one (None: not given), limit None: no end of it."""

    kind: SourceKind
    paper: str
    sheet: Sheet
    price: int | None
    limit: int | None


@dataclass(frozen=True, slots=True)
class Supply:
    """All sources; within each paper what is cut out comes first, then what is at hand, then what is to buy."""

    sources: tuple[Source, ...]

    def of_paper(self, name: str) -> tuple[Source, ...]:
        """The sources of one paper."""
        return tuple(source for source in self.sources if source.paper == name)


def supply(project: Project, cut_out: tuple[Source, ...] = ()) -> Supply:
    """Every source of every paper of the project; `cut_out` comes from the batch's own pieces."""
    return Supply(cut_out + tuple(source for paper in project.papers for source in _of_paper(paper)))


def _of_paper(paper: Paper) -> list[Source]:
    sold_sizes = {(sold.sheet.width, sold.sheet.height) for sold in paper.sold}
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
    cheapest: dict[Sheet, int | None] = {}
    for sold in paper.sold:
        known = cheapest.get(sold.sheet)
        prices = [price for price in (known, sold.price) if price is not None]
        cheapest[sold.sheet] = min(prices, default=None)
    sources += [Source(SourceKind.BUY, paper.name, sheet, price, None) for sheet, price in cheapest.items()]
    return sources
