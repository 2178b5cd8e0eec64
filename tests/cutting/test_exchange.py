"""Exchanges of layouts, held against trying all numbers of uses near by."""

from __future__ import annotations

import random
from collections.abc import Sequence
from itertools import product

from nesting.cutting.exchange import Exchange, Offer
from nesting.cutting.layout_work import Work

PRICE = 15


def _seconds(offers: Sequence[Offer], times: Sequence[int]) -> int:
    used = [(offer.work, copies) for offer, copies in zip(offers, times, strict=True) if copies]
    sizes = {size for work, _ in used for size in work.sizes}
    return sum(work.once + work.each * copies for work, copies in used) + PRICE * len(sizes)


def _given(offers: Sequence[Offer], times: Sequence[int]) -> list[int]:
    return [sum(offer.counts[kind] * copies for offer, copies in zip(offers, times, strict=True)) for kind in (0, 1)]


def _covers(offers: Sequence[Offer], needs: Sequence[int], times: Sequence[int]) -> bool:
    return all(have >= need for have, need in zip(_given(offers, times), needs, strict=True))


def _offers(draw: random.Random, count: int) -> list[Offer]:
    """Made-up layouts of two sources, two kinds of pieces and 130 sizes."""
    return [
        Offer(
            number % 2,
            (draw.randint(0, 4), draw.randint(0, 4)),
            Work(draw.randint(0, 60), draw.randint(20, 60), frozenset(draw.sample(range(130), 3))),
        )
        for number in range(count)
    ]


def test_no_single_exchange_of_up_to_two_copies_is_less_work() -> None:
    """All numbers of uses that differ in two copies at most from what was found are tried."""
    improved = 0
    for seed in range(30):
        draw = random.Random(seed)
        offers = _offers(draw, 6)
        start = [draw.randint(0, 2) for _ in offers]
        needs = _given(offers, start)
        found = Exchange(offers, needs, PRICE).better(start)
        assert _covers(offers, needs, found)
        assert [sum(found[side::2]) for side in (0, 1)] == [sum(start[side::2]) for side in (0, 1)]
        assert _seconds(offers, found) <= _seconds(offers, start)
        improved += found != start
        for change in product((-2, -1, 0, 1, 2), repeat=6):
            one_source = not any(change[0::2]) or not any(change[1::2])
            if sum(map(abs, change)) <= 4 and not sum(change) and one_source:
                times = [copies + more for copies, more in zip(found, change, strict=True)]
                if min(times) >= 0 and _covers(offers, needs, times):
                    assert _seconds(offers, times) >= _seconds(offers, found), f"seed {seed}"
    assert improved > 15
