"""The shopping list as pages of the packet, to be torn off: what to buy, what to print, what to take from the drawer.

In: a Plan. Out: Drawings of pages. The facts of the trade: the list is read on one's feet, one shop after the other;
what is asked for at the counter is a pack, not a sheet; and what lies in the drawer is laid out before it is bought.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from nesting.cost.sheet import cost_sheet
from nesting.lengths import Length, Unit
from nesting.plan import Plan
from nesting.reports.lettering import TIMES, Run, Stacked, Words, joined, size_words
from nesting.reports.look import LIVE_WIDTH, TEXT
from nesting.reports.page_frame import Numbering, PageSize
from nesting.reports.pass_rows import Row
from nesting.reports.print_words import how_to_print
from nesting.reports.shopping import purchase_words, shop_lists
from nesting.reports.stock_lists import from_drawer
from nesting.reports.text_pages import Cell, Pages, bar, heads, sentence_rows, spaced, table_row, text_pages

_COUNT, _WHAT, _SIZE, _EACH = 1.0, 1.2, 4.3, 6.5  # inches from the left: where columns end or begin
_LARGE, _MIDDLE = 18.0, 14.0


def shopping_pages(plan: Plan, size: PageSize, numbering: Numbering | None = None) -> Pages:
    """What to buy, shop by shop where the project names shops; then what to print and what to take from the drawer."""
    rows = list(_by_shop(plan) if plan.purchase is not None else _by_paper(plan))
    rows += sentence_rows(purchase_words(plan))
    printed = [note for paper in plan.papers for note in how_to_print(paper, plan.project.unit, plan.project.currency)]
    if printed:
        rows = [*spaced(rows, 0.3), bar("print at home"), *sentence_rows(printed, "•")]
    held = from_drawer(plan)
    if held:
        rows = [*spaced(rows, 0.3), bar("take from the drawer")]
    for paper, sheet, count, kind in held:
        rows.append(table_row("take", [
            Cell((str(count),), _COUNT, 0.7, "end", 15.0, True), Cell((paper,), _WHAT, 3.0, size=TEXT + 1, bold=True),
            _at(_sheet_words(sheet.width, sheet.height, plan.project.unit), _SIZE, width=1.9),
            _at((kind,), LIVE_WIDTH, "end"),
        ], 0.36, box=True))  # fmt: skip
    return text_pages("Shopping list", (plan.project.title,), rows, size, numbering)


def _by_paper(plan: Plan) -> Iterable[Row]:
    """Every paper in the sheets it is bought in, with prices where they are known."""
    money = plan.project.currency
    to_buy = cost_sheet(plan, plan.project.costs).to_buy
    yield bar("to buy", f"prices in {money.sign}" if money.sign else "")
    if not to_buy:
        yield from sentence_rows(["Nothing: all of it lies in the drawer."])
        return
    yield heads([_at(("how many",), _COUNT, "end"), _at(("paper",), _WHAT), _at(("sheet",), _SIZE),
                 _at(("each",), _EACH, "end"), _at(("together",), LIVE_WIDTH, "end")])  # fmt: skip
    for each in to_buy:
        price = ("?",) if each.price is None else (money.amount(each.price),)
        together = ("?",) if each.cents is None else (money.amount(each.cents),)
        yield table_row("to-buy", [
            _count(each.count), Cell((each.paper,), _WHAT, 3.0, size=_MIDDLE, bold=True),
            _at(_sheet_words(each.sheet.width, each.sheet.height, plan.project.unit), _SIZE, width=1.5),
            _at(price, _EACH, "end"), _at(together, LIVE_WIDTH, "end"),
        ], 0.44, box=True)  # fmt: skip
    if plan.price is not None:
        yield _total("sheets", plan.to_buy, money.write(plan.price))


def _by_shop(plan: Plan) -> Iterable[Row]:
    """Shop after shop what is asked for at its counter."""
    money = plan.project.currency
    for shop in shop_lists(plan):
        yield bar(shop.shop[:1].upper() + shop.shop[1:], money.write(shop.cents))
        rows = [
            table_row("to-buy", [
                _count(each.count), Cell(_set(each.what), _WHAT, LIVE_WIDTH - _WHAT - 1.1, size=TEXT + 1),
                _at((money.amount(each.cents),), LIVE_WIDTH, "end"),
            ], 0.44, box=True)
            for each in shop.rows
        ]  # fmt: skip
        if shop.postage:
            price = _at((money.amount(shop.postage),), LIVE_WIDTH, "end")
            rows.append(table_row("postage", [_at(("postage",), _WHAT, width=3.0), price], 0.36))
        yield from spaced(rows, 0.2)
    yield _total("together", None, money.write(plan.price or 0))


def _count(count: int) -> Cell:
    return Cell((str(count),), _COUNT, 0.7, "end", _LARGE, True)


def _total(name: str, count: int | None, price: str) -> Row:
    cells = [Cell((name,), _WHAT, 3.0, size=_MIDDLE, bold=True), Cell((price,), LIVE_WIDTH, 2.0, "end", _MIDDLE, True)]
    return table_row("total", [*cells, *([] if count is None else [_count(count)])], 0.44, rule=False)


def _at(words: Words, x: float, anchor: str = "start", width: float = 1.0) -> Cell:
    return Cell(words, x, width, anchor)


def _sheet_words(width: Length, height: Length, unit: Unit) -> Words:
    return joined((*size_words(width, height, unit), f" {unit.value}"))


def _set(text: str) -> Words:
    """A text with its sizes as a ruler shows them: 8 1/2 x 11 with the fraction stacked."""
    parts = re.split(r"(?<=\d) (\d{1,2}/\d{1,2})(?!\d)", re.sub(r"(?<=\d) x (?=\d)", f" {TIMES} ", text))
    words: list[Run] = []
    for number, part in enumerate(parts):
        if number % 2:
            top, _, bottom = part.partition("/")
            words.append(Stacked(int(top), int(bottom)))
        elif part:
            words.append(part)
    return tuple(words)
