"""The curve by batch size where sheets come in packs: never dearer for fewer cards, and its proofs against all ways."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from shop_cases import Case, by_program, random_case

from nesting.describe.project_file import read_project
from nesting.questions.batch_curve import Curve, batch_curve
from nesting.questions.mixes import Mix, read_mix

DEMOS = Path(__file__).parents[2] / "demo_projects"
CARD = Mix((("card", 1),))
SIZES = range(1, 4)


def times(case: Case, cards: int) -> Case:
    """The same shops and papers, for so many cards."""
    return replace(case, pieces=tuple(tuple((w, h, n * cards) for w, h, n in some) for some in case.pieces))


def small(seed: int) -> Case:
    """A card of few pieces, so that three of them can be cut in every way there is."""
    case = random_case(seed)
    pieces = tuple(tuple((w, h, 1 + n % 2) for w, h, n in some) for some in case.pieces)
    return replace(case, pieces=pieces)


@pytest.mark.parametrize("seed", range(200, 220))
def test_no_way_of_cutting_and_buying_goes_under_what_is_said_to_be_the_least(seed: int) -> None:
    case = small(seed)
    for point in batch_curve(case.project, CARD, SIZES).points:
        least = by_program(times(case, point.cards))
        assert point.complete
        assert point.price is not None
        assert point.least is not None
        assert point.least <= least <= point.price
        assert not point.proven or point.price == least


def test_two_sizes_of_three_are_proven() -> None:
    curves = [batch_curve(small(seed).project, CARD, SIZES) for seed in range(200, 220)]
    proven = sum(point.proven for curve in curves for point in curve.points)
    assert 3 * proven >= 2 * len(curves) * len(SIZES)


@pytest.fixture(scope="module")
def market() -> Curve:
    project = read_project(DEMOS / "spring_market")
    return batch_curve(project, read_mix(project, ""), range(28, 41))


def test_fewer_cards_are_never_dearer(market: Curve) -> None:
    """Thirty-five cards can be cut from what is bought for thirty-six."""
    prices = [point.price or 0 for point in market.points]
    assert prices == sorted(prices)
    assert all(0 < (point.least or 0) <= (point.price or 0) for point in market.points)
    assert sum(point.proven for point in market.points) >= len(market.points) // 2
