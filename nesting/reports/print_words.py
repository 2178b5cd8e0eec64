"""How to print the papers that are printed at home, as sentences.

In: a PaperPlan. Out: one sentence for each size of page that is to be printed. The fact of the trade: a printer that
fits the print to the page by itself makes every figure on it smaller than planned.
"""

from __future__ import annotations

from dataclasses import replace

from nesting.describe.printed_at_home import scale_on
from nesting.lengths import Length, Unit, rounded_down, write_size
from nesting.money import Currency
from nesting.pieces.supply import SourceKind
from nesting.plan import PaperPlan
from nesting.reports import phrases


def how_to_print(plan: PaperPlan, unit: Unit, currency: Currency) -> list[str]:
    """Pages, scale, what comes out, what runs off, and what a page costs."""
    printed = plan.paper.printed
    if printed is None:
        return []
    pages: dict[int, int] = {}
    for use in plan.uses:
        if plan.packing.sources[use.sheet].kind is SourceKind.BUY:
            pages[use.sheet] = pages.get(use.sheet, 0) + use.copies
    said = []
    for number, count in pages.items():
        source = plan.packing.sources[number]
        sold = next((sold for sold in plan.paper.sold if sold.sheet == source.sheet), None)  # else from a shop
        page = sold.page if sold and sold.page else replace(source.sheet, rim=plan.paper.rim)
        percent = scale_on(page, printed)
        whole = tuple(Length(side.ticks * percent // 100) for side in (printed.width, printed.height))
        off = any(side > room for side, room in zip(whole, page.usable, strict=True))
        width, height = (rounded_down(side, unit) for side in source.sheet.usable)
        there = write_size(width, height, unit, with_unit=True)
        price = ""
        if sold is not None and sold.price is not None:
            price = f", {currency.write(sold.price + plan.paper.ink)} a page with its ink"
        said.append(
            f"{plan.paper.name}: print {phrases.plural(count, 'page')} of"
            f" {write_size(page.width, page.height, unit, with_unit=True)} at {percent} %, not “fitted to the"
            f" page”{price}; {there} can be used{', the rest of the print runs off the page' if off else ''}."
        )
    return said
