"""The cost sheet of a plan: cash to spend now, and what each design and each card costs.

In: a Plan and Costs. Out: a CostSheet in which every column adds up to the cent. Every cost is reckoned exactly for
each design, rounded once to whole cents for the batch, and those cents are shared out again by the exact amounts.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import TYPE_CHECKING

from nesting.cost.paper import Worth, worth_of
from nesting.cost.sharing import rounded_up, share_exactly
from nesting.cost.sticking import stuck_on
from nesting.cost.values import BuyLine, CostLine, CostSheet, DesignCost, Kind, PaperValue
from nesting.describe.costs import Costs, Measure
from nesting.describe.findings import same_word
from nesting.lengths import TICKS_PER_MM
from nesting.money import whole_cents
from nesting.pieces.supply import SourceKind

if TYPE_CHECKING:
    from nesting.describe.papers import Sheet
    from nesting.plan import Plan

Amounts = Mapping[str, Fraction]


def cost_sheet(plan: Plan, costs: Costs) -> CostSheet:
    """Reckon everything about the money of one plan."""
    cards = _cards(plan)
    worths = [(paper.paper.name, worth_of(paper)) for paper in plan.papers]
    to_buy = _to_buy(plan)
    papers, lines = [], []
    for name, worth in worths:
        value, found = _paper(name, worth, tuple(cards))
        papers.append(value)
        lines += found
    for kind, title, amounts, how in _others(plan, costs, cards):
        lines.append(_line(kind, title, amounts, tuple(cards), how))
    lines += _overheads(costs, lines, tuple(cards))
    lines = [line for line in lines if line.cents]
    designs = tuple(
        _design(costs, name, count, sum(line.shares[i] for line in lines))
        for i, (name, count) in enumerate(cards.items())
    )
    return CostSheet(plan.project.currency, to_buy, tuple(papers), tuple(lines), designs, plan.purchase, plan.one_more)


def _cards(plan: Plan) -> dict[str, int]:
    """Cards by design, in the batch's order; "" for the pieces of a plain list."""
    cards: dict[str, int] = {}
    for line in plan.project.batch:
        if line.count:
            cards[line.design] = cards.get(line.design, 0) + line.count
    if any(not piece.design for piece in plan.pieces.pieces):
        cards[""] = 0
    return cards


def _to_buy(plan: Plan) -> tuple[BuyLine, ...]:
    lines = []
    for paper in plan.papers:
        counts: dict[tuple[Sheet, int | None], int] = {}
        for use in paper.uses:
            source = paper.packing.sources[use.sheet]
            if source.kind is SourceKind.BUY:
                key = (source.sheet, source.price)
                counts[key] = counts.get(key, 0) + use.copies
        lines += [BuyLine(paper.paper.name, sheet, count, price) for (sheet, price), count in counts.items()]
    return tuple(lines)


def _paper(name: str, worth: Worth, designs: tuple[str, ...]) -> tuple[PaperValue, list[CostLine]]:
    """Whole cents of one paper: first into pieces by design, waste and offcuts, then the waste among the designs."""
    if not worth.priced:
        return PaperValue(name, 0, 0, 0, 0, 0, priced=False), []
    taken, bought = whole_cents(worth.taken), whole_cents(worth.bought)
    by_design = [worth.pieces.get(design, Fraction(0)) for design in designs]
    *pieces, waste, kept = share_exactly(taken, [*by_design, worth.waste, worth.kept])
    shares = share_exactly(waste, by_design)
    value = PaperValue(name, bought, taken - bought, sum(pieces), waste, kept)
    lines = [
        CostLine(Kind.PAPER, name, sum(pieces), tuple(pieces), "by the area of the pieces"),
        CostLine(Kind.WASTE, name, waste, shares, "shared by the area of the pieces"),
    ]
    return value, lines


def _line(kind: Kind, name: str, amounts: Amounts, designs: tuple[str, ...], how: str) -> CostLine:
    """Exact amounts by design as one line in whole cents."""
    ordered = [amounts.get(design, Fraction(0)) for design in designs]
    cents = whole_cents(sum(ordered, Fraction(0)))
    return CostLine(kind, name, cents, share_exactly(cents, ordered), how)


def _others(plan: Plan, costs: Costs, cards: dict[str, int]) -> list[tuple[Kind, str, Amounts, str]]:
    """Every cost beyond paper and overheads: kind, name, exact cents by design, how it was reckoned."""
    found = [*_ink(plan, cards), *_sticking(plan, costs, cards)]
    names: dict[str, dict[str, Fraction]] = {}
    for design, count in cards.items():
        own = costs.of_design(design)
        replaced = {same_word(named.name) for named in own.each_card}
        for named in (*(n for n in costs.each_card if same_word(n.name) not in replaced), *own.each_card):
            names.setdefault(named.name, {})[design] = named.rate.of(count)
    found += [(Kind.EACH_CARD, name, amounts, "") for name, amounts in names.items()]
    found += [(Kind.ONCE, once.name, _by_cards(Fraction(once.cents), cards), "shared by cards") for once in costs.once]
    found += [
        (Kind.ONCE, once.name, {own.design: Fraction(once.cents)}, own.design)
        for own in costs.designs
        if own.design in cards
        for once in own.once
    ]
    if plan.purchase is not None and plan.purchase.postage:
        found.append((Kind.POSTAGE, "", _by_cards(Fraction(plan.purchase.postage), cards), "shared by cards"))
    return found + _work(plan, costs, cards)


def _ink(plan: Plan, cards: dict[str, int]) -> list[tuple[Kind, str, Amounts, str]]:
    """What it costs to print the new sheets that are cut of papers that shops sell; elsewhere their prices hold it."""
    found: list[tuple[Kind, str, Amounts, str]] = []
    for paper in plan.papers:
        if paper.paper.ink and paper.to_buy:
            cents, pieces = paper.paper.ink * paper.to_buy, worth_of(paper).pieces
            whole = sum(pieces.values(), Fraction(0))
            shares = {design: cents * part / whole for design, part in pieces.items()}
            found.append((Kind.INK, paper.paper.name, shares or _by_cards(Fraction(cents), cards), "for each new page"))
    return found


def _by_cards(cents: Fraction, cards: dict[str, int]) -> dict[str, Fraction]:
    """An amount for the whole batch by design; by nothing but the list where there are no cards."""
    total = sum(cards.values())
    if not total:
        return {next(iter(cards), ""): cents}
    return {design: cents * count / total for design, count in cards.items()}


def _sticking(plan: Plan, costs: Costs, cards: dict[str, int]) -> list[tuple[Kind, str, Amounts, str]]:
    rates = dict(costs.adhesives)
    return [
        (Kind.STICKING, kind.value, {design: rates[kind].of(amount) for design, amount in by_design.items()},
         _how_much(rates[kind].measure, sum(by_design.values(), Fraction(0))))
        for kind, by_design in stuck_on(plan, costs, cards).items()
    ]  # fmt: skip


def _how_much(measure: Measure, amount: Fraction) -> str:
    """An amount of tape or glue in words, rounded to hundredths."""
    if measure is Measure.LENGTH:
        return f"{_hundredths(amount / (1000 * TICKS_PER_MM))} m along the edges"
    return f"{_hundredths(amount / (1000 * TICKS_PER_MM) ** 2)} m² under the pieces"


def _hundredths(amount: Fraction) -> str:
    whole, rest = divmod(whole_cents(100 * amount), 100)
    return f"{whole}.{rest:02d}"


def _work(plan: Plan, costs: Costs, cards: dict[str, int]) -> list[tuple[Kind, str, Amounts, str]]:
    """The hours: cutting by the pieces each design wants, putting together by design, getting ready by cards."""
    cutting: dict[str, Fraction] = {}
    for paper in plan.papers:
        pieces = [piece for alike in paper.packing.kinds for piece in alike]
        total = sum(piece.count for piece in pieces)
        for piece in pieces:
            part = Fraction(costs.hour * paper.order.seconds * piece.count, 3600 * total)
            cutting[piece.design] = cutting.get(piece.design, Fraction(0)) + part
    minutes = {
        design: count * (costs.minutes if (own := costs.of_design(design).minutes) is None else own)
        for design, count in cards.items()
    }
    seconds = sum(paper.order.seconds for paper in plan.papers)
    together = {design: costs.hour * minute / 60 for design, minute in minutes.items()}
    return [
        (Kind.CUTTING, "", cutting, f"{_minutes(Fraction(seconds, 60))}, shared by pieces"),
        (Kind.ASSEMBLY, "", together, _minutes(sum(minutes.values(), Fraction(0)))),
        (Kind.GETTING_READY, "", _by_cards(costs.hour * costs.minutes_once / 60, cards), "shared by cards"),
    ]


def _minutes(minutes: Fraction) -> str:
    return f"{whole_cents(minutes)} min"


def _overheads(costs: Costs, lines: list[CostLine], designs: tuple[str, ...]) -> list[CostLine]:
    if not costs.overheads:
        return []
    amounts = {design: costs.overheads * sum(line.shares[i] for line in lines) for i, design in enumerate(designs)}
    percent = _hundredths(100 * costs.overheads).removesuffix(".00")
    return [_line(Kind.OVERHEADS, "", amounts, designs, f"{percent} % of all the rest")]


def _design(costs: Costs, name: str, cards: int, cents: int) -> DesignCost:
    price = rounded_up(Fraction(cents, cards) / (1 - costs.margin), costs.price_step) if cards else None
    return DesignCost(name, cards, cents, price)
