"""How much work several layouts are together, before any order of cuts is known: equal parts are cut in one stack.

In: layouts of one paper, the ways of work. Out: numbers from which the seconds for any copies of them are worked out.
The fact of the trade: a strip that occurs on three layouts is one job, not three; and the more jobs lie on the table,
the oftener the stop comes back to a setting. Each part has as many strokes as it has cuts, through as many stacks as
its copies fill; four fifths of its lines bring a stack up to the stop. Settings and turns grow with the square of the
lines of all parts. The shares were fitted to 259 orders of 80 made-up batches (benchmarks/craft_layouts.py), stacks of
4, at most eight piles: they explain nine tenths of what sets the orders of one batch apart, in squares. The square
counts for two thirds more than was fitted, since choices by it turned out quicker to cut.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple, TypeAlias

import numpy as np
import numpy.typing as npt

from nesting.cutting.doubt import Doubt
from nesting.cutting.layout_work import Work, loss, seconds_of_line
from nesting.cutting.parts import Block, Parts, measured
from nesting.cutting.passes import WaysOfWork
from nesting.packing.layout import PackingTask, Part, Use

Values: TypeAlias = npt.NDArray[np.float64]  # whole numbers, whose sums are exact in any order
SQUARE = 60  # there are as many settings, and turns, as the square of the lines has of these for each pile allowed


@dataclass(frozen=True, slots=True)
class Together:
    """Seconds for copies of layouts: of each copy on its own, and of the parts that layouts have in common.

    each[layout]; holds[layout, part]: how many a copy has; once[part]: seconds for any of it; per_stack[part]: seconds
    for each stack of `deep` copies of it; lines[part]: different settings in it; per_square: seconds for `square` lines
    squared, of all parts there are. Equal pieces in which errors add up are one part, which is trued.
    """

    each: Values
    holds: Values
    once: Values
    per_stack: Values
    lines: Values
    per_square: int
    square: int
    deep: int

    def of_parts(self, held: Values) -> Values:
        """Seconds for so many of each part; `held` has them in its last dimension."""
        squares = ((held > 0) @ self.lines) ** 2 * self.per_square // self.square
        seconds: Values = np.ceil(held / self.deep) @ self.per_stack + (held > 0) @ self.once + squares
        return seconds

    def seconds(self, times: Values) -> int:
        """Seconds in all for so many copies of each layout."""
        return int(self.of_parts(times @ self.holds) + times @ self.each)

    def of_each(
        self, times: Sequence[int], kept: Sequence[int], layouts: Sequence[int]
    ) -> tuple[list[int], list[list[int]], list[int]]:  # fmt: skip
        """About the same as sums: seconds for a copy of each of these layouts, its parts, seconds for a part at all.

        Lines are priced as where so many copies of each layout are used; the parts of those that are kept cost nothing.
        """
        now, there = (np.array(some, dtype=np.float64) @ self.holds for some in (times, kept))
        line = 2 * float((now > 0) @ self.lines) * self.per_square / self.square
        at_all = self.once + line * self.lines + self.per_stack * (self.deep - 1) / (2 * self.deep)
        price = np.where(there > 0, 0, at_all)
        each, holds = (some[np.array(layouts, dtype=np.intp)] for some in (self.each, self.holds))
        each, priced = each + holds @ self.per_stack / self.deep, np.flatnonzero(price)
        parts = [np.flatnonzero(row).tolist() for row in holds[:, priced]]
        return np.rint(each).astype(int).tolist(), parts, np.rint(price[priced]).astype(int).tolist()


class _Cost(NamedTuple):
    """Of a part: seconds for any of it, seconds for each stack of it, and to how many sizes it is cut."""

    once: int
    per_stack: int
    lines: int


@dataclass(frozen=True, slots=True)
class _Known:
    """A layout: seconds that are each copy's own; its parts to be cut or to be trued, and how many there are."""

    own: int
    holds: Counter[int]


class Workbook:
    """The work of layouts of one paper, worked out once for each layout; how often they are used does not count.

    Parts to be cut have their numbers in the register, pieces to be trued the numbers below nought.
    """

    def __init__(self, task: PackingTask, ways: WaysOfWork) -> None:
        self._task, self._ways = task, ways
        self._parts = Parts(task, ways, {kind: str(kind) for kind in range(len(task.pieces))})
        self._doubt = Doubt(self._parts)
        self._known: dict[tuple[int, Part], _Known] = {}
        self._costs: dict[int, _Cost] = {}
        self._square = SQUARE * max(1, ways.most_piles)

    def alone(self, use: Use, through: int) -> Work:
        """What a layout is on its own; `through`: seconds for a stroke through a full stack."""
        known = self._of(use)
        costs = [self._cost(number) for number in known.holds]
        once = sum(cost.lines * seconds_of_line(self._ways) + cost.once for cost in costs)
        strokes = sum(self._strokes(number) * count for number, count in known.holds.items())
        return Work(once, strokes * through // self._ways.deep + known.own)

    def seconds(self, uses: Sequence[Use]) -> int:
        """What these uses are in all, the same as by `together`, for less where that is asked once."""
        total, held = 0, Counter[int]()
        for use in uses:
            known = self._of(use)
            total += use.copies * known.own
            for number, count in known.holds.items():
                held[number] += use.copies * count
        lines = 0
        for number, count in held.items():
            cost = self._cost(number)
            total += cost.once - (-count // self._ways.deep) * cost.per_stack
            lines += cost.lines
        return total + lines**2 * self._ways.seconds_per_size // self._square

    def together(self, uses: Sequence[Use]) -> Together:
        """What these layouts are in common."""
        known = [self._of(use) for use in uses]
        numbers = sorted(set().union(*(one.holds for one in known)))
        costs = [self._cost(number) for number in numbers]
        return _merged(
            Together(
                each=_values([one.own for one in known]),
                holds=_values([[one.holds[number] for number in numbers] for one in known]),
                once=_values([cost.once for cost in costs]),
                per_stack=_values([cost.per_stack for cost in costs]),
                lines=_values([cost.lines for cost in costs]),
                per_square=self._ways.seconds_per_size,
                square=self._square,
                deep=self._ways.deep,
            )
        )

    def _of(self, use: Use) -> _Known:
        key = use.sheet, use.root
        known = self._known.get(key)
        if known is None:
            root = self._parts.add_layout(use)
            edge = int(self._ways.square_first)
            holds, trued = self._blocks(root), self._doubt.kinds(root, (edge, edge))
            holds.update({-1 - kind: count for kind, count in trued.items()})
            own = loss(self._task, self._ways, self._parts, root) + self._ways.seconds_per_measure * trued.total()
            known = self._known[key] = _Known(own, holds)
        return known

    def _cost(self, number: int) -> _Cost:
        known = self._costs.get(number)
        if known is None:
            ways = self._ways
            if number < 0:
                known = _Cost(ways.seconds_per_truing, 0, 0)
            else:
                block = self._parts.block(number)
                lines = len({self._parts.extent(child, block.axis) for child in measured(block)})
                stacks = self._strokes(number) * ways.seconds_per_stroke + 4 * lines * ways.seconds_per_stack // 5
                known = _Cost(0, stacks, lines)
            self._costs[number] = known
        return known

    def _strokes(self, number: int) -> int:
        return 0 if number < 0 else len(self._parts.block(number).children) - 1

    def _blocks(self, root: int) -> Counter[int]:
        found: Counter[int] = Counter()
        todo = [root]
        while todo:
            block = self._parts[number := todo.pop()]
            if isinstance(block, Block):
                found[number] += 1
                todo += block.children
        return found


def _merged(all_of: Together) -> Together:
    """The same with parts that every layout has as many of as one, which is less to work out."""
    holds, place = np.unique(all_of.holds, axis=1, return_inverse=True)
    once, stacks, lines = (
        _values(np.bincount(place.ravel(), some)) for some in (all_of.once, all_of.per_stack, all_of.lines)
    )
    return replace(all_of, holds=holds, once=once, per_stack=stacks, lines=lines)


def _values(numbers: npt.ArrayLike) -> Values:
    return np.array(numbers, dtype=np.float64)
