"""The order of work on one paper (or several that share pieces): from what is quick to what is thorough, until proven.

In: a task that cannot be taken apart further. Out: the best plan found, what is missing, and the best bound. The fact
of the trade: most batches are planned at once; the stubborn ones deserve the long way. Area and a first plan come
first, then layouts made to measure with their bound, then whole numbers by rounding, by mending and by choosing.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from nesting.packing.bounds import Proof, by_area
from nesting.packing.columns import PRECISION, Columns
from nesting.packing.exhaust import Begun, Steps, Verdict, exhaust
from nesting.packing.fill import fill
from nesting.packing.ground import ground
from nesting.packing.guided import guided
from nesting.packing.improve import improve
from nesting.packing.layout import PackingTask, Reason, Use, cost_of, pieces_of, sheets_of
from nesting.packing.leftovers import gather
from nesting.packing.patterns import fits
from nesting.packing.portfolio import portfolio
from nesting.packing.rounding import Layout, choose, dive, layouts_in, layouts_of, left_over
from nesting.packing.stock import Stock, stock
from nesting.packing.trees import gathered

MOST_MENDED = 400  # pieces in a plan that is mended by ruin and recreate
MOST_AT_FIRST = 60  # pieces of which a first plan is made before any layout is made to measure
MOST_REST = 120  # pieces in a rest that is planned at once
MOST_CHOICE = 1500  # layouts to choose from
MOST_POOL = 40  # layouts that the answer keeps for each paper
REST_SHARE = 3  # this part of the joins left for rests goes into each
LONGER = 5  # so many times as long is every way tried in the end as at first


@dataclass(frozen=True, slots=True)
class Work:
    """How much of each is done: rounds of mending and of gathering, dives, nodes of the choice, joins in thousands.

    guided: attempts to reach a lower cost by way of the fractional plan; joins: for each time that all ways are tried;
    costs: lower costs that are tried where that is too long; rests: for the rests of all dives together; asking: to ask
    for larger offcuts.
    """

    mending: int
    gathering: int
    dives: int
    nodes: int
    guided: int
    joins: int
    costs: int
    rests: int
    asking: int


@dataclass(frozen=True, slots=True)
class Part:
    """What was found: layouts, missing pieces per kind, the bound, other layouts, and whether it was stopped."""

    uses: tuple[Use, ...]
    missing: tuple[int, ...]
    proof: Proof
    pool: tuple[Use, ...]
    stopped: bool


class _Plan:
    """The best plan so far for all needs; the fewer pieces missing the better, then cost, then sheets."""

    def __init__(self, task: PackingTask, uses: tuple[Use, ...]) -> None:
        self.task, self.uses = task, uses

    def missing(self, uses: Sequence[Use]) -> list[int]:
        """How many pieces of each kind a plan leaves out."""
        return [piece.need for piece in left_over(self.task, uses).pieces]

    def _score(self, uses: tuple[Use, ...]) -> tuple[int, int, int]:
        pieces = self.task.pieces
        area = sum(n * piece.width * piece.height for n, piece in zip(self.missing(uses), pieces, strict=True))
        return area, cost_of(self.task, uses), sheets_of(uses)

    def offer(self, uses: Sequence[Use]) -> None:
        """Keep a plan if it is better."""
        plan = gathered(uses)
        if self._score(plan) < self._score(self.uses):
            self.uses = plan

    @property
    def complete(self) -> bool:
        """Whether no piece is missing."""
        return not any(self.missing(self.uses))

    @property
    def cost(self) -> int:
        """What the plan costs."""
        return cost_of(self.task, self.uses)


def solve_part(
    task: PackingTask, work: Work, seed: int, scale: int,
    say: Callable[[str], None], stop: Callable[[], bool],
) -> Part:  # fmt: skip
    """Plan a task whose papers have to do with each other; pieces that fit no sheet are missing."""
    unfit = [piece.need if piece.need and not fits(task, kind) else 0 for kind, piece in enumerate(task.pieces)]
    able = replace(task, pieces=tuple(
        replace(piece, need=0) if out else piece for piece, out in zip(task.pieces, unfit, strict=True)))  # fmt: skip
    ready = stock(able)
    pieces = pieces_of(able)
    plan = _Plan(able, fill(ground(able)) if pieces <= MOST_AT_FIRST else ())
    proof = by_area(ready, [piece.need for piece in able.pieces])
    pool: list[Layout] = layouts_in(ready, plan.uses)
    if not (plan.complete and plan.cost <= proof.cost) and ready.sources and not stop():
        proof = _exactly(ready, plan, proof, pool, work, seed, scale, say, stop)
    if not plan.complete:
        plan.offer(portfolio(able, seed))
    if not plan.complete and not stop():
        _most_area(ready, plan, work, stop)
    uses = plan.uses
    if plan.complete and uses and not stop():
        uses = gather(able, uses, work=work.gathering, seed=seed, stop=stop)
    missing = tuple(out + left for out, left in zip(unfit, plan.missing(uses), strict=True))
    if any(missing):
        placed = [piece.need - out for piece, out in zip(task.pieces, missing, strict=True)]
        proof = by_area(ready, placed)
    return Part(uses, missing, proof, _as_uses(ready, pool), stop())


def _exactly(
    ready: Stock, plan: _Plan, proof: Proof, pool: list[Layout], work: Work, seed: int, scale: int,
    say: Callable[[str], None], stop: Callable[[], bool],
) -> Proof:  # fmt: skip
    """Column generation, then whole numbers until the plan meets the bound; returns the bound, betters the plan."""
    if plan.complete:
        say(f"proving that {_sheets(sheets_of(plan.uses))} cannot be beaten")
    columns = Columns(ready, scale)
    columns.add_uses(plan.uses)
    columns.run(enough=plan.cost if plan.complete else None, stop=stop)
    proof = max(proof, columns.proof, key=lambda one: (one.cost, one.sheets))
    pool += layouts_of(columns)

    def done() -> bool:
        return stop() or (plan.complete and plan.cost <= proof.cost)

    def finish(cut: list[Use], rest: PackingTask, fresh: Columns) -> bool:
        if pieces_of(rest) <= MOST_REST:
            last = fill(ground(rest))
            plan.offer([*cut, *last])
            pool.extend(layouts_in(ready, last))
            if work.rests and not done() and pieces_of(rest) < pieces:
                plan.offer([*cut, *_rest_within(fresh, proof.cost - cost_of(rest, tuple(cut)), left)])
        return done()

    left = Steps(1000 * work.rests, stop)
    begun: Begun = {}
    pieces = pieces_of(plan.task)
    for keep in range(work.dives):
        if done():
            break
        say(f"looking for a plan with {_sheets(proof.sheets)}")
        found, layouts = dive(plan.task, columns, keep=keep, finish=finish, stop=stop)
        plan.offer(found)
        pool += layouts
        if keep == 0 and not done():
            columns.run(fully=True, stop=stop)
            proof = _by_trying_all(ready, plan, columns, begun, proof, work, done)
    if not done() and pieces <= MOST_MENDED:
        plan.offer(portfolio(plan.task, seed))
        pool[:0] = layouts_in(ready, plan.uses)
    if not done() and plan.complete and pieces <= MOST_MENDED:
        say("trying sheet by sheet to do with one less")
        plan.offer(improve(plan.task, plan.uses, target_cost=proof.cost, work=work.mending, seed=seed, stop=stop))
    while not done() and plan.complete and pieces <= MOST_MENDED:
        better = guided(plan.task, columns, plan.cost - columns.unit, attempts=work.guided, seed=seed, stop=stop)
        if not better:
            break
        plan.offer(better)
    if not done():
        say(f"choosing among {len(pool)} layouts")
        plan.offer(choose(ready, pool[:MOST_CHOICE], columns.missing, least=proof.cost, nodes=work.nodes))
    return _by_trying_all(ready, plan, columns, begun, proof, replace(work, joins=LONGER * work.joins), done)


def _rest_within(columns: Columns, cost: int, left: Steps) -> tuple[Use, ...]:
    """A plan for the rest of a large batch at this cost, by trying all ways of cutting it; nothing if none is found.

    It takes a part of the steps that are left for all rests, so that the last ones, which are small, get theirs.
    """
    if not columns.stock.sources:
        return ()
    columns.run(cost + 1, left.stop, fully=True)  # no further once there can be none
    if columns.proof.cost > cost:
        return ()
    some = left.lend(left.left // REST_SHARE)
    found = exhaust(columns.stock, columns, cost, some).uses
    left.back(some)
    return found


def _by_trying_all(
    ready: Stock, plan: _Plan, columns: Columns, begun: Begun, proof: Proof, work: Work, done: Callable[[], bool]
) -> Proof:
    """Try every way to save a unit of cost, as far as `work` goes: betters the plan, or proves it the best.

    It is tried at prices that leave few ways.
    Where the ways to cut a sheet are few and those to combine them are not, the best choice of them is tried. Where
    pieces are missing and fractions of layouts would do, a plan that costs no more than the bound is looked for.
    """
    if plan.complete and not done():
        columns.centre(plan.cost - columns.unit, done)
    chosen = False
    while (plan.complete or columns.enough) and not done():
        before, whole = plan.cost, plan.complete
        goal = before - columns.unit if whole else proof.cost
        tried = exhaust(ready, columns, goal, Steps(1000 * work.joins, done), begun)
        if tried.verdict is Verdict.NONE and whole:
            return _dearer(ready, columns, goal)
        plan.offer(tried.uses)
        chosen = _chosen(ready, plan, columns, tried.layouts, proof, work)
        if plan.complete == whole and plan.cost >= before:
            break
    return _at_lower_costs(ready, plan, columns, begun, proof, work, done, chosen=chosen) if plan.complete else proof


def _at_lower_costs(
    ready: Stock, plan: _Plan, columns: Columns, begun: Begun, proof: Proof, work: Work, done: Callable[[], bool],
    *, chosen: bool,
) -> Proof:  # fmt: skip
    """Where it takes too long to try every way to save one unit: every way to save more, since they are fewer.

    Halfway between what is shown and what took too long, again and again: the bound rises, or a plan turns up. chosen:
    the best choice of more ways was tried already.
    """
    left, too_long = Steps(1000 * work.joins, done), plan.cost - columns.unit
    for _ in range(work.costs):
        open_costs = (min(plan.cost, too_long) - proof.cost) // columns.unit
        if done() or open_costs < 1:
            break
        goal = proof.cost + (open_costs - 1) // 2 * columns.unit
        some = left.lend(left.left // 2)
        tried = exhaust(ready, columns, goal, some, begun)
        left.back(some)
        if tried.verdict is Verdict.NONE:
            proof = _dearer(ready, columns, goal)
            continue
        plan.offer(tried.uses)
        chosen = chosen or _chosen(ready, plan, columns, tried.layouts, proof, work)
        if tried.verdict is Verdict.UNKNOWN:
            too_long = goal
    return proof


def _chosen(
    ready: Stock, plan: _Plan, columns: Columns, layouts: Sequence[Layout], proof: Proof, work: Work
) -> bool:  # fmt: skip
    """Offer the best choice of these layouts; False where there are none, or too many to choose from."""
    if not 0 < len(layouts) <= MOST_CHOICE:
        return False
    plan.offer(choose(ready, layouts, columns.missing, least=proof.cost, nodes=work.nodes))
    return True


def _dearer(ready: Stock, columns: Columns, cost: int) -> Proof:
    """What is shown when every way to make a plan of this cost was tried, and there was none."""
    more = cost + columns.unit
    costs = {price for source in ready.sources for price, _ in ready.tiers(source)}
    sheets = -(-more // min(costs)) if len(costs) == 1 else columns.latest.sheets
    return Proof(more, sheets, tuple(columns.whole_prices()), Reason.EXHAUSTIVE)


def _most_area(ready: Stock, plan: _Plan, work: Work, stop: Callable[[], bool]) -> None:
    """Paper is short: place as much area as can be."""
    largest = max((source.width * source.height for source in ready.sources), default=1)
    missing = [1000.0 * piece.width * piece.height / largest for piece in ready.task.pieces]
    free = replace(ready.task, sheets=tuple(replace(sheet, cost=0) for sheet in ready.task.sheets))
    stock_free = stock(free)
    if not stock_free.sources:
        return
    columns = Columns(stock_free, PRECISION // 1000, missing)
    columns.add_uses(plan.uses)
    columns.run(stop=stop)
    pool = [*layouts_in(stock_free, plan.uses), *layouts_of(columns)]
    plan.offer(choose(stock_free, pool, missing, least=0, nodes=work.nodes))


def _as_uses(ready: Stock, pool: Sequence[Layout]) -> tuple[Use, ...]:
    """Other layouts of the way, as many as the answer keeps."""
    different = {(layout.sheet, layout.counts): layout for layout in reversed(pool)}
    uses = [ready.use(layout.sheet, layout.node) for layout in list(reversed(different.values()))[:MOST_POOL]]
    return tuple(use for use in uses if use is not None)


def _sheets(number: int) -> str:
    return "1 sheet" if number == 1 else f"{number} sheets"
