"""The bound and the settings found, against trying every order of single strokes on tiny layouts."""

from __future__ import annotations

from dataclasses import replace

import pytest
from cut_plans import fewest_by_trying, fewest_under_cap, random_plan

from nesting.cutting.alone import Alone
from nesting.cutting.clashes import Clashes
from nesting.cutting.few_piles import PileSearch
from nesting.cutting.fewest import fewest_settings, no_fewer
from nesting.cutting.needs import PartNeeds
from nesting.cutting.parts import Parts, letters
from nesting.cutting.passes import WaysOfWork
from nesting.cutting.sequence import order_cuts
from nesting.packing.layout import Axis, CutPart, FreePart, PackingTask, PieceKind, PiecePart, SheetKind, Use

FREELY = WaysOfWork(most_piles=1000, ruler_step=1, seconds_per_measure=0)  # nothing is left over on purpose


@pytest.mark.parametrize("first", range(0, 240, 40))
def test_bound_best_and_found_stand_in_order_on_tiny_layouts(first: int) -> None:
    tried = 0
    for seed in range(first, first + 40):
        task, uses = random_plan(seed, sheets=2, depth=3, size=14)
        best = fewest_by_trying(uses, 500)
        if best is None:
            continue
        tried += 1
        order = order_cuts(task, uses, FREELY)
        assert order.fewest <= best <= order.settings, f"seed {seed}"
        assert order.proven, f"seed {seed}: so small a case is always proven"
        assert order.settings == best, f"seed {seed}"
    assert tried > 15


def test_settling_clashes_never_lifts_the_bound_over_the_best() -> None:
    """Also when the work ends in the midst of it; every single clash is one that the best order settles."""
    clashing = 0
    for seed in range(400, 440):
        task, uses = random_plan(seed, sheets=2, depth=3, size=14)
        best = fewest_by_trying(uses, 400)
        parts = Parts(task, FREELY, letters(task, uses))
        roots = [parts.add_layout(use) for use in uses]
        needs = PartNeeds(parts, roots)
        state = needs.of_all(roots)
        single = Alone(needs.needs).of(state).bit_count()
        for work in (5, 20, 80, 4000):
            clashes = Clashes(needs.needs, len(needs.sizes), state, work)
            order = clashes.shortest()
            assert clashes.bound >= single
            if best is not None:
                assert clashes.bound <= best, f"seed {seed}"
                assert order is None or len(order) == best, f"seed {seed}"
        assert order is not None
        runs = [order.count(size) for size in range(len(needs.sizes))]
        assert all(any(runs[size] >= least for size, least in clash.items()) for clash in clashes.known)
        clashing += len(clashes.known) > 0
    assert clashing > 5


def test_a_cap_costs_settings_and_never_saves_them() -> None:
    for seed in range(25):
        task, uses = random_plan(seed, sheets=4, depth=4)
        free = order_cuts(task, uses, FREELY, work=500)
        capped = order_cuts(task, uses, replace(FREELY, most_piles=3), work=500)
        assert capped.settings >= free.fewest
        assert capped.piles <= 3 or capped.piles <= free.piles


def test_under_a_cap_most_tiny_orders_are_the_best_of_all_and_none_is_better() -> None:
    """Of the others, those looked at take some strips of one size off a part and leave some on, which no run does."""
    tried = best = costs = 0
    for seed in range(60):
        task, uses = random_plan(seed, sheets=2, depth=3, size=14)
        fewest = fewest_under_cap(uses, 2, 400)
        if fewest is None:
            continue
        order = order_cuts(task, uses, replace(FREELY, most_piles=2))
        if order.piles > 2:
            continue
        tried += 1
        assert order.fewest <= fewest <= order.settings <= fewest + 2, f"seed {seed}"
        best += order.settings == fewest
        costs += fewest > order.fewest
    assert tried > 40
    assert costs > 10
    assert best > 0.8 * tried


def test_under_a_cap_more_work_finds_shorter_orders_and_never_longer_ones() -> None:
    shorter = 0
    for seed in range(12):
        task, uses = random_plan(seed, sheets=8, size=40, depth=5)
        parts = Parts(task, FREELY, letters(task, uses))
        roots = frozenset(number for use in uses if parts.is_block(number := parts.add_layout(use)))
        needs = PartNeeds(parts, sorted(roots))
        before = None
        for work in (1, 10_000, 100_000):
            runs = PileSearch(parts, needs, 7, work, None).best(roots, 0)
            assert runs is not None or before is None, f"seed {seed}"
            if runs is not None and before is not None:
                assert len(runs) <= before, f"seed {seed}"
                shorter += len(runs) < before
            before = before if runs is None else len(runs)
    assert shorter > 5


def test_the_bound_is_the_same_without_an_order() -> None:
    for seed in range(500, 515):
        task, uses = random_plan(seed, sheets=5, size=30, depth=4)
        parts = Parts(task, FREELY, letters(task, uses))
        roots = [number for use in uses if parts.is_block(number := parts.add_layout(use))]
        for work in (3, 100, 2000):
            needs = PartNeeds(parts, roots)
            given = needs.needs, len(needs.sizes), needs.of_all(roots), work
            assert no_fewer(*given) == fewest_settings(*given).bound, f"seed {seed}"


def _plan(axis: Axis, *strips: int, waste: int = 0) -> tuple[PackingTask, tuple[Use, ...]]:
    across = axis is Axis.ACROSS
    sizes = [(strip, 10) if across else (10, strip) for strip in strips]
    kinds = sorted(set(sizes))
    total = sum(strips) + waste
    parts = [PiecePart(*size, kinds.index(size)) for size in sizes]
    free = [FreePart(waste, 10) if across else FreePart(10, waste)] if waste else []
    whole = (total, 10) if across else (10, total)
    task = PackingTask(tuple(PieceKind(*size, sizes.count(size)) for size in kinds), (SheetKind(*whole),))
    return task, (Use(0, CutPart(*whole, axis, (*parts, *free)), 1),)


@pytest.mark.parametrize(
    ("strips", "waste", "settings"),
    [((4, 4, 4), 0, 1), ((3, 5), 0, 1), ((3, 5), 1, 2), ((3, 3, 5), 0, 1), ((2, 3, 5), 0, 2), ((3, 3, 5, 5), 0, 2)],
)
def test_one_row_needs_one_setting_per_size_less_what_may_be_left_over(
    strips: tuple[int, ...], waste: int, settings: int
) -> None:
    for axis in Axis:
        order = order_cuts(*_plan(axis, *strips, waste=waste), FREELY)
        assert (order.settings, order.fewest) == (settings, settings)
