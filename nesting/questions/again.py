"""One paper planned again and again for other needs, with the layouts and the bounds of the times before.

In: tasks that differ in needs and limits alone. Out: checked answers. The facts of the trade: most layouts for 24
cards are those for 25, and what no sheet can hold for the one it cannot hold for the other: prices that prove a bound
once prove one for all needs (Farley 1990, Operations Research 38, 922-923).
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from nesting.errors import Fault
from nesting.packing.bounds import as_bound
from nesting.packing.check import check
from nesting.packing.check_bound import verify_bound
from nesting.packing.check_worth import sheet_worths
from nesting.packing.columns import PRECISION, Columns
from nesting.packing.layout import Answer, Bound, Outcome, PackingTask, Reason, Use, cost_of, sheets_of
from nesting.packing.rounding import Layout, Sheets, choose, layouts_in, layouts_of, left_over, settled
from nesting.packing.solve import Effort, solve
from nesting.packing.stock import Stock, stock

MOST_LAYOUTS = 100  # kept in mind, the latest first
NODES = 20  # of the choice among them
MOST_BOUNDS = 2  # that are added up for one task
SMALL = 16  # so few pieces are always planned from scratch where what is known does not settle them


class Again:
    """What is known of one paper.

    wait: where what is known does not settle a task, it is planned from scratch; then the next so many are not.
    """

    def __init__(self, wait: int, seed: int = 0) -> None:
        self._seed = seed
        self._wait, self._waited = wait, 0
        self._most = 0  # no fractions of sheets prove more for fewer needs
        self._layouts: dict[Use, None] = {}
        self._bounds: dict[Bound, int] = {}

    def plan(self, task: PackingTask) -> Answer:
        """Plan from scratch, and remember."""
        self._waited = 0
        answer = solve(task, effort=Effort.QUICK, seed=self._seed)
        for use in (*answer.pool, *answer.uses):
            self._layouts[replace(use, copies=1)] = None
        for old in list(self._layouts)[:-MOST_LAYOUTS]:
            del self._layouts[old]
        self._remember(task, answer.bound)
        return answer

    def fewer(self, task: PackingTask, more: Answer, *, anyhow: bool = False) -> Answer:
        """Plan needs of which none is greater than those of a plan that is known.

        anyhow: from scratch too where what is known does not settle it, however short the wait was. Where paper was
        short and surely still is, as much of the known plan as is wanted stands meanwhile.
        """
        if any(more.missing):
            if anyhow or self._waited >= 2 * self._wait or not self._surely_short(task):
                return self.plan(task)
            self._waited += 1
            return _as_far_as_wanted(task, more)
        ready = stock(task)
        best = _trimmed(ready, more.uses)
        bound = self._bound(task, None if best is None else cost_of(task, best))
        if best is None or cost_of(task, best) > bound.cost:
            best = _better(task, best, self._chosen(ready, bound, best))
        if best is not None and cost_of(task, best) > bound.cost and bound.cost < self._most:
            self._learn(ready, best)
            bound = self._bound(task, cost_of(task, best))
            self._most = bound.cost
            if cost_of(task, best) > bound.cost:
                best = _better(task, best, self._chosen(ready, bound, best))
        answer = self._answer(task, best, bound)
        self._waited += 1
        small = sum(piece.need for piece in task.pieces) <= SMALL
        if answer.outcome is Outcome.PROVEN or not (anyhow or small or self._waited > self._wait):
            return answer
        fresh = self.plan(task)
        bound = max(bound, fresh.bound, key=lambda one: (one.cost, one.sheets))
        return self._answer(task, _better(task, best, fresh.uses), bound)

    def less(self, task: PackingTask, more: Answer) -> Answer | None:
        """A known plan for more, without what is too much: where sheets come in packs it may be the cheapest.

        None where it does not suffice.
        """
        best = _trimmed(stock(task), more.uses)
        return None if best is None else self._answer(task, best, self._bound(task, cost_of(task, best)))

    def _surely_short(self, task: PackingTask) -> bool:
        """Whether all paper that there is is worth less than the pieces, by area or at prices that are known."""
        for known in (Bound(0, 0, Reason.AREA), *self._bounds):
            prices = known.prices or tuple(piece.width * piece.height for piece in task.pieces)
            there = 0
            for worth, sheet in zip(sheet_worths(task, prices), task.sheets, strict=True):
                if worth and sheet.limit is None:
                    return False
                there += worth * (sheet.limit or 0)
            if there < sum(piece.need * price for piece, price in zip(task.pieces, prices, strict=True)):
                return True
        return False

    def _learn(self, ready: Stock, best: tuple[Use, ...]) -> None:
        """Prices and layouts made to measure for these needs, as far as fractions of sheets go."""
        scale = max(1, PRECISION // max([1, *(sheet.cost for sheet in ready.task.sheets)]))
        columns = Columns(ready, scale)
        columns.add_uses([*best, *self._layouts])
        columns.run(enough=cost_of(ready.task, best))
        kinds = range(len(ready.task.pieces))
        self._remember(ready.task, as_bound([(columns.proof, kinds)], len(kinds), scale))
        for layout in layouts_of(columns, used_only=True):
            use = ready.use(layout.sheet, layout.node)
            if use is not None:
                self._layouts[use] = None

    def _remember(self, task: PackingTask, bound: Bound) -> None:
        """Keep a bound with what it comes to beyond the value of the needs: that part stays for other needs."""
        if bound.reason is Reason.EXHAUSTIVE:  # what all ways of cutting prove holds for these needs alone
            proof = verify_bound(task, replace(bound, reason=Reason.PRICES))
            bound = replace(bound, cost=proof.cost, sheets=proof.sheets, reason=Reason.PRICES)
        if bound.reason is Reason.PRICES:
            self._bounds[bound] = bound.cost * bound.scale - _value(task, bound)
            self._most = max(self._most, bound.cost)

    def _bound(self, task: PackingTask, enough: int | None) -> Bound:
        """A good one of the bounds that are known, added up anew for these needs; the most promising are tried."""
        ranked = sorted(
            self._bounds, key=lambda known: Fraction(_value(task, known) + self._bounds[known], known.scale)
        )
        best = Bound(0, 0, Reason.AREA)
        for known in (best, *ranked[: -MOST_BOUNDS - 1 : -1]):
            proof = verify_bound(task, known)
            found = replace(known, cost=proof.cost, sheets=proof.sheets)
            best = max(best, found, key=lambda one: (one.cost, one.sheets))
            if enough is not None and best.cost >= enough:
                break
        return best

    def _chosen(self, ready: Stock, bound: Bound, best: tuple[Use, ...] | None) -> tuple[Use, ...] | None:
        """A plan from the known layouts that is better than the best, if one is found soon."""
        dearest = max((sheet.cost for sheet in ready.task.sheets), default=1)
        missing = [4.0 * max(1, dearest)] * len(ready.task.pieces)
        under = None if best is None else cost_of(ready.task, best)
        uses = choose(ready, _known_to(ready, self._layouts), missing, least=bound.cost, nodes=NODES, under=under)
        return uses if _covers(ready.task, uses) else None

    def _answer(self, task: PackingTask, uses: tuple[Use, ...] | None, bound: Bound) -> Answer:
        if uses is None:
            return self.plan(task)
        bound = replace(bound, cost=min(bound.cost, cost_of(task, uses)), sheets=min(bound.sheets, sheets_of(uses)))
        outcome = Outcome.PROVEN if cost_of(task, uses) == bound.cost else Outcome.OPEN
        answer = Answer(uses, (0,) * len(task.pieces), outcome, bound)
        wrong = check(task, answer)
        if wrong:
            raise Fault("A plan made from known layouts did not stand up to the check: " + " ".join(wrong))
        for use in uses:
            self._layouts[replace(use, copies=1)] = None
        return answer


def _as_far_as_wanted(task: PackingTask, more: Answer) -> Answer:
    """A plan that leaves pieces out, without the pieces that are too many; what is left out is missing."""
    uses = _without_what_is_too_much(stock(task), more.uses)
    missing = tuple(piece.need for piece in left_over(task, uses).pieces)
    placed = [piece.need - out for piece, out in zip(task.pieces, missing, strict=True)]
    proof = verify_bound(task, Bound(0, 0, Reason.AREA), placed)
    bound = Bound(min(proof.cost, cost_of(task, uses)), min(proof.sheets, sheets_of(uses)), Reason.AREA)
    answer = Answer(uses, missing, Outcome.SHORT, bound)
    wrong = check(task, answer)
    if wrong:
        raise Fault("A plan that leaves pieces out did not stand up to the check: " + " ".join(wrong))
    return answer


def _value(task: PackingTask, bound: Bound) -> int:
    """What the needs are worth at a bound's prices."""
    return sum(piece.need * price for piece, price in zip(task.pieces, bound.prices, strict=True))


def _known_to(ready: Stock, uses: dict[Use, None] | tuple[Use, ...]) -> list[Layout]:
    """The layouts on sheets of which something is wanted."""
    there = {kind for source in ready.sources for kind in source.kinds}
    return layouts_in(ready, [use for use in uses if use.sheet in there])


def _trimmed(ready: Stock, uses: tuple[Use, ...]) -> tuple[Use, ...] | None:
    """A plan for more, without the pieces that are too many and the sheets that they leave empty, if it suffices."""
    found = _without_what_is_too_much(ready, uses)
    return found if _covers(ready.task, found) else None


def _without_what_is_too_much(ready: Stock, uses: tuple[Use, ...]) -> tuple[Use, ...]:
    source = {kind: number for number, one in enumerate(ready.sources) for kind in one.kinds}
    there = [use for use in uses if use.sheet in source]
    sheets = [
        Sheets(source[use.sheet], layout.node, use.copies)
        for use, layout in zip(there, layouts_in(ready, there), strict=True)
    ]
    return settled(ready, sheets)


def _covers(task: PackingTask, uses: tuple[Use, ...]) -> bool:
    return not any(piece.need for piece in left_over(task, uses).pieces)


def _better(task: PackingTask, one: tuple[Use, ...] | None, other: tuple[Use, ...] | None) -> tuple[Use, ...] | None:
    plans = [plan for plan in (one, other) if plan is not None]
    return min(plans, key=lambda plan: (cost_of(task, plan), sheets_of(plan)), default=None)
