"""The cost sheet on the terminal: what each design's cards cost, line by line, and what the paper's value went into.

In: a CostSheet. Out: rich tables that fit 80 columns; every column adds up to the cent.
"""

from __future__ import annotations

from rich.console import Console
from rich.markup import escape
from rich.text import Text

from nesting.cost.values import CostSheet
from nesting.reports.cost_rows import cost_notes, cost_rows, design_names
from nesting.reports.terminal import new_table


def show_costs(console: Console, sheet: CostSheet) -> None:
    """Costs by line and design, then what a card costs and may be sold for, then what is not in it."""
    console.print()
    console.print(Text("What the cards cost", style="bold"))
    table = new_table(tight=True)
    table.add_column("")
    for name in design_names(sheet):
        table.add_column(escape(name), justify="right")
    table.add_column("all", justify="right")
    for row in cost_rows(sheet):
        table.add_row(escape(row.name), *row.texts, row.together, style="bold" if row.kind in ("sum", "each") else "")
    console.print(table)
    for sentence in cost_notes(sheet):
        console.print(Text(sentence))
