"""Prices in the middle of all best ones, against a linear program of SciPy's."""

from __future__ import annotations

import random

import numpy as np
import pytest
from scipy.optimize import linprog

from nesting.packing.master import Column, central_prices
from nesting.packing.trees import free_node


@pytest.mark.parametrize("seed", range(40))
def test_they_show_the_cost_and_columns_lose_as_much_as_they_can(seed: int) -> None:
    """Needs from unlimited sheets; each loss counts up to `most`, so the sum is that of a second program."""
    chance = random.Random(seed)
    kinds, price, most = chance.randint(2, 5), 1000, chance.choice([1.0, 50.0])
    needs = [chance.randint(1, 30) for _ in range(kinds)]
    rows = [[3 * int(kind == other) for other in range(kinds)] for kind in range(kinds)]
    rows += [[chance.randint(0, 4) for _ in range(kinds)] for _ in range(8)]
    given = np.array(rows)
    best = linprog([price] * len(rows), A_ub=-given.T, b_ub=[-need for need in needs]).fun
    columns = [Column(0, tuple(row), free_node(1, 1)) for row in rows]
    pieces, (sheet,) = central_prices(needs, [[(price, None)]], [1e6] * kinds, columns, best * (1 - 1e-9), most)
    assert np.dot(pieces, needs) == pytest.approx(best)
    losses = sheet - given @ pieces
    assert sheet == pytest.approx(price, rel=1e-6)
    assert losses.min() > -1e-6
    greatest = linprog(
        [0.0] * kinds + [-1.0] * len(rows),
        A_ub=np.hstack([given, np.eye(len(rows))]),
        b_ub=[price] * len(rows),
        A_eq=[needs + [0] * len(rows)],
        b_eq=[best],
        bounds=[(0, None)] * kinds + [(0, most)] * len(rows),
    )
    assert np.minimum(losses, most).sum() == pytest.approx(-greatest.fun, abs=0.01)


def test_there_are_none_that_show_more_than_is_so() -> None:
    columns = [Column(0, (2,), free_node(1, 1))]
    assert central_prices([4], [[(1000, None)]], [1e6], columns, 2100, 1.0) == ([], [])
