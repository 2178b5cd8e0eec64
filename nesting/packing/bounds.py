"""How little any plan can cost: the cheapest whole sheets that are together worth all that is needed.

In: a price per piece and the most that a sheet of each source can be worth at these prices. Out: a cost and a number
of sheets that no plan goes under. The fact of the trade: half a sheet cannot be bought, and the cheap ones run out.
Any prices give a bound that holds (Farley 1990, Operations Research 38, 922-923); areas are the simplest prices.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import gcd

from nesting.packing.layout import Bound, Reason
from nesting.packing.stock import Stock

Row = tuple[int, int, int | None]  # what a sheet is worth, its cost, how many there are
MOST_STEPS = 20_000


@dataclass(frozen=True, slots=True)
class Proof:
    """A bound on one part of a task: cost, sheets, and the price of each piece kind that shows it."""

    cost: int
    sheets: int
    prices: tuple[int, ...]
    reason: Reason


def by_area(stock: Stock, needs: Sequence[int]) -> Proof:
    """The bound that area alone gives."""
    pieces, sheets = stock.task.pieces, stock.task.sheets
    prices = tuple(piece.width * piece.height for piece in pieces)
    areas = [max(0, sheet.usable[0]) * max(0, sheet.usable[1]) for sheet in sheets]
    rows = [(area, sheet.cost, sheet.limit) for area, sheet in zip(areas, sheets, strict=True)]
    return _proof(needs, prices, rows, Reason.AREA)


def by_prices(stock: Stock, needs: Sequence[int], prices: Sequence[int], worths: Sequence[int]) -> Proof:
    """The bound that prices give; worths[s] is the most that a sheet of source s holds at these prices, exactly."""
    rows = [(worth, *tier) for source, worth in zip(stock.sources, worths, strict=True) for tier in stock.tiers(source)]
    return _proof(needs, prices, rows, Reason.PRICES)


def as_bound(proofs: Sequence[tuple[Proof, Sequence[int]]], kinds: int, scale: int) -> Bound:
    """The bounds of parts that share nothing, added up; each with the numbers of its piece kinds in the whole task."""
    cost, sheets = sum(proof.cost for proof, _ in proofs), sum(proof.sheets for proof, _ in proofs)
    if all(proof.reason is Reason.AREA for proof, _ in proofs):
        return Bound(cost, sheets, Reason.AREA)
    prices = [0] * kinds
    for proof, numbers in proofs:
        for number, price in zip(numbers, proof.prices, strict=True):
            prices[number] = price
    tried = any(proof.reason is Reason.EXHAUSTIVE for proof, _ in proofs)
    return Bound(cost, sheets, Reason.EXHAUSTIVE if tried else Reason.PRICES, tuple(prices), scale)


def _proof(needs: Sequence[int], prices: Sequence[int], rows: Sequence[Row], reason: Reason) -> Proof:
    need = sum(count * price for count, price in zip(needs, prices, strict=True))
    cost = cover(need, rows)
    sheets = cover(need, [(worth, 1, limit) for worth, _, limit in rows])
    return Proof(cost, sheets, tuple(prices), reason)


def cover(need: int, rows: Sequence[Row]) -> int:
    """The least cost of whole sheets that are together worth `need`; 0 if all sheets together are not worth it.

    The dearest for what they are worth are counted up from none; the best for the money closes the gap. Beyond
    MOST_STEPS the fractional sum is returned, rounded up to what costs can add up to: never too high.
    """
    rows = [row for row in rows if row[0] > 0 and row[2] != 0]
    rows.sort(key=lambda row: (Fraction(row[1], row[0]), row[1]), reverse=True)
    unit = gcd(*(cost for _, cost, _ in rows)) or 1
    least = _fraction(need, rows, unit)
    if need <= 0 or least is None:
        return 0
    search = _Search(rows, unit, least)
    search.down(need, 0, 0)
    return least if search.best is None or search.steps > MOST_STEPS else search.best


def _fraction(need: int, rows: Sequence[Row], unit: int) -> int | None:
    """The least cost when parts of sheets could be taken, rounded up to a whole number of units."""
    cost = 0
    for worth, price, limit in reversed(rows):
        if need <= 0 or limit is None or worth * limit >= need:
            return -(-(cost + -(-max(0, need) * price // worth)) // unit) * unit
        cost, need = cost + price * limit, need - worth * limit
    return None if need > 0 else cost


class _Search:
    """Counts of sheets, the dearest for their worth first."""

    def __init__(self, rows: Sequence[Row], unit: int, least: int) -> None:
        self.rows, self.unit, self.least = rows, unit, least
        self.best: int | None = None
        self.steps = 0

    def down(self, need: int, start: int, paid: int) -> None:
        """Try all counts of row `start` that can still beat the best, with the rest of the rows behind it."""
        worth, cost, limit = self.rows[start]
        if start == len(self.rows) - 1:
            count = max(0, -(-need // worth))
            if limit is None or count <= limit:
                total = paid + count * cost
                self.best = total if self.best is None else min(self.best, total)
            return
        count = 0
        while self.best != self.least and self.steps <= MOST_STEPS:
            self.steps += 1
            rest = _fraction(need - count * worth, self.rows[start + 1 :], self.unit)
            if rest is not None and self.best is not None and paid + count * cost + rest >= self.best:
                return
            if rest is not None:
                self.down(need - count * worth, start + 1, paid + count * cost)
            if need <= count * worth or (limit is not None and count >= limit):
                return
            count += 1
