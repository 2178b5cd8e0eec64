"""The largest offcut by asking for it as a piece is the largest of all by every cut at every whole number."""

from __future__ import annotations

import random
import sys
from functools import cache
from itertools import product
from pathlib import Path

import pytest

from nesting.packing.layout import Allowed, PackingTask, PieceKind, SheetKind, sheets_of
from nesting.packing.solve import solve

sys.path.insert(0, str(Path(__file__).parents[2] / "benchmarks"))
from largest_offcuts import largest_offcut


def by_every_cut(task: PackingTask) -> int:
    """The largest free part of one sheet that gives all pieces; -1 where it does not give them."""
    sides = [(one.width, one.height, one.allowed[0].may_turn) for one in task.pieces]

    @cache
    def free(width: int, height: int, counts: tuple[int, ...]) -> int:
        if not any(counts):
            return width * height
        best = -1
        for (wide, high, turns), count in zip(sides, counts, strict=True):
            fits = (wide, high) == (width, height) or (turns and (high, wide) == (width, height))
            if count and sum(counts) == 1 and fits:
                return 0
        for some in product(*(range(count + 1) for count in counts)):
            others = tuple(count - taken for count, taken in zip(counts, some, strict=True))
            for at in range(1, width):
                one, other = free(at, height, some), free(width - at, height, others)
                best = max(best, one, other) if min(one, other) >= 0 else best
            for at in range(1, height):
                one, other = free(width, at, some), free(width, height - at, others)
                best = max(best, one, other) if min(one, other) >= 0 else best
        return best

    return free(task.sheets[0].width, task.sheets[0].height, tuple(piece.need for piece in task.pieces))


@pytest.mark.parametrize("block", range(4))
def test_the_largest_offcut_is_what_every_cut_finds(block: int) -> None:
    known = 0
    for seed in range(block * 10, block * 10 + 10):
        chance = random.Random(seed)
        pieces = tuple(
            PieceKind(chance.randint(1, 5), chance.randint(1, 5), chance.randint(1, 2), (Allowed(0, turn),))
            for turn in (True, False, True)[: chance.randint(2, 3)]
        )
        task = PackingTask(pieces, (SheetKind(chance.randint(6, 9), chance.randint(6, 9)),))
        answer = solve(task)
        best = by_every_cut(task)
        assert (best >= 0) == (not any(answer.missing) and sheets_of(answer.uses) == 1)
        if best >= 0:
            found = largest_offcut(task, answer.uses)
            assert found.had <= best <= found.possible
            known += found.had == found.possible
    assert known >= 3
