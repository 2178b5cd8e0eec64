"""A Plan as plain data for JSON: everything that was found, with exact lengths and the proofs.

In: a Plan. Out: nested dicts and lists that `plan.schema.json` describes; its `version` grows with every change
that a reader would have to know of. Lengths are whole ticks of 1/3200 mm, and in words where people read them.
"""

from __future__ import annotations

import hashlib
import json
from importlib import resources
from typing import Any

from nesting.buying.purchase import Purchase
from nesting.cutting.passes import CutOrder, MapCut, MapPart, Pass, TablePart
from nesting.describe.shops import Ware
from nesting.lengths import TICKS_PER_MM, Unit
from nesting.packing.layout import Bound, CutPart, MarginPart, Part, PiecePart, Use
from nesting.pieces.piece_list import Piece, PieceList
from nesting.plan import PaperPlan, Plan, RestOf
from nesting.reports import phrases, words
from nesting.reports.shopping import shop_lists

VERSION = 1
BESIDES = ("files", "cost")  # told with a plan where it is wanted: what lies beside it, what its cards cost


def schema() -> dict[str, Any]:
    """The JSON schema (draft 2020-12) of what `plan_data` gives."""
    text = resources.files("nesting.reports").joinpath("plan.schema.json").read_text("utf-8")
    found: dict[str, Any] = json.loads(text)
    return found


def plan_data(plan: Plan) -> dict[str, Any]:
    """The whole plan."""
    unit = plan.project.unit
    return {
        "format": "sheet plan",
        "version": VERSION,
        "title": plan.project.title,
        "unit": unit.value,
        "ticks_per_mm": TICKS_PER_MM,
        "currency": plan.project.currency.sign,
        "currency_decimals": plan.project.currency.decimals,
        "cards": {line.design: line.count for line in plan.project.batch},
        "totals": {
            "sheets": plan.sheets,
            "to_buy": plan.to_buy,
            "price_cents": plan.price,
            "complete": plan.complete,
            "proven": plan.proven,
        },
        "purchase": None if plan.purchase is None else _purchase(plan, plan.purchase),
        "budget_cents": plan.project.budget,
        "rest_of": None if plan.rest_of is None else _rest_of(plan.rest_of, unit),
        "notes": words.notes(plan),
        "papers": [_paper(paper, unit) for paper in plan.papers],
        "pieces": pieces_data(plan.pieces, unit),
    }


def fingerprint(plan: Plan) -> str:
    """What ticks and packets belong to: any other plan, of the same cards too, has another one."""
    return fingerprint_of(plan_data(plan))


def fingerprint_of(data: dict[str, Any]) -> str:
    """The same, of a plan's data as it was written; what was told besides the plan changes nothing."""
    told = {key: value for key, value in data.items() if key not in BESIDES}
    return hashlib.sha256(json.dumps(told, ensure_ascii=False, sort_keys=True).encode()).hexdigest()[:32]


def pieces_data(pieces: PieceList, unit: Unit) -> list[dict[str, Any]]:
    """The piece list."""
    return [_piece(piece, unit) for piece in pieces.pieces]


def _piece(piece: Piece, unit: Unit) -> dict[str, Any]:
    return {
        "design": piece.design,
        "part": piece.part,
        "where": piece.where,
        "paper": piece.paper,
        **_size(piece.width.ticks, piece.height.ticks, unit),
        "need": piece.need,
        "spare": piece.spare,
        "per_card": piece.per_card,
        "may_turn": piece.may_turn,
        "came_from": piece.came_from,
    }


def _size(width: int, height: int, unit: Unit) -> dict[str, Any]:
    return {"width": width, "height": height, "size": phrases.size(width, height, unit, with_unit=True)}


def _purchase(plan: Plan, purchase: Purchase) -> dict[str, Any]:
    """What to buy, and its proof: what pieces and sheets are worth, which says how few sheets can suffice."""
    unit = plan.project.unit
    return {
        "cents": purchase.cents,
        "postage_cents": purchase.postage,
        "bound_cents": purchase.bound,
        "proven": purchase.proven,
        "shops": [
            {
                "shop": some.shop,
                "postage_cents": some.postage,
                "list": [f"{row.count} x {row.what}" for row in some.rows],
            }
            for some in shop_lists(plan)
        ],
        "lines": [
            {
                "shop": line.offer.shop,
                "name": line.offer.name,
                "count": line.count,
                "cents_each": line.offer.cents,
                "at_most": line.offer.limit,
                "holds": [{**_ware(ware, unit), "count": count} for ware, count in line.offer.holds],
            }
            for line in purchase.lines
        ],
        "not_cut": [{**_ware(ware, unit), "count": count} for ware, count in purchase.extra],
        "certain": [
            {
                "papers": list(one.papers),
                "facts": [
                    {"prices": list(fact.prices), "need": fact.need, "worths": list(fact.worths)} for fact in one.facts
                ],
            }
            for one in plan.evidence
        ],
    }


def _rest_of(rest: RestOf, unit: Unit) -> dict[str, Any]:
    taken, table = ([{**_ware(ware, unit), "count": n} for ware, n in some] for some in (rest.taken, rest.table))
    return {"mark": rest.mark, "taken": taken, "table": table}


def _ware(ware: Ware, unit: Unit) -> dict[str, Any]:
    sheet, rim = ware.sheet, ware.sheet.rim
    margins = [rim.left.ticks, rim.top.ticks, rim.right.ticks, rim.bottom.ticks]
    return {"paper": ware.paper, **_size(sheet.width.ticks, sheet.height.ticks, unit), "margins": margins}


def _paper(plan: PaperPlan, unit: Unit) -> dict[str, Any]:
    paper = plan.paper
    return {
        "name": paper.name,
        "print": paper.direction.value,
        "grain": paper.grain.value,
        "sheets": plan.sheets,
        "at_hand": plan.at_hand,
        "to_buy": plan.to_buy,
        "price_cents": plan.price,
        "waste_percent": phrases.percent(plan.waste).removesuffix(" %"),
        "outcome": plan.outcome.value,
        "verdict": words.verdict(plan),
        "bound": _bound(plan.bound, words.proof(plan)),
        **_sheets_bound(plan),
        **_offcut_bound(plan),
        "missing": [{"title": piece.title, "count": count} for piece, count in plan.missing],
        "kinds": _kinds(plan, unit),
        "sources": _sources(plan, unit),
        "layouts": [_layout(plan, number, use, unit) for number, use in enumerate(plan.uses)],
        "offcuts": [
            {"layout": o.layout + 1, **_size(o.width, o.height, unit), "count": o.count} for o in plan.offcuts
        ],
        "order": _order(plan.order, unit),
        "quicker_by_seconds": plan.trade.seconds if plan.trade else 0,
    }


def _sheets_bound(plan: PaperPlan) -> dict[str, Any]:
    """The bound on the sheets alone, where the whole is left open; the sentence is the same."""
    bound = plan.packing.sheets_bound
    return {} if bound is None else {"sheets_bound": _bound(bound, words.proof(plan))}


def _offcut_bound(plan: PaperPlan) -> dict[str, Any]:
    """The bound on the largest offcut, where it was asked for: what is ruled out, and by which prices."""
    offcut = plan.packing.answer.offcut
    if offcut is None:
        return {}
    ruled_out = [
        {"width": out.width, "height": out.height, "bound": _bound(out.bound, words.ruled_out(out))}
        for out in offcut.ruled_out
    ]
    return {"offcut_bound": {"area": offcut.area, "sentence": words.offcut(plan), "ruled_out": ruled_out}}


def _bound(bound: Bound, sentence: str) -> dict[str, Any]:
    return {
        "sheets": bound.sheets,
        "cost": bound.cost,
        "reason": bound.reason.value,
        "sentence": sentence,
        "prices": list(bound.prices),
        "scale": bound.scale,
    }


def _kinds(plan: PaperPlan, unit: Unit) -> list[dict[str, Any]]:
    letters = plan.letters
    rows = zip(plan.packing.task.pieces, plan.packing.kinds, strict=True)
    return [
        {
            "letter": letters.get(number, ""),
            **_size(kind.width, kind.height, unit),
            "need": kind.need,
            "may_turn": same[0].may_turn,
            "for": [{"title": piece.title, "need": piece.need, "spare": piece.spare} for piece in same],
        }
        for number, (kind, same) in enumerate(rows)
    ]


def _sources(plan: PaperPlan, unit: Unit) -> list[dict[str, Any]]:
    rows = zip(plan.packing.task.sheets, plan.packing.sources, strict=True)
    return [
        {
            "kind": source.kind.value,
            **_size(sheet.width, sheet.height, unit),
            "margins": [sheet.margins.left, sheet.margins.top, sheet.margins.right, sheet.margins.bottom],
            "price_cents": source.price,
            "limit": source.limit,
            "cost": sheet.cost,
        }
        for sheet, source in rows
    ]


def _layout(plan: PaperPlan, number: int, use: Use, unit: Unit) -> dict[str, Any]:
    return {
        "number": number + 1,
        "copies": use.copies,
        "source": use.sheet,
        **_size(use.root.width, use.root.height, unit),
        "tree": _tree(use.root),
        "cuts": [_cut(cut) for cut in plan.order.cuts if cut.layout == number],
        "parts": [_leaf(part) for part in plan.order.parts if part.layout == number],
    }


def _tree(part: Part) -> dict[str, Any]:
    size = {"width": part.width, "height": part.height}
    match part:
        case PiecePart():
            return {"is": "piece", **size, "kind": part.kind, "turned": part.turned}
        case CutPart():
            return {"is": "cut", **size, "axis": part.axis.value, "parts": [_tree(child) for child in part.parts]}
        case MarginPart():
            return {"is": "margin", **size}
        case _:
            return {"is": "free", **size}


def _cut(cut: MapCut) -> dict[str, Any]:
    return {"number": cut.number, "stage": cut.stage, "from": [cut.x0, cut.y0], "to": [cut.x1, cut.y1]}


def _leaf(leaf: MapPart) -> dict[str, Any]:
    return {
        "x": leaf.x,
        "y": leaf.y,
        "width": leaf.width,
        "height": leaf.height,
        "is": leaf.part.what.value,
        "letter": leaf.part.name,
        "turned": leaf.turned,
        "error_steps": leaf.error_steps,
    }


def _order(order: CutOrder, unit: Unit) -> dict[str, Any]:
    return {
        "settings": order.settings,
        "fewest": order.fewest,
        "fewest_as_sure": order.fewest_as_sure,
        "piles": order.piles,
        "turns": order.turns,
        "strokes": order.strokes,
        "seconds": order.seconds,
        "passes": [_pass(line, unit) for line in order.passes],
    }


def _pass(line: Pass, unit: Unit) -> dict[str, Any]:
    return {
        "number": line.number,
        "setting": line.setting,
        "setting_text": phrases.length(line.setting, unit, with_unit=True),
        "setting_mark": line.setting_mark,
        "edge": line.edge.value,
        "turned": line.turned,
        "spacer": line.spacer,
        "squares": line.squares,
        "part": _table_part(line.part, unit),
        "stacks": list(line.stacks),
        "cuts": line.cuts,
        "strokes": line.strokes,
        "comes": [{**_table_part(comes.part, unit), "count": comes.count} for comes in line.comes],
    }


def _table_part(part: TablePart, unit: Unit) -> dict[str, Any]:
    return {"is": part.what.value, "letter": part.name, **_size(part.width, part.height, unit)}
