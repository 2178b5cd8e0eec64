"""So many cards can be made and one more cannot: held against a search that looks at every cut there is."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from small_projects import Small, least_money, most_cards, random_small

from nesting.describe.project_file import read_project
from nesting.pieces.supply import SourceKind
from nesting.questions.how_many import HowMany, how_many
from nesting.questions.mixes import MOST_CARDS, Mix, read_mix

DEMOS = Path(__file__).parents[2] / "demo_projects"
CARD = Mix((("card", 1),))


def asked(small: Small, money: int = 0) -> HowMany:
    return how_many(small.project, CARD, money)


@pytest.mark.parametrize("seed", range(14))
def test_no_more_cards_are_made_than_can_be_and_what_is_proven_is_so(seed: int) -> None:
    small = random_small(seed)
    for money in (0, 20):
        found, true = asked(small, money), most_cards(small, money)
        assert found.cards <= true
        assert found.impossible is None or found.impossible > true
        if found.proven:
            assert found.cards == true


@pytest.mark.parametrize("seed", range(10))
def test_of_a_mix_no_more_cards_are_made_than_can_be_and_what_is_proven_is_so(seed: int) -> None:
    """Two of the card for each plain one, which takes one piece of every kind."""
    small = random_small(100 + seed)
    project = small.project
    plain = replace(
        project.designs[0], name="plain", parts=tuple(replace(p, count=1) for p in project.designs[0].parts)
    )
    project = replace(project, designs=(project.designs[0], plain))
    mix = Mix((("card", 2), ("plain", 1)))

    def can_be(cards: int, money: int) -> bool:
        """By every cut there is, all kinds of both designs counted together."""
        counts = mix.counts(cards)
        both = tuple(tuple((w, h, n * counts["card"] + counts["plain"]) for w, h, n in kinds) for kinds in small.pieces)
        wanted = replace(small, pieces=both)
        return sum(least_money(wanted, paper, 1, money) for paper in range(len(both))) <= money

    for money in (0, 20):
        found, true = how_many(project, mix, money), 0
        while can_be(true + 1, money):
            true += 1
        assert found.cards <= true
        assert found.impossible is None or found.impossible > true
        if found.proven:
            assert found.cards == true
            assert not can_be(found.cards + 1, money)


def test_nearly_all_small_cases_are_proven() -> None:
    assert sum(asked(random_small(seed)).proven for seed in range(40)) >= 38


def test_the_plan_holds_every_piece_and_buys_nothing_unasked() -> None:
    small = Small(at_hand=(((6, 6, 2), (4, 5, 1)),), sold=((12, 12, 50),), pieces=(((2, 3, 2), (1, 2, 1)),))
    found = asked(small)
    assert found.cards == most_cards(small, 0) > 0
    assert found.plan is not None
    assert found.plan.complete
    assert found.plan.to_buy == 0
    assert found.spent == 0
    assert found.plan.papers[0].packing.task.pieces[0].need == 2 * found.cards


def test_money_buys_sheets_and_is_never_overspent() -> None:
    small = Small(at_hand=(((3, 2, 1),),), sold=((6, 6, 70),), pieces=(((3, 2, 1),),))
    for money, cards in ((0, 1), (69, 1), (70, 7), (139, 7), (140, 13)):
        found = asked(small, money)
        assert (found.cards, found.proven) == (cards, True)
        assert found.plan is not None
        assert found.plan.price == found.spent == 70 * ((cards - 1) // 6)


def test_the_paper_that_runs_out_first_is_named() -> None:
    small = Small(at_hand=(((6, 6, 1),), ((2, 2, 3),)), sold=(None, None), pieces=(((2, 2, 1),), ((2, 2, 1),)))
    found = asked(small)
    assert (found.cards, found.impossible) == (3, 4)
    assert [need.paper for need in found.first_out] == ["paper 1"]
    assert found.left_over == ()


def test_what_is_not_touched_is_listed() -> None:
    small = Small(at_hand=(((2, 2, 1), (5, 1, 3)),), sold=(None,), pieces=(((2, 2, 1),),))
    found = asked(small)
    assert [(one.source.kind, one.count) for one in found.left_over] == [(SourceKind.OFFCUT, 3)]


def test_a_new_sheet_without_a_price_is_not_counted_on() -> None:
    small = Small(at_hand=(((2, 2, 1),),), sold=((6, 6, 10),), pieces=(((2, 2, 1),),))
    project = small.project
    papers = tuple(replace(p, sold=tuple(replace(s, price=None) for s in p.sold)) for p in project.papers)
    found = how_many(replace(project, papers=papers), CARD, 500)
    assert (found.cards, found.no_price) == (1, ("paper 0",))


def test_where_sheets_cost_nothing_the_search_ends() -> None:
    small = Small(at_hand=((),), sold=((6, 6, 0),), pieces=(((3, 2, 1),),))
    found = asked(small, 1)
    assert (found.cards, found.impossible, found.spent) == (MOST_CARDS, None, 0)
    assert asked(small).cards == 0


def test_a_stand_in_is_counted_on_where_the_paper_is_short() -> None:
    small = Small(at_hand=(((2, 2, 2),), ((2, 2, 3),)), sold=(None, None), pieces=(((2, 2, 1),), ((1, 1, 1),)))
    project = small.project
    papers = (replace(project.papers[0], stand_in="paper 1"), project.papers[1])
    assert asked(small).cards == 2
    found = how_many(replace(project, papers=papers), CARD)
    assert (found.cards, found.proven) == (4, True)
    assert found.plan is not None
    assert found.plan.complete


@pytest.mark.parametrize("name", ["folding_theatre", "lantern_walk"])
def test_demo_projects_are_answered_with_proof(name: str) -> None:
    project = read_project(DEMOS / name)
    found = how_many(project, read_mix(project, ""), 500)
    assert found.cards > 0
    assert found.proven
    assert found.plan is not None
    assert found.plan.complete
    assert (found.plan.price or 0) <= 500
