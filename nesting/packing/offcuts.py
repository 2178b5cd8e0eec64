"""The largest offcut that any plan of the same cost leaves: each larger one is asked for as one more piece.

In: a task and its plan; where papers share pieces, an offcut of any of them counts. Out: a plan of the same cost with
an offcut at least as large, and a bound that `check_offcut.py` adds up again. Why few sizes suffice stands there. A
size is ruled out without the trimmer's limits, which make no more possible; what they leave of it is found with them.
Where paper is limited every question adds some that is dearer than the whole plan: a lack of paper is a high cost.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import replace
from math import gcd

from nesting.packing.bounds import Proof, as_bound
from nesting.packing.coarse import Coarse
from nesting.packing.columns import PRECISION, Columns, without_surplus
from nesting.packing.exhaust import Steps, TooLong, Verdict, exhaust
from nesting.packing.fill import fill
from nesting.packing.ground import ground
from nesting.packing.layout import (
    Allowed,
    Answer,
    Bound,
    CutRules,
    OffcutBound,
    PackingTask,
    PieceKind,
    Reason,
    RuledOut,
    SheetKind,
    Use,
    cost_of,
    pieces_of,
    sheets_of,
)
from nesting.packing.patterns import Patterns
from nesting.packing.points import reachable
from nesting.packing.rounding import left_over
from nesting.packing.stock import Stock, stock
from nesting.packing.trees import gathered, inside_margins, largest_free_of, node_of, without_margins

MOST_PIECES = 120  # pieces in a plan that is put together at once
A_QUESTION = 3_600  # joins that take as long as what every question takes
PAIRS = 300  # pairs of a table that are looked at while one join is made
ROUNDS = 5  # so many times a question fills its table, about
MOST_UNITS = 1_000_000  # of the grid that a sheet's side and all pieces share
MOST_SIDES = 2_000  # lengths that a free part may have along one side
MORE = 20  # a part in 2 ** so many: prices hold no better, since they are rounded
SHARE = 4  # this part of the steps that are left goes into each question
Size = tuple[int, int]


class Largest:
    """A task's questions: ask `run`, then look at `uses` and `bound`."""

    def __init__(self, task: PackingTask, answer: Answer) -> None:
        """An answer that is proven."""
        self.task, self.uses, self.pool = task, answer.uses, answer.pool
        self.cost, self.told = cost_of(task, self.uses), largest_free_of(self.uses)
        self.sheets = (*task.sheets, *_beyond_limits(task, self.cost))
        self.scale = max(1, PRECISION // max(sheet.cost for sheet in self.sheets))  # turns costs into whole prices
        self.prices = [self._taking_all(answer.bound)] if answer.bound.prices else []  # some worth trying
        self.ruled_out: list[RuledOut] = []
        sides = [_sides_of(task, sheet) for sheet in task.sheets]
        self.sides = [side for side in sides if side is not None]
        self.askable = len(self.sides) == len(sides)
        self.room = _room(task, self.cost)
        self.of_any = tuple(Allowed(paper, may_turn=False) for paper in sorted({sheet.paper for sheet in task.sheets}))

    @property
    def bound(self) -> OffcutBound | None:
        """What is known of the largest offcut, once no larger size is left to ask for."""
        return None if not self.askable or self._open() else OffcutBound(self.told, tuple(self.ruled_out))

    def run(self, left: Steps) -> None:
        """Ask for the smallest offcut that would be larger, until there is none or no work is left."""
        with suppress(TooLong):
            while self.askable and (sizes := self._open()):
                self._ask(sizes, left)

    def _ask(self, sizes: Sequence[Size], left: Steps) -> None:
        size = min(sizes, key=lambda size: (size[0] * size[1], size))
        extra = PieceKind(*size, 1, self.of_any)
        asked = replace(self.task, pieces=(*self.task.pieces, extra), sheets=self.sheets)
        free = replace(asked, rules=CutRules(kerf=asked.rules.kerf))
        found = self._decided(free, left)
        if isinstance(found, Proof):
            kinds = range(len(asked.pieces))
            self.prices = [found.prices, *self.prices[-1:]]
            self.ruled_out.append(RuledOut(*size, as_bound([(found, kinds)], len(kinds), self.scale)))
            return
        if asked.rules != free.rules:
            found = self._decided(asked, left)
        if not isinstance(found, Proof) and found:
            plan = _without_last(stock(asked), found)
            if plan and sheets_of(plan) <= sheets_of(self.uses):
                self.uses = plan
        self.told = max(size[0] * size[1], largest_free_of(self.uses))

    def _decided(self, asked: PackingTask, left: Steps) -> Proof | tuple[Use, ...]:
        """A proof that no plan costs so little, or a plan that does; an empty one where it is too long to tell."""
        left.take(A_QUESTION)
        ready = stock(asked)
        columns = Columns(ready, self.scale)
        left.take(sum(ROUNDS * _size(table) // PAIRS for table, _ in columns.tables))
        for prices in self.prices:
            known = columns.shown_by(prices)
            if known.cost > self.cost:
                return known
        columns.add_uses((*self.uses, *self.pool))
        columns.run(self.cost + 1, left.stop)
        if columns.proof.cost > self.cost:
            return columns.proof
        if pieces_of(asked) <= MOST_PIECES:
            plan = fill(ground(asked))
            if not any(piece.need for piece in left_over(asked, plan).pieces) and cost_of(asked, plan) <= self.cost:
                return plan
        columns.run(self.cost + 1, left.stop, fully=True)
        if columns.proof.cost > self.cost:
            return columns.proof
        some = left.lend(left.left // SHARE)
        tried = exhaust(ready, columns, self.cost, some)
        left.back(some)
        if tried.verdict is Verdict.NONE:
            return Proof(self.cost + columns.unit, 0, tuple(columns.whole_prices()), Reason.EXHAUSTIVE)
        return tried.uses

    def _taking_all(self, bound: Bound) -> tuple[int, ...]:
        """The prices that proved the plan, and for the piece that is asked for a little more than they leave of it."""
        prices = [price * self.scale // bound.scale for price in bound.prices]
        paid = sum(piece.need * price for piece, price in zip(self.task.pieces, prices, strict=True))
        return *prices, max(0, self.cost * self.scale - paid) + (self.cost * self.scale >> MORE)

    def _open(self) -> list[Size]:
        """Sizes larger than all that is told, of each width the least high, which are not ruled out."""
        kerf, found = self.task.rules.kerf, []
        for widths, heights in self.sides:
            for wide in widths:
                place = bisect_right(heights, self.told // wide)
                if place < len(heights) and (wide + kerf) * (heights[place] + kerf) <= self.room:
                    found.append((wide, heights[place]))
        return [
            (wide, high) for wide, high in found
            if not any(out.width <= wide and out.height <= high for out in self.ruled_out)
        ]  # fmt: skip


def can_ask(task: PackingTask) -> bool:
    """Whether the question is answered for a task: there is paper, and all of it has a price."""
    return bool(task.sheets) and all(sheet.cost > 0 for sheet in task.sheets)


def _beyond_limits(task: PackingTask, cost: int) -> list[SheetKind]:
    """Sheets as those of which there are only so many, without a limit, each of them dearer than a plan of `cost`."""
    dear = cost + gcd(*(sheet.cost for sheet in task.sheets))
    return [replace(sheet, cost=dear, limit=None) for sheet in task.sheets if sheet.limit is not None]


def _size(table: Patterns | Coarse) -> int:
    """Pairs that are looked at when a table is filled once; where sizes would have to be rounded, nobody asks."""
    if isinstance(table, Patterns):
        return table.size
    raise TooLong


def _room(task: PackingTask, cost: int) -> int:
    """The paper that can be had for this cost, less all pieces; the kerf is added to every length."""
    kerf = task.rules.kerf
    sizes = [(inside_margins(sheet, kerf), sheet.cost) for sheet in task.sheets]
    paper = max((wide + kerf) * (high + kerf) * cost // price for (wide, high), price in sizes)
    return paper - sum(piece.need * (piece.width + kerf) * (piece.height + kerf) for piece in task.pieces)


def _sides_of(task: PackingTask, sheet: SheetKind) -> tuple[list[int], list[int]] | None:
    """Widths and heights that a free part of a sheet can have; None where they are too many to ask for."""
    wide, high = inside_margins(sheet, task.rules.kerf)
    across: list[tuple[int, int]] = []  # side of a piece, how often it counts
    up: list[tuple[int, int]] = []
    for piece in task.pieces:
        for one in piece.allowed:
            if one.paper == sheet.paper:
                both = {piece.width, piece.height}
                across += [(side, piece.need) for side in (both if one.may_turn else {piece.width})]
                up += [(side, piece.need) for side in (both if one.may_turn else {piece.height})]
    widths, heights = _sides(wide, across, task.rules.kerf), _sides(high, up, task.rules.kerf)
    return None if widths is None or heights is None else (widths, heights)


def _sides(whole: int, sides: Sequence[tuple[int, int]], kerf: int) -> list[int] | None:
    """A sheet's side less all sums of sides of pieces, the kerf beside each; shortest first. None: too many."""
    parts = [(side + kerf, need) for side, need in sides]
    if (whole + kerf) // gcd(whole + kerf, *(side for side, _ in parts)) > MOST_UNITS:
        return None
    sums = reachable(whole + kerf, parts)  # more than there are, where a piece may turn: they do no harm
    return [whole - at for at in sums[::-1].tolist() if at < whole] if len(sums) <= MOST_SIDES else None


def _without_last(ready: Stock, uses: Sequence[Use]) -> tuple[Use, ...]:
    """A plan without the last piece kind: its place is free, and joined to what is free beside it.

    Nothing where the trimmer could not cut that.
    """
    kept = []
    for use in uses:
        source = next(source for source in ready.sources if use.sheet in source.kinds)
        node = node_of(without_margins(use.root), ready.task.rules.kerf, source.width, source.height)
        room = [pieces_of(ready.task)] * (len(ready.task.pieces) - 1)
        bare = ready.use(use.sheet, without_surplus(node, [*room, 0]), use.copies)
        if bare is None:
            return ()
        kept.append(bare)
    return gathered(kept)
