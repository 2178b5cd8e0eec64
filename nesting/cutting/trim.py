"""Layouts that cut more than is needed, made to cut exactly what is needed.

In: uses and how many of each piece kind are wanted. Out: uses in which the surplus pieces are waste, waste beside
waste is one, and a part that is all waste is not cut. The fact of the trade: what is not needed is better kept as one
large offcut than cut to size.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace

from nesting.packing.layout import (
    Axis,
    CutPart,
    FreePart,
    MarginPart,
    PackingTask,
    Part,
    PiecePart,
    Use,
)
from nesting.packing.trees import counts_of


def without_surplus(task: PackingTask, uses: Sequence[Use], needs: Sequence[int]) -> Iterator[tuple[Use, ...]]:
    """The uses with exactly `needs` pieces of each kind, in several ways.

    Layouts with fewest copies give up their pieces first; then one of the others does that before them.
    """
    order, found = sorted(uses, key=lambda use: use.copies), set[frozenset[tuple[Use, int]]]()
    for place in range(len(order)):
        exact = _given_up(task, [order[place], *order[:place], *order[place + 1 :]], needs)
        same = frozenset(Counter(exact).items())  # in whatever order
        if same not in found:
            found.add(same)
            yield exact


def _given_up(task: PackingTask, todo: list[Use], needs: Sequence[int]) -> tuple[Use, ...]:
    """The uses with exactly `needs` pieces of each kind; the first layouts give up theirs first.

    A layout with several copies gives up a piece in all of them at once where the surplus allows, else one of its
    copies becomes a layout of its own.
    """
    kinds = len(task.pieces)
    spare = [have - need for have, need in zip(_held(todo, kinds), needs, strict=True)]
    done: list[Use] = []
    while todo:
        use = todo.pop(0)
        held = counts_of(use.root, kinds)
        every = [min(have, extra // use.copies) for have, extra in zip(held, spare, strict=True)]
        spare = [extra - use.copies * gone for extra, gone in zip(spare, every, strict=True)]
        use = replace(use, root=_with_less(task, use.root, every))
        held = counts_of(use.root, kinds)
        more = [min(have, extra) for have, extra in zip(held, spare, strict=True)]
        if use.copies > 1 and any(more) and not _others_can(todo, kinds, spare):
            todo.insert(0, replace(use, copies=use.copies - 1))
            use = replace(use, copies=1, root=_with_less(task, use.root, more))
            spare = [extra - gone for extra, gone in zip(spare, more, strict=True)]
        done.append(use)
    return tuple(done)


def _others_can(others: Sequence[Use], kinds: int, spare: Sequence[int]) -> bool:
    """Whether the layouts still to come hold the surplus, so that this one may be left alone."""
    return all(have >= extra for have, extra in zip(_held(others, kinds), spare, strict=True))


def _held(uses: Sequence[Use], kinds: int) -> list[int]:
    """How many pieces of each kind all copies hold."""
    counts = [(use.copies, counts_of(use.root, kinds)) for use in uses]
    return [sum(copies * each[kind] for copies, each in counts) for kind in range(kinds)]


def _with_less(task: PackingTask, root: Part, gone: Sequence[int]) -> Part:
    left = list(gone)
    return _trimmed(root, left, task.rules.kerf) if any(left) else root


def _trimmed(part: Part, gone: list[int], kerf: int) -> Part:
    """The part without so many pieces of each kind, taken from the end; `gone` counts down."""
    if isinstance(part, PiecePart) and gone[part.kind]:
        gone[part.kind] -= 1
        return FreePart(part.width, part.height)
    if not isinstance(part, CutPart):
        return part
    parts = tuple(reversed([_trimmed(child, gone, kerf) for child in reversed(part.parts)]))
    return part if parts == part.parts else _gathered(replace(part, parts=parts), kerf)


def _gathered(part: CutPart, kerf: int) -> Part:
    """All waste of a row as one strip at its end; all waste is not cut at all."""
    if any(isinstance(child, MarginPart) for child in part.parts):
        return part
    kept = [child for child in part.parts if not isinstance(child, FreePart)]
    if not kept:
        return FreePart(part.width, part.height)
    across = part.axis is Axis.ACROSS
    used = sum((child.width if across else child.height) + kerf for child in kept)
    rest = max(0, (part.width if across else part.height) - used)
    free = FreePart(rest, part.height) if across else FreePart(part.width, rest)
    return replace(part, parts=(*kept, free)) if len(kept) < len(part.parts) else part
