"""Values and layouts where sizes share no grid and an exact table would be too large.

In: a source, needs. Out: what Patterns gives, in two halves: a value that is never too low, from pieces rounded down,
and a layout that can be cut, from pieces rounded up and pushed together again. The fact of the trade: a grid of a
millimetre or two loses next to nothing on a sheet, as long as it is known on which side.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from math import gcd

from nesting.packing.forest import PIECE_CODE
from nesting.packing.layout import Axis
from nesting.packing.patterns import Patterns, patterns
from nesting.packing.stock import FAR, Limits, Source
from nesting.packing.trees import AXES, Node, corner_node, cut_node

MOST_COARSE = 150  # states along one side


class Coarse:
    """Like Patterns, for one source: `worth` may lie a little above the truth, `reached` is what `node` is worth."""

    def __init__(self, source: Source, limits: Limits, needs: Sequence[int]) -> None:
        """Takes the finest grids that leave the tables small enough, doubling the common grid of all sizes."""
        self.source = source
        self._above = _on_a_grid(source, limits, needs, lambda size, unit: size // unit * unit)
        self._below = _on_a_grid(source, limits, needs, lambda size, unit: -(-size // unit) * unit)

    def fill(self, prices: Sequence[int]) -> None:
        """Find all values at these prices."""
        self._prices = tuple(prices)
        for table in (self._above, self._below):
            if table is not None:
                table.fill(prices)

    def worth(self, source: Source) -> int:
        """No layout of the source is worth more; by area alone where a piece is smaller than any grid that would do."""
        if self._above is not None:
            return self._above.worth(self._above.sources[0])
        area = source.width * source.height
        return max(self._prices[item.kind] * area // (item.width * item.height) for item in source.items)

    def reached(self, source: Source) -> int:
        """What the layout of `node` is worth."""
        return self._below.worth(self._below.sources[0]) if self._below is not None else 0

    def node(self, source: Source, *, down_first: bool = False) -> Node:
        """A layout of the source that is worth `reached`."""
        if self._below is None:
            return cut_node(Axis.ACROSS, source.width, source.height, [])
        rounded = self._below.node(self._below.sources[0], down_first=down_first)
        return self._spread(rounded, source.width, source.height)

    def _spread(self, node: Node, width: int, height: int) -> Node:
        """The tree with its pieces in their true sizes, pushed together, in a part of width x height."""
        code, _, _, inside = node
        if code == PIECE_CODE:
            wide, high = self._extents(node)
            return corner_node(Axis.ACROSS, width, height, (PIECE_CODE, wide, high, inside))
        if code not in AXES:
            return cut_node(Axis.ACROSS, width, height, [])
        children = []
        for child in inside:
            wide, high = self._extents(child)
            if wide and high:
                size = (wide, height) if AXES[code] is Axis.ACROSS else (width, high)
                children.append(self._spread(child, *size))
        return cut_node(AXES[code], width, height, children)

    def _extents(self, node: Node) -> tuple[int, int]:
        """How large a rounded tree is once its pieces have their true sizes; 0 x 0 for free paper."""
        code, width, height, inside = node
        if code == PIECE_CODE:
            alike = [item for item in self.source.items if item.kind == inside]
            near = min(alike, key=lambda item: abs(width - item.width) + abs(height - item.height))
            return near.width, near.height
        if code not in AXES:
            return 0, 0
        sizes = [self._extents(child) for child in inside]
        if AXES[code] is Axis.ACROSS:
            return sum(wide for wide, _ in sizes), max(high for _, high in sizes)
        return max(wide for wide, _ in sizes), sum(high for _, high in sizes)


def _on_a_grid(
    source: Source, limits: Limits, needs: Sequence[int], rounded: Callable[[int, int], int]
) -> Patterns | None:
    """The table with pieces rounded to a grid and all else rounded down.

    None where no piece fits any more, or one would have no extent.
    """
    sizes = [size for item in source.items for size in (item.width, item.height)]
    unit = gcd(source.width, source.height, *sizes)
    while True:
        unit *= 2
        width, height = source.width // unit * unit, source.height // unit * unit
        items = tuple(
            replace(item, width=rounded(item.width, unit), height=rounded(item.height, unit)) for item in source.items
        )
        items = tuple(item for item in items if item.width <= width and item.height <= height)
        if not any(needs[item.kind] for item in items) or not all(item.width and item.height for item in items):
            return None
        loose = Limits(
            limits.longest if limits.longest == FAR else limits.longest // unit * unit,
            limits.setting if limits.setting == FAR else limits.setting // unit * unit,
            0,
            limits.turns,
        )
        table = patterns([replace(source, width=width, height=height, items=items)], loose, needs, MOST_COARSE)
        if table is not None:
            return table
