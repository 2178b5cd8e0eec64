"""Two plans side by side: the same cards by two variants.

In: two Plans. Out: their figures. The fact of the trade: another sheet size or a border an eighth narrower changes the
sheets, the money and the minutes, and rarely all of them the same way.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from nesting.cost.sheet import cost_sheet
from nesting.money import Currency
from nesting.plan import Plan


@dataclass(frozen=True, slots=True)
class Figures:
    """One variant: cents are None where a price is not known; waste and kept are shares of the paper taken."""

    title: str
    currency: Currency
    cards: int
    sheets: int
    to_buy: int
    price: int | None
    cost: int | None
    waste: Fraction
    kept: Fraction
    settings: int
    seconds: int
    complete: bool
    proven: bool

    @property
    def minutes(self) -> int:
        """At the trimmer, rounded up."""
        return -(-self.seconds // 60)

    @property
    def per_card(self) -> Fraction | None:
        """Exact cents a card."""
        return None if self.cost is None or not self.cards else Fraction(self.cost, self.cards)


def figures(plan: Plan, title: str = "") -> Figures:
    """What there is to compare; without a title the plan's own."""
    costs = cost_sheet(plan, plan.project.costs)
    taken = sum(paper.area_taken for paper in plan.papers)
    kept = sum(paper.area_kept for paper in plan.papers)
    pieces = sum(paper.area_in_pieces for paper in plan.papers)
    return Figures(
        title=title or plan.project.title,
        currency=plan.project.currency,
        cards=sum(line.count for line in plan.project.batch),
        sheets=plan.sheets,
        to_buy=plan.to_buy,
        price=plan.price,
        cost=None if costs.unpriced else costs.total,
        waste=Fraction(taken - kept - pieces, taken) if taken else Fraction(0),
        kept=Fraction(kept, taken) if taken else Fraction(0),
        settings=sum(paper.order.settings for paper in plan.papers),
        seconds=sum(paper.order.seconds for paper in plan.papers),
        complete=plan.complete,
        proven=plan.proven,
    )
