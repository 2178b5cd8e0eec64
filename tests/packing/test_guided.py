"""Plans along the fractional plan: true, at the cost asked for or not at all."""

from __future__ import annotations

import random

from random_tasks import missing_from, random_task, unproven
from test_columns import generated

from nesting.packing.check import check
from nesting.packing.fill import fill
from nesting.packing.ground import ground
from nesting.packing.guided import guided
from nesting.packing.layout import PackingTask, PieceKind, SheetKind, cost_of, sheets_of


def without_waste(seed: int, sheets: int) -> PackingTask:
    """Sheets of 100 x 100 cut apart by chance into four to six pieces each, so that as many sheets give them all."""
    chance = random.Random(seed)
    pieces: dict[tuple[int, int], int] = {}
    for _ in range(sheets):
        parts = [(100, 100)]
        while len(parts) < chance.randint(4, 6):
            width, height = max(parts, key=lambda part: (part[0] * part[1], part))
            parts.remove((width, height))
            at = chance.randint(20, 80) * max(width, height) // 100
            parts += [(at, height), (width - at, height)] if width >= height else [(width, at), (width, height - at)]
        for part in parts:
            pieces[part] = pieces.get(part, 0) + 1
    return PackingTask(tuple(PieceKind(*part, need) for part, need in pieces.items()), (SheetKind(100, 100),))


def test_sheets_that_can_be_filled_without_waste_are_filled() -> None:
    """Twelve full sheets, 50 to 70 pieces: a plain fill takes more of them, none can take fewer."""
    found = 0
    for seed in range(2):
        task = without_waste(seed, 12)
        assert sheets_of(fill(ground(task))) > 12
        uses = guided(task, generated(task), 12, attempts=10, seed=seed)
        if uses:
            found += 1
            assert sheets_of(uses) == 12
            assert check(task, unproven(task, uses)) == ()
            assert not any(missing_from(task, uses))
        assert guided(task, generated(task), 11, attempts=2, seed=seed) == ()
    assert found >= 1


def test_a_plan_is_true_and_costs_no_more_than_was_asked() -> None:
    """Any rules, several sheets at several costs, as far as paper suffices."""
    looked_for = found = 0
    for seed in range(30):
        task = random_task(seed, kinds=6, need=9)
        plain = fill(ground(task))
        cost = cost_of(task, plain) - 1
        if any(missing_from(task, plain)) or cost < 1 or sheets_of(plain) > 25:
            continue
        looked_for += 1
        uses = guided(task, generated(task), cost, attempts=2, seed=seed)
        assert uses == guided(task, generated(task), cost, attempts=2, seed=seed)  # chance is seeded
        if uses:
            found += 1
            assert cost_of(task, uses) <= cost
            assert check(task, unproven(task, uses)) == ()
            assert not any(missing_from(task, uses))
    assert looked_for >= 6
    assert found >= 2


def test_it_ends_when_it_is_told_to() -> None:
    task = without_waste(1, 12)
    assert guided(task, generated(task), 12, attempts=10, seed=1, stop=lambda: True) == ()
