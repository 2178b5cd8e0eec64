"""What a batch takes and costs, for every batch size: sheets, waste, money, and which sizes leave next to nothing.

In: a Project, a Mix, sizes. Out: a Curve. The facts of the trade: sheets are whole, so the cost of a card falls in
steps; a batch that uses its last sheet up is cheaper by the card than one that has just begun a new one.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise

from nesting.buying.cheapest import cheapest_of
from nesting.buying.least import least_cents
from nesting.buying.purchase import Purchase, postage_of
from nesting.cost.sheet import cost_sheet
from nesting.cutting.passes import CutOrder, MapPart, TablePart, WaysOfWork, What
from nesting.cutting.sequence import order_cuts
from nesting.describe.project import Project
from nesting.describe.shops import Ware
from nesting.money import Currency
from nesting.packing.layout import Answer, FreePart, Outcome, leaves
from nesting.packing.pack import PaperPacking, PaperTask
from nesting.pieces.supply import SourceKind, offers_of
from nesting.plan import PaperPlan, Plan, bought, ways_of_work
from nesting.questions.again import Again
from nesting.questions.batches import Batch, Batches
from nesting.questions.mixes import Mix

ORDERED = 5  # sizes at which the cuts are put in order; minutes of the sizes between are drawn straight
ORDER_WORK = 50  # states looked at, for minutes that are good enough for a curve
FROM_SCRATCH = 3  # times that a group of papers may be planned from scratch, besides the first time


@dataclass(frozen=True, slots=True)
class PaperPoint:
    """One paper at one size: sheets taken and to buy, share of their area that is in no piece."""

    paper: str
    sheets: int
    to_buy: int
    left: Fraction
    proven: bool


@dataclass(frozen=True, slots=True)
class Point:
    """One batch size: left = keep + scrap, as shares of all paper taken.

    price: cents for sheets to buy, None where one is not known. least: no purchase costs less; None where there are no
    shops. cost: cents for all that the cards cost, without the
    paper left over that is worth keeping; `priced` says whether every paper has a price.
    """

    cards: int
    counts: tuple[tuple[str, int], ...]
    sheets: int
    to_buy: int
    price: int | None
    least: int | None
    cost: int
    priced: bool
    keep: Fraction
    scrap: Fraction
    seconds: int
    papers: tuple[PaperPoint, ...]
    complete: bool

    @property
    def left(self) -> Fraction:
        """Share of the paper taken that is in no piece."""
        return self.keep + self.scrap

    @property
    def per_card(self) -> Fraction:
        """Exact cents a card."""
        return Fraction(self.cost, self.cards)

    @property
    def proven(self) -> bool:
        """No plan for this size comes cheaper: in the shops, or on any paper."""
        return all(paper.proven for paper in self.papers) if self.least is None else self.price == self.least


@dataclass(frozen=True, slots=True)
class GoodSize:
    """A size that leaves little: `full`, the papers of which the next size takes more sheets."""

    point: Point
    next: int
    full: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Curve:
    """All sizes, rising. `this`: the size that the project plans."""

    title: str
    currency: Currency
    mix: Mix
    this: int
    points: tuple[Point, ...]

    def one_more(self, cards: int) -> Fraction | None:
        """Cents that a card more costs, from this size to the next on the curve; None at its end."""
        for here, there in pairwise(self.points):
            if here.cards == cards:
                return Fraction(there.cost - here.cost, there.cards - here.cards)
        return None

    def good_sizes(self, most: int = 5) -> tuple[GoodSize, ...]:
        """Sizes after which some paper needs another sheet, and that leave less than their neighbours.

        Only those that leave at most half as much again as the best of them.
        """
        found = []
        before = [None, *self.points]
        for former, (here, there) in zip(before, pairwise(self.points), strict=False):
            sheets = {paper.paper: paper.sheets for paper in there.papers}
            full = tuple(paper.paper for paper in here.papers if sheets.get(paper.paper, 0) > paper.sheets)
            if full and here.left < there.left and (former is None or here.left <= former.left):
                found.append(GoodSize(here, there.cards, full))
        found.sort(key=lambda good: (good.point.left, good.point.cards))
        return tuple(one for one in found[:most] if 2 * one.point.left <= 3 * found[0].point.left)


def batch_curve(
    project: Project, mix: Mix, sizes: Sequence[int], *, progress: Callable[[str], None] | None = None
) -> Curve:
    """Plan every size, from the largest down; raises NestingError where a piece fits no sheet."""
    say = progress or (lambda sentence: None)
    wanted = sorted(set(sizes), reverse=True)
    batches = Batches(project, mix)
    memories = [Again(wait=len(wanted) // (FROM_SCRATCH + 1)) for _ in batches.groups]
    this = sum(line.count for line in project.batch)
    last: list[Answer] = []
    packed: dict[int, _Packed] = {}
    for cards in wanted:
        say(f"{cards} cards")
        batch = batches.of(cards)
        more, purchase = last, None
        last = [
            memory.fewer(asked.task, more[i], anyhow=cards == this) if more else memory.plan(asked.task)
            for i, (memory, asked) in enumerate(zip(memories, batch.tasks, strict=True))
        ]
        if project.shops:
            ways = [[answer] for answer in last]
            if more:
                _add_the_plans_for_more(ways, memories, batch, more)
            last, purchase = _cheapest(project, batch, ways)
        packed[cards] = _Packed(batch, batch.packings(last), _proven_papers(batch, last), purchase)
    rising = wanted[::-1]
    minutes = _seconds(project, {cards: packed[cards].papers for cards in _spread(rising)})
    points = tuple(_point(cards, packed[cards], [_between(one, cards) for one in minutes]) for cards in rising)
    return Curve(project.title, project.currency, mix, this, points)


@dataclass(frozen=True, slots=True)
class _Packed:
    """One size, packed: `proven`, the papers that no plan cuts cheaper; purchase: where there are shops."""

    batch: Batch
    papers: list[PaperPacking]
    proven: frozenset[str]
    purchase: Purchase | None


def _add_the_plans_for_more(
    ways: Sequence[list[Answer]], memories: Sequence[Again], batch: Batch, more: Sequence[Answer]
) -> None:
    """Fewer cards can be cut from what is bought for more: no size needs to be dearer than the next."""
    for found, memory, asked, known in zip(ways, memories, batch.tasks, more, strict=True):
        less = memory.less(asked.task, known)
        if less is not None:
            found.append(less)


def _cheapest(project: Project, batch: Batch, ways: Sequence[Sequence[Answer]]) -> tuple[list[Answer], Purchase]:
    """Of the ways to cut each group of papers, those that are bought for the least money together."""
    offers, postage, rows = offers_of(project), postage_of(project), list(zip(batch.tasks, ways, strict=True))
    wanted = [[_new_sheets(asked, way) for way in some] for asked, some in rows]
    chosen, purchase = cheapest_of(wanted, offers, postage)
    bounds = [(asked.sources, asked.task, [way.bound for way in some]) for asked, some in rows]
    least = min(purchase.cents, least_cents(bounds, offers, postage))
    purchase = replace(purchase, bound=least, proven=least == purchase.cents)
    return [some[number] for some, number in zip(ways, chosen, strict=True)], purchase


def _new_sheets(asked: PaperTask, answer: Answer) -> dict[Ware, int]:
    wanted: dict[Ware, int] = {}
    for use in answer.uses:
        source = asked.sources[use.sheet]
        if source.kind is SourceKind.BUY:
            ware = Ware(source.paper, source.sheet)
            wanted[ware] = wanted.get(ware, 0) + use.copies
    return wanted


def _proven_papers(batch: Batch, answers: Sequence[Answer]) -> frozenset[str]:
    """The papers of groups that no plan cuts cheaper."""
    rows = zip(batch.groups, answers, strict=True)
    return frozenset(paper.name for papers, answer in rows if answer.outcome is Outcome.PROVEN for paper in papers)


def _spread(sizes: Sequence[int]) -> list[int]:
    """A few sizes, evenly, with both ends."""
    last = len(sizes) - 1
    return sorted({sizes[last * n // (ORDERED - 1)] for n in range(ORDERED)})


def _seconds(project: Project, packed: dict[int, list[PaperPacking]]) -> list[list[tuple[int, int]]]:
    """For each paper (cards, seconds at the trimmer) at a few sizes."""
    found: list[list[tuple[int, int]]] = []
    for cards, papers in packed.items():
        found = found or [[] for _ in papers]
        for known, paper in zip(found, papers, strict=True):
            uses, ways = paper.answer.uses, ways_of_work(project.trimmer, paper.paper)
            known.append((cards, order_cuts(paper.task, uses, ways, work=ORDER_WORK).seconds if uses else 0))
    return found


def _between(known: Sequence[tuple[int, int]], cards: int) -> int:
    """The value on the straight line between the two known neighbours."""
    for (x0, y0), (x1, y1) in pairwise(known):
        if x0 <= cards <= x1:
            return (y0 * (x1 - cards) + y1 * (cards - x0)) // (x1 - x0)
    return known[0][1]


def _point(cards: int, packed: _Packed, seconds: Sequence[int]) -> Point:
    batch = packed.batch
    papers = tuple(_priced(batch.project, one, some) for one, some in zip(packed.papers, seconds, strict=True))
    plan = Plan(batch.project, batch.pieces, batch.supply, papers)
    if packed.purchase is not None:  # the cheapest for these sheets; others might be cut from a cheaper one
        plan = bought(plan, packed.purchase)
    costs = cost_sheet(plan, batch.project.costs)
    taken = sum(paper.area_taken for paper in papers)
    kept = sum(paper.area_kept for paper in papers)
    pieces = sum(paper.area_in_pieces for paper in papers)
    return Point(
        cards=cards,
        counts=tuple((line.design, line.count) for line in batch.project.batch),
        sheets=plan.sheets,
        to_buy=plan.to_buy,
        price=plan.price,
        least=None if plan.purchase is None or not plan.complete else plan.purchase.bound,
        cost=costs.total,
        priced=not costs.unpriced,
        keep=Fraction(kept, taken) if taken else Fraction(0),
        scrap=Fraction(taken - kept - pieces, taken) if taken else Fraction(0),
        seconds=sum(seconds),
        papers=tuple(_paper_point(paper, paper.paper.name in packed.proven) for paper in papers),
        complete=plan.complete,
    )


def _paper_point(paper: PaperPlan, proven: bool) -> PaperPoint:
    taken = paper.area_taken
    left = Fraction(taken - paper.area_in_pieces, taken) if taken else Fraction(0)
    return PaperPoint(paper.paper.name, paper.sheets, paper.to_buy, left, proven)


def _priced(project: Project, packed: PaperPacking, seconds: int) -> PaperPlan:
    """A paper whose offcuts are known and whose cuts are not put in order: enough to reckon what it costs."""
    ways = ways_of_work(project.trimmer, packed.paper)
    parts = tuple(
        MapPart(number, 0, 0, leaf.width, leaf.height, TablePart(What.KEEP, leaf.width, leaf.height))
        for number, use in enumerate(packed.answer.uses)
        for leaf in leaves(use.root)
        if isinstance(leaf, FreePart) and _worth_keeping(leaf, ways)
    )
    return PaperPlan(packed, CutOrder((), (), parts, 0, 0, 0, 0, 0, seconds), ways)


def _worth_keeping(part: FreePart, ways: WaysOfWork) -> bool:
    short, long = sorted((part.width, part.height))
    least_short, least_long = sorted(ways.keep_from)
    return short > 0 and short >= least_short and long >= least_long
