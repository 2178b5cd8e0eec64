"""How much work a layout is, before any order of cuts is known: an estimate to choose layouts by.

In: layouts of one paper, the ways of work. Out: seconds for each layout and for each of its copies, and its sizes.
The fact of the trade: every layout brings its own lines of instruction, every sheet its strokes; and a piece in which
errors add up has to be measured and trued. A large offcut is worth work: it serves for more than two small ones.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from nesting.cutting.doubt import doubtful
from nesting.cutting.needs import all_sizes
from nesting.cutting.parts import Block, Parts, letters, measured
from nesting.cutting.passes import WaysOfWork, What
from nesting.packing.layout import PackingTask, Use


@dataclass(frozen=True, slots=True)
class Work:
    """Seconds for using a layout at all, seconds for each of its copies, settings that occur anywhere in it."""

    once: int
    each: int
    sizes: frozenset[int]


def work_of(task: PackingTask, uses: Sequence[Use], ways: WaysOfWork) -> list[Work]:
    """The work of each layout; copies do not count. What a sheet loses against one that is kept whole is work too."""
    parts = Parts(task, ways, letters(task, uses))
    found = []
    for use in uses:
        root = parts.add_layout(use)
        once = _lines(parts, root, set()) * (ways.seconds_per_stack + ways.seconds_per_setting // 3)
        doubt = ways.seconds_per_measure * doubtful(parts, root, int(ways.square_first))
        lost = ways.seconds_per_offcut - sum(worth(task, ways, *size) for size in _kept(parts, root))
        each = _strokes(parts, root) * ways.seconds_per_stroke // ways.deep + doubt + lost
        found.append(Work(once, each, frozenset(all_sizes(parts, [root]))))
    return found


def _lines(parts: Parts, number: int, seen: set[int]) -> int:
    """How many different settings each part takes, added up: about as many lines of instruction."""
    block = parts[number]
    if number in seen or not isinstance(block, Block):
        return 0
    seen.add(number)
    own = len({parts.extent(child, block.axis) for child in measured(block)})
    return own + sum(_lines(parts, child, seen) for child in sorted(set(block.children)))


def _strokes(parts: Parts, number: int) -> int:
    block = parts[number]
    if not isinstance(block, Block):
        return 0
    return len(block.children) - 1 + sum(_strokes(parts, child) for child in block.children)


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
