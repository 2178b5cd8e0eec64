"""A little trim left in strips that have none, where the row they stand in has paper to spare.

In: a layout, the ways of work. Out: the same layout with some strips a trim thicker, or None where that helps no
piece. The fact of the trade: in a strip with a trim every piece is cut to the stop, and the trim takes up what the
cuts are off by; without one, the last piece does.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from nesting.cutting.doubt import doubtful
from nesting.cutting.parts import Parts
from nesting.cutting.passes import WaysOfWork
from nesting.packing.layout import Axis, CutPart, FreePart, MarginPart, PackingTask, Part, Use
from nesting.packing.trees import obeys, part_extent


def with_trim(task: PackingTask, use: Use, ways: WaysOfWork) -> Use | None:
    """The layout with trims that the trimmer can cut, so that errors add up in fewer pieces; None without any."""
    parts = Parts(task, ways, dict.fromkeys(range(len(task.pieces)), ""))
    edge = int(ways.square_first)
    least = doubtful(parts, parts.add_layout(use), edge)
    best: Use | None = None
    improved = least > 0
    while improved:
        improved = False
        for root in _thicker((best or use).root, ways.least_trim, task.rules.kerf):
            count = doubtful(parts, parts.add_layout(replace(use, root=root)), edge)
            if count < least and obeys(root, task.pieces, task.rules):
                best, least, improved = replace(use, root=root), count, True
                break
    return best


def _thicker(part: Part, trim: int, kerf: int) -> Iterator[Part]:
    """The layouts in which all equal strips of one row, or one of them, are a trim thicker."""
    if not isinstance(part, CutPart):
        return
    for place, child in enumerate(part.parts):
        if child in part.parts[:place]:
            continue
        for inner in _thicker(child, trim, kerf):
            yield replace(part, parts=tuple(inner if other == child else other for other in part.parts))
        if isinstance(child, CutPart) and not any(isinstance(one, MarginPart) for one in part.parts):
            equal = [number for number, other in enumerate(part.parts) if other == child]
            for few in (equal, equal[:1]) if len(equal) > 1 else (equal,):
                widened = _widened(part, few, trim + kerf, kerf)
                if widened is not None:
                    yield widened


def _widened(row: CutPart, places: list[int], more: int, kerf: int) -> CutPart | None:
    """The row with these strips thicker at the cost of its free paper, which stays wide enough to be cut off."""
    parts = list(row.parts)
    free = [(number, part) for number, part in enumerate(parts) if isinstance(part, FreePart)]
    if not free:
        return None
    number, widest = free[-1]
    rest = part_extent(widest, row.axis) - more * len(places)
    if rest < more - kerf:
        return None
    for place in places:
        parts[place] = _grown(parts[place], row.axis, more, kerf)
    parts[number] = _sized(widest, row.axis, rest)
    return replace(row, parts=tuple(parts))


def _grown(part: Part, axis: Axis, more: int, kerf: int) -> Part:
    """A part that is `more` longer along an axis: trim at its end, or in each of its strips."""
    length = part_extent(part, axis) + more
    if isinstance(part, FreePart):
        return _sized(part, axis, length)
    size = (length, part.height) if axis is Axis.ACROSS else (part.width, length)
    parts: tuple[Part, ...] = (part,)
    if isinstance(part, CutPart):
        parts = part.parts
        if part.axis is not axis:
            return CutPart(*size, part.axis, tuple(_grown(one, axis, more, kerf) for one in parts))
        if isinstance(parts[-1], FreePart):
            return CutPart(*size, axis, (*parts[:-1], _grown(parts[-1], axis, more, kerf)))
    trim = _sized(FreePart(part.width, part.height), axis, more - kerf)
    return CutPart(*size, axis, (*parts, trim))


def _sized(part: FreePart, axis: Axis, length: int) -> FreePart:
    return replace(part, width=length) if axis is Axis.ACROSS else replace(part, height=length)
