"""Layouts that are quick to cut: strips from edge to edge, of one or two kinds, each with one or two sizes in it.

In: a stock, one of its sources, what each piece is worth. Out: sets of pieces with a cut tree for each, those first
that lose least. The fact of the trade: a sheet of few sizes takes few settings, and twenty such sheets are one stack.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

from nesting.packing.forest import PIECE_CODE
from nesting.packing.layout import Axis
from nesting.packing.stock import Item, Source
from nesting.packing.trees import Node, cut_node

MOST_TRIED = 60_000  # layouts looked at for one source
Counts = tuple[int, ...]


@dataclass(frozen=True, slots=True)
class _Strip:
    """A strip of `extent` along the axis in which strips follow each other, its pieces, what they are worth."""

    extent: int
    counts: tuple[tuple[int, int], ...]
    worth: int
    node: Node
    sizes: int

    def useful(self, needs: Sequence[int]) -> int:
        """How many such strips are needed at most."""
        return max(-(-needs[kind] // count) for kind, count in self.counts)


def plain_layouts(source: Source, needs: Sequence[int], prices: Sequence[int], least: int) -> list[tuple[Counts, Node]]:
    """Layouts worth at least `least`, the most valuable first, of equal sets of pieces the one with fewest sizes.

    Sizes have the kerf added. Whether the trimmer can cut them is for `Stock.use` to say.
    """
    found: dict[Counts, tuple[int, int, Node]] = {}
    tried = 0
    for axis in Axis:
        room = source.width if axis is Axis.ACROSS else source.height
        strips = list(_strips(source, needs, prices, axis))
        for strips_taken in _rows(strips, needs, room):
            tried += 1
            if tried > MOST_TRIED:
                break
            worth = sum(strip.worth * count for strip, count in strips_taken)
            if worth < least:
                continue
            counts = [0] * len(needs)
            for strip, times in strips_taken:
                for kind, each in strip.counts:
                    counts[kind] += each * times
            sizes = len(strips_taken) + sum(strip.sizes for strip, _ in strips_taken)
            known = found.get(tuple(counts))
            if known is None or sizes < known[1]:
                nodes = [strip.node for strip, times in strips_taken for _ in range(times)]
                found[tuple(counts)] = worth, sizes, cut_node(axis, source.width, source.height, nodes)
    ranked = sorted(found.items(), key=lambda item: (-item[1][0], item[1][1], item[0]))
    return [(counts, node) for counts, (_, _, node) in ranked]


def _rows(strips: list[_Strip], needs: Sequence[int], room: int) -> Iterator[tuple[tuple[_Strip, int], ...]]:
    """Rows of strips of one or two kinds, as many of the last as there is room for, or of one kind one fewer."""
    for strip in strips:
        most = min(room // strip.extent, strip.useful(needs))
        yield ((strip, most),)
        if most > 1:
            yield ((strip, most - 1),)
    for one, two in combinations(strips, 2):
        for times in range(1, min(one.useful(needs), (room - two.extent) // one.extent) + 1):
            rest = room - times * one.extent
            yield (one, times), (two, min(rest // two.extent, two.useful(needs)))


def _strips(source: Source, needs: Sequence[int], prices: Sequence[int], axis: Axis) -> Iterator[_Strip]:
    """Strips that end at the sheet's edges, of one piece kind or of two that are equally thick."""
    length = source.height if axis is Axis.ACROSS else source.width
    items = [item for item in source.items if needs[item.kind] > 0]
    for item in items:
        yield _strip([(item, min(length // _along(item, axis.other), needs[item.kind]))], prices, axis, length)
    for one, two in combinations(items, 2):
        if _along(one, axis) == _along(two, axis) and one.kind != two.kind:
            long, other = _along(one, axis.other), _along(two, axis.other)
            for count in range(1, min(needs[one.kind], (length - other) // long) + 1):
                more = min(needs[two.kind], (length - count * long) // other)
                yield _strip([(one, count), (two, more)], prices, axis, length)


def _strip(held: list[tuple[Item, int]], prices: Sequence[int], axis: Axis, length: int) -> _Strip:
    extent = _along(held[0][0], axis)
    nodes = [(PIECE_CODE, item.width, item.height, item.kind) for item, count in held for _ in range(count)]
    size = (extent, length) if axis is Axis.ACROSS else (length, extent)
    return _Strip(
        extent,
        tuple((item.kind, count) for item, count in held),
        sum(prices[item.kind] * count for item, count in held),
        cut_node(axis.other, *size, nodes),
        len({_along(item, axis.other) for item, _ in held}),
    )


def _along(item: Item, axis: Axis) -> int:
    return item.width if axis is Axis.ACROSS else item.height
