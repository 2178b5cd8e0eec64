"""A Plan as CSV for a spreadsheet: the piece list, the sheets, the passes, what to buy where.

In: a Plan. Out: texts in CSV (RFC 4180: commas, CRLF). A text that a spreadsheet would take for a formula is
written behind an apostrophe, which the reader of piece lists takes off again.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable

from nesting.cells import guarded
from nesting.lengths import Unit
from nesting.pieces.piece_list import PieceList
from nesting.plan import Plan
from nesting.reports import phrases, words
from nesting.reports.shopping import shop_lists

Cell = str | int


def pieces_csv(pieces: PieceList, unit: Unit) -> str:
    """One row a piece: paper, size, counts, what it is for, where its size came from."""
    head = ("paper", "width", "height", "quantity", "label", "need", "spare", "turn", "came from")
    rows = (
        (
            piece.paper,
            phrases.length(piece.width.ticks, unit, with_unit=True),
            phrases.length(piece.height.ticks, unit, with_unit=True),
            piece.count,
            piece.title,
            piece.need,
            piece.spare,
            "yes" if piece.may_turn else "no",
            piece.came_from,
        )
        for piece in pieces.pieces
    )
    return _csv(head, rows)


def sheets_csv(plan: Plan) -> str:
    """One row a layout: paper, sheet, where it comes from, copies, waste and proof of the paper."""
    head = ("paper", "layout", "copies", "sheet", "from", "waste of paper", "proof")
    unit = plan.project.unit
    rows = (
        (
            paper.paper.name,
            number + 1,
            use.copies,
            phrases.size(use.root.width, use.root.height, unit, with_unit=True),
            paper.packing.sources[use.sheet].kind.value,
            phrases.percent(paper.waste),
            words.proof(paper),
        )
        for paper in plan.papers
        for number, use in enumerate(paper.uses)
    )
    return _csv(head, rows)


def shopping_csv(plan: Plan) -> str:
    """One row a thing to buy, shop by shop, postage included."""
    head = ("shop", "count", "what", "price")
    rows: list[tuple[Cell, ...]] = []
    money = plan.project.currency
    for some in shop_lists(plan):
        rows += [(some.shop, row.count, row.what, money.amount(row.cents)) for row in some.rows]
        if some.postage:
            rows.append((some.shop, "", "postage", money.amount(some.postage)))
    return _csv(head, rows)


def cuts_csv(plan: Plan) -> str:
    """One row a pass, in the order of work."""
    head = ("paper", "setting number", "stop", "edge to stop", "turn", "part", "stacks", "cuts", "comes off")
    unit = plan.project.unit
    rows = (
        (
            paper.paper.name,
            line.number,
            phrases.length(line.setting, unit, with_unit=True),
            line.edge.value,
            "turn" if line.turned else "",
            words.part_words(line.part, unit),
            " + ".join(str(deep) for deep in line.stacks),
            line.cuts,
            words.pass_comes(line, unit),
        )
        for paper in plan.papers
        for line in paper.order.passes
    )
    return _csv(head, rows)


def _csv(head: tuple[str, ...], rows: Iterable[tuple[Cell, ...]]) -> str:
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(head)
    for row in rows:
        writer.writerow([guarded(cell) if isinstance(cell, str) else cell for cell in row])
    return out.getvalue()
