"""Two variants side by side: a table with what the second has more or less, and one sentence that says it.

In: two Figures. Out: a rich table of 80 columns on the console that is handed in, or plain data. The fact of the trade:
a difference is what one asks for; the two figures stand beside it so that it can be believed.
"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from typing import Any

from rich.console import Console
from rich.markup import escape
from rich.text import Text

from nesting.money import whole_cents
from nesting.questions.compare import Figures
from nesting.reports import phrases
from nesting.reports.terminal import new_table


def show_side_by_side(console: Console, left: Figures, right: Figures) -> None:
    """The sentence, then the figures of both and what the second has more or less."""
    console.print(Text(difference_words(left, right), style="bold"))
    table = new_table()
    for head, name in (("", ""), ("left", left.title), ("right", right.title), ("more", "difference")):
        table.add_column(escape(name), justify="left" if head == "" else "right", no_wrap=head in ("", "more"))
    for row in comparison(left, right):
        table.add_row(*map(escape, row))
    console.print(table)
    if left.currency != right.currency:
        console.print(Text("The two count in different currencies; their prices are not compared."))
    elif left.currency.sign:
        console.print(Text(f"Money in {left.currency.sign}.", style="dim"))


def difference_words(left: Figures, right: Figures) -> str:
    """What the second variant means for whoever cuts and pays."""
    name = f"{right.title[:1].upper()}{right.title[1:]}"
    short = [one.title for one in (left, right) if not one.complete]
    if short:
        return f"Not comparable: the paper is short for {' and '.join(short)}."
    said = [
        _more_words(right.sheets - left.sheets, lambda n: phrases.plural(n, "sheet")),
        _more_words(right.minutes - left.minutes, lambda n: phrases.plural(n, "minute")),
    ]
    if left.cost is not None and right.cost is not None and left.currency == right.currency:
        more = right.cost - left.cost
        said.insert(0, _more_words(more, left.currency.write))
    told = [one for one in said if one]
    if not told:
        return f"{name} comes to the same."
    return f"{name} takes {phrases.listed(told)}."


def _more_words(more: int, words: Callable[[int], str]) -> str:
    return f"{words(abs(more))} {'more' if more > 0 else 'less'}" if more else ""


def comparison(left: Figures, right: Figures) -> list[tuple[str, str, str, str]]:
    """Rows: what, left, right, difference."""
    return [
        _counted("cards", left.cards, right.cards),
        _counted("sheets", left.sheets, right.sheets),
        _counted("to buy", left.to_buy, right.to_buy),
        ("to pay for paper", *_amounts(left, right, left.price, right.price)),
        ("cost of the cards", *_amounts(left, right, left.cost, right.cost)),
        ("cost a card", *_amounts(left, right, _each(left), _each(right))),
        ("wasted", *_shares(left.waste, right.waste)),
        ("in offcuts to keep", *_shares(left.kept, right.kept)),
        _counted("stop settings", left.settings, right.settings),
        _counted("minutes of cutting", left.minutes, right.minutes),
        ("plan", _proven(left), _proven(right), ""),
    ]


def side_by_side_data(left: Figures, right: Figures) -> dict[str, Any]:
    """Both sides and the difference as plain data: amounts in smallest coins, shares in hundredths of a percent."""
    sides = {"left": _data(left), "right": _data(right)}
    same = left.currency == right.currency
    more = {
        key: None if one is None or other is None or (not same and key.endswith("_cents")) else other - one
        for (key, one), other in zip(sides["left"].items(), sides["right"].values(), strict=True)
        if (isinstance(one, int) and not isinstance(one, bool)) or one is None
    }
    return {**sides, "difference": more, "sentence": difference_words(left, right)}


def _data(one: Figures) -> dict[str, Any]:
    return {
        "title": one.title,
        "currency": one.currency.sign,
        "currency_decimals": one.currency.decimals,
        "cards": one.cards,
        "sheets": one.sheets,
        "to_buy": one.to_buy,
        "price_cents": one.price,
        "cost_cents": one.cost,
        "waste_hundredths_percent": whole_cents(10_000 * one.waste),
        "kept_hundredths_percent": whole_cents(10_000 * one.kept),
        "settings": one.settings,
        "seconds": one.seconds,
        "complete": one.complete,
        "proven": one.proven,
    }


def _each(one: Figures) -> int | None:
    return None if one.per_card is None else whole_cents(one.per_card)


def _proven(one: Figures) -> str:
    if not one.complete:
        return "paper is short"
    return "proven best" if one.proven else "not proven"


def _counted(what: str, left: int, right: int) -> tuple[str, str, str, str]:
    return what, str(left), str(right), f"{right - left:+d}" if right != left else "0"


def _shares(left: Fraction, right: Fraction) -> tuple[str, str, str]:
    """Two shares in percent; the difference is in points of a percent."""
    more = right - left
    sign = "+" if more > 0 else "-"
    return phrases.percent(left), phrases.percent(right), f"{sign}{phrases.percent(abs(more))}" if more else "0 %"


def _amounts(left: Figures, right: Figures, one: int | None, other: int | None) -> tuple[str, str, str]:
    """Two amounts and their difference; amounts in two currencies have their signs and no difference."""
    if left.currency != right.currency:
        return _amount(one, left.currency.write), _amount(other, right.currency.write), ""
    money = left.currency
    more = "?" if one is None or other is None else ("+" if other > one else "") + money.amount(other - one)
    return _amount(one, money.amount), _amount(other, money.amount), more


def _amount(cents: int | None, write: Callable[[int], str]) -> str:
    return "?" if cents is None else write(cents)
