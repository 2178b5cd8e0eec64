"""The cost sheet as rows of words: the same on the terminal, on paper and on the tablet.

In: a CostSheet. Out: rows with one text for each design and one for all, and sentences on what no row holds. The fact
of the trade: what is in the drawer or was bought beyond need is worth money, and no card bears it.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from nesting.cost.values import CostSheet, DesignCost
from nesting.money import Currency, whole_cents
from nesting.reports import phrases


@dataclass(frozen=True, slots=True)
class CostRow:
    """One line; kind: cost, sum, cards, each or price. texts: by design."""

    kind: str
    name: str
    texts: tuple[str, ...]
    together: str

    @property
    def bold(self) -> bool:
        """Sums, and what a card costs."""
        return self.kind in ("sum", "each", "price")


def design_names(sheet: CostSheet) -> list[str]:
    """The heads of the columns."""
    return [design.design or "piece list" for design in sheet.designs]


def cost_rows(sheet: CostSheet) -> list[CostRow]:
    """Costs by line and design, their sums, what a card costs and may be sold for."""
    money = sheet.currency
    designs, cards = sheet.designs, [design.cards for design in sheet.designs]
    rows = [
        CostRow(
            "cost", f"{line.kind.value}: {line.name}" if line.name else line.kind.value,
            tuple(money.amount(share) for share in line.shares), money.amount(line.cents),
        )
        for line in sheet.lines
    ]  # fmt: skip
    sums = tuple(money.amount(design.cents) for design in designs)
    rows.append(CostRow("sum", "together", sums, money.amount(sheet.total)))
    if any(cards):
        rows.append(CostRow("cards", "cards", tuple(map(str, cards)), str(sum(cards))))
        a_card = tuple(each(one.per_card, money) for one in designs)
        rows.append(CostRow("each", "a card", a_card, each(sheet.per_card, money)))
    if any(design.price is not None and design.price > _in_cents(design) for design in designs):
        prices = tuple("" if design.price is None else money.amount(design.price) for design in designs)
        rows.append(CostRow("price", "price of a card", prices, ""))
    return rows


def _in_cents(design: DesignCost) -> int:
    """What a card costs, the last cent begun counted whole; a price that is no more than that is not worth a line."""
    return -(-design.cents // design.cards) if design.cards else 0


def each(cents: Fraction | None, money: Currency) -> str:
    """For one card in whole cents, half a cent up; the exact share is in the sums."""
    return "" if cents is None else money.amount(whole_cents(cents))


def one_more_words(sheet: CostSheet) -> list[str]:
    """What one card more would cost, design by design, and what of it is paper."""
    said, money = [], sheet.currency
    for one in sheet.one_more:
        most = "" if one.certain else "at most "
        sheets = phrases.listed([f"{phrases.plural(count, 'sheet')} more of {name}" for name, count in one.sheets])
        share = "all of it" if one.paper == one.cents else f"{money.write(one.paper)} of it"
        paper = f"{share} for {sheets or 'paper'}" if one.paper else "no paper need be bought"
        said.append(f"One more {one.design} costs {most}{money.write(one.cents)}: {paper}.")
    return said


def cost_notes(sheet: CostSheet) -> list[str]:
    """What is worth money though no card bears it, and what has no price."""
    said, money = one_more_words(sheet), sheet.currency
    if sheet.kept:
        said.append(f"Offcuts worth keeping are worth {money.write(sheet.kept)}; no card bears them.")
    if sheet.beyond_need:
        beyond = money.write(sheet.beyond_need)
        said.append(f"Sheets of packs that are not cut were paid {beyond}; no card bears them.")
    if sheet.at_hand:
        said.append(f"Paper from the drawer counts at what new paper costs: {money.write(sheet.at_hand)}.")
    if sheet.unpriced:
        said.append(f"No price is known for {', '.join(sheet.unpriced)}; that paper counts as nothing here.")
    return said


def to_pay(sheet: CostSheet) -> list[str]:
    """What is to be spent on paper now, where every price is known."""
    return [] if sheet.cash is None else [f"To pay for paper now: {sheet.currency.write(sheet.cash)}."]
