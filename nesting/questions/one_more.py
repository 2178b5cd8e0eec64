"""What one card more would cost, of each design: planned, not guessed.

In: a Plan. Out: a OneMore for each design. The fact of the trade: the paper for one card more is often there already,
in what would be left over; and then again it is the card that begins another sheet or another pack.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import replace
from fractions import Fraction

from nesting.buying.cheapest import cheapest
from nesting.buying.purchase import OneMore, postage_of
from nesting.cost.sheet import cost_sheet
from nesting.cost.values import CostSheet, Kind
from nesting.cutting.passes import CutOrder
from nesting.describe.project import Project
from nesting.describe.shops import Ware
from nesting.errors import NestingError
from nesting.money import whole_cents
from nesting.packing.choose_papers import choose_papers
from nesting.packing.layout import Answer, Outcome, PackingTask
from nesting.packing.pack import PaperPacking, pack
from nesting.packing.solve import Effort
from nesting.pieces.hidden_centres import hidden_centres
from nesting.pieces.piece_list import PieceList, piece_list
from nesting.pieces.supply import SourceKind, Supply, offers_of, supply
from nesting.plan import PaperPlan, Plan, new_sheets, ways_of_work

_PAPER = (Kind.PAPER, Kind.WASTE, Kind.POSTAGE, Kind.OVERHEADS)  # paid for in the purchase, or reckoned on all the rest


def with_one_more(plan: Plan, stop: Callable[[], bool] | None = None) -> Plan:
    """The plan with what one card more of each design would cost; without it where a price is not known.

    stop: asked often, as in planning.
    """
    if plan.price is None or not plan.complete:
        return plan
    known = {paper.packing.task: paper.packing.answer for paper in plan.papers}
    now = cost_sheet(plan, plan.project.costs)
    wanted = [line.design for line in plan.project.batch if line.count]
    found = [_one_more(plan, now, design, known, stop) for design in dict.fromkeys(wanted)]
    return replace(plan, one_more=tuple(one for one in found if one is not None))


def _one_more(
    plan: Plan, now: CostSheet, design: str, known: Mapping[PackingTask, Answer], stop: Callable[[], bool] | None
) -> OneMore | None:
    project = _of_one_more(plan.project, design)
    pieces = piece_list(project)
    sources = supply(project, hidden_centres(project))
    then = None if plan.purchase is None else _packed(project, pieces, _as_bought(plan, sources), {}, stop)
    enough = then is not None and not any(any(packed.answer.missing) for packed in then)
    if not enough:
        then = _packed(project, pieces, sources, known, stop)
    if then is None or any(any(packed.answer.missing) for packed in then):
        return None
    more = _planned(plan, project, pieces, sources, then)
    paper, proven = (0, True) if enough else _to_pay(plan, more)
    direct = paper + _direct(cost_sheet(more, project.costs)) - _direct(now)
    cents = direct + whole_cents(project.costs.overheads * direct)
    before, after = (Counter({paper.paper.name: paper.to_buy for paper in one.papers}) for one in (plan, more))
    taken = () if enough else tuple((after - before).items())
    return OneMore(design, cents, paper, taken, proven or not paper)


def _of_one_more(project: Project, design: str) -> Project:
    lines = list(project.batch)
    number = next(number for number, line in enumerate(lines) if line.design == design and line.count)
    lines[number] = replace(lines[number], count=lines[number].count + 1)
    return replace(project, batch=tuple(lines))


def _as_bought(plan: Plan, sources: Supply) -> Supply:
    """The supply with no more new sheets than the plan buys anyhow, whole packs counted."""
    brought = {} if plan.purchase is None else plan.purchase.brought
    return Supply(tuple(
        replace(one, limit=brought.get(Ware(one.paper, one.sheet), 0)) if one.kind is SourceKind.BUY else one
        for one in sources.sources
    ))  # fmt: skip


def _packed(
    project: Project,
    pieces: PieceList,
    sources: Supply,
    known: Mapping[PackingTask, Answer],
    stop: Callable[[], bool] | None,
) -> tuple[PaperPacking, ...] | None:
    """All papers, those that the card does not touch as they are known; None where a piece cannot be cut."""
    answers = dict(known)
    try:
        pieces, _ = choose_papers(project, pieces, sources, effort=Effort.QUICK, stop=stop, known=answers)
        return pack(project, pieces, sources, effort=Effort.QUICK, stop=stop, known=answers).papers
    except NestingError:
        return None


def _planned(
    plan: Plan, project: Project, pieces: PieceList, sources: Supply, packed: tuple[PaperPacking, ...]
) -> Plan:
    """A plan whose cuts are not put in order: the time of each paper is that of the plan, by its number of pieces."""
    times = {paper.paper.name: _time_each(paper) for paper in plan.papers}
    papers = []
    for one in packed:
        count = sum(piece.need for piece in one.task.pieces)
        seconds = whole_cents(times.get(one.paper.name, Fraction(0)) * count)
        order = CutOrder((), (), (), 0, 0, 0, 0, 0, seconds)
        papers.append(PaperPlan(one, order, ways_of_work(project.trimmer, one.paper)))
    return Plan(project, pieces, sources, tuple(papers))


def _time_each(paper: PaperPlan) -> Fraction:
    """Seconds at the trimmer for each piece."""
    return Fraction(paper.order.seconds, max(1, sum(piece.need for piece in paper.packing.task.pieces)))


def _to_pay(plan: Plan, more: Plan) -> tuple[int, bool]:
    """Cents more for paper than the plan takes, and whether it is certain that no less will do."""
    now = plan.price or 0
    if plan.purchase is None:
        proven = all(paper.outcome is Outcome.PROVEN for paper in more.papers)
        return max(0, (more.price or 0) - now), proven
    bought = cheapest(new_sheets(more), offers_of(more.project), postage_of(more.project))
    return max(0, bought.cents - now), False  # other sheets might be bought cheaper


def _direct(sheet: CostSheet) -> int:
    """All that is neither paper nor reckoned on the rest."""
    return sum(line.cents for line in sheet.lines if line.kind not in _PAPER)
