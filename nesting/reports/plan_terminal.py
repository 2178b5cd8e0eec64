"""A plan on the terminal: a short table first, details on demand; fits 80 columns.

In: a Plan. Out: rich tables and texts, printed on the console that is handed in.
"""

from __future__ import annotations

from rich.console import Console
from rich.markup import escape
from rich.text import Text

from nesting.lengths import Unit
from nesting.money import write_cents
from nesting.packing.layout import Outcome
from nesting.plan import PaperPlan, Plan
from nesting.reports import phrases, words
from nesting.reports.terminal import new_table


def show_plan(console: Console, plan: Plan) -> None:
    """The short table: per paper what is needed, at hand and to buy, the waste, and how good the plan is."""
    console.print(Text(plan.project.title, style="bold"))
    table = new_table()
    for head, justify in (
        ("paper", "left"), ("sheets", "right"), ("at hand", "right"), ("buy", "right"), ("price", "right"),
        ("waste", "right"), ("plan", "left"),
    ):  # fmt: skip
        table.add_column(head, justify=justify, no_wrap=head != "paper")  # type: ignore[arg-type]
    sign = plan.project.currency
    for paper in plan.papers:
        bold = "bold" if paper.to_buy else ""
        table.add_row(
            escape(paper.paper.name),
            f"{paper.sheets:,}".replace(",", " "),
            str(paper.sheets - paper.to_buy),
            Text(str(paper.to_buy), style=bold),
            "?" if paper.price is None else write_cents(paper.price),
            phrases.percent(paper.waste),
            Text(words.verdict(paper), style="" if paper.outcome is Outcome.PROVEN else "yellow"),
        )
    console.print(table)
    price = "" if plan.price is None else f" for {write_cents(plan.price, sign)}"
    console.print(f"Buy {phrases.plural(plan.to_buy, 'sheet')}{escape(price)}; {plan.sheets} are cut in all.")
    cards = sum(line.count for line in plan.project.batch)
    if cards and plan.price is not None:
        console.print(f"Paper to buy comes to {escape(write_cents(_each(plan.price, cards), sign))} a card.")
    for paper in plan.papers:
        if paper.missing:
            console.print(Text(f"{paper.paper.name}: {words.proof(paper)}", style="bold yellow"))


def _each(cents: int, cards: int) -> int:
    return (2 * cents + cards) // (2 * cards)


def show_detail(console: Console, plan: Plan) -> None:
    """Per paper the proof, each layout with its copies and parts, the passes and the offcuts to keep."""
    for paper in plan.papers:
        console.print()
        console.print(Text(paper.paper.name, style="bold"))
        console.print(Text(words.proof(paper)))
        _show_layouts(console, paper, plan.project.unit)
        _show_passes(console, paper, plan.project.unit)
        for offcut in paper.offcuts:
            size = phrases.size(offcut.width, offcut.height, plan.project.unit, with_unit=True)
            console.print(f"Keep {offcut.count} x {size} (layout {offcut.layout + 1}).")


def _show_layouts(console: Console, paper: PaperPlan, unit: Unit) -> None:
    for kind, letter in sorted(paper.letters.items(), key=lambda item: (len(item[1]), item[1])):
        task = paper.packing.task.pieces[kind]
        owners = ", ".join(dict.fromkeys(piece.title for piece in paper.packing.kinds[kind]))
        console.print(f"  {letter}  {phrases.size(task.width, task.height, unit)}  x {task.need}  {escape(owners)}")
    for number, use in enumerate(paper.uses):
        inside: dict[str, int] = {}
        for leaf in paper.order.parts:
            if leaf.layout == number and leaf.part.kind is not None:
                inside[leaf.part.name] = inside.get(leaf.part.name, 0) + 1
        holds = " ".join(f"{count} {letter}" for letter, count in sorted(inside.items()))
        sheet = words.sheets_words(paper.packing, use.sheet, unit)
        console.print(f"  layout {number + 1}: {use.copies} of {sheet}: {holds}")


def _show_passes(console: Console, paper: PaperPlan, unit: Unit) -> None:
    table = new_table()
    for head, justify in (
        ("pass", "right"), ("stop", "right"), ("edge", "left"), ("part", "left"), ("deep", "left"),
        ("cuts", "right"), ("comes off", "left"),
    ):  # fmt: skip
        table.add_column(head, justify=justify)  # type: ignore[arg-type]
    for line in paper.order.passes:
        deep = f"{line.stacks[0]} x {len(line.stacks)}" if len(set(line.stacks)) == 1 else "+".join(
            map(str, line.stacks)
        )
        edge = f"{'turn: ' if line.turned else ''}{line.edge.value}"
        table.add_row(
            str(line.number), phrases.length(line.setting, unit), edge, escape(words.part_words(line.part, unit)),
            deep, str(line.cuts), escape(words.pass_comes(line, unit)),
        )  # fmt: skip
    console.print(table)
    fewest = "none can do with fewer" if paper.order.proven else f"none can do with fewer than {paper.order.fewest}"
    console.print(f"{phrases.plural(paper.order.settings, 'stop setting')}; {fewest}.")
