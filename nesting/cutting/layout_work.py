"""How much work a layout is on its own, before any order of cuts is known: an estimate to make layouts by.

In: layouts in a register of parts, the ways of work. Out: seconds for each layout and for each of its copies. The fact
of the trade: every layout brings its own lines of instruction, every sheet its strokes; and a piece in which errors add
up has to be measured and trued. A large offcut is worth work: it serves for more than two small ones.

Equal parts of several layouts are cut together, so no layout's own time can be told. The shares were fitted to orders
of made-up batches (benchmarks/craft_layouts.py, stacks of 4): a stroke through a full stack brings half a stack up to
the stop; a line of a layout is half a stroke and half a stack more, and a seventh of a setting.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from nesting.cutting.parts import Block, Parts
from nesting.cutting.passes import WaysOfWork, What
from nesting.packing.layout import PackingTask


@dataclass(frozen=True, slots=True)
class Work:
    """Seconds for using a layout at all, seconds for each of its copies."""

    once: int
    each: int


def loss(task: PackingTask, ways: WaysOfWork, parts: Parts, root: int) -> int:
    """What a sheet is worth less than one that is kept whole: seconds."""
    return ways.seconds_per_offcut - sum(worth(task, ways, *size) for size in _kept(parts, root))


def through_stack(ways: WaysOfWork) -> tuple[int, int]:
    """Seconds for a stroke through a full stack: without bringing it up to the stop, and with half of that."""
    return ways.seconds_per_stroke, ways.seconds_per_stroke + ways.seconds_per_stack // 2


def seconds_of_line(ways: WaysOfWork) -> int:
    """A line of instruction that a layout brings, beyond its strokes through full stacks."""
    return (ways.seconds_per_stroke + ways.seconds_per_stack) // 2 + ways.seconds_per_setting // 7


def worth(task: PackingTask, ways: WaysOfWork, width: int, height: int) -> int:
    """How many seconds of work an offcut is worth: as its area against the largest sheet's, squared."""
    whole = max(sheet.width * sheet.height for sheet in task.sheets)
    return ways.seconds_per_offcut * (width * height) ** 2 // whole**2


def _kept(parts: Parts, number: int) -> Iterator[tuple[int, int]]:
    """The sizes of the offcuts to keep in a part."""
    part = parts[number]
    if isinstance(part, Block):
        for child in part.children:
            yield from _kept(parts, child)
    elif part.table.what is What.KEEP:
        yield part.width, part.height
