"""What is certain about the sheets that some papers take, whatever the layouts; and the counts that this leaves open.

In: a packing task and bounds that the packer found. Out: Facts, and from them a Front: counts of sheets of each size of
which every plan takes at least one. The fact of the trade: six 12 x 12 may do, or four and nine 6 x 6, and which of the
two is cheaper is decided in the shop.

A fact is a price for each piece and, added up by the checker, the most that a sheet of each kind can hold at these
prices: sheets that are together worth less than all pieces cannot give them (Farley 1990, Operations Research 38,
922-923). Facts are added where a purchase proves too small (the logic-based kind of Benders decomposition; Hooker &
Ottosson 2003, Mathematical Programming 96, 33-60).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import prod

from nesting.buying.cheapest import Front
from nesting.describe.shops import Ware
from nesting.packing.bounds import cover
from nesting.packing.check_worth import sheet_worths
from nesting.packing.layout import Bound, PackingTask, Reason
from nesting.pieces.supply import Source, SourceKind

MOST_POINTS = 3000  # of one front; beyond it counts are looked at in steps
MOST_COMPARED = 1500  # points that are compared each with each


@dataclass(frozen=True, slots=True)
class Fact:
    """All pieces together are worth `need` at these prices, and a sheet of kind k at most worths[k].

    Without prices: no plan comes under `need`, each sheet of kind k counted as worths[k]; all ways were tried.
    """

    prices: tuple[int, ...]
    need: int
    worths: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Kinds:
    """The sheet kinds of a task by what they cost: wares to buy, paper there for nothing, cut-outs at some work each.

    wares: (ware, kind, how many can be had); free: (kind, count); paid: (kind, count, tenths of cents for each).
    """

    wares: tuple[tuple[Ware, int, int | None], ...]
    free: tuple[tuple[int, int], ...]
    paid: tuple[tuple[int, int, int], ...]


def kinds_of(sources: Sequence[Source], task: PackingTask) -> Kinds:
    """The sheet kinds of a task by what its sources cost; sources[k] is behind sheet kind k."""
    rows = list(enumerate(zip(sources, task.sheets, strict=True)))
    return Kinds(
        tuple((Ware(one.paper, one.sheet), kind, one.limit) for kind, (one, _) in rows if one.kind is SourceKind.BUY),
        tuple((kind, one.limit or 0) for kind, (one, _) in rows if one.kind.at_hand),
        tuple((kind, one.limit or 0, 10 * (one.price or 0)) for kind, (one, _) in rows if one.kind.from_a_piece),
    )


@dataclass(frozen=True, slots=True)
class Doubt:
    """So many sheets of each ware did not suffice, or not for less work than `work`; but that is not certain."""

    counts: tuple[int, ...]
    work: int | None


def fact_of(task: PackingTask, bound: Bound) -> Fact:
    """The fact behind a bound, added up anew by the checker; by area where the bound has no prices."""
    if bound.prices:
        prices = tuple(bound.prices)
        worths = sheet_worths(task, prices)
    else:
        prices = tuple(piece.width * piece.height for piece in task.pieces)
        worths = [max(0, sheet.usable[0]) * max(0, sheet.usable[1]) for sheet in task.sheets]
    need = sum(piece.need * price for piece, price in zip(task.pieces, prices, strict=True))
    return Fact(prices, need, tuple(worths))


def tried(task: PackingTask, bound: Bound) -> tuple[Fact, ...]:
    """What trying all ways adds to a bound's prices: so much cost, and so many sheets, are needed at the least."""
    if bound.reason is not Reason.EXHAUSTIVE:
        return ()
    costs = Fact((), bound.cost, tuple(sheet.cost for sheet in task.sheets))
    return costs, Fact((), bound.sheets, (1,) * len(task.sheets))


def excludes(fact: Fact, kinds: Kinds, counts: Sequence[int]) -> bool:
    """Whether so many sheets of each ware, with all that is there and all cut-outs, certainly do not suffice."""
    worths = fact.worths
    there = sum(worths[kind] * count for kind, count in kinds.free)
    there += sum(worths[kind] * count for kind, count, _ in kinds.paid)
    there += sum(worths[kind] * count for (_, kind, _), count in zip(kinds.wares, counts, strict=True))
    return there < fact.need


@dataclass(frozen=True, slots=True)
class _Rest:
    """What one fact leaves to be covered: its worth of a sheet of each ware, rows of the cut-outs, and the rest."""

    worths: tuple[int, ...]
    paid: tuple[tuple[int, int, int | None], ...]
    need: int

    def after(self, ware: int, count: int) -> _Rest:
        return _Rest(self.worths, self.paid, self.need - self.worths[ware] * count)

    @property
    def most_paid(self) -> int:
        return sum(worth * (count or 0) for worth, _, count in self.paid)


def front(facts: Sequence[Fact], kinds: Kinds, doubts: Sequence[Doubt] = (), *, low: bool = False) -> Front:
    """The counts that facts leave open, less those in doubt.

    low: where steps are taken, counts that are too few rather than too many, so that every plan takes at least one.
    """
    rests = [
        _Rest(
            tuple(fact.worths[kind] for _, kind, _ in kinds.wares),
            tuple((fact.worths[kind], work, count) for kind, count, work in kinds.paid),
            fact.need - sum(fact.worths[kind] * count for kind, count in kinds.free),
        )
        for fact in facts
    ]
    limits = tuple(limit for _, _, limit in kinds.wares)
    step = _step(rests, limits)
    points = list(_counts(rests, limits, 0, step, low))
    for doubt in doubts:
        points = list(_undoubted(points, doubt, limits))
    points = _least(points) if len(points) <= MOST_COMPARED else points
    wares = tuple(ware for ware, _, _ in kinds.wares)
    return Front(wares, tuple(counts for counts, _ in points), tuple(work for _, work in points), step == 1 or low)


def _step(rests: Sequence[_Rest], limits: Sequence[int | None]) -> int:
    """1 where all counts can be looked at; else the least step that keeps to MOST_POINTS."""
    tops = [_top(rests, ware, limit) + 1 for ware, limit in enumerate(limits[:-1])]
    step = 1
    while prod(-(-top // step) for top in tops) > MOST_POINTS:
        step += max(1, step // 2)
    return step


def _top(rests: Sequence[_Rest], ware: int, limit: int | None) -> int:
    """More sheets of this ware than this never help."""
    tops = [-(-rest.need // rest.worths[ware]) for rest in rests if rest.need > 0 and rest.worths[ware]]
    most = max(tops, default=0)
    return most if limit is None else min(most, limit)


_Point = tuple[tuple[int, ...], int]


def _counts(rests: Sequence[_Rest], limits: Sequence[int | None], ware: int, step: int, low: bool) -> Iterator[_Point]:
    """Counts of this ware and all later ones, with the least work that goes with them."""
    if ware == len(limits):
        if all(rest.need <= rest.most_paid for rest in rests):
            yield (), max((cover(rest.need, rest.paid) for rest in rests if rest.need > 0), default=0)
        return
    top = _top(rests, ware, limits[ware])
    if ware == len(limits) - 1:
        fewest = max((-(-(rest.need - rest.most_paid) // rest.worths[ware]) for rest in rests
                      if rest.need > rest.most_paid and rest.worths[ware]), default=0)  # fmt: skip
        for count in range(fewest, top + 1):
            for _, work in _counts([rest.after(ware, count) for rest in rests], limits, ware + 1, step, low):
                yield (count,), work
        return
    for first in range(0, top + 1, step):
        last = min(first + step - 1, top)
        for counts, work in _counts([rest.after(ware, last) for rest in rests], limits, ware + 1, step, low):
            yield (first if low else last, *counts), work


def _undoubted(points: Sequence[_Point], doubt: Doubt, limits: Sequence[int | None]) -> Iterator[_Point]:
    for counts, work in points:
        beyond = any(count > known for count, known in zip(counts, doubt.counts, strict=True))
        if beyond:
            yield counts, work
        elif doubt.work is not None:
            yield counts, max(work, doubt.work)
        else:
            for ware, known in enumerate(doubt.counts):
                limit = limits[ware]
                if limit is None or known < limit:
                    yield (*counts[:ware], known + 1, *counts[ware + 1 :]), work


def _least(points: Sequence[_Point]) -> list[_Point]:
    """Points of which none is at least as many of everything as another."""
    kept: list[_Point] = []
    for counts, work in sorted(set(points), key=lambda point: (sum(point[0]), point)):
        if not any(more <= work and all(a <= b for a, b in zip(fewer, counts, strict=True)) for fewer, more in kept):
            kept.append((counts, work))
    return kept
