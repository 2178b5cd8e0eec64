"""At the same cost and the same sheets, free paper is gathered into one rectangle as large as can be.

In: a task and a plan. Out: a plan with as many sheets of each kind (fewer where one came out empty) whose largest free
rectangle is at least as large; and an upper bound for it. The fact of the trade: one large offcut is worth more than
many strips of the same area, since it still holds a card.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from nesting.packing.fill import planned, score
from nesting.packing.ground import ground
from nesting.packing.improve import coolings, plant
from nesting.packing.layout import FreePart, PackingTask, Use, leaves, sheets_of
from nesting.packing.trees import counts_of, gathered, inside_margins, largest_free_of

MOST_PIECES = 200  # pieces on the sheets that are taken apart at once; other sheets stay as they are
LONGEST = 15  # a cooling takes at most 2 ** this many rounds


def gather(
    task: PackingTask, uses: tuple[Use, ...], *, work: int, seed: int, stop: Callable[[], bool] | None = None
) -> tuple[Use, ...]:
    """The same plan, or one that cuts the same pieces from the same sheets and leaves a larger free rectangle.

    work: rounds of the search. Only the sheets with the most free paper are taken apart, all others stay.
    """
    best = uses
    rounds = 0
    while rounds < work and largest_free_of(best) < largest_possible(task, best):
        found, done = _once(task, best, work - rounds, seed, stop)
        rounds += done
        if sheets_of(found) == sheets_of(best):
            return found
        best, seed = found, seed + 1
    return best


def _once(
    task: PackingTask, uses: tuple[Use, ...], work: int, seed: int, stop: Callable[[], bool] | None
) -> tuple[tuple[Use, ...], int]:
    """One search, and the rounds it took; it ends early when a whole sheet has come free."""
    land = ground(task)
    loose, kept = _loosest(task, uses)
    planted = plant(land, loose, seed)
    if planted is None:
        return uses, work
    forest = planted.forest
    forest.seek_free()
    rounds = 0
    for done in coolings(land, planted, work, stop, LONGEST):
        rounds += done
        if forest.empty_sheet():
            break
    forest.restore_best()
    found = gathered((*planned(land, forest, planted.items), *kept))
    return (found if score(land, found) < score(land, uses) else uses), rounds


def _loosest(task: PackingTask, uses: Sequence[Use]) -> tuple[list[Use], list[Use]]:
    """The sheets with the most free paper, as far as their pieces are few enough; and all others."""

    def free_area(use: Use) -> int:
        return sum(leaf.width * leaf.height for leaf in leaves(use.root) if isinstance(leaf, FreePart))

    room = MOST_PIECES
    loose, kept = [], []
    for use in sorted(uses, key=free_area, reverse=True):
        pieces = sum(counts_of(use.root, len(task.pieces)))
        copies = min(use.copies, room // max(1, pieces))
        room -= copies * pieces
        loose += [Use(use.sheet, use.root, copies)] if copies else []
        kept += [Use(use.sheet, use.root, use.copies - copies)] if use.copies > copies else []
    return loose, kept


def largest_possible(task: PackingTask, uses: Sequence[Use]) -> int:
    """No plan that cuts these pieces from these sheets, something from each, leaves a larger free rectangle.

    The smaller of two areas: all paper inside the margins less all pieces; and, over the sheet kinds in use, the
    larger strip beside the shallowest piece that can be cut from it.
    """
    kerf = task.rules.kerf
    total = strip = 0
    for use in uses:
        width, height = inside_margins(task.sheets[use.sheet], kerf)
        counts = counts_of(use.root, len(task.pieces))
        pieces = sum(n * piece.width * piece.height for n, piece in zip(counts, task.pieces, strict=True))
        total += use.copies * (width * height - pieces)
        paper = task.sheets[use.sheet].paper
        sides = [_shallowest(task, kind, paper) for kind in range(len(task.pieces))]
        wide = min((side[0] for side in sides if side is not None), default=0)
        high = min((side[1] for side in sides if side is not None), default=0)
        strip = max(strip, max(0, width - wide - kerf) * height, width * max(0, height - high - kerf))
    return min(total, strip)


def _shallowest(task: PackingTask, kind: int, paper: int) -> tuple[int, int] | None:
    """The least extent of a piece kind along each axis on a paper; None where it may not be cut from it."""
    piece = task.pieces[kind]
    allowed = [one for one in piece.allowed if one.paper == paper]
    if not allowed or not piece.need:
        return None
    if any(one.may_turn for one in allowed):
        return min(piece.width, piece.height), min(piece.width, piece.height)
    return piece.width, piece.height
