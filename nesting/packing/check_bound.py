"""Is this bound true? Its prices are added up again; nothing of its own sums is believed.

In: what was asked (PackingTask) and a Bound. Out: Verified, the least cost and number of sheets that hold for every
plan. The method: the cheapest sheets that are together worth all that is needed at the bound's prices (Farley 1990,
Operations Research 38, 922-923), each worth the most that check_worth.py finds; `recheck.py` where all ways were tried.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import gcd

from nesting.packing.check_worth import sheet_cuts, sheet_worths
from nesting.packing.layout import Bound, PackingTask, Reason
from nesting.packing.recheck import none_within

MOST_STEPS = 200_000  # of the search for the cheapest sheets


@dataclass(frozen=True, slots=True)
class Verified:
    """What adding a bound up again gave: no plan takes fewer sheets or costs less; and how that was found."""

    cost: int
    sheets: int
    how: str


def verify_bound(task: PackingTask, bound: Bound, needs: Sequence[int] | None = None) -> Verified:
    """Add a bound up again, for all needs or for those given; nothing of the bound's own sums is believed."""
    needs = tuple(piece.need for piece in task.pieces) if needs is None else tuple(needs)
    if bound.reason is Reason.AREA:
        prices, how = tuple(piece.width * piece.height for piece in task.pieces), "area alone"
        worths = [max(0, sheet.usable[0]) * max(0, sheet.usable[1]) for sheet in task.sheets]
    elif len(bound.prices) != len(task.pieces) or any(price < 0 for price in bound.prices):
        return Verified(0, 0, "a list of prices that does not fit the pieces")
    else:
        prices, how = bound.prices, "the prices with the most that a sheet can be worth"
        worths = sheet_worths(task, prices)
    groups, found = _apart(task), []
    for pieces, kinds in groups:
        need = sum(needs[i] * prices[i] for i in pieces)
        rows = [(worths[k], task.sheets[k].cost, task.sheets[k].limit) for k in kinds]
        found.append((_cheapest(need, rows), _cheapest(need, [(worth, 1, limit) for worth, _, limit in rows])))
    if bound.reason is Reason.EXHAUSTIVE:
        for number, (pieces, kinds) in enumerate(groups):
            more = bound.cost - sum(cost for cost, _ in found)
            own = [need if kind in pieces else 0 for kind, need in enumerate(needs)]
            found[number] = _raised(task, prices, own, kinds, found[number], more)
        how = "trying all ways again"
    return Verified(sum(cost for cost, _ in found), sum(sheets for _, sheets in found), how)


def _raised(
    task: PackingTask, prices: Sequence[int], needs: Sequence[int], kinds: Sequence[int], least: tuple[int, int],
    more: int,
) -> tuple[int, int]:  # fmt: skip
    """A bound (cost, sheets) on some sheet kinds, raised by `more` or by one step of cost where trying shows it."""
    costs = {task.sheets[kind].cost for kind in kinds}
    cost, sheets = least
    for raised in sorted({cost + more, cost + gcd(*costs)}, reverse=True):
        if cost < raised <= cost + more and _none_for_less(task, prices, needs, kinds, raised):
            return raised, max(sheets, -(-raised // costs.pop())) if len(costs) == 1 else sheets
    return least


def _none_for_less(
    task: PackingTask, prices: Sequence[int], needs: Sequence[int], kinds: Sequence[int], cost: int
) -> bool:
    """Whether trying all ways of cutting shows that no plan costs less than `cost`."""
    if task.rules.most_turns is not None:
        return False
    sheets = []
    for kind in kinds:
        cuts = sheet_cuts(task, task.sheets[kind], prices, needs)
        if isinstance(cuts, int):
            return False
        sheets.append((cuts, task.sheets[kind].cost, task.sheets[kind].limit))
    return none_within(sheets, prices, needs, cost - 1)


def _apart(task: PackingTask) -> list[tuple[list[int], list[int]]]:
    """Piece kinds and sheet kinds that can have to do with each other, through papers and pieces."""
    groups: list[set[int]] = []
    for piece in task.pieces:
        papers = {one.paper for one in piece.allowed}
        touching = [group for group in groups if group & papers]
        groups = [group for group in groups if not group & papers] + [papers.union(*touching)]
    result = []
    for group in groups:
        pieces = [i for i, piece in enumerate(task.pieces) if group & {one.paper for one in piece.allowed}]
        result.append((pieces, [k for k, sheet in enumerate(task.sheets) if sheet.paper in group]))
    return result


def _cheapest(need: int, rows: Sequence[tuple[int, int, int | None]]) -> int:
    """Least cost of whole sheets (worth, cost, limit) that are together worth `need`, or less, never more than it.

    Depth first, best value for money first; where the search grows too long, the plain fractional sum stands.
    0 when not even all sheets are worth that much: then nothing can be proven, for there is no plan.
    """
    rows = sorted((row for row in rows if row[0] > 0 and row[2] != 0), key=lambda row: Fraction(row[1], row[0]))
    unit = gcd(*(cost for _, cost, _ in rows)) or 1
    if need <= 0 or not rows:
        return 0
    best: list[int | None] = [None]
    steps = [0]

    def fraction(left: int, start: int) -> int | None:
        cost = 0
        for worth, price, limit in rows[start:]:
            if limit is None or worth * limit >= left:
                return -(-(cost + -(-left * price // worth)) // unit) * unit
            cost, left = cost + price * limit, left - worth * limit
        return None

    def search(left: int, start: int, paid: int) -> None:
        if left <= 0:
            best[0] = paid if best[0] is None else min(best[0], paid)
            return
        least = fraction(left, start)
        steps[0] += 1
        if least is None or (best[0] is not None and paid + least >= best[0]) or steps[0] > MOST_STEPS:
            return
        worth, price, limit = rows[start]
        most = -(-left // worth)
        most = most if limit is None else min(most, limit)
        for count in range(most, -1, -1):
            search(left - count * worth, start + 1, paid + count * price)
            if steps[0] > MOST_STEPS or best[0] == floor:
                return

    floor = fraction(need, 0)
    if floor is None:
        return 0
    search(need, 0, 0)
    return floor if best[0] is None or steps[0] > MOST_STEPS else best[0]
