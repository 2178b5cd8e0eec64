"""Layouts and purchases decided together: the cheapest purchase from which every paper can be cut.

In: a Project with shops, its pieces and its supply. Out: a Decision: the Purchase with its proof, the supply that it
leaves for cutting, and answers for the papers that were looked at. The fact of the trade: the layout with the fewest
sheets is not always the cheapest in the shop, where sheets come in packs and postage is paid.

First what is certain is asked for the cheapest purchase that it leaves open; then the packer tries to cut everything
from it. Where it can, no purchase is cheaper. Where it cannot and says why, that is certain from then on, and the
question is asked anew. Where it cannot and does not know why, other purchases are tried, and the proof is less.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from nesting.buying.cheapest import Found, Front, Times, purchase_of, search
from nesting.buying.facts import Doubt, Fact, Kinds, excludes, fact_of, front, kinds_of, tried
from nesting.buying.purchase import TENTHS, Purchase, postage_of
from nesting.describe.papers import Paper
from nesting.describe.project import Project
from nesting.describe.shops import Ware
from nesting.errors import NestingError, Place, Problem
from nesting.packing.choose_papers import sharing
from nesting.packing.layout import Answer, Outcome, PackingTask, SheetKind, Use, cost_of, sheets_of
from nesting.packing.pack import task_of
from nesting.packing.solve import Effort, solve
from nesting.pieces.piece_list import PieceList
from nesting.pieces.supply import SourceKind, Supply, offers_of

MOST_ROUNDS = 150  # purchases that are tried
AGAIN = {Effort.QUICK: Effort.QUICK, Effort.NORMAL: Effort.NORMAL, Effort.THOROUGH: Effort.NORMAL}


@dataclass(frozen=True, slots=True)
class Evidence:
    """What is certain of one group of papers, for whoever wants to add the proof up again."""

    papers: tuple[str, ...]
    task: PackingTask
    kinds: Kinds
    facts: tuple[Fact, ...]


@dataclass(frozen=True, slots=True)
class Decision:
    """What to buy, the supply that it leaves for cutting, answers for the papers looked at, and the proof.

    bound: tenths of cents, under which no purchase and the knife work that goes with it come together.
    """

    purchase: Purchase
    supply: Supply
    answers: Mapping[PackingTask, Answer]
    evidence: tuple[Evidence, ...]
    bound: int


def decide(
    project: Project, pieces: PieceList, supply: Supply, *, effort: Effort = Effort.NORMAL, seed: int = 0,
    progress: Callable[[str], None] | None = None, stop: Callable[[], bool] | None = None,
) -> Decision:  # fmt: skip
    """Decide what to buy; raises NestingError where the offers do not suffice together."""
    say, ends = progress or (lambda sentence: None), stop or (lambda: False)
    groups = []
    for papers in sharing(project, pieces):
        say(f"{papers[0].name}: how many sheets of which size")
        group = _Group(project, papers, pieces, supply, effort, seed, stop)
        if group.kinds.wares:
            groups.append(group)
    offers, postage = offers_of(project), postage_of(project)
    settled = _settled(groups, lambda fronts: search(fronts, offers, postage), say, ends)
    if settled is None:
        what = "What the shops sell does not suffice for this batch together."
        raise NestingError([Problem(Place(), what, "Say where more are sold, or make fewer cards.")])
    bought = {ware: 0 for group in groups for ware, _, _ in group.kinds.wares}
    for number, count in settled.times:
        for ware, held in offers[number].holds:
            if ware in bought:
                bought[ware] += held * count
    answers, cut, work = {}, dict.fromkeys(bought, 0), 0
    for group, counts in zip(groups, settled.counts, strict=True):
        task, answer = group.answer(bought, counts)
        answers[task] = answer
        work += group.work_of(answer)
        for ware, kind, _ in group.kinds.wares:
            cut[ware] += sum(use.copies for use in answer.uses if use.sheet == kind)
    cents = purchase_of(settled.times, offers, postage, cut, 0).cents
    proven = TENTHS * cents + work <= settled.bound
    bound = cents if proven else min(cents, -(-settled.bound // TENTHS))
    purchase = replace(purchase_of(settled.times, offers, postage, cut, bound), proven=proven)
    evidence = tuple(
        Evidence(tuple(paper.name for paper in group.papers), group.task, group.kinds, tuple(group.facts))
        for group in groups
    )
    return Decision(purchase, _bought_supply(supply, bought), answers, evidence, settled.bound)


@dataclass(frozen=True, slots=True)
class _Settled:
    """Offers taken, the counts of each group that were asked for, and tenths of cents that no purchase goes under."""

    times: Times
    counts: tuple[tuple[int, ...], ...]
    bound: int


def _settled(
    groups: Sequence[_Group], cheapest: Callable[[Sequence[Front]], Found | None], say: Callable[[str], None],
    stop: Callable[[], bool],
) -> _Settled | None:  # fmt: skip
    """The cheapest purchase that suffices, as far as can be told; None where the offers do not suffice."""
    bound, number = 0, 0
    while True:
        number += 1
        if number > MOST_ROUNDS or stop():
            for group in groups:
                group.fall_back()
        fronts = [group.front() for group in groups]
        found = cheapest(fronts)
        if found is None:
            return None
        if not any(group.doubts or group.short for group in groups):
            whole = all(front.whole for front in fronts)
            low = found if whole else cheapest([group.front(low=True) for group in groups])
            bound = max(bound, 0 if low is None else low.bound)
        say(f"looking for the cheapest purchase ({number})")
        points = [(front.points[p], front.work[p]) for front, p in zip(fronts, found.points, strict=True)]
        enough = [group.suffices(*point) for group, point in zip(groups, points, strict=True)]
        if all(enough):
            return _Settled(found.times, tuple(counts for counts, _ in points), bound)


def _bought_supply(supply: Supply, bought: Mapping[Ware, int]) -> Supply:
    """The supply with no more sheets to buy than are bought."""
    return Supply(
        tuple(
            replace(source, limit=bought.get(Ware(source.paper, source.sheet), 0))
            if source.kind is SourceKind.BUY and Ware(source.paper, source.sheet) in bought
            else source
            for source in supply.sources
        )
    )


class _Group:
    """Papers that share pieces, most often one alone: what is certain of them, and the answers found so far."""

    def __init__(
        self, project: Project, papers: tuple[Paper, ...], pieces: PieceList, supply: Supply, effort: Effort,
        seed: int, stop: Callable[[], bool] | None,
    ) -> None:  # fmt: skip
        self.papers, self.effort, self.seed, self.stop = papers, effort, seed, stop
        _, self.sources, self.task = task_of(project, papers, pieces, supply)
        self.kinds = kinds_of(self.sources, self.task)
        self.facts: list[Fact] = []
        self.doubts: list[Doubt] = []
        self.known: dict[tuple[int, ...], Answer] = {}
        self.short = False  # only the counts of a plan that is known are open
        if self.kinds.wares:
            answer = self._solve(self.task, Effort.QUICK)
            self.facts += [fact_of(self.task, answer.bound), *tried(self.task, answer.bound)]
            self.short = any(answer.missing)
            self.known[self._counts(answer)] = answer

    def front(self, *, low: bool = False) -> Front:
        """The counts that may suffice. Where paper is short whatever is bought, those of the plan that is known."""
        if self.short:
            (counts,) = self.known
            return Front(tuple(ware for ware, _, _ in self.kinds.wares), (counts,), (0,))
        return front(self.facts, self.kinds, self.doubts, low=low)

    def work_of(self, answer: Answer) -> int:
        """Tenths of cents for the knife work of an answer."""
        prices = {kind: work for kind, _, work in self.kinds.paid}
        return sum(prices.get(use.sheet, 0) * use.copies for use in answer.uses)

    def suffices(self, counts: tuple[int, ...], work: int) -> bool:
        """Whether all pieces can be cut from so many sheets; if not, a fact or a doubt is added that says so."""
        if self.short or self._known(counts, work):
            return True
        for effort in dict.fromkeys((Effort.QUICK, AGAIN[self.effort])):
            limited = self._limited(counts)
            answer = self._solve(limited, effort)
            if self._within(answer):
                self.known[counts] = self._stripped(answer)
                return self._known(counts, work) or self._less_work(counts, work, effort)
            fact = fact_of(self.task, answer.bound)
            if excludes(fact, self.kinds, counts):
                self.facts.append(fact)
                return False
        self.doubts.append(Doubt(counts, None))
        return False

    def fall_back(self) -> None:
        """Leave open only the counts for which a plan is known."""
        best = min(self.known, key=lambda counts: (cost_of(self.task, self.known[counts].uses), counts))
        answer = self.known[best]
        self.known = {self._counts(answer): answer}
        self.short = True

    def answer(self, bought: Mapping[Ware, int], counts: tuple[int, ...]) -> tuple[PackingTask, Answer]:
        """The task that the purchase leaves, and its best answer: least knife work, then least paper used up."""
        limits = {kind: bought[ware] for ware, kind, _ in self.kinds.wares}
        sheets = tuple(
            replace(sheet, limit=limits.get(kind, sheet.limit)) for kind, sheet in enumerate(self.task.sheets)
        )
        task = replace(self.task, sheets=sheets)
        fresh = self._solve(task, self.effort)
        held = [
            answer for there, answer in self.known.items()
            if all(n <= m for n, m in zip(there, counts, strict=True))
        ]  # fmt: skip
        best = min([fresh, *held], key=lambda one: (sum(one.missing), self.work_of(one), cost_of(task, one.uses)))
        return task, best if best is fresh else _under(task, best, fresh)

    def _known(self, counts: tuple[int, ...], work: int) -> bool:
        return any(
            self.work_of(answer) <= work and all(n <= m for n, m in zip(there, counts, strict=True))
            for there, answer in self.known.items()
        )

    def _less_work(self, counts: tuple[int, ...], work: int, effort: Effort) -> bool:
        """Look for a plan from so many sheets with less knife work; a fact or a doubt is added where there is none."""
        limited = self._limited(counts)
        sheets = sum(sheet.limit or 0 for sheet in limited.sheets[: len(self.task.sheets)])
        prices = {kind: price for kind, _, price in self.kinds.paid}
        beyond = (sheets + 1) * (1 + sum(price * count for _, count, price in self.kinds.paid))
        costs = [
            beyond if kind >= len(self.task.sheets) else prices[kind] * (sheets + 1) if kind in prices else 1
            for kind in range(len(limited.sheets))
        ]
        limited = replace(limited, sheets=tuple(
            replace(sheet, cost=cost) for sheet, cost in zip(limited.sheets, costs, strict=True)))  # fmt: skip
        answer = self._solve(limited, effort)
        if self._within(answer) and self.work_of(answer) < self.work_of(self.known[counts]):
            self.known[counts] = self._stripped(answer)
        if self._known(counts, work):
            return True
        self.facts.append(fact_of(self.task, answer.bound))
        again = front(self.facts, self.kinds)
        if (counts, work) in zip(again.points, again.work, strict=True):
            self.doubts.append(Doubt(counts, self.work_of(self.known[counts])))
        return False

    def _limited(self, counts: tuple[int, ...]) -> PackingTask:
        """So many sheets to buy and no more; but a last resort of more, at a price above all the rest together."""
        limits = {kind: count for (_, kind, _), count in zip(self.kinds.wares, counts, strict=True)}
        sheets = [replace(sheet, limit=limits.get(kind, sheet.limit)) for kind, sheet in enumerate(self.task.sheets)]
        beyond = 1 + sum(sheet.cost * (sheet.limit or 0) for sheet in sheets)
        resort: list[SheetKind] = [
            replace(self.task.sheets[kind], limit=None, cost=beyond) for _, kind, _ in self.kinds.wares
        ]
        return replace(self.task, sheets=(*sheets, *resort))

    def _within(self, answer: Answer) -> bool:
        return not any(answer.missing) and all(use.sheet < len(self.task.sheets) for use in answer.uses)

    def _stripped(self, answer: Answer) -> Answer:
        pool: tuple[Use, ...] = tuple(use for use in answer.pool if use.sheet < len(self.task.sheets))
        return replace(answer, pool=pool, offcut=None)

    def _counts(self, answer: Answer) -> tuple[int, ...]:
        return tuple(sum(use.copies for use in answer.uses if use.sheet == kind) for _, kind, _ in self.kinds.wares)

    def _solve(self, task: PackingTask, effort: Effort) -> Answer:
        return solve(task, effort=effort, seed=self.seed, stop=self.stop)


def _under(task: PackingTask, answer: Answer, fresh: Answer) -> Answer:
    """An answer to a task with fewer sheets or other costs as one to this task, with the bound that was found here."""
    cost, sheets = cost_of(task, answer.uses), sheets_of(answer.uses)
    bound = replace(fresh.bound, cost=min(fresh.bound.cost, cost), sheets=min(fresh.bound.sheets, sheets))
    outcome = Outcome.PROVEN if bound.cost == cost else Outcome.OPEN
    return replace(answer, bound=bound, outcome=outcome, offcut=None)
