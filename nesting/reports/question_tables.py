"""The answers to the reverse questions: how many cards, which batch size, what lies on the table.

In: their answers. Out: rich tables and sentences on the console that is handed in; the same as plain data for JSON
and as CSV. Fits 80 columns. The fact of the trade: what could not be proven is said as plainly as what could.
"""

from __future__ import annotations

import csv
import io
from fractions import Fraction
from typing import Any

from rich.console import Console
from rich.markup import escape
from rich.text import Text

from nesting.money import Currency, whole_cents
from nesting.pieces.supply import SourceKind
from nesting.questions.batch_curve import Curve, GoodSize, Point
from nesting.questions.how_many import HowMany
from nesting.questions.mixes import MOST_CARDS
from nesting.questions.recut import Recut
from nesting.reports import phrases
from nesting.reports.plan_terminal import show_shopping
from nesting.reports.terminal import new_table
from nesting.reports.waste_picture import BatchWaste

UNPRICED = "Not every paper has a price; what has none is not in these costs."


# ------------------------------------------------------------------------------------------ how many cards


def show_how_many(console: Console, found: HowMany) -> None:
    """How many, why not one more, and what is left."""
    unit, money = found.project.unit, found.project.currency
    purse = f"with {money.write(found.money)} and what is at hand" if found.money else "from what is at hand"
    console.print(Text(f"{phrases.plural(found.cards, 'card')} can be made {purse}.", style="bold"))
    counts = [(name, count) for name, count in found.mix.counts(found.cards).items() if count]
    if len(counts) > 1:
        console.print(Text(", ".join(f"{count} {name}" for name, count in counts) + "."))
    for sentence in why_not_more(found):
        console.print(Text(sentence, style="" if found.proven else "yellow"))
    if found.no_price:
        unknown = phrases.listed(found.no_price)
        console.print(Text(f"No price is known for new sheets of {unknown}; none were counted on."))
    if found.plan:
        table = new_table()
        packs = found.plan.purchase is not None
        for head in ("paper", "cut", *(("new",) if packs else ("to buy", "price"))):
            table.add_column(head, justify="left" if head == "paper" else "right")
        for paper in found.plan.papers:
            price = "" if not paper.price else money.amount(paper.price)
            row = (escape(paper.paper.name), str(paper.sheets), str(paper.to_buy or ""))
            table.add_row(*row, *(() if packs else (price,)))
        console.print(table)
        if packs:
            show_shopping(console, found.plan)
            console.print(Text(f"Together {money.write(found.spent)}."))
    left = [
        f"{one.count} of {one.paper} {phrases.size(one.source.sheet.width.ticks, one.source.sheet.height.ticks, unit)}"
        for one in found.left_over
    ]
    if left:
        console.print(Text(f"Not touched: {', '.join(left)}."))


def why_not_more(found: HowMany) -> list[str]:
    """What stands against one card more, and how sure that is."""
    more, money = found.cards + 1, found.project.currency
    out = [need.paper for need in found.first_out if need.least is None]
    least = sum(need.least or 0 for need in found.first_out)
    if found.cards >= MOST_CARDS:
        return [f"More than {MOST_CARDS} were not looked at."]
    if found.impossible is None:
        return [f"Whether {more} can be made was not settled."]
    if not found.proven:
        start = f"Whether {more} can be made was not settled"
        between = "" if found.impossible == more + 1 else f", nor any number up to {found.impossible - 1}"
        return [f"{start}{between}; {found.impossible} cannot, that is proven."]
    if out:
        alone = "runs" if len(out) == 1 else "run"
        return [f"{more} cannot be made, that is proven: {phrases.listed(out)} {alone} out first."]
    return [f"{more} cannot be made, that is proven: new sheets for them cost at least {money.write(least)}."]


def how_many_data(found: HowMany) -> dict[str, Any]:
    """The answer as plain data; money in cents, lengths in ticks."""
    return {
        "cards": found.cards,
        "designs": found.mix.counts(found.cards),
        "money_cents": found.money,
        "spent_cents": found.spent,
        "proven": found.proven,
        "proven_impossible": found.impossible,
        "one_more_needs": [
            {"paper": need.paper, "found_cents": need.spent, "at_least_cents": need.least,
             "impossible": need.least is None}
            for need in found.first_out
        ],
        "untouched": [
            {"paper": one.paper, "width": one.source.sheet.width.ticks, "height": one.source.sheet.height.ticks,
             "count": one.count}
            for one in found.left_over
        ],
        "without_price": list(found.no_price),
        "sentences": why_not_more(found),
    }  # fmt: skip


# ------------------------------------------------------------------------------------------ which batch size


def show_curve(console: Console, curve: Curve) -> None:
    """One row a size, the sizes that leave little in bold, and why they do."""
    good = {one.point.cards: one for one in curve.good_sizes()}
    console.print(Text(f"{curve.title}: {_mix(curve)}", style="bold"))
    money = curve.currency
    table = new_table()
    for head in ("cards", "sheets", "buy", "price", "cost a card", "one more", "left", "scrap", "plan"):
        table.add_column(head, justify="left" if head == "plan" else "right")
    for point in curve.points:
        more = curve.one_more(point.cards)
        table.add_row(
            str(point.cards), str(point.sheets), str(point.to_buy),
            "?" if point.price is None else money.amount(point.price),
            money.amount(whole_cents(point.per_card)), "" if more is None else money.amount(whole_cents(more)),
            phrases.percent(point.left), phrases.percent(point.scrap), Text(verdict(point, money)),
            style="bold" if point.cards in good else "",
        )  # fmt: skip
    console.print(table)
    for one in good.values():
        console.print(Text(why_good(one)))
    if not all(point.priced for point in curve.points):
        console.print(Text(UNPRICED))
    if any(not point.proven and point.least is None for point in curve.points):
        console.print(Text("open: a cheaper plan for that paper was neither found nor ruled out.", style="dim"))
    console.print(Text("left: all that is on no card; scrap: the part of it not worth keeping.", style="dim"))


def verdict(point: Point, money: Currency) -> str:
    """Whether the size's plan is the best there is; if not, for which paper that is open, or how much less to pay."""
    if not point.complete:
        return "paper is short"
    if point.least is not None and point.price is not None:
        return "proven best" if point.proven else f"at most {money.amount(point.price - point.least)} less"
    unsure = [paper.paper for paper in point.papers if not paper.proven]
    if not unsure:
        return "proven best"
    return f"{unsure[0]} open" if len(unsure) == 1 else f"{len(unsure)} papers open"


def why_good(good: GoodSize) -> str:
    """A sentence: how little is left at a size, and which sheets the next size would begin."""
    cards = phrases.plural(good.point.cards, "card")
    leave = "leaves" if good.point.cards == 1 else "leave"
    each = "" if len(good.full) == 1 else "each "
    begin = f"{good.next} cards begin another sheet {each}of {phrases.listed(good.full)}"
    return f"{cards} {leave} {phrases.percent(good.point.left)}; {begin}."


def _mix(curve: Curve) -> str:
    if len(curve.mix.weights) == 1:
        return curve.mix.weights[0][0]
    return ", ".join(f"{weight} {name}" for name, weight in curve.mix.weights) + " and so on in proportion"


def curve_data(curve: Curve) -> dict[str, Any]:
    """The curve as plain data; money in cents, shares as percent in words."""
    return {
        "title": curve.title,
        "currency": curve.currency.sign,
        "currency_decimals": curve.currency.decimals,
        "mix": dict(curve.mix.weights),
        "this_batch": curve.this,
        "sizes": [_point_data(curve, point) for point in curve.points],
        "leave_little": [
            {"cards": one.point.cards, "used_up": list(one.full), "sentence": why_good(one)}
            for one in curve.good_sizes()
        ],
    }


def _point_data(curve: Curve, point: Point) -> dict[str, Any]:
    more = curve.one_more(point.cards)
    return {
        "cards": point.cards,
        "designs": dict(point.counts),
        "sheets": point.sheets,
        "to_buy": point.to_buy,
        "price_cents": point.price,
        "cost_cents": point.cost,
        "cost_complete": point.priced,
        "one_more_cents": None if more is None else whole_cents(more),
        "left_percent": _percent(point.left),
        "scrap_percent": _percent(point.scrap),
        "minutes_cutting": -(-point.seconds // 60),
        "least_price_cents": point.least,
        "verdict": verdict(point, curve.currency),
        "papers": [
            {"paper": one.paper, "sheets": one.sheets, "to_buy": one.to_buy, "left_percent": _percent(one.left),
             "proven": one.proven}
            for one in point.papers
        ],
    }  # fmt: skip


def _percent(share: Fraction) -> str:
    return phrases.percent(share).removesuffix(" %")


def curve_csv(curve: Curve) -> str:
    """One row a size."""
    head = ("cards", "sheets", "to buy", "price", "cost", "cost a card", "one more", "left %", "scrap %", "plan")
    out = io.StringIO()
    writer, money = csv.writer(out), curve.currency
    writer.writerow(head)
    for point in curve.points:
        more = curve.one_more(point.cards)
        writer.writerow((
            point.cards, point.sheets, point.to_buy, "" if point.price is None else money.amount(point.price),
            money.amount(point.cost), money.amount(whole_cents(point.per_card)),
            "" if more is None else money.amount(whole_cents(more)), _percent(point.left), _percent(point.scrap),
            verdict(point, money),
        ))  # fmt: skip
    return out.getvalue()


def wastes(curve: Curve) -> tuple[BatchWaste, ...]:
    """The curve as the picture of waste by batch size wants it."""
    return tuple(BatchWaste(point.cards, point.keep, point.scrap) for point in curve.points)


# ------------------------------------------------------------------------------------------ what now


def show_recut(console: Console, rest: Recut) -> None:
    """What is missing, what it can be cut from, and how many new sheets it takes."""
    unit = rest.project.unit
    if rest.plan is None:
        console.print(Text("Nothing is missing: the good pieces suffice.", style="bold"))
        return
    console.print(Text("Still to be cut:", style="bold"))
    for piece in rest.project.pieces:
        size = phrases.size(piece.width.ticks, piece.height.ticks, unit, with_unit=True)
        console.print(Text(f"  {piece.count} x {size} of {piece.paper}, {piece.label}"))
    for paper in rest.plan.papers:
        for use in paper.uses:
            source = paper.packing.sources[use.sheet]
            size = phrases.size(source.sheet.width.ticks, source.sheet.height.ticks, unit, with_unit=True)
            whence = "new" if source.kind is SourceKind.BUY else "from the table or the drawer"
            console.print(Text(f"  cut {use.copies} of {paper.paper.name} {size}, {whence}"))
    console.print(Text(new_sheets(rest), style="bold"))


def new_sheets(rest: Recut) -> str:
    """How many new sheets the rest takes, and that none takes fewer."""
    new = rest.plan.to_buy if rest.plan else 0
    if rest.plan is not None and not rest.plan.complete:
        missing = [f"{count} x {piece.title}" for paper in rest.plan.papers for piece, count in paper.missing]
        return f"The paper does not suffice; missing: {', '.join(missing)}."
    if not new:
        return "No new sheet is needed."
    needed = f"{phrases.plural(new, 'new sheet')} {'is' if new == 1 else 'are'} needed"
    return f"{needed}; no plan takes fewer{'' if new == rest.fewest_new else f' than {rest.fewest_new}'}."
