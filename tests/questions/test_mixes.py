"""A mix keeps its proportions for every number of cards, and mistakes in it are told in words."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as some

from nesting.describe.project_file import read_project
from nesting.errors import NestingError
from nesting.questions.mixes import Mix, read_mix

STALL = read_project(Path(__file__).parents[2] / "demo_projects" / "harvest_stall")
WEIGHTS = some.lists(some.integers(1, 30), min_size=1, max_size=5)


@given(WEIGHTS, some.integers(0, 300))
def test_one_card_more_takes_a_card_from_no_design(weights: list[int], cards: int) -> None:
    mix = Mix(tuple((f"design {n}", weight) for n, weight in enumerate(weights)))
    fewer, more = mix.counts(cards), mix.counts(cards + 1)
    assert sum(fewer.values()) == cards
    assert sorted(more[name] - fewer[name] for name in fewer) == [0] * (len(weights) - 1) + [1]


@given(WEIGHTS, some.integers(0, 20))
def test_whole_mixes_are_in_exact_proportion(weights: list[int], times: int) -> None:
    mix = Mix(tuple((f"design {n}", weight) for n, weight in enumerate(weights)))
    assert list(mix.counts(times * sum(weights)).values()) == [times * weight for weight in weights]


def test_the_seats_of_a_textbook_are_shared_out_as_it_says() -> None:
    # Votes 53, 24 and 23 for seven seats give 3, 2, 2 by odd divisors: 53, 24, 23, 53/3, 53/5, 24/3, 23/3 are the
    # seven largest quotients (worked by hand).
    assert list(Mix((("a", 53), ("b", 24), ("c", 23))).counts(7).values()) == [3, 2, 2]


def test_the_own_batch_one_design_and_a_mix_are_read() -> None:
    assert dict(read_mix(STALL, "").weights) == {line.design: line.count for line in STALL.batch}
    assert read_mix(STALL, " Pumpkin  PATCH ").weights == (("pumpkin patch", 1),)
    assert read_mix(STALL, "pumpkin patch=2,orchard gate = 1").weights == (("pumpkin patch", 2), ("orchard gate", 1))


def test_all_mistakes_in_a_mix_are_told_at_once() -> None:
    with pytest.raises(NestingError) as caught:
        read_mix(STALL, "pumpkin patsh=2, orchard gate=x")
    first, second = caught.value.problems
    assert "Did you mean “pumpkin patch”" in first.todo
    assert "orchard gate=2" in second.todo


def test_a_mix_of_no_cards_is_refused() -> None:
    with pytest.raises(NestingError, match="No card is wanted"):
        read_mix(STALL, "pumpkin patch=0")
