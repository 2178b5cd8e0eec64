"""The shopping list as pages of the packet: shop by shop, with a box to tick beside everything to buy.

In: a ShoppingSubject. Out: Drawings of pages. The facts of the trade: the list is read on one's feet, one shop after
the other; and what is asked for at the counter is a pack, not a sheet.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from nesting.money import write_cents
from nesting.reports.drawing import Drawing, Group, Label, Shape, line
from nesting.reports.lettering import TIMES, Run, Stacked, Words
from nesting.reports.look import FLOOR, HEADS, INK, LIVE_WIDTH, PAGE_RULE, ROW_RULE, RULE, SMALL, STOP, TEXT
from nesting.reports.page_frame import Heading, Numbering, PageSize, heading
from nesting.reports.shopping import ShopList, ShopRow
from nesting.reports.stop_signs import fitted, tick_box

_SHOP, _ROW, _GAP, _TOTAL, _SAID, _FOOT = 0.62, 0.5, 0.12, 0.56, 0.26, 0.3
_COUNT, _WHAT, _PRICE = 0.78, 1.15, 1.1


@dataclass(frozen=True, slots=True)
class ShoppingSubject:
    """Lists by shop, all cents together, and sentences below them."""

    title: str
    currency: str
    lists: tuple[ShopList, ...]
    cents: int
    said: tuple[str, ...] = ()


@dataclass
class _Page:
    """A page while it is filled, and how far down."""

    shapes: list[Shape | Group]
    y: float


def shopping_pages(subject: ShoppingSubject, size: PageSize, numbering: Numbering | None = None) -> tuple[Drawing, ...]:
    """As many pages as the lists take; none where there is nothing to buy. A shop's name stands on all its pages."""
    if not subject.lists:
        return ()
    live, numbering = size.live, numbering or Numbering()
    foot = live.y1 - _FOOT
    pages: list[_Page] = []

    def page_for(height: float) -> _Page:
        if not pages or pages[-1].y + height > foot:
            _, y = heading(live, Heading("", (), ""))
            pages.append(_Page([], y + 0.1))
        return pages[-1]

    for some in subject.lists:
        page = page_for(_SHOP + 2 * _ROW)
        _shop(page, some, subject.currency, live.x0)
        rows = [*some.rows, *([ShopRow(0, "postage", some.postage)] if some.postage else [])]
        for row in rows:
            if page.y + _ROW > foot:
                page = page_for(_SHOP + _ROW)
                _shop(page, some, subject.currency, live.x0)
            _row(page, row, live.x0)
        page.y += _GAP
    page = page_for(_TOTAL + _SAID * len(subject.said))
    _total(page, subject, live.x0)
    drawings = []
    for index, page in enumerate(pages):
        said = Heading(subject.title, ("shopping list",), numbering.text(index))
        head, _ = heading(live, said)
        drawings.append(Drawing(size.width, size.height, (head, *page.shapes), f"{subject.title}: shopping list", 140))
    return tuple(drawings)


def _shop(page: _Page, some: ShopList, sign: str, x: float) -> None:
    base = page.y + 0.42
    name = some.shop[:1].upper() + some.shop[1:]
    total = Label((write_cents(some.cents, sign),), x + LIVE_WIDTH, base, TEXT + 1.5, True, anchor="end")
    room = LIVE_WIDTH - total.box.width - 0.3
    page.shapes.append(Group("shop", (fitted(Label((name,), x, base, 17.0, True), room, 11.0), total), title=name))
    page.y += _SHOP
    page.shapes.append(line(x, page.y, x + LIVE_WIDTH, page.y, PAGE_RULE, INK))


def _row(page: _Page, row: ShopRow, x: float) -> None:
    middle = page.y + _ROW / 2
    shapes: list[Shape] = []
    if row.count:
        shapes += tick_box(x, middle - 0.12, 0.24)
        shapes.append(Label((str(row.count),), x + _COUNT, middle + 0.1, STOP, True, anchor="end"))
    colour = INK if row.count else HEADS
    what = Label(_set(row.what), x + _WHAT, middle + 0.06, TEXT + 1.0, False, colour)
    shapes.append(fitted(what, LIVE_WIDTH - _WHAT - _PRICE, FLOOR))
    shapes.append(Label((write_cents(row.cents),), x + LIVE_WIDTH, middle + 0.06, TEXT + 1.0, anchor="end"))
    page.y += _ROW
    shapes.append(line(x, page.y, x + LIVE_WIDTH, page.y, ROW_RULE, RULE))
    page.shapes.append(Group("to-buy", tuple(shapes), title=f"{row.count} x {row.what}"))


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


def _total(page: _Page, subject: ShoppingSubject, x: float) -> None:
    base = page.y + 0.36
    total = write_cents(subject.cents, subject.currency)
    shapes: list[Shape] = [
        Label(("together",), x, base, TEXT + 0.5, True),
        Label((total,), x + LIVE_WIDTH, base, STOP, True, anchor="end"),
    ]
    for number, sentence in enumerate(subject.said):
        said = Label((sentence,), x, base + 0.3 + number * _SAID, SMALL + 0.5)
        shapes.append(fitted(said, LIVE_WIDTH, FLOOR - 2))
    page.shapes.append(Group("total", tuple(shapes)))
    page.y += _TOTAL + _SAID * len(subject.said)
