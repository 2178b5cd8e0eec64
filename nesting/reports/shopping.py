"""The shopping list: what to buy in which shop, in packs as they are sold, and what is said of it.

In: a Plan. Out: lists by shop, and sentences: how sure it is that nothing cheaper will do, the budget, what is left.
The fact of the trade: one stands in one shop at a time, so its list must stand together.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from nesting.buying.purchase import Purchase
from nesting.describe.shops import Offer, Ware
from nesting.lengths import Unit, write_size
from nesting.money import Currency
from nesting.plan import Plan
from nesting.questions.stand_ins import Proposal
from nesting.reports import phrases

ANYWHERE = "sold singly"


@dataclass(frozen=True, slots=True)
class ShopRow:
    """So many of one thing, as it is sold; cents for all of them."""

    count: int
    what: str
    cents: int


@dataclass(frozen=True, slots=True)
class ShopList:
    """One shop's list; postage in cents."""

    shop: str
    postage: int
    rows: tuple[ShopRow, ...]

    @property
    def cents(self) -> int:
        """All rows and the postage."""
        return self.postage + sum(row.cents for row in self.rows)


def shop_lists(plan: Plan) -> tuple[ShopList, ...]:
    """A list for each shop, in the project's order of shops; what is sold anywhere comes last."""
    purchase = plan.purchase
    if purchase is None:
        return ()
    unit = plan.project.unit
    postage = {shop.name: shop.postage for shop in plan.project.shops}
    order = [*postage, *(shop for shop in purchase.shops if shop not in postage)]
    return tuple(
        ShopList(shop or ANYWHERE, postage.get(shop, 0), tuple(_rows(purchase, shop, unit)))
        for shop in order
        if shop in purchase.shops
    )


def _rows(purchase: Purchase, shop: str, unit: Unit) -> Iterable[ShopRow]:
    for line in purchase.lines:
        if line.offer.shop == shop:
            yield ShopRow(line.count, offer_words(line.offer, unit), line.offer.cents * line.count)


def offer_words(offer: Offer, unit: Unit) -> str:
    """What is sold, in words: "pine 12 x 12", "pack of 25: cream 8 1/2 x 11", "autumn pad 6 x 6: 4 pine, 4 kraft"."""
    if len(offer.holds) == 1:
        ((ware, count),) = offer.holds
        name = ware_words(ware, unit)
        usual = "sheet" if count == 1 else f"pack of {count}"
        if offer.name == usual:
            return name if count == 1 else f"{usual}: {name}"
        return f"{offer.name}: {name if count == 1 else f'{count} {name}'}"
    sizes = {write_size(ware.sheet.width, ware.sheet.height, unit) for ware, _ in offer.holds}
    if len(sizes) == 1:
        return f"{offer.name} {sizes.pop()}: {', '.join(f'{count} {ware.paper}' for ware, count in offer.holds)}"
    return f"{offer.name}: {', '.join(f'{count} {ware_words(ware, unit)}' for ware, count in offer.holds)}"


def ware_words(ware: Ware, unit: Unit) -> str:
    """A paper with its size."""
    return f"{ware.paper} {write_size(ware.sheet.width, ware.sheet.height, unit)}"


def how_cheap(plan: Plan) -> str:
    """How sure it is that nothing cheaper will do."""
    if plan.purchase is None:
        return ""
    if plan.purchase.proven:
        return "No purchase comes cheaper: proven."
    least = plan.project.currency.write(plan.purchase.bound)
    return f"No purchase is under {least}; whether one in between will do was not settled."


def budget_words(plan: Plan) -> str:
    """The budget in one sentence, "" where none was set or not every price is known."""
    budget, price, money = plan.project.budget, plan.price, plan.project.currency
    if budget is None or price is None:
        return ""
    if not plan.over_budget:
        return f"Of the budget of {money.write(budget)}, {money.write(budget - price)} is left."
    over = f"That is {money.write(plan.over_budget)} over the budget of {money.write(budget)}"
    if plan.purchase is None or plan.purchase.proven:
        over += f"; {money.write(price)} is the least that will do" if plan.proven else ""
    return f"{over}."


def purchase_words(plan: Plan) -> list[str]:
    """All that is to be said of a purchase: how cheap it is, what it brings beyond need, the budget."""
    return [said for said in (how_cheap(plan), extra_words(plan), budget_words(plan)) if said]


def enough_for_words(plan: Plan) -> str:
    """Where the budget does not suffice: how to ask for how many cards it does; else ""."""
    if not plan.over_budget or plan.project.budget is None or not plan.project.designs:
        return ""
    budget = plan.project.currency.amount(plan.project.budget)
    return f"“nesting yield --money {budget}” says how many cards it is enough for."


def proposal_words(proposal: Proposal, money: Currency) -> str:
    """What a stand-in would save, and how to say yes."""
    saved = money.write(proposal.saves)
    other, paper = proposal.stand_in, proposal.paper
    both = f'paper = ["{paper}", "{other}"]'
    return f"With {other} standing in for some of {paper}, {saved} would be saved; to allow it, write {both}."


def extra_words(plan: Plan) -> str:
    """What packs bring beyond need; "" where it is nothing."""
    if plan.purchase is None or not plan.purchase.extra:
        return ""
    extra = [f"{count} {ware_words(ware, plan.project.unit)}" for ware, count in plan.purchase.extra]
    count = sum(count for _, count in plan.purchase.extra)
    return f"Not cut: {phrases.plural(count, 'sheet')} of the packs ({', '.join(extra)})."
