"""Needs that lie between all that full sheets add up to: against looking at every sum, and an independent model."""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from scipy import optimize

from nesting.packing.check_bound import verify_bound
from nesting.packing.layout import Allowed, Outcome, PackingTask, PieceKind, Reason, SheetKind, sheets_of
from nesting.packing.remainders import Lattice, none_adds_up
from nesting.packing.solve import solve


def strips(length: int, lengths: Sequence[int], needs: Sequence[int]) -> PackingTask:
    """Pieces as high as the sheet: only lengths count."""
    pieces = tuple(PieceKind(size, 10, need, (Allowed(0, False),)) for size, need in zip(lengths, needs, strict=True))
    return PackingTask(pieces, (SheetKind(length, 10, cost=1000),))


# A sheet of 30 is full with two of 15, three of 10 or five of 6, and with no mixture. One, two and four are left over:
# 59 in length together, for which two sheets would do if lengths were all.
BETWEEN = strips(30, (15, 10, 6), (20_001, 20_000, 20_004))


def test_what_is_left_over_of_full_sheets_takes_one_more() -> None:
    answer = solve(BETWEEN)
    assert (answer.outcome, answer.bound.reason) == (Outcome.PROVEN, Reason.EXHAUSTIVE)
    assert sheets_of(answer.uses) == 10_000 + 6_666 + 4_000 + 3
    by_length = verify_bound(BETWEEN, replace(answer.bound, reason=Reason.PRICES))
    assert by_length.sheets == 10_000 + 6_666 + 4_000 + 2


def test_the_checker_does_not_believe_one_sheet_more_than_that() -> None:
    bound = solve(BETWEEN).bound
    assert verify_bound(BETWEEN, bound).cost == bound.cost
    assert verify_bound(BETWEEN, replace(bound, cost=bound.cost + 1000)).cost <= bound.cost


def test_needs_that_full_sheets_do_add_up_to_are_met() -> None:
    answer = solve(strips(30, (15, 10, 6), (20_000, 20_001, 20_005)))
    assert (answer.outcome, sheets_of(answer.uses)) == (Outcome.PROVEN, 10_000 + 6_667 + 4_001)


def ways_to_fill(length: int, lengths: Sequence[int]) -> Iterator[tuple[int, ...]]:
    if not lengths:
        yield ()
        return
    for count in range(length // lengths[0] + 1):
        yield from ((count, *rest) for rest in ways_to_fill(length - count * lengths[0], lengths[1:]))


def fewest_sheets(length: int, lengths: Sequence[int], needs: Sequence[int]) -> int:
    """By SciPy's integer programs over all ways to fill a sheet."""
    ways = np.array(list(ways_to_fill(length, lengths)), dtype=float).T
    found = optimize.milp(
        np.ones(ways.shape[1]), integrality=np.ones(ways.shape[1]),
        constraints=optimize.LinearConstraint(ways, np.array(needs, dtype=float)),
    )  # fmt: skip
    assert found.success
    sheets: float = found.fun
    return round(sheets)


# Sheets that are full with one kind of strip alone, or nearly so: what remains of several kinds is hard to combine.
HARD = ((30, (15, 10, 6)), (42, (21, 14, 6)), (60, (20, 15, 12)), (70, (35, 14, 10)), (61, (20, 15, 12)), (24, (7, 5)))


def test_large_needs_of_strips_are_proven_as_an_independent_model_says() -> None:
    r = random.Random(7)
    beyond_prices = 0
    for _ in range(50):
        length, lengths = r.choice(HARD)
        needs = [1] * len(lengths)
        while -sum(size * need for size, need in zip(lengths, needs, strict=True)) % length > 2:  # just whole sheets
            needs = [r.randint(1_000, 9_000) for _ in lengths]
        answer = solve(strips(length, lengths, needs))
        best = fewest_sheets(length, lengths, needs)
        assert answer.bound.sheets <= best <= sheets_of(answer.uses)
        assert answer.outcome is Outcome.PROVEN
        beyond_prices += answer.bound.reason is Reason.EXHAUSTIVE
    assert beyond_prices >= 2


@pytest.mark.parametrize("seed", range(40))
def test_none_adds_up_only_where_looking_at_every_sum_finds_none(seed: int) -> None:
    r = random.Random(seed)
    kinds = r.randint(1, 3)
    prices = [r.choice((0, 1, 2, 5, 9)) for _ in range(kinds)]
    sets = [
        (tuple(r.choice((0, 0, 2, 3, 4)) for _ in range(kinds)), r.choice((0, 1, 1, 3, 7)))
        for _ in range(r.randint(1, 4))
    ]
    needs, slack = tuple(r.randint(0, 14) for _ in range(kinds)), r.randint(0, 6)

    @cache
    def least(needs: tuple[int, ...]) -> int:
        """The least that sheets lose which give these needs; pieces may be left out at their price."""
        if not any(needs):
            return 0
        best = 1 << 30
        for counts, loss in sets:
            given = [min(count, need) for count, need in zip(counts, needs, strict=True)]
            if any(given):
                out = sum((c - g) * price for c, g, price in zip(counts, given, prices, strict=True))
                rest = tuple(need - some for need, some in zip(needs, given, strict=True))
                best = min(best, loss + out + least(rest))
        return best

    if none_adds_up(sets, prices, needs, slack, lambda work: None):
        assert least(needs) > slack


def test_none_adds_up_where_threes_are_to_make_twenty() -> None:
    assert none_adds_up([((3,), 0)], [10], [20], 9, lambda work: None)
    assert not none_adds_up([((3,), 0)], [10], [21], 9, lambda work: None)
    assert not none_adds_up([((3,), 0)], [10], [20], 10, lambda work: None)  # one of seven threes is left out


@pytest.mark.parametrize("seed", range(20))
def test_a_remainder_stands_for_all_that_differ_by_rows_of_the_lattice(seed: int) -> None:
    r = random.Random(seed)
    rows = [[r.randint(-9, 9) for _ in range(3)] for _ in range(r.randint(1, 5))]
    lattice = Lattice(3)
    for row in rows:
        lattice.add(row)
    some = [r.randint(-50, 50) for _ in range(3)]
    times = [r.randint(-5, 5) for _ in rows]
    moved = [value + sum(n * row[at] for n, row in zip(times, rows, strict=True)) for at, value in enumerate(some)]
    assert lattice.remainder(moved) == lattice.remainder(some)
    if len(rows) == 3:  # as many classes as the determinant says
        volume = round(abs(np.linalg.det(np.array(rows, dtype=float))))
        diagonal = [row[at] if row is not None else 0 for at, row in enumerate(lattice.rows)]
        assert int(np.prod(diagonal)) == volume
