"""The packet as one page for a tablet, a phone or a printer: one HTML file that needs no network.

In: a Plan. Out: the page's text. The facts of the trade: the tablet stands beside the trimmer and is tapped with the
side of a thumb, so the next pass is shown first and large; and a page that forgets its ticks is worse than paper.
"""

from __future__ import annotations

import base64
import hashlib
from functools import cache
from importlib import resources
from typing import Any

from jinja2 import Environment, StrictUndefined
from markupsafe import Markup

from nesting.cost.sheet import cost_sheet
from nesting.cost.values import CostSheet
from nesting.lengths import Length, Unit
from nesting.money import Currency
from nesting.plan import Plan
from nesting.reports import phrases, words
from nesting.reports.cautions import CAUTIONS, FIRST, SHORT
from nesting.reports.cost_rows import cost_notes, cost_rows, design_names, to_pay
from nesting.reports.drawing import Drawing
from nesting.reports.fold_drawing import draw_base
from nesting.reports.fold_sheet import SCALES, FoldSubject
from nesting.reports.fold_steps import Step, steps
from nesting.reports.kits import Kit, KitPart, kits
from nesting.reports.lettering import TIMES, plain
from nesting.reports.packet import folds
from nesting.reports.plan_data import fingerprint
from nesting.reports.print_words import how_to_print
from nesting.reports.shopping import ShopList, purchase_words, shop_lists
from nesting.reports.stock_lists import from_drawer, to_keep
from nesting.reports.svg import svg_text
from nesting.reports.text_pages import kit_name, kit_title
from nesting.reports.web_cuts import papers_data
from nesting.reports.web_lengths import length_html, size_html

Data = dict[str, Any]
_FOLD_WIDTH = 7.5  # inches that draw_base fills


def web_page(plan: Plan) -> str:
    """The whole page. All that the user wrote is escaped by the template; the drawings escape their own words."""
    style, script = _part("page.css"), _part("page.js")
    page = {
        "fingerprint": fingerprint(plan),
        "policy": _policy(style, script),
        "style": Markup(style),  # our own file, not the user's
        "script": Markup(script),
        "title": plan.project.title,
        "below": _below(plan),
        "care": SHORT,
        "first_caution": FIRST,
        "cautions": _cautions(plan),
        "papers": papers_data(plan),
        **_buying(plan),
        "folds": [_fold(number, fold) for number, fold in enumerate(folds(plan), start=1)],
        **_kits(plan),
        "keep": _keep(plan),
        "cost": _cost(cost_sheet(plan, plan.project.costs)),
        "proofs": [f"{paper.paper.name}: {words.verdict(paper)}. {words.proof(paper)}" for paper in plan.papers],
    }
    page["parts"] = [
        (name, said) for name, said in (
            ("cut", "Cut"), ("buy", "Buy"), ("fold", "Fold"), ("kits", "Kits"), ("keep", "Keep"), ("cost", "Cost"),
            ("cautions", "Cautions"),
        ) if page.get({"fold": "folds", "keep": "keep"}.get(name, "title"))
    ]  # fmt: skip
    environment = Environment(autoescape=True, undefined=StrictUndefined, trim_blocks=False)
    return environment.from_string(_part("page.html")).render(page=page)


@cache
def _part(name: str) -> str:
    return (resources.files("nesting.reports") / "web" / name).read_text("utf-8")


def _policy(style: str, script: str) -> str:
    """What the browser may run: this page's own script and style, by their hashes, and nothing from anywhere."""

    def of(text: str) -> str:
        return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"

    return f"default-src 'none'; style-src {of(style)}; script-src {of(script)}; base-uri 'none'; form-action 'none'"


def _below(plan: Plan) -> str:
    cards = sum(line.count for line in plan.project.batch)
    said = [phrases.plural(cards, "card")] if cards else []
    seconds = sum(paper.order.seconds for paper in plan.papers)
    said += [phrases.plural(len(plan.papers), "paper"), f"about {phrases.duration(seconds)} at the trimmer"]
    return "  ·  ".join(said)


def _cautions(plan: Plan) -> list[tuple[str, list[str]]]:
    found = [(title, list(sentences)) for title, sentences in CAUTIONS]
    mine = words.notes(plan)
    return [*found, ("in this batch", mine)] if mine else found


def _line(name: str, many: str, text: object, end: object = "") -> Data:
    return {"id": name, "many": many, "text": text, "end": end}


def _buying(plan: Plan) -> Data:
    """What to buy, shop by shop where the project names shops, what to print, what to take from the drawer."""
    unit, money = plan.project.unit, plan.project.currency
    if plan.purchase is not None:
        shops = [_shop(n, shop, money) for n, shop in enumerate(shop_lists(plan), start=1)]
    else:
        shops = [{"name": "", "rows": [
            _line(f"buy-1-{n}", str(each.count), _named(each.paper, each.sheet.width, each.sheet.height, unit),
                  "price not known" if each.cents is None else _price(each.cents, money))
            for n, each in enumerate(cost_sheet(plan, plan.project.costs).to_buy, start=1)
        ]}]  # fmt: skip
    drawer = [
        _line(f"take-{n}", str(count), _named(paper, held.width, held.height, unit), kind)
        for n, (paper, held, count, kind) in enumerate(from_drawer(plan), start=1)
    ]
    total = ""
    if plan.price is not None and plan.to_buy:
        sheets = "" if plan.purchase is not None else f"{phrases.plural(plan.to_buy, 'sheet')}, "
        total = f"{sheets}{money.write(plan.price)} together"
    said = purchase_words(plan)
    said += [sentence for paper in plan.papers for sentence in how_to_print(paper, unit, money)]
    return {"shops": [shop for shop in shops if shop["rows"]], "said": said, "drawer": drawer, "total": total}


def _shop(number: int, shop: ShopList, money: Currency) -> Data:
    rows = [
        _line(f"buy-{number}-{n}", str(row.count), row.what, _price(row.cents, money))
        for n, row in enumerate(shop.rows, start=1)
    ]
    postage = f", {money.write(shop.postage)} of it postage" if shop.postage else ""
    return {"name": f"{shop.shop}: {money.write(shop.cents)}{postage}", "rows": rows}


def _price(cents: int, money: Currency) -> str:
    """A sum that no narrow screen breaks in two."""
    return money.write(cents).replace(" ", "\u00a0")


def _named(name: str, width: Length, height: Length, unit: Unit) -> Markup:
    return Markup("<strong>{}</strong> {} {}").format(name, size_html(width, height, unit), unit.value)


def _fold(number: int, fold: FoldSubject) -> Data:
    """The base drawn as on its fold sheet, and its steps to tick."""
    scale = next((s for s in SCALES if fold.base.width.in_unit(Unit.INCH) * s <= 6), SCALES[-1])
    ink = draw_base(fold.base, fold.unit, fold.panel_names, 0.06, 0.06, scale)
    name = fold.design if fold.base.name == "base" else f"{fold.design}, {fold.base.name}"
    drawing = Drawing(_FOLD_WIDTH + 0.12, ink.box.y1 + 0.06, ink.shapes, f"{name}: fold drawing")
    return {
        "title": name,
        "below": f"{fold.base.paper}, {TIMES} {fold.copies}",
        "svg": Markup(svg_text(drawing, f"f{number}-", standalone=False)),
        "steps": [_step(number, step, fold.unit) for step in steps(fold.base, fold.unit)],
    }


def _step(fold: int, step: Step, unit: Unit) -> Data:
    if step.area is not None:
        text = Markup("<strong>{}</strong> with a knife").format(step.make.value)
    else:
        edge = "left" if step.from_left else "top"
        text = Markup("<strong>{}</strong> at {} from the {} edge").format(
            step.make.value, length_html(step.setting, unit), edge
        )
    return _line(f"fold-{fold}-{step.number}", str(step.number), text, plain(step.far))


def _kits(plan: Plan) -> Data:
    found = kits(plan)
    unit = plan.project.unit
    data = [_kit(number, kit, unit) for number, kit in enumerate(found.kits, start=1)]
    for title, parts in (("spares", found.spares), ("missing: the paper does not suffice", found.missing)):
        if parts:
            data.append({"title": title, "parts": [_kit_part(part, unit, True) for part in parts], "ticks": []})
    return {"kits": data}


def _kit(number: int, kit: Kit, unit: Unit) -> Data:
    ticks = [
        {"id": f"kit-{number}-{card}", "say": "",
         "text": Markup('<span class="heard">{}, kit </span>{}').format(kit.design or "pieces of the list", card)}
        for card in range(kit.first, kit.last + 1)
    ]  # fmt: skip
    return {"title": kit_title(kit), "parts": [_kit_part(part, unit) for part in kit.parts], "ticks": ticks}


def _kit_part(part: KitPart, unit: Unit, whose: bool = False) -> Data:
    return {
        "many": f"{part.count} {TIMES}",
        "name": kit_name(part, whose),
        "size": size_html(part.piece.width, part.piece.height, unit),
        "end": f"{part.piece.paper} {part.letter}",
    }


def _keep(plan: Plan) -> list[Data]:
    unit = plan.project.unit
    return [
        _line(f"keep-{n}", str(kept.count), _named(kept.paper.name, kept.width, kept.height, unit),
              phrases.several("layout", kept.layouts))
        for n, kept in enumerate(to_keep(plan), start=1)
    ]  # fmt: skip


def _cost(sheet: CostSheet) -> Data:
    rows = [{"name": row.name, "sum": row.bold, "texts": [*row.texts, row.together]} for row in cost_rows(sheet)]
    currency = f", in {sheet.currency.sign}" if sheet.currency.sign else ""
    notes = [*to_pay(sheet), *cost_notes(sheet)]
    return {"currency": currency, "designs": design_names(sheet), "rows": rows, "notes": notes}
