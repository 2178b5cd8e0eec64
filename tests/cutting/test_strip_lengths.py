"""The lengths that can occur on a side, against all sums of strips that fit on it."""

from __future__ import annotations

import random
from itertools import combinations_with_replacement

from nesting.cutting.strip_lengths import StripLengths


def test_every_length_that_strips_can_leave_is_there_and_no_other() -> None:
    for seed in range(60):
        draw = random.Random(f"lengths {seed}")
        whole = draw.randint(8, 24)
        sizes = {draw.randint(2, 30) for _ in range(draw.randint(1, 4))}
        fit = {size for size in sizes if size <= whole}
        side = StripLengths(3, 3 * whole + draw.randint(0, 2), sizes)
        sums = {sum(some) for count in range(whole) for some in combinations_with_replacement(sorted(fit), count)}
        left = {start - total for start in (whole, *fit) for total in sums if total < start}
        assert side.lengths == sorted({0} | left)
        assert side.sizes == sorted(fit)


def test_strips_fit_with_paper_to_spare_or_fill_a_length_and_what_they_leave_is_found() -> None:
    side = StripLengths(1, 20, {6, 14, 21})
    assert side.lengths == [0, 2, 6, 8, 14, 20]
    assert [fits.strips for fits in side.fits] == [(), (), (), (6,), (6,), (6, 14)]
    assert [fits.strips for fits in side.fits_or_fills] == [(), (), (6,), (6,), (6, 14), (6, 14)]
    for fits, length in zip(side.fits_or_fills, side.lengths, strict=True):
        for strip, place, rest in zip(fits.strips, fits.places, fits.rests, strict=True):
            assert side.lengths[place] == strip
            assert side.lengths[rest] == length - strip


def test_a_side_that_is_longer_than_its_units_is_true_from_edge_to_edge() -> None:
    side = StripLengths(10, 105, {4})
    assert (side.whole, side.longer) == (10, True)
    assert [side.true(length) for length in (4, 6, 10)] == [40, 60, 105]
