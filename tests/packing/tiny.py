"""Tiny jobs and their best plans by looking at every cut there is: slow, simple, and nothing to do with the planner."""

from __future__ import annotations

import random
from functools import cache
from itertools import product

from nesting.packing.layout import Allowed, CutRules, PackingTask, PieceKind, SheetKind

Counts = tuple[int, ...]


def tiny_job(seed: int) -> PackingTask:
    """One to three kinds of pieces, one or two kinds of sheets, sides up to 8, now and then a kerf or a limit."""
    r = random.Random(seed)
    pieces = tuple(
        PieceKind(r.randint(1, 6), r.randint(1, 6), r.randint(1, 3), (Allowed(0, may_turn=r.random() < 0.6),))
        for _ in range(r.randint(1, 3))
    )
    sheets = tuple(
        SheetKind(r.randint(4, 8), r.randint(4, 8), cost=r.choice([1, 1, 2, 3, 5]), limit=r.choice([None, None, 1, 2]))
        for _ in range(r.randint(1, 2))
    )
    return PackingTask(pieces, sheets, CutRules(kerf=r.choice([0, 0, 0, 1])))


def best_cost(task: PackingTask) -> int | None:
    """The least cost of a plan for all needs, by every cut at every position; None if there is no plan."""
    needs = tuple(piece.need for piece in task.pieces)
    yields = [harvests(task, sheet.width, sheet.height) for sheet in task.sheets]
    limits = tuple(sum(needs) if sheet.limit is None else min(sheet.limit, sum(needs)) for sheet in task.sheets)

    @cache
    def cost(left: Counts, sheets: tuple[int, ...]) -> int | None:
        if not any(left):
            return 0
        best = None
        for number, count in enumerate(sheets):
            if not count:
                continue
            fewer = (*sheets[:number], count - 1, *sheets[number + 1 :])
            for gives in yields[number]:
                rest = tuple(max(0, a - b) for a, b in zip(left, gives, strict=True))
                if rest != left:
                    more = cost(rest, fewer)
                    if more is not None and (best is None or more + task.sheets[number].cost < best):
                        best = more + task.sheets[number].cost
        return best

    return cost(needs, limits)


def harvests(task: PackingTask, width: int, height: int) -> frozenset[Counts]:
    """All largest sets of pieces, no more than are needed of each, that one part can be cut into, without margins."""
    needs, rules, kerf = tuple(piece.need for piece in task.pieces), task.rules, task.rules.kerf
    none = (0,) * len(needs)

    def can_cut(long: int, wide: int, first: int) -> bool:
        reach = min(first, long - first - kerf) <= (rules.largest_setting or long)
        return reach and wide <= (rules.longest_cut or wide) and min(long, wide) >= rules.narrowest_held

    @cache
    def inside(w: int, h: int) -> frozenset[Counts]:
        if w <= 0 or h <= 0:
            return frozenset([none])
        found = {none}
        for kind, piece in enumerate(task.pieces):
            sizes = [(piece.width, piece.height), (piece.height, piece.width)][: 1 + piece.allowed[0].may_turn]
            if (w, h) in sizes:
                found.add(tuple(int(k == kind) for k in range(len(needs))))
        pairs = [(inside(a, h), inside(w - a - kerf, h)) for a in range(1, w) if can_cut(w, h, a)]
        pairs += [(inside(w, a), inside(w, h - a - kerf)) for a in range(1, h) if can_cut(h, w, a)]
        for first, second in pairs:
            for a, b in product(first, second):
                found.add(tuple(min(need, x + y) for need, x, y in zip(needs, a, b, strict=True)))
        return frozenset(a for a in found if not any(a != b and all(map(int.__le__, a, b)) for b in found))

    return inside(width, height)


def most_worth(task: PackingTask, width: int, height: int, prices: Counts) -> int:
    """The most that a part can be worth, any number of each piece, by every cut at every position."""
    kerf = task.rules.kerf

    @cache
    def worth(w: int, h: int) -> int:
        if w <= 0 or h <= 0:
            return 0
        best = 0
        for piece, price in zip(task.pieces, prices, strict=True):
            sizes = [(piece.width, piece.height), (piece.height, piece.width)][: 1 + piece.allowed[0].may_turn]
            if any(pw <= w and ph <= h for pw, ph in sizes):
                best = max(best, price)
        best = max([best, *(worth(a, h) + worth(w - a - kerf, h) for a in range(1, w // 2 + 1))])
        return max([best, *(worth(w, a) + worth(w, h - a - kerf) for a in range(1, h // 2 + 1))])

    return worth(width, height)


def most_worth_ruled(task: PackingTask, width: int, height: int, prices: Counts) -> int:
    """The same within a trimmer's limits and with at most so many turns; for pieces that are no blocks."""
    rules, kerf = task.rules, task.rules.kerf

    def cuts(long: int, wide: int) -> list[tuple[int, int]]:
        if min(long, wide) < rules.narrowest_held or wide > (rules.longest_cut or wide):
            return []
        pairs = ((first, max(0, long - first - kerf)) for first in range(1, long))
        return [pair for pair in pairs if min(pair) <= (rules.largest_setting or long)]

    @cache
    def worth(w: int, h: int, across: bool, turns: int) -> int:
        """Cut in one direction first; -1 where more turns were made than may be."""
        if turns < 0 or not w or not h:
            return min(turns, 0)
        best = max(0, worth(w, h, not across, turns - 1))
        for piece, price in zip(task.pieces, prices, strict=True):
            sizes = [(piece.width, piece.height), (piece.height, piece.width)][: 1 + piece.allowed[0].may_turn]
            best = max(best, price if (w, h) in sizes else 0)
        for a, b in cuts(w, h) if across else cuts(h, w):
            first, second = ((a, h), (b, h)) if across else ((w, a), (w, b))
            best = max(best, worth(*first, across, turns) + worth(*second, across, turns))
        return best

    turns = 2 * (width + height) if rules.most_turns is None else rules.most_turns
    return max(worth(width, height, across, turns) for across in (True, False))
