"""What the sheets of one paper are worth, and what became of that worth: pieces by design, waste, offcuts kept.

In: a PaperPlan. Out: exact cents. Each sheet's worth is spread over its area, so that equal pieces cost the same
wherever on the sheet they lie; offcuts worth keeping carry theirs with them, waste is shared by those who made it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from nesting.cutting.passes import What
from nesting.describe.papers import Sheet
from nesting.packing.layout import PiecePart, Use, leaves
from nesting.pieces.supply import Source, SourceKind

if TYPE_CHECKING:
    from nesting.plan import PaperPlan


@dataclass(frozen=True, slots=True)
class Worth:
    """Exact cents of all sheets taken of one paper, of them those bought; `pieces` by design. 0 without a price."""

    taken: Fraction
    bought: Fraction
    pieces: dict[str, Fraction]
    kept: Fraction
    priced: bool

    @property
    def waste(self) -> Fraction:
        """What went into neither pieces nor offcuts."""
        return self.taken - sum(self.pieces.values(), Fraction(0)) - self.kept


def worth_of(plan: PaperPlan) -> Worth:
    """Spread the worth of every sheet taken over what was cut from it."""
    taken, bought, kept, priced = Fraction(0), Fraction(0), Fraction(0), True
    pieces: dict[str, Fraction] = {}
    kept_area, new = _kept_area(plan), _new_prices(plan)
    for number, use in enumerate(plan.uses):
        source = plan.packing.sources[use.sheet]
        each = sheet_worth(source, new)
        if each is None:
            priced = False
            each = Fraction(0)
        per_area = each / (use.root.width * use.root.height)
        taken += each * use.copies
        bought += each * use.copies if source.kind is SourceKind.BUY else 0
        kept += per_area * kept_area.get(number, 0) * use.copies
        for design, area in _areas(plan, use).items():
            pieces[design] = pieces.get(design, Fraction(0)) + per_area * area * use.copies
    none = Fraction(0)
    return Worth(taken, bought, pieces, kept, True) if priced else Worth(none, none, {}, none, False)


def _new_prices(plan: PaperPlan) -> list[tuple[Sheet, Fraction]]:
    """What new sheets cost by size: their shares of what shops sell, else the prices that stand with the paper."""
    shares = [(one.sheet, one.share) for one in plan.packing.sources if one.share is not None]
    prices = [(sold.sheet, Fraction(sold.price)) for sold in plan.paper.sold if sold.price is not None]
    return shares or prices


def sheet_worth(source: Source, priced: Sequence[tuple[Sheet, Fraction]]) -> Fraction | None:
    """Cents for one sheet: what is paid for it, or for paper at hand the price of new paper; None where none is known.

    New paper is the same size where that is sold, else the size that is cheapest by area. What is cut out of a piece
    costs nothing again: its paper is counted with the piece.
    """
    if source.kind.from_a_piece:
        return Fraction(0)
    if source.kind is SourceKind.BUY:
        return source.worth
    sides = (source.sheet.width, source.sheet.height)
    same = [price for sheet, price in priced if (sheet.width, sheet.height) == sides]
    if same:
        return min(same)
    rates = [price / _area(sheet) for sheet, price in priced]
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
