"""The waves of a table against one part after another, in plain loops."""

from __future__ import annotations

import random

import numpy as np
import pytest

from nesting.packing.points import Side, side
from nesting.packing.waves import Waves


def some_side(chance: random.Random, longest: int, held: int) -> Side:
    whole = chance.randint(1, 40)
    parts = [(chance.randint(1, whole), chance.randint(1, 9)) for _ in range(chance.randint(1, 6))]
    found = side([whole], parts, longest=longest, held=held)
    assert found is not None
    return found


def one_by_one(values: list[list[int]], xs: Side, ys: Side, across: np.ndarray, down: np.ndarray) -> list[list[int]]:
    """The best of each part, from what stands before it."""
    table = [list(row) for row in values]
    for i in range(len(xs.sizes)):
        for j in range(len(ys.sizes)):
            if across[i, j]:
                pairs = range(xs.starts[i], xs.starts[i + 1])
                table[i][j] = max([table[i][j], *(table[xs.first[p]][j] + table[xs.second[p]][j] for p in pairs),
                                   *([table[i - 1][j]] if i else [])])  # fmt: skip
            if down[i, j]:
                pairs = range(ys.starts[j], ys.starts[j + 1])
                table[i][j] = max([table[i][j], *(table[i][ys.first[p]] + table[i][ys.second[p]] for p in pairs),
                                   *([table[i][j - 1]] if j else [])])  # fmt: skip
    return table


@pytest.mark.parametrize("seed", range(120))
def test_waves_find_what_one_part_after_another_finds(seed: int) -> None:
    """Any sides, also of a single state; everything can be cut, or only what lies within limits, or parts by chance."""
    chance = random.Random(seed)
    held, longest = chance.choice([(0, 1 << 40), (0, 15), (4, 1 << 40)])
    xs, ys = some_side(chance, longest, held), some_side(chance, longest, held)
    shape = len(xs.sizes), len(ys.sizes)
    share = chance.choice([1.0, 1.0, 0.7])
    across, down = ([[chance.random() < share for _ in range(shape[1])] for _ in range(shape[0])] for _ in range(2))
    waves = Waves(xs, ys, np.array(across), np.array(down))
    for _ in range(2):  # the same order of work serves for other values
        values = [[chance.choice([0, 0, chance.randint(1, 99)]) for _ in range(shape[1])] for _ in range(shape[0])]
        expected = one_by_one(values, xs, ys, np.array(across), np.array(down))
        assert waves.closed(np.array(values, dtype=np.int64)).tolist() == expected
