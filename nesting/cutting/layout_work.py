"""How much work a layout is, before any order of cuts is known: an estimate to choose layouts by.

In: layouts of one paper, the ways of work. Out: seconds for each layout and for each of its copies, and its sizes.
The fact of the trade: every layout brings its own lines of instruction, every sheet its strokes; and a piece in which
errors add up has to be measured and trued. Scrap counts as work too, so that offcuts to keep are not cut up for little.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from nesting.cutting.doubt import doubtful
from nesting.cutting.needs import all_sizes
from nesting.cutting.parts import Block, Parts, letters, measured
from nesting.cutting.passes import WaysOfWork, What
from nesting.packing.layout import PackingTask, Use

SECONDS_PER_DOUBT = 10  # measuring and truing one piece: our own choice
SECONDS_PER_SHEET = 120  # what a sheet's worth of offcuts to keep is worth, against scrap: our own choice


@dataclass(frozen=True, slots=True)
class Work:
    """Seconds for using a layout at all, seconds for each of its copies, settings that occur anywhere in it."""

    once: int
    each: int
    sizes: frozenset[int]


def work_of(task: PackingTask, uses: Sequence[Use], ways: WaysOfWork) -> list[Work]:
    """The work of each layout; copies do not count."""
    parts = Parts(task, ways, letters(task, uses))
    found = []
    for use in uses:
        root = parts.add_layout(use)
        once = _lines(parts, root, set()) * (ways.seconds_per_stack + ways.seconds_per_setting // 3)
        doubt = SECONDS_PER_DOUBT * doubtful(parts, root, int(ways.square_first))
        scrap = SECONDS_PER_SHEET * _scrap(parts, root) // max(1, use.root.width * use.root.height)
        each = _strokes(parts, root) * ways.seconds_per_stroke // ways.deep + doubt + scrap
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


def _scrap(parts: Parts, number: int) -> int:
    """Area that is neither in a piece nor in an offcut to keep."""
    part = parts[number]
    if isinstance(part, Block):
        return sum(_scrap(parts, child) for child in part.children)
    return part.width * part.height if part.table.what is What.SCRAP else 0
