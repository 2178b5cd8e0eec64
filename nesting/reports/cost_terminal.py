"""The cost sheet on the terminal: what each design's cards cost, line by line, and what the paper's value went into.

In: a CostSheet. Out: rich tables that fit 80 columns; every column adds up to the cent.
"""

from __future__ import annotations

from fractions import Fraction

from rich.console import Console
from rich.markup import escape
from rich.text import Text

from nesting.cost.values import CostSheet
from nesting.money import whole_cents, write_cents
from nesting.reports.terminal import new_table


def show_costs(console: Console, sheet: CostSheet) -> None:
    """Costs by line and design, then what a card costs and may be sold for, then what is not in it."""
    console.print()
    console.print(Text("What the cards cost", style="bold"))
    table = new_table(tight=True)
    table.add_column("")
    for design in sheet.designs:
        table.add_column(escape(design.design or "piece list"), justify="right")
    table.add_column("all", justify="right")
    for line in sheet.lines:
        table.add_row(
            escape((line.name and f"{line.kind.value}: {line.name}") or line.kind.value),
            *(write_cents(share) for share in line.shares),
            write_cents(line.cents),
        )
    table.add_row("together", *(write_cents(design.cents) for design in sheet.designs), write_cents(sheet.total),
                  style="bold")  # fmt: skip
    table.add_row("cards", *(str(design.cards) for design in sheet.designs),
                  str(sum(design.cards for design in sheet.designs)))  # fmt: skip
    table.add_row("a card", *(_each(design.per_card) for design in sheet.designs), _each(sheet.per_card), style="bold")
    if any(design.price for design in sheet.designs):
        prices = ("" if design.price is None else write_cents(design.price) for design in sheet.designs)
        table.add_row("price of a card", *prices, "")
    console.print(table)
    for sentence in _besides(sheet):
        console.print(Text(sentence))


def _each(cents: Fraction | None) -> str:
    """Whole cents, rounded half up; the exact share is in the sums above."""
    return "" if cents is None else write_cents(whole_cents(cents))


def _besides(sheet: CostSheet) -> list[str]:
    said = []
    if sheet.kept:
        said.append(f"Offcuts worth keeping are worth {write_cents(sheet.kept, sheet.currency)}; no card bears them.")
    if sheet.beyond_need:
        said.append(
            f"Sheets of packs that are not cut were paid {write_cents(sheet.beyond_need, sheet.currency)};"
            " no card bears them."
        )
    if sheet.at_hand:
        said.append(
            f"Paper from the drawer counts at what new paper costs: {write_cents(sheet.at_hand, sheet.currency)}."
        )
    if sheet.unpriced:
        said.append(f"No price is known for {', '.join(sheet.unpriced)}; that paper counts as nothing here.")
    return said
