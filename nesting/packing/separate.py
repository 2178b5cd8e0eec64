"""Rectangles that lie on a sheet become a tree of straight cuts, or are refused.

In: rectangles (x, y, width, height, item) inside a part of a given size. Out: a node of trees.py, or None. The fact
of the trade: a trimmer cuts from edge to edge, so five rectangles in a pinwheel cannot be cut out at all. Where no
rectangle crosses a line the part can be cut there; if no line of either direction is free the layout is refused.
"""

from __future__ import annotations

from collections.abc import Sequence

from nesting.packing.forest import PIECE_CODE
from nesting.packing.layout import Axis
from nesting.packing.trees import Node, corner_node, cut_node, free_node

Placed = tuple[int, int, int, int, int]


def separate(placed: Sequence[Placed], width: int, height: int, first: Axis = Axis.ACROSS) -> Node | None:
    """The tree that cuts all rectangles out of width x height, trying the axis `first` first; None if there is none.

    Free paper on either side of a strip is moved to one end and joined, so that offcuts are large.
    """
    if not placed:
        return free_node(width, height)
    return _cut(list(placed), width, height, first, stuck=False)


def _cut(placed: list[Placed], width: int, height: int, axis: Axis, *, stuck: bool) -> Node | None:
    """`stuck`: the same rectangles could not be cut apart along the other axis."""
    along, extent = (0, 2) if axis is Axis.ACROSS else (1, 3)
    if len(placed) == 1:
        return _single(placed[0], width, height, axis)
    runs = _runs(placed, along, extent)
    if len(runs) == 1 and stuck:
        return None
    nodes = []
    for length, run in runs:
        size = (length, height) if axis is Axis.ACROSS else (width, length)
        node = _cut(run, *size, axis.other, stuck=len(runs) == 1)
        if node is None:
            return None
        nodes.append(node)
    if sum(length for length, _ in runs) > (width if axis is Axis.ACROSS else height):
        return None
    return cut_node(axis, width, height, nodes)


def _runs(placed: list[Placed], along: int, extent: int) -> list[tuple[int, list[Placed]]]:
    """Rectangles in runs between lines that none of them crosses, with the length of each run."""
    runs: list[tuple[int, list[Placed]]] = []
    start = end = 0
    run: list[Placed] = []
    for one in sorted(placed, key=lambda rectangle: rectangle[along]):
        if run and one[along] >= end:
            runs.append((end - start, run))
            run = []
        if not run:
            start = end = one[along]
        run.append(one)
        end = max(end, one[along] + one[extent])
    runs.append((end - start, run))
    return runs


def _single(one: Placed, width: int, height: int, axis: Axis) -> Node | None:
    if one[2] > width or one[3] > height:
        return None
    return corner_node(axis, width, height, (PIECE_CODE, one[2], one[3], one[4]))
