"""Plans by placing one piece after the other where it does the least harm, sheet by sheet.

In: a task in the forest's terms. Out: a plan for all needs, or as much as the paper gives. The fact of the trade:
the large pieces are cut first and the small ones from what is left. Large batches are planned as a smaller one that is
repeated, so that twenty thousand copies take no longer than twenty.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import replace
from fractions import Fraction
from functools import partial
from itertools import product

from nesting.packing.forest import Forest
from nesting.packing.ground import Ground
from nesting.packing.layout import Use, cost_of, pieces_of, sheets_of
from nesting.packing.trees import counts_of, gathered, largest_free_of, renamed

MOST_AT_ONCE = 300  # pieces planned one by one; more are planned as a batch that is repeated
MOST_WORK = 40_000  # pieces times sheets times ways, over all ways that are tried
Once = Callable[[Sequence[int], Sequence[int]], tuple[Use, ...]]  # needs and limits -> a plan for them


def score(ground: Ground, uses: tuple[Use, ...]) -> tuple[int, int, int, int]:
    """How good a plan is, the smaller the better: area missing, cost, sheets, largest free rectangle."""
    task = ground.task
    missing = sum(piece.need * piece.width * piece.height for piece in task.pieces)
    for use in uses:
        counts = counts_of(use.root, len(task.pieces))
        missing -= use.copies * sum(n * p.width * p.height for n, p in zip(counts, task.pieces, strict=True))
    return missing, cost_of(task, uses), sheets_of(uses), -largest_free_of(uses)


def fill(ground: Ground) -> tuple[Use, ...]:
    """The best plan of several orders and ways of weighing free paper."""
    best: tuple[Use, ...] = ()
    work = 0
    for power, order in product((2, 0), range(1, 7)):
        plan = in_batches(ground, partial(fill_once, ground, order=order, power=power))
        if not best or score(ground, plan) < score(ground, best):
            best = plan
        work += pieces_of(ground.task) * max(1, len(plan)) * len(ground.sheets)
        if work > MOST_WORK and order > 1:
            break
    return best


def in_batches(ground: Ground, once: Once) -> tuple[Use, ...]:
    """Plan a part of all needs at once, repeat it, and plan what is left in the same way."""
    needs = [piece.need for piece in ground.task.pieces]
    limits = list(ground.limits)
    uses: list[Use] = []
    while any(needs):
        times = -(-sum(needs) // MOST_AT_ONCE)
        share = [need // times for need in needs] if times > 1 else needs
        if times > 1 and not any(share):
            times, share = 1, [min(need, MOST_AT_ONCE // len(needs) + 1) for need in needs]
        plan = once(share, [limit // times for limit in limits])
        if times > 1 and not _covers(plan, share):
            times = 1
            plan = once(share, limits)
        placed = _counts(plan, len(needs))
        if not any(placed):
            return tuple(uses)
        for use in plan:
            uses.append(Use(use.sheet, use.root, use.copies * times))
            limits[use.sheet] -= use.copies * times
        needs = [need - count * times for need, count in zip(needs, placed, strict=True)]
    return tuple(uses)


def _counts(plan: Sequence[Use], kinds: int) -> list[int]:
    totals = [0] * kinds
    for use in plan:
        totals = [total + use.copies * n for total, n in zip(totals, counts_of(use.root, kinds), strict=True)]
    return totals


def _covers(plan: Sequence[Use], needs: Sequence[int]) -> bool:
    return _counts(plan, len(needs)) == list(needs)


def fill_once(ground: Ground, needs: Sequence[int], limits: Sequence[int], order: int, power: int) -> tuple[Use, ...]:
    """One plan for the needs, from at most so many sheets of each kind: order 1 to 6, power 0 to 2."""
    items = [kind for kind, need in enumerate(needs) for _ in range(need)]
    forest = ground.forest(items, len(items) + 1)
    left = list(limits)
    slot = 0
    outside = len(items)
    while outside:
        kind = _best_kind(ground, forest, left, slot, order, power)
        if kind < 0:
            break
        forest.open(slot, kind)
        forest.greedy(order, power)
        outside, before = len(forest.outside()), outside
        if outside == before:
            break
        left[kind] -= 1
        slot += 1
    return planned(ground, forest, items)


def _best_kind(ground: Ground, forest: Forest, left: Sequence[int], slot: int, order: int, power: int) -> int:
    """The sheet kind that ends the work for the least, or gives the most area for its cost; -1 for none."""
    kinds = [kind for kind, count in enumerate(left) if count > 0]
    if len(kinds) < 2:
        return kinds[0] if kinds else -1
    best = min((_trial(ground, forest, slot, kind, order, power), kind) for kind in kinds)
    return best[1] if best[0][0] < 3 else -1


def _trial(
    ground: Ground, forest: Forest, slot: int, kind: int, order: int, power: int
) -> tuple[int, Fraction, int]:
    """How well one more sheet of a kind would do, the smaller the better; leaves no trace."""
    forest.open(slot, kind)
    forest.greedy(order, power)
    ends = not forest.outside()
    area = forest.area_in(slot)
    forest.close(slot)
    cost = ground.task.sheets[kind].cost
    if area == 0:
        return 3, Fraction(0), 0
    if ends:
        return 0, Fraction(cost), -area
    return (2, Fraction(-area, cost), cost) if cost else (1, Fraction(0), -area)


def planned(ground: Ground, forest: Forest, items: Sequence[int]) -> tuple[Use, ...]:
    """What stands in a forest as a plan; sheets without pieces, and layouts that no trimmer can cut, are left out."""
    slots = [slot for slot in range(forest.slot_count()) if forest.area_in(slot) > 0]
    trees = Counter((forest.kind_in(slot), renamed(forest.tree(slot), items)) for slot in slots)
    uses = ((ground.use(sheet, tree), copies) for (sheet, tree), copies in trees.items())
    return gathered(replace(use, copies=copies) for use, copies in uses if use is not None)
