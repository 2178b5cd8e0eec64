"""Small jobs for a slow and exact model: a few kinds of pieces, one or two sheets, now and then a trimmer's limits."""

from __future__ import annotations

import random

from nesting.packing.layout import Allowed, CutRules, PackingTask, PieceKind, SheetKind


def small_job(seed: int) -> PackingTask:
    """Two to four kinds of pieces, sheets up to 20 x 20, needs up to 6."""
    chance = random.Random(f"small {seed}")
    rules = CutRules(kerf=chance.choice((0, 0, 0, 1)))
    if chance.random() < 0.4:
        rules = CutRules(
            rules.kerf,
            longest_cut=chance.choice((None, 14, 16)),
            largest_setting=chance.choice((None, 8, 10)),
            narrowest_held=chance.choice((0, 3, 4)),
        )
    pieces = tuple(
        PieceKind(
            chance.randint(2, 12), chance.randint(2, 9), chance.randint(1, 6), (Allowed(0, chance.random() < 0.6),)
        )
        for _ in range(chance.randint(2, 4))
    )
    sheets = tuple(
        SheetKind(
            chance.randint(10, 20), chance.randint(10, 20), cost=chance.choice((1, 1, 2, 3)),
            limit=chance.choice((None, None, 2)) if number else None,
        )
        for number in range(chance.choice((1, 1, 2)))
    )  # fmt: skip
    return PackingTask(pieces, sheets, rules)
