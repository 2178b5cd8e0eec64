"""A packing task in the terms of the forest: kerf added, margins off, rules as plain numbers.

In: a PackingTask. Out: a Ground, from which forests of any choice of items are planted, and the way back from their
trees to layouts. The fact of the trade: a block whose own cuts the trimmer cannot make, or a sheet whose margins it
cannot cut off, is as good as not there.
"""

from __future__ import annotations

from array import array
from collections.abc import Sequence
from dataclasses import dataclass, field
from math import log, sqrt

from nesting.packing.engine import FOREST
from nesting.packing.forest import NO_LIMIT, TABLE_STEPS, Forest
from nesting.packing.layout import Axis, PackingTask, PieceKind, Use
from nesting.packing.trees import (
    CODES,
    Node,
    cut_apart,
    inside_margins,
    laid_out,
    margin_axes,
    may_lie,
)


@dataclass(frozen=True, slots=True)
class Ground:
    """What a forest needs to know of a task; see Forest for the meaning of each."""

    task: PackingTask
    kinds: tuple[tuple[int, int, int], ...]
    allow: tuple[int, ...]
    papers: int
    sheets: tuple[tuple[int, int, int, int, int], ...]
    margin_axes: tuple[tuple[Axis, ...], ...]
    limits: tuple[int, ...]
    rules: tuple[int, int, int, int, int]
    _layouts: dict[tuple[int, Node], Use | None] = field(default_factory=dict, compare=False, repr=False)

    def forest(self, items: Sequence[int], slots: int, seed: int = 0) -> Forest:
        """A forest without sheets; items[i] is the kind of item i, and all items lie outside."""
        costs = [sheet.cost for sheet in self.task.sheets]
        return FOREST(self.kinds, items, self.allow, self.papers, self.sheets, costs, self.limits, self.rules,
                      slots, POWERS, LOGS, seed)  # fmt: skip

    def use(self, sheet: int, tree: Node) -> Use | None:
        """A tree whose items are numbers of piece kinds as one sheet's layout; None if the trimmer cannot cut it.

        Plans that are compared have most of their sheets in common, so each is laid out once.
        """
        known = sheet, tree
        if known not in self._layouts:
            root = laid_out(self.task, sheet, tree, self.margin_axes[sheet])
            self._layouts[known] = None if root is None else Use(sheet, root, 1)
        return self._layouts[known]

    def ways(self, kind: int, sheet: int) -> int:
        """1 if a kind may be cut upright from a sheet kind, + 2 if turned."""
        return self.allow[kind * self.papers + self.sheets[sheet][2]]

    def fits(self, kind: int, sheet: int) -> bool:
        """Whether a kind's sides are short enough for a sheet kind, in a way that is allowed."""
        (wide, high, _), (width, height, *_) = self.kinds[kind], self.sheets[sheet]
        ways = self.ways(kind, sheet)
        return bool((ways & 1 and wide <= width and high <= height) or (ways & 2 and high <= width and wide <= height))


def ground(task: PackingTask) -> Ground:
    """A task in the forest's terms."""
    rules, kerf = task.rules, task.rules.kerf
    papers = 1 + max([sheet.paper for sheet in task.sheets] + [a.paper for p in task.pieces for a in p.allowed])
    sheets, all_axes, limits = [], [], []
    for sheet in task.sheets:
        axes = margin_axes(sheet, rules)
        width, height = inside_margins(sheet, kerf) if axes is not None else (-kerf, -kerf)
        sheets.append((width + kerf, height + kerf, sheet.paper, CODES[axes[-1]] if axes else 0, len(axes or ()) // 2))
        all_axes.append(axes or ())
        limits.append(0 if axes is None else NO_LIMIT if sheet.limit is None else min(sheet.limit, NO_LIMIT))
    return Ground(
        task=task,
        kinds=tuple((piece.width + kerf, piece.height + kerf, _block_code(piece)) for piece in task.pieces),
        allow=tuple(_ways(task, piece, paper) for piece in task.pieces for paper in range(papers)),
        papers=papers,
        sheets=tuple(sheets),
        margin_axes=tuple(all_axes),
        limits=tuple(limits),
        rules=(
            _raised(rules.longest_cut, kerf),
            _raised(rules.largest_setting, kerf),
            rules.narrowest_held + kerf if rules.narrowest_held else 0,
            NO_LIMIT if rules.most_turns is None else rules.most_turns,
            kerf,
        ),
    )


def _raised(length: int | None, kerf: int) -> int:
    return NO_LIMIT if length is None else length + kerf


def _block_code(piece: PieceKind) -> int:
    axis = cut_apart(piece)
    return CODES[axis] if axis else 0


def _ways(task: PackingTask, piece: PieceKind, paper: int) -> int:
    as_it_is, turned = may_lie(piece, paper, task.rules)
    return as_it_is + 2 * turned


def _powers() -> array[float]:
    """Powers 1.25, 1.5 and 2 of TABLE_STEPS + 2 points from 0, by square roots alone (exactly rounded, IEEE 754)."""
    points = [step / TABLE_STEPS for step in range(TABLE_STEPS + 2)]
    return array("d", [*(x * sqrt(sqrt(x)) for x in points), *(x * sqrt(x) for x in points), *(x * x for x in points)])


def _logs() -> array[float]:
    """The table of -ln(u) in the middle of equal steps, to 20 binary digits; none is near a tie, so machines agree."""
    steps = [round(-log((2 * step + 1) / (2 * TABLE_STEPS)) * 1048576) / 1048576 for step in range(TABLE_STEPS)]
    return array("d", steps)


POWERS = _powers()
LOGS = _logs()
