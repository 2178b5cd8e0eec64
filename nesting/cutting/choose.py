"""Among plans that take the same sheets, one that is quicker to cut: fewer and plainer layouts, each more often.

In: the uses of one paper, other layouts found on the way, the ways of work. Out: uses that cut exactly the same
pieces from exactly the same sheets, with their order of cuts, never slower than the first ones. The fact of the
trade: twenty sheets of one layout are stacked and cut as one; twenty layouts of one sheet are twenty jobs.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import combinations

from nesting.cutting.parts import Block, Parts, letters, measured
from nesting.cutting.passes import CutOrder, Order, WaysOfWork
from nesting.cutting.sequence import WORK, order_cuts
from nesting.cutting.trim import counts_of, without_surplus
from nesting.packing.layout import PackingTask, Use

EXCHANGES = 200_000  # exchanges of layouts looked at, at most


@dataclass(frozen=True, slots=True)
class Choice:
    """The uses chosen with their order of cuts, and the order of cuts of the uses that were given."""

    uses: tuple[Use, ...]
    order: CutOrder
    before: CutOrder

    @property
    def seconds_saved(self) -> int:
        """How much quicker the choice is."""
        return self.before.seconds - self.order.seconds


def quicker(
    task: PackingTask,
    uses: tuple[Use, ...],
    pool: tuple[Use, ...],
    ways: WaysOfWork,
    *,
    order: Order = Order.BY_SETTING,
    work: int = WORK,
    stop: Callable[[], bool] | None = None,
) -> Choice:
    """Uses of one paper that are quicker to cut, or those given where none are found.

    Sheets taken of each kind and pieces cut of each kind stay the same, so the cost does. Surplus pieces of a
    layout that is used more often become waste; the packer's own check should see the result like any other.
    """
    before = order_cuts(task, uses, ways, order=order, work=work, stop=stop)
    best = Choice(uses, before, before)
    changed = _Exchange(task, uses, pool, ways).uses()
    if changed != uses:
        found = order_cuts(task, changed, ways, order=order, work=work, stop=stop)
        if (found.seconds, found.settings) < (before.seconds, before.settings):
            best = Choice(changed, found, before)
    return best


class _Exchange:
    """Layouts are exchanged for others of the same sheet kind as long as fewer different cuts remain."""

    def __init__(self, task: PackingTask, uses: tuple[Use, ...], pool: tuple[Use, ...], ways: WaysOfWork) -> None:
        self._task = task
        kinds = {use.sheet for use in uses}
        known = dict.fromkeys((use.sheet, use.root) for use in (*uses, *pool) if use.sheet in kinds)
        self._layouts = tuple(Use(sheet, root, 1) for sheet, root in known)
        self._counts = [counts_of(use.root, len(task.pieces)) for use in self._layouts]
        self._weights = _weights(task, self._layouts, ways)
        self._copies = [0] * len(self._layouts)
        places = {key: place for place, key in enumerate(known)}
        for use in uses:
            self._copies[places[use.sheet, use.root]] += use.copies
        self._spare = [0] * len(task.pieces)
        self._needs = tuple(
            sum(copies * counts[kind] for copies, counts in zip(self._copies, self._counts, strict=True))
            for kind in range(len(task.pieces))
        )
        self._left = EXCHANGES
        self._given = uses

    def uses(self) -> tuple[Use, ...]:
        """The uses after all exchanges that help."""
        changed = False
        while self._left > 0 and (move := self._best_move()) is not None:
            changed = True
            gone, come = move
            moved = sum(self._copies[place] for place in gone)
            for place in gone:
                self._spare = _plus(self._spare, self._counts[place], -self._copies[place])
                self._copies[place] = 0
            self._spare = _plus(self._spare, self._counts[come], moved)
            self._copies[come] += moved
        if not changed:
            return self._given
        chosen = [
            Use(layout.sheet, layout.root, copies)
            for layout, copies in zip(self._layouts, self._copies, strict=True)
            if copies
        ]
        return without_surplus(self._task, chosen, self._needs)

    def _best_move(self) -> tuple[tuple[int, ...], int] | None:
        """One or two layouts to go, and the one whose copies take their place, where fewest cuts remain."""
        used = [place for place, copies in enumerate(self._copies) if copies]
        best: tuple[int, tuple[int, ...], int] | None = None
        for width in (1, 2, 3):
            for gone in combinations(used, width):
                sheets = {self._layouts[place].sheet for place in gone}
                if len(sheets) > 1:
                    continue
                moved = sum(self._copies[place] for place in gone)
                spare = self._spare
                for place in gone:
                    spare = _plus(spare, self._counts[place], -self._copies[place])
                saved = sum(self._weights[place] for place in gone)
                for come, counts in enumerate(self._counts):
                    self._left -= 1
                    cost = 0 if self._copies[come] else self._weights[come]
                    if come in gone or self._layouts[come].sheet not in sheets or cost >= saved:
                        continue
                    if min(_plus(spare, counts, moved)) >= 0 and (best is None or (cost - saved, gone, come) < best):
                        best = cost - saved, gone, come
            if best is not None or self._left <= 0:
                break
        return None if best is None else best[1:]


def _plus(spare: list[int], counts: tuple[int, ...], times: int) -> list[int]:
    return [have + times * count for have, count in zip(spare, counts, strict=True)]


def _weights(task: PackingTask, layouts: tuple[Use, ...], ways: WaysOfWork) -> list[int]:
    """How many different settings each part of a layout takes, added up: about as many lines of instruction."""
    parts = Parts(task, ways, letters(task, layouts))
    return [_weight(parts, parts.add_layout(use), set()) for use in layouts]


def _weight(parts: Parts, number: int, seen: set[int]) -> int:
    block = parts[number]
    if number in seen or not isinstance(block, Block):
        return 0
    seen.add(number)
    own = len({parts.extent(child, block.axis) for child in measured(block)})
    return own + sum(_weight(parts, child, seen) for child in sorted(set(block.children)))
