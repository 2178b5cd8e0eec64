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
from typing import TypeAlias

import numpy as np
import numpy.typing as npt

from nesting.cutting.layout_work import Work, doubt_and_loss, seconds_of_line
from nesting.cutting.parts import Block, Parts, measured
from nesting.cutting.passes import WaysOfWork
from nesting.packing.layout import PackingTask, Part, Use

Values: TypeAlias = npt.NDArray[np.float64]  # whole numbers, whose sums are exact in any order
SQUARE = 60  # there are as many settings, and turns, as the square of the lines has of these for each pile allowed


@dataclass(frozen=True, slots=True)
class Together:
    """Seconds for copies of layouts: of each copy on its own, and of the parts that layouts have in common.

    each[layout]; holds[layout, part]: how many a copy has; per_stack[part]: seconds for each stack of `deep` copies of
    it; lines[part]: different settings in it; per_square: seconds for `square` lines squared, of all parts there are.
    """

    each: Values
    holds: Values
    per_stack: Values
    lines: Values
    per_square: int
    square: int
    deep: int

    def of_parts(self, held: Values) -> Values:
        """Seconds for so many of each part; `held` has them in its last dimension."""
        squares = ((held > 0) @ self.lines) ** 2 * self.per_square // self.square
        seconds: Values = np.ceil(held / self.deep) @ self.per_stack + squares
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
        price = np.where(there > 0, 0, line * self.lines + self.per_stack * (self.deep - 1) / (2 * self.deep))
        each, holds = (some[np.array(layouts, dtype=np.intp)] for some in (self.each, self.holds))
        each, priced = each + holds @ self.per_stack / self.deep, np.flatnonzero(price)
        parts = [np.flatnonzero(row).tolist() for row in holds[:, priced]]
        return np.rint(each).astype(int).tolist(), parts, np.rint(price[priced]).astype(int).tolist()


@dataclass(frozen=True, slots=True)
class _Known:
    """A layout: seconds that are each copy's own, its parts to be cut, each as often as it occurs."""

    own: int
    parts: Counter[int]


class Workbook:
    """The work of layouts of one paper, worked out once for each layout; how often they are used does not count."""

    def __init__(self, task: PackingTask, ways: WaysOfWork) -> None:
        self._task, self._ways = task, ways
        self._parts = Parts(task, ways, {kind: str(kind) for kind in range(len(task.pieces))})
        self._known: dict[tuple[int, Part], _Known] = {}

    def alone(self, use: Use, through: int) -> Work:
        """What a layout is on its own; `through`: seconds for a stroke through a full stack."""
        known = self._of(use)
        lines = sum(self._lines(number) for number in known.parts)
        strokes = sum(self._strokes(number) * count for number, count in known.parts.items())
        return Work(lines * seconds_of_line(self._ways), strokes * through // self._ways.deep + known.own)

    def together(self, uses: Sequence[Use]) -> Together:
        """What these layouts are in common."""
        ways, known = self._ways, [self._of(use) for use in uses]
        numbers = sorted(set().union(*(one.parts for one in known)))
        lines = [self._lines(number) for number in numbers]
        stacks = [
            self._strokes(number) * ways.seconds_per_stroke + 4 * count * ways.seconds_per_stack // 5
            for number, count in zip(numbers, lines, strict=True)
        ]
        return _merged(
            Together(
                each=_values([one.own for one in known]),
                holds=_values([[one.parts[number] for number in numbers] for one in known]),
                per_stack=_values(stacks),
                lines=_values(lines),
                per_square=ways.seconds_per_setting + ways.seconds_per_turn,
                square=SQUARE * max(1, ways.most_piles),
                deep=ways.deep,
            )
        )

    def _of(self, use: Use) -> _Known:
        key = use.sheet, use.root
        known = self._known.get(key)
        if known is None:
            root = self._parts.add_layout(use)
            own = doubt_and_loss(self._task, self._ways, self._parts, root)
            known = self._known[key] = _Known(own, self._blocks(root))
        return known

    def _blocks(self, root: int) -> Counter[int]:
        found: Counter[int] = Counter()
        todo = [root]
        while todo:
            block = self._parts[number := todo.pop()]
            if isinstance(block, Block):
                found[number] += 1
                todo += block.children
        return found

    def _strokes(self, number: int) -> int:
        return len(self._parts.block(number).children) - 1

    def _lines(self, number: int) -> int:
        """To how many sizes one part is cut."""
        block = self._parts.block(number)
        return len({self._parts.extent(child, block.axis) for child in measured(block)})


def _merged(all_of: Together) -> Together:
    """The same with parts that every layout has as many of as one, which is less to work out."""
    holds, place = np.unique(all_of.holds, axis=1, return_inverse=True)
    stacks, lines = (_values(np.bincount(place.ravel(), some)) for some in (all_of.per_stack, all_of.lines))
    return replace(all_of, holds=holds, per_stack=stacks, lines=lines)


def _values(numbers: npt.ArrayLike) -> Values:
    return np.array(numbers, dtype=np.float64)
