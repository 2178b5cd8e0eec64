"""The fewest settings of any order, and of the orders in which no more pieces are doubtful than in one that is known.

In: the register of parts, the sheets. Out: numbers that no such order can beat. The fact of the trade: an order with
few doubtful pieces cuts nearly every sheet as surely as it can be cut; what such a sheet leaves over is known
beforehand, and so are settings that it must take.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence

from nesting.cutting.doubt import Doubt, Errors, after
from nesting.cutting.fewest import no_fewer
from nesting.cutting.needs import PartNeeds
from nesting.cutting.parts import Block, Parts, letters
from nesting.cutting.passes import WaysOfWork
from nesting.cutting.play import Sheets
from nesting.packing.layout import PackingTask, Use

MOST_SHARES = 200  # ways to share out doubtful pieces that are looked at
MOST_WAYS = 12  # bounds worked out one by one; beyond that one bound for all ways to share out doubtful pieces


def lay_out(task: PackingTask, uses: tuple[Use, ...], ways: WaysOfWork) -> tuple[Parts, tuple[Sheets, ...]]:
    """The sheets on the table, and a register of their parts in which nothing is settled."""
    parts = Parts(task, ways, letters(task, uses))
    return parts, tuple(Sheets(layout, parts.add_layout(use), use.copies) for layout, use in enumerate(uses))


def roots_of(parts: Parts, sheets: Sequence[Sheets]) -> frozenset[int]:
    """The sheets that are to be cut."""
    return frozenset(sheet.part for sheet in sheets if parts.is_block(sheet.part))


def fewest_of_all(parts: Parts, sheets: Sequence[Sheets], work: int, stop: Callable[[], bool] | None) -> int:
    """Settings that no order can do without, whatever it leaves over."""
    return _bound(parts, sheets, {}, work, stop)


def fewest_as_sure(
    parts: Parts, sheets: Sequence[Sheets], doubts: int, work: int, stop: Callable[[], bool] | None
) -> int:
    """Settings that no order with so few doubtful pieces (over all copies) can do without."""
    spare = doubts - fewest_doubtful(parts, sheets)
    surely = may_be_left_over(parts, sheets, {})
    ways = [surely]
    for count, shares in enumerate(_shares([sheet.copies for sheet in sheets], spare)):
        left_over = may_be_left_over(parts, sheets, shares)
        if left_over not in ways:
            ways.append(left_over)
        if len(ways) > MOST_WAYS or count == MOST_SHARES:
            ways = [may_be_left_over(parts, sheets, {place: spare // s.copies for place, s in enumerate(sheets)})]
            break
    return min(_bound(parts, sheets, left_over, work, stop) for left_over in ways)


def _shares(copies: Sequence[int], spare: int) -> Iterator[dict[int, int]]:
    """The ways to share out doubtful pieces to layouts, as many to each of its copies: all that leave none to give."""
    def shared(first: int, left: int, given: dict[int, int]) -> Iterator[dict[int, int]]:
        for place in range(first, len(copies)):
            for each in range(1, left // copies[place] + 1):
                yield from shared(place + 1, left - each * copies[place], {**given, place: each})
        if given and all(left < copies[place] for place in range(len(copies))):
            yield given

    yield from shared(0, spare, {})


def _bound(
    parts: Parts, sheets: Sequence[Sheets], left_over: Mapping[int, frozenset[int]], work: int,
    stop: Callable[[], bool] | None,
) -> int:  # fmt: skip
    roots = sorted(roots_of(parts, sheets))
    needs = PartNeeds(parts, roots, left_over)
    return no_fewer(needs.needs, len(needs.sizes), needs.of_all(roots), work, stop)


def fewest_doubtful(parts: Parts, sheets: Sequence[Sheets]) -> int:
    """Doubtful pieces of all copies, at the least."""
    doubt, edge = Doubt(parts), int(parts.ways.square_first)
    return sum(sheet.copies * doubt.of(sheet.part, (edge, edge)) for sheet in sheets)


def may_be_left_over(
    parts: Parts, sheets: Sequence[Sheets], more: Mapping[int, int]
) -> Mapping[int, frozenset[int]]:
    """Per block its children that may be left over in a copy of each layout with so many doubtful pieces at most.

    more: per layout (its place), beyond the fewest; none for layouts that are not named.
    """
    doubt, edge = Doubt(parts), int(parts.ways.square_first)
    found: dict[int, set[int]] = {}
    seen: set[tuple[int, Errors, int]] = set()
    todo = [(sheet.part, (edge, edge), more.get(place, 0)) for place, sheet in enumerate(sheets)]
    while todo:
        number, errors, spare = state = todo.pop()
        block = parts[number]
        if state in seen or not isinstance(block, Block):
            continue
        seen.add(state)
        left = _little_harm(block, errors, doubt, spare)
        found.setdefault(number, set()).update(left)
        for child, number_of in Counter(block.children).items():
            if number_of > 1 or left != {child}:
                todo.append((child, after(block, errors, True), spare))
            if child in left:
                todo.append((child, after(block, errors, False), spare))
    return {number: frozenset(children) for number, children in found.items()}


def _little_harm(block: Block, errors: Errors, doubt: Doubt, spare: int) -> set[int]:
    """The children that may be left over, so that no more than `spare` pieces beyond the fewest are doubtful."""
    if block.rest is not None:
        return {block.rest}
    harm = {child: doubt.harm(block, child, errors) for child in set(block.children)}
    return {child for child in harm if harm[child] <= min(harm.values()) + spare}
