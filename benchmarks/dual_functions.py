"""A bound in milliseconds: lengths are counted by functions that no cut can cheat, and areas by their products.

In: a stock and needs. Out: a Proof with a price per piece kind. The fact of the trade: two pieces wider than half a
sheet never lie side by side, however narrow the second half is. A function u is superadditive when
u(a) + u(b) <= u(a + b): then no tree of cuts holds pieces whose u(width) x v(height) add up to more than the sheet's.
The functions: Fekete & Schepers 2001, Mathematical Programming 91, 11-31; Carlier, Clautiaux & Moukrim 2007, Computers
& Operations Research 34, 2223-2250.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

import numpy as np
import numpy.typing as npt

from nesting.packing.bounds import Proof, by_area, by_prices
from nesting.packing.stock import Stock

MOST_SIZES = 60  # thresholds tried for each axis
STEPS = range(1, 13)
EXACT = 4  # pairs of functions whose bound is worked out in whole numbers
Function = Callable[[int], int]


def functions(whole: int, sizes: Iterable[int]) -> list[Function]:
    """Superadditive functions of lengths up to `whole`, which change at some of the sizes."""
    halves = sorted({min(size, whole - size) for size in sizes if 0 < size < whole})
    some = halves[:: -(-len(halves) // MOST_SIZES)] if halves else []
    found: list[Function] = [lambda x: x]
    found += [_stepped(whole, steps) for steps in STEPS]
    found += [_rounded_out(whole, size) for size in some]
    found += [_counted(whole, size) for size in some if 2 * size <= whole]
    return found


def _stepped(whole: int, steps: int) -> Function:
    """The share of the whole in steps of 1 / (steps + 1), rounded down unless it is a step (u of Fekete & Schepers)."""

    def value(x: int) -> int:
        share, over = divmod(x * (steps + 1), whole)
        return share * whole if over else x * steps

    return value


def _rounded_out(whole: int, least: int) -> Function:
    """Nothing below `least`, the whole above `whole - least` (U of Fekete & Schepers)."""
    return lambda x: 0 if x < least else whole if x > whole - least else x


def _counted(whole: int, least: int) -> Function:
    """How many lengths of `least` go into it, counted from the far end for more than half (Carlier et al.)."""

    def value(x: int) -> int:
        if 2 * x > whole:
            return 2 * (whole // least - (whole - x) // least)
        return whole // least if 2 * x == whole else 2 * (x // least)

    return value


def by_dual_functions(stock: Stock, needs: Sequence[int]) -> Proof:
    """The best bound that a pair of functions gives, or the area's if none is better."""
    best = by_area(stock, needs)
    lying = sorted({(item.kind, item.width, item.height) for source in stock.sources for item in source.items})
    if not lying or not any(needs):
        return best
    widths = [max(source.width for source in stock.sources), *(width for _, width, _ in lying)]
    heights = [max(source.height for source in stock.sources), *(height for _, _, height in lying)]
    across = functions(widths[0], widths[1:])
    down = functions(heights[0], heights[1:])
    for u, v in _most_promising(stock, needs, lying, across, down):
        least: dict[int, int] = {}
        for kind, width, height in lying:
            price = u(width) * v(height)
            least[kind] = min(price, least.get(kind, price))
        prices = [least.get(kind, 0) for kind in range(len(needs))]
        worths = [u(source.width) * v(source.height) for source in stock.sources]
        best = max(best, by_prices(stock, needs, prices, worths), key=lambda proof: (proof.cost, proof.sheets))
    return best


def _most_promising(
    stock: Stock, needs: Sequence[int], lying: Sequence[tuple[int, int, int]],
    across: Sequence[Function], down: Sequence[Function],
) -> list[tuple[Function, Function]]:  # fmt: skip
    """The pairs of functions with the largest sums for the worth of the best sheet for its cost, in floating point."""
    kinds = [kind for kind, _, _ in lying]
    starts = [i for i, kind in enumerate(kinds) if i == 0 or kinds[i - 1] != kind]
    demand = np.array([needs[kinds[i]] for i in starts], dtype=np.float64)
    x = _table(across, [width for _, width, _ in lying], [source.width for source in stock.sources])
    y = _table(down, [height for _, _, height in lying], [source.height for source in stock.sources])
    cheapest = np.array([max(1, min(cost for cost, _ in stock.tiers(source))) for source in stock.sources], dtype=float)
    scored = []
    for number, (values, wholes) in enumerate(zip(*x, strict=True)):
        sums = np.minimum.reduceat(values[None, :] * y[0], starts, axis=1) @ demand
        worth = (wholes[None, :] * y[1] / cheapest).max(axis=1)
        scores = np.divide(sums, worth, out=np.zeros_like(sums), where=worth > 0)
        scored += [(-float(scores[other]), number, int(other)) for other in np.argsort(-scores, kind="stable")[:EXACT]]
    return [(across[number], down[other]) for _, number, other in sorted(scored)[:EXACT]]


def _table(
    some: Sequence[Function], sizes: Sequence[int], wholes: Sequence[int]
) -> tuple[npt.NDArray[np.float64], npt.NDArray[np.float64]]:
    values = np.array([[function(size) for size in sizes] for function in some], dtype=np.float64)
    return values, np.array([[function(whole) for whole in wholes] for function in some], dtype=np.float64)
