"""A first plan at once: rectpack's guillotine packers, whose rectangles are cut apart again, and placing of our own.

In: a task. Out: the best plan found, complete if paper suffices, else as much as was placed. The fact of the trade:
a packer's rectangles are only a plan if straight cuts free them all, so each layout is separated into cuts and thrown
away if that fails (rectpack's guillotine packers fail at that now and then, when they join free rectangles).
The only module that imports rectpack.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from itertools import product
from typing import Any

import rectpack
from rectpack import guillotine

from nesting.packing.fill import fill, in_batches, score
from nesting.packing.ground import Ground, ground
from nesting.packing.layout import Axis, PackingTask, Use, pieces_of
from nesting.packing.separate import Placed, separate
from nesting.packing.trees import gathered

ALGORITHMS = tuple(
    getattr(guillotine, f"Guillotine{fitness}{split}")
    for fitness in ("Baf", "Bssf", "Blsf")
    for split in ("Sas", "Las", "Slas", "Llas", "Maxas", "Minas")
)
SORTS = (rectpack.SORT_AREA, rectpack.SORT_LSIDE, rectpack.SORT_SSIDE, rectpack.SORT_PERI, rectpack.SORT_RATIO)
BINS = (rectpack.PackingBin.BFF, rectpack.PackingBin.BBF)
EVERY = tuple(product(ALGORITHMS, SORTS, BINS))
FEW = tuple(
    (getattr(guillotine, f"Guillotine{name}"), sort, rectpack.PackingBin.BFF)
    for name, sort in product(("BssfSas", "BafMinas"), SORTS[:3])
)
MOST_WORK = 1_000  # pieces times ways, of the few ways


def portfolio(task: PackingTask, seed: int = 0) -> tuple[Use, ...]:
    """A complete plan if paper suffices, else as much as could be placed.

    The best by area missing, cost, sheets and largest free rectangle, in this order. The same for any `seed`:
    nothing here is left to chance.
    """
    if not task.pieces or not task.sheets:
        return ()
    land = ground(task)
    total = min(300, pieces_of(task))
    ways = FEW[: max(1, min(len(FEW), MOST_WORK // max(1, total)))]
    plans = [fill(land), _rectpack_plan(land, ways)]
    return min(plans, key=lambda plan: score(land, plan))


def rectpack_best(task: PackingTask) -> tuple[Use, ...]:
    """The best valid plan of 180 settings of rectpack's guillotine packers: a reference for tests and benchmarks."""
    return _rectpack_plan(ground(task), EVERY)


def _rectpack_plan(land: Ground, ways: Sequence[Any]) -> tuple[Use, ...]:
    best: tuple[Use, ...] = ()
    for way, order, upright in product(ways, _sheet_orders(land), (False, True)):
        if upright and not any(land.ways(kind, sheet) & 2 for kind, sheet in _pairs(land)):
            continue
        plan = in_batches(land, partial(_once, land, way, order, upright))
        if plan and (not best or score(land, plan) < score(land, best)):
            best = plan
    return best


def _pairs(land: Ground) -> list[tuple[int, int]]:
    return [(kind, sheet) for kind in range(len(land.kinds)) for sheet in range(len(land.sheets))]


def _sheet_orders(land: Ground) -> list[list[int]]:
    """Orders in which sheet kinds are taken: the cheapest for its area first, and each kind before all others."""
    sheets = land.task.sheets
    usable = [kind for kind in range(len(sheets)) if land.limits[kind] > 0]
    by_price = sorted(usable, key=lambda k: (sheets[k].cost / (land.sheets[k][0] * land.sheets[k][1]), k))
    orders = [by_price]
    for kind in by_price[1:6]:
        orders.append([kind] + [other for other in by_price if other != kind])
    return orders


def _once(
    land: Ground, way: Any, order: Sequence[int], upright: bool, needs: Sequence[int], limits: Sequence[int]
) -> tuple[Use, ...]:
    """One run for each paper; kinds allowed on several papers come from the first of them that fits."""
    home: dict[int, list[int]] = {}
    for kind, need in enumerate(needs):
        fitting = [k for k in order if limits[k] > 0 and land.fits(kind, k)]
        if need and fitting:
            home.setdefault(land.sheets[fitting[0]][2], []).append(kind)
    uses: list[Use] = []
    for paper, kinds in home.items():
        sheets = [k for k in order if land.sheets[k][2] == paper and limits[k] > 0]
        uses += _run(land, way, sheets, upright, {kind: needs[kind] for kind in kinds}, limits)
    return gathered(uses)


def _run(
    land: Ground, way: Any, sheets: Sequence[int], upright: bool, needs: dict[int, int], limits: Sequence[int]
) -> list[Use]:
    """One run of rectpack on sheets of one paper; nothing if a layout does not come apart by straight cuts."""
    algorithm, sort, bins = way
    turns = not upright and all(_may_turn(land, kind, sheets) for kind in needs)
    packer = rectpack.newPacker(rectpack.PackingMode.Offline, bins, algorithm, sort, rotation=turns)
    for kind, need in needs.items():
        wide, high = land.kinds[kind][:2]
        if not turns and not upright and _may_turn(land, kind, sheets) and high > wide and _lies(land, kind, sheets):
            wide, high = high, wide
        for _ in range(need):
            packer.add_rect(wide, high, kind)
    for sheet in sheets:
        width, height = land.sheets[sheet][:2]
        packer.add_bin(width, height, count=min(limits[sheet], sum(needs.values())), bid=sheet)
    packer.pack()
    uses = []
    for layout in packer:
        placed: list[Placed] = [(int(r.x), int(r.y), int(r.width), int(r.height), r.rid) for r in layout]
        use = _separated(land, layout.bid, placed) if placed else None
        if placed and use is None:
            return []
        uses += [use] if use is not None else []
    return uses


def _may_turn(land: Ground, kind: int, sheets: Sequence[int]) -> bool:
    wide, high = land.kinds[kind][:2]
    return wide == high or all(land.ways(kind, sheet) & 2 for sheet in sheets)


def _lies(land: Ground, kind: int, sheets: Sequence[int]) -> bool:
    """Whether a kind fits lying on every sheet on which it fits at all."""
    wide, high = land.kinds[kind][:2]
    return all(high <= land.sheets[s][0] and wide <= land.sheets[s][1] for s in sheets if land.fits(kind, s))


def _separated(land: Ground, sheet: int, placed: Sequence[Placed]) -> Use | None:
    """The better of the two ways to begin cutting, by the largest free rectangle."""
    width, height = land.sheets[sheet][:2]
    trees = [separate(placed, width, height, axis) for axis in Axis]
    uses = [land.use(sheet, tree) for tree in trees if tree is not None]
    good = [use for use in uses if use is not None]
    return min(good, key=lambda use: score(land, (use,)), default=None)
