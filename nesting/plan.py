"""The stages in order and nothing else: pieces, supply, packing, order of cuts; and the Plan that holds them.

In: a Project. Out: a Plan in which every stage's result can be looked at, each checked by code that shares nothing
with the code that found it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from fractions import Fraction

from nesting.buying.check import check_purchase
from nesting.buying.decide import Decision, Evidence, decide
from nesting.buying.purchase import OneMore, Purchase, postage_of
from nesting.cutting.choose import quicker
from nesting.cutting.passes import CutOrder, Order, WaysOfWork, What
from nesting.cutting.replay import replay
from nesting.cutting.sequence import measured_after
from nesting.describe.papers import Paper
from nesting.describe.project import Project, Trimmer
from nesting.describe.shops import Ware
from nesting.errors import Fault
from nesting.hands import Hands, Say, Stop, each
from nesting.packing.check import check
from nesting.packing.choose_papers import Choice, choose_papers
from nesting.packing.layout import Bound, Outcome, PiecePart, Use, cost_of, leaves, sheets_of
from nesting.packing.pack import Packing, PaperPacking, pack, sheets_alone
from nesting.packing.solve import Effort
from nesting.packing.stand_ins import Moved, use_stand_ins
from nesting.pieces.hidden_centres import hidden_centres
from nesting.pieces.piece_list import Piece, PieceList, piece_list
from nesting.pieces.supply import SourceKind, Supply, offers_of, supply


@dataclass(frozen=True, slots=True)
class Offcut:
    """Leftovers of one size that are worth keeping, in ticks: from layout number `layout`, `count` in all."""

    layout: int
    width: int
    height: int
    count: int

    @property
    def sides(self) -> tuple[int, int]:
        """Width and height."""
        return self.width, self.height


@dataclass(frozen=True, slots=True)
class Trade:
    """What choosing layouts that are less work changed: seconds saved, the largest offcut, pieces to be measured."""

    seconds: int
    before: Offcut | None
    after: Offcut | None
    doubtful_before: int
    doubtful_after: int


@dataclass(frozen=True, slots=True)
class PaperPlan:
    """All that was found for one paper. Areas are in square ticks."""

    packing: PaperPacking
    order: CutOrder
    ways: WaysOfWork
    trade: Trade | None = None

    @property
    def paper(self) -> Paper:
        """The paper."""
        return self.packing.paper

    @property
    def uses(self) -> tuple[Use, ...]:
        """The layouts with their copies; layout number = place in this tuple."""
        return self.packing.answer.uses

    @property
    def bound(self) -> Bound:
        """Why no plan can do with less."""
        return self.packing.answer.bound

    @property
    def outcome(self) -> Outcome:
        """How far the plan can be trusted to be the best one."""
        return self.packing.answer.outcome

    @property
    def sheets_proven(self) -> bool:
        """No plan spends less on sheets, however many centres it cuts out; only fewer centres might do."""
        bound = self.packing.sheets_bound
        alone = sheets_alone(self.packing.task, self.packing.sources)
        return bound is not None and cost_of(alone, self.uses) == bound.cost

    @property
    def sheets(self) -> int:
        """Sheets and offcuts taken in all; centres and cut-outs of this plan's own pieces are none."""
        return self.sheets_from(*(kind for kind in SourceKind if not kind.from_a_piece))

    @property
    def sources_used(self) -> int:
        """All that the bound counts: sheets, offcuts, centres and cut-outs."""
        return sheets_of(self.uses)

    @property
    def at_hand(self) -> int:
        """Sheets and offcuts taken from the drawer."""
        return self.sheets_from(*(kind for kind in SourceKind if kind.at_hand))

    def sheets_from(self, *kinds: SourceKind) -> int:
        """Sheets taken from sources of these kinds."""
        sources = self.packing.sources
        return sum(use.copies for use in self.uses if sources[use.sheet].kind in kinds)

    @property
    def to_buy(self) -> int:
        """Sheets to buy."""
        return self.sheets_from(SourceKind.BUY)

    @property
    def price(self) -> int | None:
        """Cents for the sheets to buy; None where a price is not known."""
        sources = self.packing.sources
        bought = [(sources[use.sheet].price, use.copies) for use in self.uses
                  if sources[use.sheet].kind is SourceKind.BUY]  # fmt: skip
        known = [price * copies for price, copies in bought if price is not None]
        return sum(known) if len(known) == len(bought) else None

    @property
    def missing(self) -> tuple[tuple[Piece, int], ...]:
        """The first piece behind every kind that the paper does not suffice for, and how many are missing."""
        counts = zip(self.packing.kinds, self.packing.answer.missing, strict=True)
        return tuple((same[0], count) for same, count in counts if count)

    @property
    def letters(self) -> dict[int, str]:
        """The letter of every piece kind that is cut, by its number."""
        return {leaf.part.kind: leaf.part.name for leaf in self.order.parts if leaf.part.kind is not None}

    @property
    def offcuts(self) -> tuple[Offcut, ...]:
        """Leftovers worth keeping, largest first."""
        kept = [
            Offcut(part.layout, part.width, part.height, self.uses[part.layout].copies)
            for part in self.order.parts
            if part.part.what is What.KEEP
        ]
        return tuple(sorted(kept, key=lambda o: (-o.width * o.height, o.layout, o.width)))

    def _area_of(self, *, cut_out: bool) -> int:
        """Area of all that is cut, either from sheets or from the plan's own pieces."""
        sources = self.packing.sources
        return sum(
            use.root.width * use.root.height * use.copies
            for use in self.uses
            if sources[use.sheet].kind.from_a_piece is cut_out
        )

    @property
    def area_taken(self) -> int:
        """Area of all sheets taken, margins included."""
        return self._area_of(cut_out=False)

    @property
    def area_in_pieces(self) -> int:
        """Area of all pieces cut, less what is cut out of them for other pieces."""
        whole = sum(
            leaf.width * leaf.height * use.copies
            for use in self.uses
            for leaf in leaves(use.root)
            if isinstance(leaf, PiecePart)
        )
        return whole - self._area_of(cut_out=True)

    @property
    def area_kept(self) -> int:
        """Area of the offcuts worth keeping."""
        return sum(offcut.width * offcut.height * offcut.count for offcut in self.offcuts)

    @property
    def waste(self) -> Fraction:
        """Share of the area taken that is neither in a piece nor in an offcut."""
        taken = self.area_taken
        return Fraction(taken - self.area_in_pieces - self.area_kept, taken) if taken else Fraction(0)


@dataclass(frozen=True, slots=True)
class RestOf:
    """What a plan for the rest of an earlier one goes on from, for whoever keeps the drawer.

    mark: the earlier plan's. taken: sheets and offcuts that it took from what was at hand. table: all paper of it that
    lay on the table, from which this plan cuts.
    """

    mark: str
    taken: tuple[tuple[Ware, int], ...]
    table: tuple[tuple[Ware, int], ...]


@dataclass(frozen=True, slots=True)
class Plan:
    """A whole plan: what was asked and every stage's result.

    purchase: what to buy in which shop, and evidence: its proof; none where the project names no shop.
    one_more: what a card more would cost, by design; empty where that was not asked.
    """

    project: Project
    pieces: PieceList
    supply: Supply
    papers: tuple[PaperPlan, ...]
    choices: tuple[Choice | Moved, ...] = ()
    purchase: Purchase | None = None
    evidence: tuple[Evidence, ...] = ()
    rest_of: RestOf | None = None
    one_more: tuple[OneMore, ...] = ()

    @property
    def over_budget(self) -> int:
        """Cents by which the paper to buy goes over the budget; 0 where it does not, or nothing is known."""
        return max(0, (self.price or 0) - self.project.budget) if self.project.budget is not None else 0

    @property
    def sheets(self) -> int:
        """Sheets and offcuts taken in all."""
        return sum(paper.sheets for paper in self.papers)

    @property
    def to_buy(self) -> int:
        """Sheets to buy in all."""
        return sum(paper.to_buy for paper in self.papers)

    @property
    def price(self) -> int | None:
        """Cents for everything to buy, postage included; None where a price is not known."""
        if self.purchase is not None:
            return self.purchase.cents
        prices = [paper.price for paper in self.papers]
        known = [price for price in prices if price is not None]
        return sum(known) if len(known) == len(prices) else None

    @property
    def complete(self) -> bool:
        """Nothing is missing."""
        return not any(paper.missing for paper in self.papers)

    @property
    def proven(self) -> bool:
        """Every paper's plan is proven best, and the purchase the cheapest."""
        bought = self.purchase is None or self.purchase.proven
        return bought and all(paper.outcome is Outcome.PROVEN for paper in self.papers)


def make_plan(
    project: Project,
    *,
    effort: Effort = Effort.NORMAL,
    order: Order = Order.BY_SETTING,
    seed: int = 0,
    progress: Callable[[str], None] | None = None,
    stop: Callable[[], bool] | None = None,
    hands: Hands | None = None,
) -> Plan:
    """Plan a batch; raises NestingError with all mistakes found, Fault when an answer fails its check.

    hands: take papers too; the plan is the same with or without them.
    """
    pieces = piece_list(project)
    sources = supply(project, hidden_centres(project))
    decision, moved = None, tuple[Moved, ...]()
    if project.shops:
        pieces, moved = use_stand_ins(project, pieces, sources, effort=effort, seed=seed, stop=stop)
        decision = decide(project, pieces, sources, effort=effort, seed=seed, progress=progress, stop=stop)
        sources = decision.supply
    known = dict(decision.answers) if decision is not None else {}
    pieces, choices = choose_papers(project, pieces, sources, effort=effort, seed=seed, stop=stop, known=known)
    packing = pack(
        project, pieces, sources, effort=effort, seed=seed, progress=progress, stop=stop, known=known, hands=hands
    )
    plan = replace(in_order(project, pieces, sources, packing, order, effort, stop, hands), choices=(*moved, *choices))
    return plan if decision is None else _with_purchase(plan, decision)


def _with_purchase(plan: Plan, decision: Decision) -> Plan:
    """The plan with what is bought for it; raises Fault when the purchase does not stand up to its check."""
    wrong = check_purchase(decision, offers_of(plan.project), postage_of(plan.project), new_sheets(plan))
    if wrong:
        raise Fault(f"The purchase did not stand up to its check: {wrong[0]}")
    return replace(bought(plan, decision.purchase), evidence=decision.evidence)


def new_sheets(plan: Plan) -> dict[Ware, int]:
    """How many new sheets of which paper and size are cut."""
    return _sheets(plan, lambda kind: kind is SourceKind.BUY)


def held_sheets(plan: Plan) -> dict[Ware, int]:
    """How many sheets and offcuts of which paper and size are cut that are at hand."""
    return _sheets(plan, lambda kind: kind.at_hand)


def _sheets(plan: Plan, wanted: Callable[[SourceKind], bool]) -> dict[Ware, int]:
    cut: dict[Ware, int] = {}
    for paper in plan.papers:
        for use in paper.uses:
            source = paper.packing.sources[use.sheet]
            if wanted(source.kind):
                ware = Ware(source.paper, source.sheet)
                cut[ware] = cut.get(ware, 0) + use.copies
    return cut


def bought(plan: Plan, purchase: Purchase) -> Plan:
    """The plan with this purchase: every new sheet bears its share of what was paid, what is not cut is beyond need."""
    cut, paid = new_sheets(plan), purchase.paid()
    papers = []
    for paper in plan.papers:
        shared = tuple(
            replace(source, share=paid.get(Ware(source.paper, source.sheet), source.share))
            if source.kind is SourceKind.BUY else source
            for source in paper.packing.sources
        )  # fmt: skip
        papers.append(replace(paper, packing=replace(paper.packing, sources=shared)))
    extra = tuple((ware, n - cut.get(ware, 0)) for ware, n in purchase.brought.items() if n > cut.get(ware, 0))
    return replace(plan, papers=tuple(papers), purchase=replace(purchase, extra=extra))


@dataclass(frozen=True, slots=True)
class _ToOrder:
    """One packed paper to be put in order, as it can be sent to another process."""

    packed: PaperPacking
    ways: WaysOfWork
    order: Order
    effort: Effort


def in_order(
    project: Project, pieces: PieceList, sources: Supply, packing: Packing, order: Order,
    effort: Effort = Effort.NORMAL, stop: Callable[[], bool] | None = None, hands: Hands | None = None,
) -> Plan:  # fmt: skip
    """The whole plan once every paper is packed; raises Fault when an order of cuts fails its replay.

    effort: how long layouts that are less work are looked for. stop: asked often; True ends the search for these and
    for a better order of cuts with the best so far. hands: take papers too.
    """
    jobs = [_ToOrder(packed, ways_of_work(project.trimmer, packed.paper), order, effort) for packed in packing.papers]
    found = each(_ordered, jobs, lambda sentence: None, stop or (lambda: False), hands)
    papers = tuple(
        replace(plan, packing=replace(packed, answer=plan.packing.answer))
        for plan, packed in zip(found, packing.papers, strict=True)
    )
    return Plan(project, pieces, sources, papers)


def _ordered(job: _ToOrder, say: Say, stop: Stop) -> PaperPlan:
    """One paper with its order of cuts, played and checked."""
    plan = _quicker(job, stop)
    task = job.packed.task
    wrong = (*check(task, plan.packing.answer), *replay(task, plan.uses, job.ways, plan.order))
    if wrong:
        raise Fault(f"The plan for {job.packed.paper.name} did not stand up to its checks: {wrong[0]}")
    return plan


def _quicker(job: _ToOrder, stop: Stop) -> PaperPlan:
    """Layouts of the same sheets that are less work, and what was traded for them."""
    packed, ways, answer = job.packed, job.ways, job.packed.answer
    choice = quicker(packed.task, answer.uses, answer.pool, ways, order=job.order, effort=job.effort, stop=stop)
    first = PaperPlan(packed, choice.before, ways)
    if choice.uses == answer.uses:
        return first
    changed = PaperPlan(replace(packed, answer=replace(answer, uses=choice.uses)), choice.order, ways)
    before, after = (plan.offcuts[0] if plan.offcuts else None for plan in (first, changed))
    doubtful = (measured_after(plan.uses, plan.order) for plan in (first, changed))
    return replace(changed, trade=Trade(choice.seconds_saved, before, after, *doubtful))


def ways_of_work(trimmer: Trimmer, paper: Paper) -> WaysOfWork:
    """What the sequencer is told for this paper."""
    habits = trimmer.habits
    return WaysOfWork(
        deep=_deep(trimmer, paper),
        ruler_step=trimmer.ruler_step.ticks,
        narrowest_held=trimmer.narrowest_held.ticks,
        largest_setting=trimmer.largest_setting.ticks if trimmer.largest_setting else None,
        keep_from=(trimmer.keep_from[0].ticks, trimmer.keep_from[1].ticks),
        most_piles=habits.piles,
        seconds_per_stroke=habits.stroke,
        seconds_per_setting=habits.setting,
        seconds_per_turn=habits.turn,
        seconds_per_stack=habits.stack,
        seconds_per_measure=habits.measure,
        seconds_per_offcut=habits.offcut,
        most_error_steps=habits.errors,
        square_first=habits.square_first,
        halve_rows=habits.halve_rows,
    )


def _deep(trimmer: Trimmer, paper: Paper) -> int:
    """Sheets per pass for this paper's weight; one where it is unknown or heavier than all that is listed."""
    if paper.weight is None:
        return 1
    return next((deep for up_to, deep in trimmer.deep if paper.weight <= up_to), 1)
