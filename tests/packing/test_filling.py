"""A table of values filled again, and filled in smaller steps, says the same as a new one."""

import numpy as np
import pytest
from random_tasks import random_task

from nesting.packing import patterns as patterns_module
from nesting.packing.layout import PackingTask
from nesting.packing.patterns import Patterns, patterns
from nesting.packing.stock import stock


def table_of(task: PackingTask) -> Patterns:
    ready = stock(task)
    found = patterns(ready.sources[:1], ready.limits, [piece.need for piece in task.pieces], 400)
    assert found is not None
    return found


SEEDS = [seed for seed in range(40) if stock(random_task(seed)).sources]  # some sheet holds a piece


def prices_of(task: PackingTask) -> list[int]:
    return [piece.width * piece.height + 7 * kind for kind, piece in enumerate(task.pieces)]


def same(one: Patterns, other: Patterns) -> bool:
    return len(one.tables) == len(other.tables) and all(
        np.array_equal(some[axis], more[axis])
        for some, more in zip(one.tables, other.tables, strict=True) for axis in some
    )  # fmt: skip


@pytest.mark.parametrize("seed", SEEDS)
def test_a_list_of_prices_that_was_changed_is_looked_at_anew(seed: int) -> None:
    task = random_task(seed)
    table, fresh = table_of(task), table_of(task)
    prices = prices_of(task)
    table.fill(prices)
    prices[:] = [2 * price + 1 for price in prices]
    table.fill(prices)
    fresh.fill(prices)
    assert same(table, fresh)


@pytest.mark.parametrize("seed", SEEDS)
def test_looking_at_fewer_sums_in_one_go_changes_nothing(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    task = random_task(seed)
    table = table_of(task)
    monkeypatch.setattr(patterns_module, "MOST_CELLS", 10)
    small = table_of(task)
    table.fill(prices_of(task))
    small.fill(prices_of(task))
    assert same(table, small)
