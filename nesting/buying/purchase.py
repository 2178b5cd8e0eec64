"""A purchase as values: what to buy, what it costs with postage, and how sure it is that nothing cheaper will do.

In: nothing. Out: frozen types. The fact of the trade: one goes to the shop with a list of packs, not of sheets.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from nesting.describe.project import Project
from nesting.describe.shops import Offer, Ware
from nesting.pieces.supply import shares_of

TENTHS = 10  # money is compared in tenths of cents, as the packer's costs are


@dataclass(frozen=True, slots=True)
class Bought:
    """So many of one offer."""

    offer: Offer
    count: int


@dataclass(frozen=True, slots=True)
class Purchase:
    """What to buy. cents holds the postage; `bound`: no purchase costs less. extra: sheets bought beyond need.

    Of the cheapest purchases it brings the fewest sheets, where that was proven too.
    """

    lines: tuple[Bought, ...]
    cents: int
    postage: int
    extra: tuple[tuple[Ware, int], ...]
    bound: int
    proven: bool

    @property
    def brought(self) -> dict[Ware, int]:
        """Sheets of every paper and size that it brings."""
        return brought_by(self.lines)

    @property
    def shops(self) -> tuple[str, ...]:
        """The shops in which something is bought, "" for sheets that are sold anywhere, in the order of the lines."""
        return tuple(dict.fromkeys(line.offer.shop for line in self.lines))

    def over(self, budget: int) -> int:
        """Cents by which even this purchase goes over a budget, 0 where it does not."""
        return max(0, self.cents - budget)

    def paid(self) -> dict[Ware, Fraction]:
        """Exact cents that one sheet of each ware bears, postage apart; a mixed pack's price goes by area."""
        cents: dict[Ware, Fraction] = {}
        for line in self.lines:
            for ware, share in shares_of(line.offer).items():
                held = sum(count for one, count in line.offer.holds if one == ware)
                cents[ware] = cents.get(ware, Fraction(0)) + share * held * line.count
        return {ware: total / self.brought[ware] for ware, total in cents.items()}


@dataclass(frozen=True, slots=True)
class OneMore:
    """What one card more of a design costs: `cents` in all, `paper` of it for paper that must be bought besides.

    sheets: how many more are bought of which paper. certain: no plan takes less; else it is this much at most.
    """

    design: str
    cents: int
    paper: int
    sheets: tuple[tuple[str, int], ...]
    certain: bool


def brought_by(lines: tuple[Bought, ...]) -> dict[Ware, int]:
    """Sheets of every paper and size that some offers bring."""
    brought: dict[Ware, int] = {}
    for line in lines:
        for ware, count in line.offer.holds:
            brought[ware] = brought.get(ware, 0) + count * line.count
    return brought


def postage_of(project: Project) -> dict[str, int]:
    """Cents of postage by shop."""
    return {shop.name: shop.postage for shop in project.shops}
