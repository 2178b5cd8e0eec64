"""How much tape, glue and foam the pieces take, from their real outlines.

In: a Plan and Costs. Out: amounts by adhesive and design. The fact of the trade: tape runs once along the edge of what
is stuck on, glue lies under the whole of it, and neither is spent on spares.
"""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

from nesting.describe.costs import Adhesive, Costs, Measure
from nesting.describe.designs import CardPart, Outline
from nesting.pieces.piece_list import Piece
from nesting.pieces.shapes import slanted

if TYPE_CHECKING:
    from nesting.plan import Plan

_HANDS = (" (left)", " (right)")


def stuck_on(plan: Plan, costs: Costs, cards: dict[str, int]) -> dict[Adhesive, dict[str, Fraction]]:
    """Ticks or square ticks, as each adhesive's price is said, by design; only adhesives that have a price."""
    measures = {kind: rate.measure for kind, rate in costs.adhesives}
    amounts: dict[Adhesive, dict[str, Fraction]] = {kind: {} for kind in measures}
    for piece in plan.pieces.pieces:
        part = _part_of(plan, piece)
        kind = None if part is None else _held_by(costs, piece.design, part)
        if part is not None and kind in measures:
            amount = _one(piece, part, measures[kind]) * _count(piece, part, cards)
            amounts[kind][piece.design] = amounts[kind].get(piece.design, Fraction(0)) + amount
    return amounts


def _part_of(plan: Plan, piece: Piece) -> CardPart | None:
    """The part that a piece is cut for; None for bases and for lines of a plain list."""
    if not piece.design:
        return None
    names = {piece.part, *(piece.part.removesuffix(hand) for hand in _HANDS)}
    return next((part for part in plan.project.design(piece.design).parts if part.name in names), None)


def _held_by(costs: Costs, design: str, part: CardPart) -> Adhesive | None:
    """As its design says; foam where the part is raised; else as all that lie on something."""
    own = dict(costs.of_design(design).stuck).get(part.name)
    if own is not None:
        return own
    if part.raised_by:
        return Adhesive.FOAM
    return costs.stuck_with if part.panels or part.on_part else None


def _count(piece: Piece, part: CardPart, cards: dict[str, int]) -> int:
    """Pieces stuck on; where several shapes come from one blank, cards are counted."""
    return piece.need if part.outline is Outline.ANY else piece.per_card * cards.get(piece.design, 0)


def _one(piece: Piece, part: CardPart, measure: Measure) -> Fraction:
    """Along the edge of one, or under the whole of it; a print that runs on is several."""
    if part.outline is not Outline.ANY:
        wide, high = piece.each or (piece.width, piece.height)
        shape = slanted(part, wide, high)
        return shape.share * wide.ticks * high.ticks if measure is Measure.AREA else Fraction(shape.edge)
    total = Fraction(0)
    for width in [length.ticks for length in piece.block] or [piece.width.ticks]:
        height = piece.height.ticks
        total += width * height if measure is Measure.AREA else 2 * (width + height)
    return total
