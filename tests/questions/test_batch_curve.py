"""The curve by batch size: every size complete and checked, never dearer than need be said, and its sentences true."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest
from small_projects import Small, least_money

from nesting.describe.project_file import read_project
from nesting.packing.check import check
from nesting.packing.layout import Outcome, cost_of
from nesting.packing.solve import Effort, solve
from nesting.plan import make_plan
from nesting.questions.again import Again
from nesting.questions.batch_curve import Curve, batch_curve
from nesting.questions.batches import Batches
from nesting.questions.mixes import Mix, read_mix

DEMOS = Path(__file__).parents[2] / "demo_projects"
CARD = Mix((("card", 1),))


@pytest.fixture(scope="module")
def stall() -> Curve:
    project = read_project(DEMOS / "harvest_stall")
    return batch_curve(project, read_mix(project, ""), range(1, 13))


def test_every_size_is_complete_and_sheets_never_fall(stall: Curve) -> None:
    assert [point.cards for point in stall.points] == list(range(1, 13))
    assert all(point.complete and point.priced for point in stall.points)
    assert all(sum(count for _, count in point.counts) == point.cards for point in stall.points)
    prices = [point.price or 0 for point in stall.points]
    assert prices == sorted(prices)


def test_shares_are_shares(stall: Curve) -> None:
    for point in stall.points:
        assert 0 <= point.scrap <= point.left < 1
        assert point.seconds > 0


def test_a_card_more_costs_what_the_next_size_says(stall: Curve) -> None:
    total = Fraction(stall.points[0].cost)
    for point in stall.points[:-1]:
        more = stall.one_more(point.cards)
        assert more is not None
        total += more
    assert total == stall.points[-1].cost
    assert stall.one_more(12) is None


def test_a_good_size_uses_up_sheets_that_the_next_size_begins(stall: Curve) -> None:
    by_cards = {point.cards: {one.paper: one.sheets for one in point.papers} for point in stall.points}
    assert stall.good_sizes()
    for good in stall.good_sizes():
        assert good.full
        assert all(by_cards[good.next][name] > by_cards[good.point.cards][name] for name in good.full)


def test_proven_sizes_cost_what_a_search_through_every_cut_says() -> None:
    small = Small(at_hand=((),), sold=((6, 6, 7),), pieces=(((2, 3, 1), (1, 2, 1)),))
    curve = batch_curve(small.project, CARD, range(1, 9))
    for point in curve.points:
        least = least_money(small, 0, point.cards, 1000)
        assert point.price is not None
        assert point.price >= least
        assert not point.proven or point.price == least
    assert sum(point.proven for point in curve.points) >= 7


def test_a_plan_of_the_same_size_is_not_better_than_a_proven_point() -> None:
    small = Small(at_hand=((),), sold=((12, 12, 90),), pieces=(((5, 4, 1), (3, 3, 2), (2, 1, 3)),))
    curve = batch_curve(small.project, CARD, range(1, 21))
    for point in curve.points[4::5]:
        plan = make_plan(CARD.project(small.project, point.cards), effort=Effort.THOROUGH)
        assert plan.price is not None
        assert point.price is not None
        assert plan.price <= point.price
        assert not point.proven or plan.price == point.price


def test_steps_may_be_wider_than_a_card() -> None:
    small = Small(at_hand=((),), sold=((6, 6, 7),), pieces=(((2, 3, 1),),))
    curve = batch_curve(small.project, CARD, range(6, 25, 6))
    assert [point.sheets for point in curve.points] == [1, 2, 3, 4]
    assert [point.left for point in curve.points] == [0, 0, 0, 0]


def test_what_is_known_answers_for_fewer_pieces_and_stands_up_to_the_check() -> None:
    project = read_project(DEMOS / "lantern_walk")
    batches = Batches(project, read_mix(project, ""))
    memories = [Again(wait=100) for _ in batches.groups]
    last = [memory.plan(asked.task) for memory, asked in zip(memories, batches.of(15).tasks, strict=True)]
    for cards in range(14, 4, -3):
        tasks = batches.of(cards).tasks
        last = [memory.fewer(asked.task, one) for memory, asked, one in zip(memories, tasks, last, strict=True)]
        for asked, answer in zip(tasks, last, strict=True):
            assert check(asked.task, answer) == ()
            fresh = solve(asked.task)
            assert answer.bound.cost <= cost_of(asked.task, fresh.uses)
            assert answer.outcome is not Outcome.PROVEN or cost_of(asked.task, answer.uses) == answer.bound.cost


def test_papers_that_share_pieces_are_planned_together() -> None:
    project = read_project(DEMOS / "winter_window")
    curve = batch_curve(project, read_mix(project, ""), [4, 8])
    plan = make_plan(replace(read_mix(project, "").project(project, 8)), effort=Effort.QUICK)
    assert all(point.complete for point in curve.points)
    assert curve.points[-1].price is not None
    assert plan.price is not None
    berries = [one for one in curve.points[-1].papers if "berries" in one.paper]
    assert sum(one.sheets for one in berries) <= sum(p.sheets for p in plan.papers if "berries" in p.paper.name)
