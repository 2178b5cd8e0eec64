"""Trying all ways, twice by different code, against tiny jobs whose best plan is known by looking at every cut."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest
from tiny import best_cost, harvests, tiny_job

from nesting.packing.check import check
from nesting.packing.check_bound import verify_bound
from nesting.packing.columns import PRECISION, Columns
from nesting.packing.exhaust import Begun, Steps, Verdict, Ways, exhaust
from nesting.packing.layout import (
    Allowed,
    Bound,
    CutRules,
    Outcome,
    PackingTask,
    PieceKind,
    Reason,
    SheetKind,
    cost_of,
    sheets_of,
)
from nesting.packing.patterns import patterns
from nesting.packing.rounding import left_over
from nesting.packing.solve import solve
from nesting.packing.stock import stock
from nesting.packing.tallies import Tallies
from nesting.packing.trees import items_of

# Four squares of 19 fit on a sheet of 48, so that prices give each no more than a quarter of it; three and the upright
# strip come to less than a sheet in prices, and yet three squares leave no column for the strip.
FEW = PackingTask(
    (PieceKind(13, 33, 1, (Allowed(0, may_turn=False),)), PieceKind(19, 19, 3, (Allowed(0, may_turn=False),))),
    (SheetKind(48, 48, cost=1000),),
)


def unlimited(seed: int) -> PackingTask:
    """A tiny job with as many sheets as wanted."""
    task = tiny_job(seed)
    return replace(task, sheets=tuple(replace(sheet, limit=None) for sheet in task.sheets))


@pytest.mark.parametrize("limited", [False, True])
@pytest.mark.parametrize("block", range(4))
def test_there_is_a_plan_of_the_best_cost_and_none_below(block: int, limited: bool) -> None:
    seen = 0
    for seed in range(block * 50, block * 50 + 50):
        task = tiny_job(seed) if limited else unlimited(seed)
        best, ready = best_cost(task), stock(task)
        if best is None:
            continue
        columns = Columns(ready, PRECISION // 8)
        columns.run(fully=True)
        tried = exhaust(ready, columns, best, Steps(100_000))
        assert tried.verdict is Verdict.FOUND
        assert cost_of(task, tried.uses) <= best
        assert not any(piece.need for piece in left_over(task, tried.uses).pieces)
        tried = exhaust(ready, columns, best - columns.unit, Steps(100_000))
        assert tried.verdict is Verdict.NONE or (columns.slack(best - columns.unit) or 0) < 0
        seen += 1
    assert seen >= 20


@pytest.mark.parametrize("limited", [False, True])
@pytest.mark.parametrize("block", range(4))
def test_the_checker_agrees_to_the_best_cost_and_to_no_more_whatever_the_prices(block: int, limited: bool) -> None:
    r = random.Random(block)
    for seed in range(block * 50, block * 50 + 50):
        task = tiny_job(seed) if limited else unlimited(seed)
        best = best_cost(task)
        if best is None:
            continue
        prices = [r.choice([0, 1, piece.width * piece.height, r.randint(1, 50)]) for piece in task.pieces]
        prices[r.randrange(len(prices))] += 1
        assert verify_bound(task, Bound(best, 0, Reason.EXHAUSTIVE, tuple(prices))).cost == best
        assert verify_bound(task, Bound(best + 1, 0, Reason.EXHAUSTIVE, tuple(prices))).cost <= best


@pytest.mark.parametrize("block", range(4))
def test_a_trimmers_limits_rule_out_no_plan_that_it_can_cut(block: int) -> None:
    r = random.Random(block)
    none = agreed = seen = 0
    for seed in range(block * 40, block * 40 + 40):
        rules = CutRules(r.choice([0, 0, 1]), r.choice([None, 6, 7]), r.choice([None, 4, 5]), r.choice([0, 2, 3]))
        task = replace(unlimited(seed), rules=rules)
        best, ready = best_cost(task), stock(task)
        if best is None or not ready.sources:
            continue
        columns = Columns(ready, PRECISION // 8)
        columns.run(fully=True)
        seen += 1
        assert exhaust(ready, columns, best, Steps(100_000)).verdict is not Verdict.NONE
        bound = Bound(best, 0, Reason.EXHAUSTIVE, tuple(columns.whole_prices()))
        assert verify_bound(task, replace(bound, cost=best + 1)).cost <= best
        below = best - columns.unit
        tried = exhaust(ready, columns, below, Steps(100_000))
        none += tried.verdict is Verdict.NONE or (columns.slack(below) or 0) < 0
        agreed += verify_bound(task, bound).cost == best
    assert min(none, agreed) > 0.9 * seen > 15


def test_a_bound_by_trying_is_raised_for_each_group_of_papers_by_itself() -> None:
    blue = (Allowed(1, may_turn=False),)
    both = PackingTask(
        (*FEW.pieces, *(replace(piece, allowed=blue) for piece in FEW.pieces)),
        (*FEW.sheets, replace(FEW.sheets[0], paper=1)),
    )
    answer = solve(both)
    assert (answer.outcome, answer.bound.reason, answer.bound.sheets) == (Outcome.PROVEN, Reason.EXHAUSTIVE, 4)
    assert verify_bound(both, replace(answer.bound, cost=5000)).cost <= 4000


def test_prices_in_the_middle_leave_few_ways_where_fractions_alone_would_do() -> None:
    """Sheets would add up to the needs only in thirds, or some of them taken a negative number of times.

    Twenty-five sets of pieces lose nothing at the prices that column generation ends with, whose remainders do not
    tell; in the middle of all prices as good there are five, and theirs do.
    """
    sizes = ((175, 980), (415, 970), (280, 320), (1485, 1050), (485, 1040), (240, 200), (340, 710))
    needs = (100, 300, 300, 100, 100, 200, 200)
    pieces = tuple(
        PieceKind(*size, need, (Allowed(0, may_turn=True),)) for size, need in zip(sizes, needs, strict=True)
    )
    answer = solve(PackingTask(pieces, (SheetKind(1525, 1525, cost=1000),)))
    assert (answer.outcome, answer.bound.reason) == (Outcome.PROVEN, Reason.EXHAUSTIVE)
    assert sheets_of(answer.uses) == answer.bound.sheets == 201


def test_three_needed_of_a_piece_that_fills_a_sheet_by_fours_are_counted_as_three() -> None:
    answer = solve(FEW)
    assert (answer.outcome, answer.bound.reason) == (Outcome.PROVEN, Reason.EXHAUSTIVE)
    assert sheets_of(answer.uses) == answer.bound.sheets == 2
    assert verify_bound(FEW, replace(answer.bound, reason=Reason.PRICES)).sheets == 1


def test_few_sheets_at_hand_are_tried_besides_those_to_buy() -> None:
    at_hand = SheetKind(48, 20, cost=300, limit=1)
    answer = solve(replace(FEW, sheets=(*FEW.sheets, at_hand)))
    assert (answer.outcome, cost_of(replace(FEW, sheets=(*FEW.sheets, at_hand)), answer.uses)) == (Outcome.PROVEN, 1300)


def test_a_claim_to_have_tried_all_ways_is_tried_again() -> None:
    answer = solve(FEW)
    false = replace(answer, bound=replace(answer.bound, cost=3000, sheets=3))
    assert any("The bound claims 3000" in sentence for sentence in check(FEW, false))


def test_a_cost_beyond_all_measure_is_met_at_once() -> None:
    ready = stock(FEW)
    columns = Columns(ready, 8 * PRECISION)
    columns.run(fully=True)
    cost = 300 * 1000  # what it may lose is more than a processor's word holds
    assert (columns.slack(cost) or 0) > 1 << 63
    assert exhaust(ready, columns, cost, Steps(100_000)).verdict is Verdict.FOUND


def test_work_beyond_the_limit_is_left_undecided() -> None:
    ready = stock(FEW)
    columns = Columns(ready, PRECISION // 1000)
    columns.run(fully=True)
    assert exhaust(ready, columns, 1000, Steps(3)).verdict is Verdict.UNKNOWN


def test_a_trial_that_was_too_long_goes_on_where_it_was_left() -> None:
    ready = stock(FEW)
    columns = Columns(ready, PRECISION // 1000)
    columns.run(fully=True)
    whole = Steps(100_000)
    once = exhaust(ready, columns, 1000, whole)
    steps = 100_000 - whole.left
    begun: Begun = {}
    pieces = [exhaust(ready, columns, 1000, Steps(steps // 2), begun).verdict for _ in range(3)]
    assert once.verdict is Verdict.NONE
    assert pieces[0] is Verdict.UNKNOWN
    assert pieces[-1] is Verdict.NONE


def test_sheets_without_end_for_nothing_are_not_tried() -> None:
    ready = stock(replace(FEW, sheets=(SheetKind(48, 48, cost=0),)))
    columns = Columns(ready, 1000)
    columns.run()
    assert exhaust(ready, columns, 1000, Steps(100_000)).verdict is Verdict.UNKNOWN


@pytest.mark.parametrize("seed", range(40))
def test_all_largest_sets_near_the_best_are_found_and_no_others(seed: int) -> None:
    task = tiny_job(seed)
    needs = [piece.need for piece in task.pieces]
    prices = [piece.width * piece.height for piece in task.pieces]
    ready = stock(task)
    for source in ready.sources:
        table = patterns([source], ready.limits, needs, most=2000)
        assert table is not None
        table.fill(prices)
        loss, fields = table.worth(source) // 3, Tallies(needs)
        ways = Ways(table, source, loss, fields)
        ways.find(Steps(100_000))
        worths = {fields.unpack(counts): worth for counts, worth in ways.sets}
        for counts, worth in ways.sets:
            cut = items_of(ways.node(counts))
            assert all(cut.count(kind) >= n for kind, n in enumerate(fields.unpack(counts)))
            assert worth == sum(n * price for n, price in zip(fields.unpack(counts), prices, strict=True))
        sheet = SheetKind(source.width - task.rules.kerf, source.height - task.rules.kerf)
        largest = {
            gives
            for gives in harvests(task, sheet)
            if sum(n * price for n, price in zip(gives, prices, strict=True)) >= table.worth(source) - loss
        }
        assert set(worths) == largest
