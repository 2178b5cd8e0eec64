"""How many complete cards can be made: from what is at hand, or with a sum of money besides.

In: a Project, a Mix, cents to spend. Out: a HowMany: the most cards for which a plan was found, and the least number
for which it is proven that there is none. The fact of the trade: a batch that stops two pieces short is no batch.

Every paper is planned with what lies there for nothing and new sheets for their price. The packer's plan shows what
suffices; its bound, that no plan takes less money, shows what does not. Where paper cannot be bought, one more sheet of
it is thought of at a price that nobody has. Bounds that are open are tried again with more work, and then said to be.
Where the middles of mats are used, what is proven is that so many cards and no others cannot be made.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from nesting.buying.decide import decide
from nesting.cutting.passes import Order
from nesting.describe.project import Project
from nesting.errors import NestingError
from nesting.packing.layout import Answer, Outcome, cost_of
from nesting.packing.pack import Packing, PaperPacking, PaperTask
from nesting.packing.solve import Effort, solve
from nesting.pieces.hidden_centres import hidden_centres
from nesting.pieces.piece_list import PieceList, piece_list
from nesting.pieces.supply import Source, SourceKind, supply
from nesting.plan import Plan, in_order, make_plan
from nesting.questions.batches import Batch, Batches, at_hand
from nesting.questions.mixes import MOST_CARDS, Mix
from nesting.questions.shared import apart

EFFORTS = (Effort.QUICK, Effort.NORMAL)


@dataclass(frozen=True, slots=True)
class PaperNeed:
    """What one paper asks of the purse for some number of cards.

    spent: cents of the plan found, None where none was found that does without sheets that cannot be had. least: no
    plan takes less, None where it is proven that there is none at all.
    """

    paper: str
    spent: int | None
    least: int | None


@dataclass(frozen=True, slots=True)
class LeftOver:
    """Sheets and offcuts at hand that the cards leave untouched."""

    paper: str
    source: Source
    count: int


@dataclass(frozen=True, slots=True)
class HowMany:
    """The answer. proven: it is shown that `cards` + 1 cannot be made.

    impossible: the least number shown to be impossible, None where none was. plan: the plan for `cards`, None for 0.
    spent: cents that it spends. first_out: what stands against one card more, paper by paper, the scarcest first.
    no_price: papers whose new sheets have no price and were left out.
    """

    project: Project
    mix: Mix
    money: int
    cards: int
    impossible: int | None
    spent: int
    plan: Plan | None
    left_over: tuple[LeftOver, ...]
    first_out: tuple[PaperNeed, ...]
    no_price: tuple[str, ...]

    @property
    def proven(self) -> bool:
        """Nothing more can be made."""
        return self.impossible == self.cards + 1


def how_many(
    project: Project, mix: Mix, money: int = 0, *, progress: Callable[[str], None] | None = None
) -> HowMany:
    """The most cards of a mix; raises NestingError where a piece fits no sheet of its paper, at hand or on sale."""
    if money and project.shops:
        return _bought_in_shops(project, mix, money, progress or (lambda sentence: None))
    search = _Search(Batches(project, mix, buying=money > 0), money, progress or (lambda sentence: None))
    most = search.run()
    used = search.packings(most)
    plan = None
    if most:
        batch = search.batches.of(most)
        wanted = tuple(one for one in used if one.answer.uses)
        pieces = PieceList(tuple(piece for one in wanted for same in one.kinds for piece in same))
        plan = in_order(batch.project, pieces, batch.supply, Packing(wanted), Order.BY_SETTING)
    needs = search.needs(most + 1)
    short = tuple(need for need in needs if need.least is None or need.least > 0 or need.spent != 0)
    return HowMany(
        project=project,
        mix=mix,
        money=money,
        cards=most,
        impossible=search.impossible,
        spent=sum(need.spent or 0 for need in search.needs(most)) if most else 0,
        plan=plan,
        left_over=_left_over(search.batches.of(max(1, most)), used),
        first_out=tuple(sorted(short, key=lambda need: (need.least is not None, -(need.least or 0)))),
        no_price=search.no_price,
    )


def _bought_in_shops(project: Project, mix: Mix, money: int, say: Callable[[str], None]) -> HowMany:
    """The same where sheets come in packs and from shops: each number of cards has its own cheapest purchase."""
    known: dict[int, tuple[bool | None, PaperNeed]] = {}

    def asked(cards: int) -> bool | None:
        """Whether the purchase for so many cards is within the sum; None where that is not settled."""
        if cards not in known:
            say(f"{cards} cards")
            known[cards] = _settled_in_shops(mix.project(project, cards), money)
        return known[cards][0]

    low, high = 0, 1
    while high <= MOST_CARDS and asked(high) is True:
        low, high = high, 2 * high
    high = min(high, MOST_CARDS + 1)
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if asked(middle) is True else (low, middle)
    plan = make_plan(mix.project(project, low)) if low else None
    impossible = next((cards for cards in sorted(known) if cards > low and known[cards][0] is False), None)
    return HowMany(
        project=project, mix=mix, money=money, cards=low, impossible=impossible,
        spent=(plan.price or 0) if plan else 0, plan=plan, left_over=(),
        first_out=(known[low + 1][1],) if low + 1 in known else (), no_price=(),
    )  # fmt: skip


def _settled_in_shops(project: Project, money: int) -> tuple[bool | None, PaperNeed]:
    """Whether this batch can be had for the sum, and what its cheapest purchase costs.

    Knife work is weighed against paper where the middles of mats are used; then no purchase is shown to be too dear.
    """
    pieces = piece_list(project)
    try:
        found = decide(project, pieces, supply(project, hidden_centres(project)), effort=Effort.QUICK)
    except NestingError:  # what the shops have does not suffice, whatever it costs
        return False, PaperNeed("all papers", None, None)
    cents, least = found.purchase.cents, found.purchase.bound
    short = any(any(answer.missing) for answer in found.answers.values())
    if short or (cents > money and (least <= money or project.centres is not None)):
        return None, PaperNeed("all papers", None if short else cents, least)
    return cents <= money, PaperNeed("all papers", cents, least)


class _Search:
    """Numbers of cards that can be made and that cannot, closing in on each other."""

    def __init__(self, batches: Batches, money: int, say: Callable[[str], None]) -> None:
        self.batches, self.money, self.say = batches, money, say
        self.impossible: int | None = None
        self._known: dict[int, dict[int, tuple[PaperTask, Answer]]] = {}
        self._never = money + 1  # cents that nobody has

    @property
    def no_price(self) -> tuple[str, ...]:
        """Papers that are sold without a price, where there is money to spend."""
        tasks = self.batches.of(1).tasks
        return tuple(
            dict.fromkeys(
                one.paper
                for asked in tasks
                for one in asked.sources
                if self.money and one.kind is SourceKind.BUY and one.price is None
            )
        )

    def run(self) -> int:
        """The most cards found; `impossible` is set where that was proven."""
        low, high = 0, 1
        while high <= MOST_CARDS and self._can(high, EFFORTS[:1]) is True:
            low, high = high, 2 * high
        high = min(high, MOST_CARDS + 1)
        while high - low > 1:
            middle = (low + high) // 2
            low, high = (middle, high) if self._can(middle, EFFORTS[:1]) is True else (low, middle)
        while low < MOST_CARDS and (found := self._can(low + 1, EFFORTS)) is not False:
            if not found:
                self._look_beyond(low + 1)
                return low
            low += 1
        self.impossible = low + 1 if low < MOST_CARDS else None
        return low

    def _look_beyond(self, open_at: int) -> None:
        """The least number that is proven impossible, where the next one is not settled."""
        low, high = open_at, open_at + 1
        while high <= MOST_CARDS and self._can(high, EFFORTS) is not False:
            low, high = high, high + max(1, (high - open_at) * 2)
        if high > MOST_CARDS:
            return
        while high - low > 1:
            middle = (low + high) // 2
            low, high = (low, middle) if self._can(middle, EFFORTS) is False else (middle, high)
        self.impossible = high

    def _can(self, cards: int, efforts: tuple[Effort, ...]) -> bool | None:
        """Whether so many cards can be made; None where that is not settled."""
        for effort in efforts:
            self.say(f"{cards} cards")
            needs = self.needs(cards, effort)
            if any(need.least is None for need in needs) or sum(need.least or 0 for need in needs) > self.money:
                return False
            if all(need.spent is not None for need in needs) and sum(n.spent or 0 for n in needs) <= self.money:
                return True
        return None

    def needs(self, cards: int, effort: Effort = Effort.QUICK) -> tuple[PaperNeed, ...]:
        """What every paper asks for so many cards; what is settled for a paper is not asked again."""
        known = self._known.setdefault(cards, {})
        found = []
        for number, asked in enumerate(self.batches.of(cards).tasks):
            task = self._with_prices(asked)
            old = known.get(number)
            if old is None or (effort is not Effort.QUICK and old[1].outcome is not Outcome.PROVEN):
                known[number] = task, solve(task.task, effort=effort)
            found.append(self._need(" or ".join(paper.name for paper in self.batches.groups[number]), *known[number]))
        return tuple(found)

    def packings(self, cards: int) -> tuple[PaperPacking, ...]:
        """The plans found for so many cards."""
        known = self._known.get(cards, {})
        return tuple(
            one
            for number, papers in enumerate(self.batches.groups)
            if number in known
            for one in apart(known[number][0], papers, known[number][1])
        )

    def _need(self, name: str, asked: PaperTask, answer: Answer) -> PaperNeed:
        spent, least = cost_of(asked.task, answer.uses), answer.bound.cost
        beyond = any(answer.missing) or spent > self.money
        if any(answer.missing):
            least = 0  # the bound is one for what was placed
        return PaperNeed(name, None if beyond else spent, None if least > self.money else least)

    def _with_prices(self, asked: PaperTask) -> PaperTask:
        """The same task with what is there for nothing, new sheets for their price, and a last resort.

        The last resort is more of what is at hand, at a price that nobody has: without it nothing could be proven.
        """
        rows = list(zip(asked.sources, asked.task.sheets, strict=True))
        priced = [(one, replace(kind, cost=self._price(one))) for one, kind in rows]
        sold = {one.sheet for one in asked.sources if one.kind is SourceKind.BUY}
        for one, kind in rows:
            if one.kind.at_hand and one.sheet not in sold:
                more = replace(one, kind=SourceKind.BUY, limit=None)
                priced.append((more, replace(kind, cost=self._never, limit=None)))
        sources, sheets = tuple(one for one, _ in priced), tuple(kind for _, kind in priced)
        return replace(asked, sources=sources, task=replace(asked.task, sheets=sheets))

    def _price(self, source: Source) -> int:
        if at_hand(source):
            return 0
        return self._never if source.price is None or not self.money else source.price


def _left_over(batch: Batch, used: tuple[PaperPacking, ...]) -> tuple[LeftOver, ...]:
    """What lies there and is not cut, of the papers that the cards are made of."""
    taken: dict[Source, int] = {}
    for packed in used:
        for use in packed.answer.uses:
            key = packed.sources[use.sheet]
            taken[key] = taken.get(key, 0) + use.copies
    return tuple(
        LeftOver(source.paper, source, source.limit - taken.get(source, 0))
        for asked in batch.tasks
        for source in asked.sources
        if source.kind.at_hand and source.limit is not None and source.limit > taken.get(source, 0)
    )
