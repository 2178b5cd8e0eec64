"""Exchanges of layouts, held against trying all numbers of uses near by."""

from __future__ import annotations

import random
from collections.abc import Sequence
from itertools import product

import numpy as np

from nesting.cutting.exchange import Exchange
from nesting.cutting.together import Together

PARTS, DEEP = 30, 3


def _work(draw: random.Random, layouts: int) -> Together:
    """Made-up work: each layout holds a few parts, which take time for every stack of them, and have lines."""
    holds = np.zeros((layouts, PARTS))
    for row in holds:
        for part in draw.sample(range(PARTS), 4):
            row[part] = draw.randint(1, 5)
    spans = (20, 60), (0, 9), (1, 3), (0, 15)
    each, per_stack, lines, once = (
        np.array([float(draw.randint(*span)) for _ in range(count)])
        for span, count in zip(spans, (layouts, PARTS, PARTS, PARTS), strict=True)
    )
    return Together(each, holds, once, per_stack, lines, 7, 9, DEEP)


def _seconds(work: Together, times: Sequence[int]) -> float:
    """The same once more, part by part."""
    total, lines = sum(float(each) * copies for each, copies in zip(work.each, times, strict=True)), 0
    for part in range(PARTS):
        held = int(sum(copies * row[part] for copies, row in zip(times, work.holds, strict=True)))
        total += float(work.per_stack[part]) * ((held + DEEP - 1) // DEEP)
        total += float(work.once[part]) if held else 0
        lines += int(work.lines[part]) if held else 0
    return total + 7 * lines * lines // 9


def _given(counts: Sequence[Sequence[int]], times: Sequence[int]) -> list[int]:
    return [sum(each[kind] * copies for each, copies in zip(counts, times, strict=True)) for kind in (0, 1)]


def test_no_single_exchange_of_up_to_two_copies_is_less_work() -> None:
    """All numbers of uses that differ in two copies at most from what was found are tried."""
    improved = 0
    for seed in range(30):
        draw = random.Random(seed)
        counts = [(draw.randint(0, 4), draw.randint(0, 4)) for _ in range(6)]
        sources, work = [number % 2 for number in range(6)], _work(draw, 6)
        start = [draw.randint(0, 2) for _ in range(6)]
        needs = _given(counts, start)
        found = Exchange(sources, counts, needs, work).better(start)

        def covers(times: Sequence[int], counts: list[tuple[int, int]] = counts, needs: list[int] = needs) -> bool:
            return all(have >= need for have, need in zip(_given(counts, times), needs, strict=True))

        assert covers(found)
        assert [sum(found[side::2]) for side in (0, 1)] == [sum(start[side::2]) for side in (0, 1)]
        assert work.seconds(np.array(found, dtype=np.float64)) == _seconds(work, found) <= _seconds(work, start)
        improved += found != start
        for change in product((-2, -1, 0, 1, 2), repeat=6):
            one_source = not any(change[0::2]) or not any(change[1::2])
            if sum(map(abs, change)) <= 4 and not sum(change) and one_source:
                times = [copies + more for copies, more in zip(found, change, strict=True)]
                if min(times) >= 0 and covers(times):
                    assert _seconds(work, times) >= _seconds(work, found), f"seed {seed}"
    assert improved > 15
