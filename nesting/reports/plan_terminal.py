"""A plan on the terminal: a short table first, details on demand; fits 80 columns.

In: a Plan. Out: rich tables and texts, printed on the console that is handed in.
"""

from __future__ import annotations

from fractions import Fraction

from rich.console import Console
from rich.markup import escape
from rich.text import Text

from nesting.lengths import Unit
from nesting.money import whole_cents
from nesting.packing.layout import Outcome
from nesting.plan import PaperPlan, Plan
from nesting.reports import phrases, shopping, words
from nesting.reports.terminal import new_table


def show_plan(console: Console, plan: Plan) -> None:
    """The short table: per paper what is needed, at hand and to buy, the waste, and how good the plan is."""
    console.print(Text(plan.project.title, style="bold"))
    money = plan.project.currency
    table = new_table()
    packs = plan.purchase is not None  # then sheets have no prices of their own, packs have
    for head in ("paper", "sheets", "at hand", *(("new",) if packs else ("buy", "price")), "waste", "plan"):
        table.add_column(head, justify="left" if head in ("paper", "plan") else "right", no_wrap=head != "paper")
    for paper in plan.papers:
        bold = "bold" if paper.to_buy else ""
        table.add_row(
            escape(paper.paper.name),
            f"{paper.sheets:,}".replace(",", " "),
            str(paper.at_hand),
            Text(str(paper.to_buy), style=bold),
            *(() if packs else ("?" if paper.price is None else money.amount(paper.price),)),
            phrases.percent(paper.waste),
            Text(words.verdict(paper), style="" if paper.outcome is Outcome.PROVEN else "yellow"),
        )
    console.print(table)
    if plan.purchase is not None:
        show_shopping(console, plan)
    console.print(_buying(plan))
    for sentence in (*shopping.purchase_words(plan), shopping.enough_for_words(plan)):
        if sentence:
            console.print(Text(sentence))
    seconds = sum(paper.order.seconds for paper in plan.papers)
    console.print(f"About {phrases.duration(seconds)} at the trimmer.")
    for sentence in words.notes(plan):
        console.print(Text(sentence))
    for paper in plan.papers:
        if paper.missing:
            console.print(Text(f"{paper.paper.name}: {words.proof(paper)}", style="bold yellow"))


def show_shopping(console: Console, plan: Plan) -> None:
    """What to buy, shop by shop."""
    money = plan.project.currency
    for some in shopping.shop_lists(plan):
        console.print()
        console.print(Text(some.shop[:1].upper() + some.shop[1:], style="bold"))
        table = new_table()
        table.add_column("", justify="right", no_wrap=True)
        table.add_column("buy")
        table.add_column("price", justify="right", no_wrap=True)
        for row in some.rows:
            table.add_row(str(row.count), escape(row.what), money.amount(row.cents))
        if some.postage:
            table.add_row("", "postage", money.amount(some.postage))
        console.print(table)
    console.print()


def _buying(plan: Plan) -> str:
    """What to buy in one sentence, and what that comes to per card where every price is known."""
    are = "is" if plan.sheets == 1 else "are"
    if not plan.to_buy and not (plan.purchase and plan.purchase.lines):
        return f"Nothing to buy; {phrases.plural(plan.sheets, 'sheet')} at hand {are} cut."
    new = plan.to_buy if plan.purchase is None else sum(plan.purchase.brought.values())
    buy = f"Buy {phrases.plural(new, 'sheet')}"
    cut = f"{phrases.plural(plan.sheets, 'sheet')} {are} cut in all."
    if plan.price is None:
        return f"{buy}; {cut} Not every price is known."
    money = plan.project.currency
    cards = sum(line.count for line in plan.project.batch)
    each = f", {escape(money.write(whole_cents(Fraction(plan.price, cards))))} a card" if cards else ""
    return f"{buy} for {escape(money.write(plan.price))}{each}; {cut}"


def show_detail(console: Console, plan: Plan) -> None:
    """Per paper the proof, each layout with its copies and parts, the passes and the offcuts to keep."""
    for paper in plan.papers:
        console.print()
        console.print(Text(paper.paper.name, style="bold"))
        console.print(Text(words.proof(paper)))
        if said := words.offcut(paper):
            console.print(Text(said))
        _show_layouts(console, paper, plan.project.unit)
        _show_passes(console, paper, plan.project.unit)
        kept: dict[tuple[int, str], int] = {}
        for offcut in paper.offcuts:
            size = phrases.size(offcut.width, offcut.height, plan.project.unit, with_unit=True)
            kept[offcut.layout, size] = kept.get((offcut.layout, size), 0) + offcut.count
        for (layout, size), count in kept.items():
            console.print(f"Keep {count} x {size} (layout {layout + 1}).")


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
    table = new_table(tight=True)
    for head in ("pass", "stop", "edge", "part", "deep", "cuts", "comes off"):
        table.add_column(head, justify="right" if head in ("pass", "stop") else "left")
    table.columns[-1].min_width = 26  # so that a part and its size stay on one line
    for line in paper.order.passes:
        table.add_row(
            str(line.number),
            phrases.length(line.setting, unit),
            f"{'turn: ' if line.turned else ''}{line.edge.value}",
            escape(words.part_words(line.part, unit).removeprefix("part ")),
            _deep(line.stacks),
            str(line.cuts),
            escape("\n".join(words.comes_words(comes, unit) for comes in line.comes)),
        )
    console.print(table)
    settings = phrases.plural(paper.order.settings, "stop setting")
    console.print(f"{settings}; {words.fewest_settings(paper.order)}. About {phrases.duration(paper.order.seconds)}.")
    for sentence in words.cut_notes(paper, unit):
        console.print(Text(sentence))
    if paper.trade is not None:
        console.print(words.traded(paper.trade, unit))


def _deep(stacks: tuple[int, ...]) -> str:
    """How deep the stacks are: "2 x 3" for three stacks two deep, "2 x 3 + 1" with a last one of one."""
    groups: dict[int, int] = {}
    for deep in stacks:
        groups[deep] = groups.get(deep, 0) + 1
    return " + ".join(f"{deep} x {count}" if count > 1 else str(deep) for deep, count in groups.items())
