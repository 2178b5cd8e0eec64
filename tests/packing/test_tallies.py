"""Sets of counts written in one number, against counting kind by kind."""

from __future__ import annotations

import random

import pytest

from nesting.packing.recheck import _Counts, _Trial
from nesting.packing.tallies import Tallies


@pytest.mark.parametrize("needed", [3, 20_000])
@pytest.mark.parametrize("many", [5, 400])
@pytest.mark.parametrize("seed", range(5))
def test_the_largest_sets_are_those_contained_in_no_other(needed: int, many: int, seed: int) -> None:
    """In one machine word and beyond, few and many sets; the planner's way and the checker's own."""
    chance = random.Random(seed)
    kinds = 8
    sets = {tuple(min(needed, chance.randrange(4) * chance.randrange(2)) for _ in range(kinds)) for _ in range(many)}
    largest = {one for one in sets if not any(one != other and all(map(int.__le__, one, other)) for other in sets)}
    fields = Tallies([needed] * kinds)
    ones = [fields.one_and_field(kind)[0] for kind in range(kinds)]
    written = [sum(count * one for count, one in zip(counts, ones, strict=True)) for counts in sets]
    kept = fields.largest(written, lambda _: None)
    assert sorted(fields.unpack(one) for one in kept) == sorted(largest)
    counts = _Counts([1] * kinds, [needed] * kinds)
    written = [sum(count << place for count, place in zip(some, counts.places, strict=True)) for some in sets]
    kept = _Trial(counts).maximal(written)
    assert sorted(tuple(one >> place & counts.digit for place in counts.places) for one in kept) == sorted(largest)
