"""The cost sheet as plain data for JSON: every line with each design's share of it, sums, and one card more.

In: a CostSheet. Out: nested dicts and lists that `plan.schema.json` describes under `cost`. The fact of the trade: a
sum is only believed by who can add it up again, so all that it is made of is there, in whole smallest coins.
"""

from __future__ import annotations

from typing import Any

from nesting.buying.purchase import OneMore
from nesting.cost.values import CostLine, CostSheet, DesignCost, PaperValue


def cost_data(sheet: CostSheet) -> dict[str, Any]:
    """The whole sheet: the lines add up to the total, and by design to the designs, to the smallest coin.

    total_cents: what all cards cost, paper worth keeping not counted. cash_cents: what paper takes from the purse now.
    """
    names = [design.design for design in sheet.designs]
    return {
        "total_cents": sheet.total,
        "cash_cents": sheet.cash,
        "kept_cents": sheet.kept,
        "at_hand_cents": sheet.at_hand,
        "beyond_need_cents": sheet.beyond_need,
        "unpriced": list(sheet.unpriced),
        "lines": [_line(line, names) for line in sheet.lines],
        "designs": [_design(design) for design in sheet.designs],
        "papers": [_paper(paper) for paper in sheet.papers],
        "one_more": [_one_more(one) for one in sheet.one_more],
    }


def _line(line: CostLine, names: list[str]) -> dict[str, Any]:
    return {
        "kind": line.kind.value,
        "name": line.name,
        "how": line.how,
        "cents": line.cents,
        "designs_cents": dict(zip(names, line.shares, strict=True)),
    }


def _design(design: DesignCost) -> dict[str, Any]:
    """Cents of all cards of a design; what one costs is that through the number of cards, and need not be whole."""
    return {"design": design.design, "cards": design.cards, "cents": design.cents, "card_price_cents": design.price}


def _paper(paper: PaperValue) -> dict[str, Any]:
    return {
        "paper": paper.paper,
        "priced": paper.priced,
        "bought_cents": paper.bought,
        "at_hand_cents": paper.at_hand,
        "pieces_cents": paper.pieces,
        "waste_cents": paper.waste,
        "kept_cents": paper.kept,
    }


def _one_more(one: OneMore) -> dict[str, Any]:
    return {
        "design": one.design,
        "cents": one.cents,
        "paper_cents": one.paper,
        "sheets": dict(one.sheets),
        "certain": one.certain,
    }
