"""A plan becomes a better one by ruin and recreate, as long as each piece is needed only a few times.

In: a task and a plan for all its needs. Out: the same plan or one that costs less, or as much with fewer sheets. The
facts of the trade: whoever lays out a sheet by hand takes a few pieces off and tries again, and the emptiest sheet
is the one to do without. Method: one sheet (or as many as the budget asks) is taken away, what was on it lies outside,
and the search ends when all of it has found a place (goal-driven ruin and recreate: Gardeyn & Wauters 2022, European
Journal of Operational Research).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from math import sqrt
from typing import TYPE_CHECKING

from nesting.packing.fill import planned, score
from nesting.packing.ground import Ground, ground
from nesting.packing.layout import PackingTask, Use, cost_of, sheets_of
from nesting.packing.trees import Node, items_of, node_of, without_margins

if TYPE_CHECKING:
    from nesting.packing.forest import Forest

MOST_PIECES = 2_000  # beyond it the plan is handed back as it came
HOT, COLD = 0.08, 0.005  # temperatures, in shares of a mean piece
SHORTEST, LONGEST = 13, 19  # a cooling takes 2 ** this many rounds
CHUNK = 128  # rounds between two looks at the clock


@dataclass(frozen=True, slots=True)
class Planted:
    """A plan's sheets in the first `sheets` slots of a forest; items[i] is the kind of item i."""

    forest: Forest
    items: tuple[int, ...]
    sheets: int


def improve(
    task: PackingTask,
    uses: tuple[Use, ...],
    *,
    target_cost: int,
    work: int,
    seed: int,
    stop: Callable[[], bool] | None = None,
) -> tuple[Use, ...]:
    """The same plan or a better one by (cost, sheets); ends at the target, after `work` rounds, or at `stop`.

    The plan must cover all needs: one that does not is handed back as it came.
    """
    land = ground(task)
    best = uses
    rounds = 0
    for attempt in range(1 << 30):
        if rounds >= work or _is_done(task, best, target_cost) or (stop is not None and stop()):
            return best
        planted = plant(land, best, seed + attempt)
        if planted is None or score(land, best)[0] > 0:
            return best
        forest = planted.forest
        make_room(task, planted, best)
        for done in coolings(land, planted, work - rounds, stop):
            rounds += done
            if not forest.outside():
                break
        if forest.outside():
            return best
        found = planned(land, forest, planted.items)
        if score(land, found)[:3] < score(land, best)[:3]:
            best = found
    return best


def _is_done(task: PackingTask, uses: tuple[Use, ...], target_cost: int) -> bool:
    """Whether the cost is on target, and the number of sheets cannot fall without it."""
    if cost_of(task, uses) > target_cost or len(task.sheets) == 1:
        return cost_of(task, uses) <= target_cost
    pieces = sum(piece.need * piece.width * piece.height for piece in task.pieces)
    largest = max(sheet.width * sheet.height for sheet in task.sheets)
    return sheets_of(uses) <= -(-pieces // largest)


def coolings(
    land: Ground, planted: Planted, work: int, stop: Callable[[], bool] | None, longest: int = LONGEST
) -> Iterator[int]:
    """Search in coolings, each twice as long as the one before; yields the rounds done since the last look."""
    areas = [land.kinds[kind][0] * land.kinds[kind][1] for kind in planted.items]
    largest = max(sheet[0] * sheet[1] for sheet in land.sheets)
    mean = sum(areas) / (len(areas) * largest)
    rounds = 0
    doublings = SHORTEST
    while rounds < work:
        planted.forest.heat(HOT * mean)
        ratio = root_of(COLD / HOT, doublings)
        for _ in range((1 << doublings) // CHUNK):
            asked = min(CHUNK, work - rounds)
            done = planted.forest.search(asked, ratio)
            rounds += done
            yield done
            if done < asked or rounds >= work or (stop is not None and stop()):
                return
        doublings = min(doublings + 1, longest)


def root_of(value: float, doublings: int) -> float:
    """The root of the order 2 ** doublings, by square roots alone."""
    for _ in range(doublings):
        value = sqrt(value)
    return value


# ------------------------------------------------------------------------------------------ planting


def plant(land: Ground, uses: Sequence[Use], seed: int) -> Planted | None:
    """A plan as a forest, every sheet in a slot of its own; None for a plan that is too large or does not fit it."""
    trees: list[tuple[int, Node]] = []
    items: list[int] = []
    if sum(use.copies for use in uses) > MOST_PIECES:
        return None
    for use in uses:
        width, height = land.sheets[use.sheet][:2]
        inner = without_margins(use.root)
        if inner.width + land.task.rules.kerf > width or inner.height + land.task.rules.kerf > height:
            return None
        tree = node_of(inner, land.task.rules.kerf, width, height)
        kinds = items_of(tree)
        for _ in range(use.copies):
            trees.append((use.sheet, numbered(tree, len(items))))
            items += kinds
    if not items or len(items) > MOST_PIECES:
        return None
    more = 0 if len(land.sheets) == 1 else len(trees) + 4  # many small sheets may take the place of few large ones
    forest = land.forest(items, max(len(trees), min(len(items), len(trees) + more)), seed)
    for slot, (sheet, tree) in enumerate(trees):
        forest.plant(slot, sheet, tree)
    return Planted(forest, tuple(items), len(trees))


def numbered(tree: Node, first: int) -> Node:
    """The tree with its items numbered from `first` on, in the order of items_of."""
    return _numbered(tree, iter(range(first, first + len(items_of(tree)))))


def _numbered(tree: Node, numbers: Iterator[int]) -> Node:
    code, width, height, inside = tree
    if not items_of(tree):
        return tree
    if isinstance(inside, tuple):
        return code, width, height, tuple(_numbered(child, numbers) for child in inside)
    return code, width, height, next(numbers)


def make_room(task: PackingTask, planted: Planted, uses: tuple[Use, ...]) -> None:
    """Take the emptiest sheet away, and set the budget: less than the plan's cost, or as much with fewer sheets."""
    forest = planted.forest
    forest.aim(cost_of(task, uses), sheets_of(uses) - 1)
    forest.close(min(range(planted.sheets), key=lambda slot: (forest.area_in(slot), slot)))
