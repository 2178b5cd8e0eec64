"""Parts of layouts moved to where there is paper to spare, as long as that makes the work less.

In: the uses of one paper, a sum for the work that uses are. Out: uses that cut the same pieces from the same sheets,
never more work. The fact of the trade: a row that fills its sheet to the end leaves no paper to take up what the cuts
are off by. One strip of it laid elsewhere, and every cut of the row comes off under the stop. When no move helps any
more, a few are made at random, and it goes on from there (iterated local search: Lourenço, Martin & Stützle 2003,
Handbook of Metaheuristics, 321-353; from memory).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from random import Random
from typing import TypeAlias

from nesting.packing.forest import FREE_CODE, PIECE_CODE
from nesting.packing.layout import Axis, Use
from nesting.packing.stock import Stock
from nesting.packing.trees import (
    AXES,
    CODES,
    Node,
    corner_node,
    cut_node,
    free_node,
    gathered,
    node_of,
    without_margins,
)

MOST_AT_ONCE = 3  # moves made at random before it goes on
TRIES = 10  # parts drawn until one can be moved
Path: TypeAlias = tuple[int, ...]  # from the root of a cut tree: which child, which child of that, and so on
Lying: TypeAlias = frozenset[tuple[int, int, int]]  # piece kinds with their width and height as they may lie
Copies: TypeAlias = tuple[tuple[int, int], ...]  # layouts by their numbers, and how often each is used


def moved(
    ready: Stock,
    uses: tuple[Use, ...],
    work: Callable[[Sequence[Use]], int],
    trials: int,
    stop: Callable[[], bool] = lambda: False,
) -> tuple[Use, ...]:
    """Uses that moves of single parts, turned or not, lead to, with the least work found on the way.

    trials: so many moves are tried at most. stop: asked before each; True ends with the best so far.
    """
    search = _Search(_Moves(ready), work, trials, stop)
    return gathered(search.least(uses))


class _Search:
    """One search; `left` counts the moves that may still be tried."""

    def __init__(
        self, moves: _Moves, work: Callable[[Sequence[Use]], int], trials: int, stop: Callable[[], bool]
    ) -> None:
        self.left = trials
        self._moves, self._work, self._stop = moves, work, stop
        self._known: dict[Copies, int] = {}

    def least(self, uses: tuple[Use, ...]) -> tuple[Use, ...]:
        """The uses with the least work that were found."""
        best, draw = self._descended(tuple((self._moves.number_of(use), use.copies) for use in uses)), Random(0)
        while not self._spent() and next(self._moves.all_from(best), None):
            other = best
            for _ in range(draw.randint(1, MOST_AT_ONCE)):
                other = self._moves.any_from(other, draw)
            self.left -= 1
            best = min(best, self._descended(other), key=self._seconds)
        return self._moves.uses(best)

    def _descended(self, plan: Copies) -> Copies:
        """What better and better moves lead to, each the first that is found."""
        better: Copies | None = plan
        while better is not None:
            plan, better = better, None
            least = self._seconds(plan)
            for other in self._moves.all_from(plan):
                if self._spent():
                    break
                self.left -= 1
                if self._seconds(other) < least:
                    better = other
                    break
        return plan

    def _spent(self) -> bool:
        return self.left <= 0 or self._stop()

    def _seconds(self, plan: Copies) -> int:
        known = self._known.get(plan)
        if known is None:
            known = self._known[plan] = self._work(self._moves.uses(plan))
        return known


class _Moves:
    """Layouts by numbers, and the moves of a part within one, or from one to another of as many copies."""

    def __init__(self, ready: Stock) -> None:
        self._ready = ready
        self._lying: list[Lying] = [
            frozenset((item.kind, item.width, item.height) for item in source.items) for source in ready.sources
        ]
        self._layouts: list[tuple[Node, Use]] = []
        self._numbers: dict[tuple[int, Node], int | None] = {}
        self._given: dict[int, list[tuple[int, Node]]] = {}
        self._taken: dict[tuple[int, Node], list[int]] = {}

    def number_of(self, use: Use) -> int:
        """The number of a layout that the trimmer can cut as it is."""
        source = self._ready.sources[self._ready.source_of[use.sheet]]
        node = node_of(without_margins(use.root), self._ready.task.rules.kerf, source.width, source.height)
        self._layouts.append((node, replace(use, copies=1)))
        return len(self._layouts) - 1

    def uses(self, plan: Copies) -> tuple[Use, ...]:
        """The layouts of a plan with their copies."""
        return tuple(replace(self._layouts[number][1], copies=copies) for number, copies in plan)

    def all_from(self, plan: Copies) -> Iterator[Copies]:
        """All plans that one move leads to and that the trimmer can cut."""
        for here in range(len(plan)):
            for left, part in self._gives(plan[here][0]):
                for there in _as_many(plan, here):
                    for changed in self._takes(left if there == here else plan[there][0], part):
                        yield _changed(plan, {here: left, there: changed})

    def any_from(self, plan: Copies, draw: Random) -> Copies:
        """A plan that one move leads to; the same one where none was found."""
        for _ in range(TRIES):
            here = draw.randrange(len(plan))
            parts = self._gives(plan[here][0])
            if parts:
                left, part = draw.choice(parts)
                there = draw.choice(_as_many(plan, here))
                found = self._takes(left if there == here else plan[there][0], part)
                if found:
                    return _changed(plan, {here: left, there: draw.choice(found)})
        return plan

    def _number(self, sheet: int, node: Node) -> int | None:
        """The number of a layout on a sheet; None where the trimmer cannot cut it."""
        key = sheet, node
        if key not in self._numbers:
            use = self._ready.use(sheet, node)
            self._numbers[key] = None if use is None else len(self._layouts)
            if use is not None:
                self._layouts.append((node, use))
        return self._numbers[key]

    def _gives(self, layout: int) -> list[tuple[int, Node]]:
        """The layouts with one part less, and that part."""
        if layout not in self._given:
            found = self._given[layout] = []
            node, use = self._layouts[layout]
            for path, part in _parts(node):
                without = _replaced(node, path, free_node(*part[1:3]))
                left = self._number(use.sheet, without)
                if left is not None and without[0] != FREE_CODE:
                    found.append((left, part))
        return self._given[layout]

    def _takes(self, layout: int, part: Node) -> list[int]:
        """The layouts with one part more on free paper, cut off along either axis."""
        key = layout, part
        if key not in self._taken:
            node, use = self._layouts[layout]
            lying = self._lying[self._ready.source_of[use.sheet]]
            made = (
                self._number(use.sheet, _replaced(node, path, corner_node(axis, *free[1:3], some)))
                for some in dict.fromkeys((part, _turned(part)))
                if _may_lie(some, lying)
                for path, free in _free(node)
                if some[1] <= free[1] and some[2] <= free[2]
                for axis in Axis
            )
            self._taken[key] = [number for number in dict.fromkeys(made) if number is not None]
        return self._taken[key]


def _as_many(plan: Copies, here: int) -> list[int]:
    """The places of the layouts with as many copies as one has."""
    return [place for place, (_, copies) in enumerate(plan) if copies == plan[here][1]]


def _changed(plan: Copies, layouts: dict[int, int]) -> Copies:
    """The plan with other layouts at some places."""
    return tuple((layouts.get(place, number), copies) for place, (number, copies) in enumerate(plan))


def _parts(node: Node, path: Path = ()) -> Iterator[tuple[Path, Node]]:
    """All parts with pieces in a tree, the first of equal ones in a row; the sheet itself is none."""
    for place, child in _children(node):
        if child[0] != FREE_CODE:
            yield (*path, place), child
            yield from _parts(child, (*path, place))


def _free(node: Node, path: Path = ()) -> Iterator[tuple[Path, Node]]:
    """All free paper in a tree, the first of equal parts in a row."""
    if node[0] == FREE_CODE:
        yield path, node
    for place, child in _children(node):
        yield from _free(child, (*path, place))


def _children(node: Node) -> Iterator[tuple[int, Node]]:
    """The children of a cut, the first of equal ones, with their places."""
    if node[0] in AXES:
        for place, child in enumerate(node[3]):
            if node[3].index(child) == place:
                yield place, child


def _replaced(node: Node, path: Path, part: Node) -> Node:
    """The tree with another part at the end of a path; waste beside waste is one."""
    if not path:
        return part
    children: Sequence[Node] = node[3]
    inner = _replaced(children[path[0]], path[1:], part)
    return cut_node(AXES[node[0]], node[1], node[2], [*children[: path[0]], inner, *children[path[0] + 1 :]])


def _turned(node: Node) -> Node:
    """A quarter turn of a part with all that is in it."""
    code, width, height, inside = node
    if code in AXES:
        return CODES[AXES[code].other], height, width, tuple(_turned(child) for child in inside)
    return code, height, width, inside


def _may_lie(node: Node, lying: Lying) -> bool:
    """Whether all pieces of a part may come from a source as they lie."""
    if node[0] in AXES:
        return all(_may_lie(child, lying) for child in node[3])
    return node[0] != PIECE_CODE or (node[3], node[1], node[2]) in lying
