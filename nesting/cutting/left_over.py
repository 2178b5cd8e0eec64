"""Which strip is left over where a row has no waste: the one in which added errors do least harm.

In: the register of parts, the sheets that are to be cut. Out: the register knows what is left over. The fact of the
trade: what comes off under the stop carries one error, what is left over carries them all. A strip that must be left
over may take a setting more, so it is settled only where measuring the pieces would take longer than a setting.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence

from nesting.cutting.doubt import Doubt, Errors, after
from nesting.cutting.parts import Block, Parts
from nesting.cutting.passes import WaysOfWork
from nesting.cutting.play import Sheets
from nesting.packing.layout import Axis


def settle_left_over(parts: Parts, sheets: Sequence[Sheets], ways: WaysOfWork) -> None:
    """Say for each row, the largest first, what is left over, where that matters."""
    doubt = Doubt(parts)
    edge = int(ways.square_first)
    copies: dict[int, Counter[Errors]] = {}  # of each block, by the errors that it carries already
    for sheet in sheets:
        copies.setdefault(sheet.part, Counter())[edge, edge] += sheet.copies
    for number in _blocks(parts, copies):
        block = parts.block(number)
        if block.rest is None and not block.pinned:
            child = parts.to_leave_over(block)
            if child is None:
                child = _least_harm(parts, block, copies[number], doubt, ways)
            if child is not None:
                parts.leave_over(number, child)
                block = parts.block(number)
        left = block.rest
        for child in block.children:
            direct, left = child != left, left if child != left else None
            for errors, count in copies[number].items():
                copies.setdefault(child, Counter())[after(block, errors, direct)] += count


def _least_harm(parts: Parts, block: Block, copies: Counter[Errors], doubt: Doubt, ways: WaysOfWork) -> int | None:
    """The child that does least harm when it is left over, if it is worth a setting that it is this one."""
    harm = {
        child: sum(count * doubt.harm(block, child, errors) for errors, count in copies.items())
        for child in set(block.children)
    }
    others = sorted(harm)
    able = [
        child
        for child in others
        if parts.extent(child, block.axis) >= ways.narrowest_held
        and not any(parts.prefers(block.axis, other, child) for other in others)
    ]
    if not able:
        return None
    best = min(able, key=lambda child: (harm[child], -parts.extent(child, block.axis), child))
    saved = (max(harm.values()) - harm[best]) * ways.seconds_per_measure
    return best if saved > ways.seconds_per_setting else None


def _blocks(parts: Parts, roots: Iterable[int]) -> list[int]:
    """All blocks of some sheets, the largest first, so that each comes after those that it lies in."""
    found: set[int] = set()
    todo = list(roots)
    while todo:
        number = todo.pop()
        part = parts[number]
        if isinstance(part, Block) and number not in found:
            found.add(number)
            todo += part.children
    return sorted(
        found, key=lambda number: (-parts.extent(number, Axis.ACROSS) * parts.extent(number, Axis.DOWN), number)
    )
