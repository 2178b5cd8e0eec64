"""The whole-number program for few layouts, against every way to use them in small cases."""

from __future__ import annotations

import random
from collections.abc import Sequence
from itertools import product

from nesting.packing.master import Column, few_layouts
from nesting.packing.trees import free_node


def test_the_uses_are_the_least_effort_of_all_that_there_are() -> None:
    several = 0
    for seed in range(40):
        draw = random.Random(seed)
        counts = [(draw.randint(0, 3), draw.randint(0, 3)) for _ in range(5)]
        columns = [Column(number % 2, count, free_node(0, 0)) for number, count in enumerate(counts)]
        each = [draw.randint(1, 20) for _ in columns]
        things = [draw.sample(range(4), draw.randint(0, 2)) for _ in columns]
        prices = [draw.randint(1, 30) for _ in range(4)]
        start, most = [draw.randint(0, 2) for _ in columns], [3] * 5
        needs = [sum(n * count[kind] for n, count in zip(start, counts, strict=True)) for kind in (0, 1)]
        sheets = [sum(start[0::2]), sum(start[1::2])]

        def effort(
            times: Sequence[int], each: list[int] = each, things: list[list[int]] = things, prices: list[int] = prices
        ) -> int:
            used = {thing for some, n in zip(things, times, strict=True) if n for thing in some}
            return sum(n * cost for n, cost in zip(times, each, strict=True)) + sum(prices[thing] for thing in used)

        def fits(
            times: Sequence[int], counts: list[tuple[int, int]] = counts, needs: list[int] = needs,
            sheets: list[int] = sheets,
        ) -> bool:  # fmt: skip
            given = [sum(n * count[kind] for n, count in zip(times, counts, strict=True)) for kind in (0, 1)]
            taken = [sum(times[0::2]), sum(times[1::2])]
            return taken == sheets and all(have >= need for have, need in zip(given, needs, strict=True))

        found = few_layouts(needs, sheets, columns, most, each, things, prices, start, 10_000)
        assert fits(found), f"seed {seed}"
        best = min(effort(times) for times in product(range(4), repeat=5) if fits(times))
        assert effort(found) == best, f"seed {seed}"
        several += effort(found) < effort(start)
    assert several > 10
