"""What the sheets of one paper are worth, and what became of that worth: pieces by design, waste, offcuts kept.

In: a PaperPlan. Out: exact cents. Each sheet's worth is spread over its area, so that equal pieces cost the same
wherever on the sheet they lie; offcuts worth keeping carry theirs with them, waste is shared by those who made it.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from nesting.cutting.passes import What
from nesting.describe.papers import Paper, Sheet
from nesting.packing.layout import PiecePart, Use, leaves
from nesting.pieces.supply import Source, SourceKind

if TYPE_CHECKING:
    from nesting.plan import PaperPlan


@dataclass(frozen=True, slots=True)
class Worth:
    """Exact cents of all sheets taken of one paper; `pieces` by design. None of it where there is no price."""

    taken: Fraction
    pieces: dict[str, Fraction]
    kept: Fraction
    priced: bool

    @property
    def waste(self) -> Fraction:
        """What went into neither pieces nor offcuts."""
        return self.taken - sum(self.pieces.values(), Fraction(0)) - self.kept


def worth_of(plan: PaperPlan) -> Worth:
    """Spread the worth of every sheet taken over what was cut from it."""
    taken, kept, priced = Fraction(0), Fraction(0), True
    pieces: dict[str, Fraction] = {}
    kept_area = _kept_area(plan)
    for number, use in enumerate(plan.uses):
        each = sheet_worth(plan.paper, plan.packing.sources[use.sheet])
        if each is None:
            priced = False
            each = Fraction(0)
        per_area = each / (use.root.width * use.root.height)
        taken += each * use.copies
        kept += per_area * kept_area.get(number, 0) * use.copies
        for design, area in _areas(plan, use).items():
            pieces[design] = pieces.get(design, Fraction(0)) + per_area * area * use.copies
    return Worth(taken, pieces, kept, priced) if priced else Worth(Fraction(0), {}, Fraction(0), False)


def sheet_worth(paper: Paper, source: Source) -> Fraction | None:
    """Cents for one sheet: its price, or for paper at hand the price of new paper; None where none is known.

    New paper is the same size where that is sold, else the size that is cheapest by area. What is cut out of a piece
    costs nothing again: its paper is counted with the piece.
    """
    if source.kind.from_a_piece:
        return Fraction(0)
    if source.kind is SourceKind.BUY:
        return None if source.price is None else Fraction(source.price)
    priced = [(sold.sheet, sold.price) for sold in paper.sold if sold.price is not None]
    sides = (source.sheet.width, source.sheet.height)
    same = [price for sheet, price in priced if (sheet.width, sheet.height) == sides]
    if same:
        return Fraction(min(same))
    rates = [Fraction(price, _area(sheet)) for sheet, price in priced]
    return min(rates) * _area(source.sheet) if rates else None


def _area(sheet: Sheet) -> int:
    return sheet.width.ticks * sheet.height.ticks


def _kept_area(plan: PaperPlan) -> dict[int, int]:
    """Area of the offcuts worth keeping on one sheet of each layout."""
    areas: dict[int, int] = {}
    for part in plan.order.parts:
        if part.part.what is What.KEEP:
            areas[part.layout] = areas.get(part.layout, 0) + part.width * part.height
    return areas


def _areas(plan: PaperPlan, use: Use) -> dict[str, Fraction]:
    """Area of the pieces on one sheet by design; equal pieces are divided by how many each design wants."""
    areas: dict[str, Fraction] = {}
    for leaf in leaves(use.root):
        if isinstance(leaf, PiecePart):
            alike = plan.packing.kinds[leaf.kind]
            total = sum(piece.count for piece in alike)
            for piece in alike:
                area = Fraction(leaf.width * leaf.height * piece.count, total)
                areas[piece.design] = areas.get(piece.design, Fraction(0)) + area
    return areas
