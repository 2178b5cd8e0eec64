"""Which strip is left over where a row has no waste: the one in which added errors do least harm.

In: the register of parts, the sheets that are to be cut. Out: the register knows what is left over. The fact of the
trade: what comes off under the stop carries one error, what is left over carries them all. A strip that must be left
over may take a setting more, so it may be settled only where measuring the pieces would take longer than a setting.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence

from nesting.cutting.doubt import Doubt, Errors, after
from nesting.cutting.parts import Block, Parts
from nesting.cutting.play import Sheets
from nesting.packing.layout import Axis


def settle_left_over(parts: Parts, sheets: Sequence[Sheets], worth: int, *, several: bool) -> None:
    """Say for each row, the largest first, what is left over, where that saves more than `worth` seconds.

    several: where some children do as little harm, any of them may be left over, else the longest one is.
    """
    doubt = Doubt(parts)
    edge = int(parts.ways.square_first)
    copies: dict[int, Counter[Errors]] = {}  # of each block, by the errors that it carries already
    for sheet in sheets:
        copies.setdefault(sheet.part, Counter())[edge, edge] += sheet.copies
    for number in _blocks(parts, copies):
        block = parts.block(number)
        if block.rest is None and not block.pinned:
            stays = _least_harm(parts, block, copies[number], doubt, worth)
            if stays and not several:
                stays = frozenset((max(stays, key=lambda child: (parts.extent(child, block.axis), -child)),))
            if stays:
                parts.leave_over(number, stays)
                block = parts.block(number)
        stays = parts.may_be_left_over(block)
        left = set(stays if len(stays) < len(set(block.children)) else ())
        for child in block.children:
            direct = child not in left
            left.discard(child)
            for errors, count in copies[number].items():
                copies.setdefault(child, Counter())[after(block, errors, direct)] += count


def _least_harm(
    parts: Parts, block: Block, copies: Counter[Errors], doubt: Doubt, worth: int
) -> frozenset[int]:
    """The children that do least harm when one of them is left over; none where that saves too little."""
    harm = {
        child: sum(count * doubt.harm(block, child, errors) for errors, count in copies.items())
        for child in set(block.children)
    }
    able = {
        child: harm[child]
        for child in parts.may_be_left_over(block)
        if parts.extent(child, block.axis) >= parts.ways.narrowest_held
    }
    least = min(able.values(), default=0)
    if not able or (max(harm.values()) - least) * parts.ways.seconds_per_measure <= worth:
        return frozenset()
    best = {child for child in able if able[child] == least}
    if len({parts.extent(child, block.axis) for child in best}) == 1:
        best = {min(best)}  # all come off in one run, and the last of the row is what stays
    return frozenset(best)


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
