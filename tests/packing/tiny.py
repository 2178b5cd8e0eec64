"""Tiny jobs and their best plans by looking at every cut there is: slow, simple, and nothing to do with the planner."""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import pairwise, product

from nesting.packing.layout import Allowed, Axis, Block, CutRules, Margins, PackingTask, PieceKind, SheetKind

Counts = tuple[int, ...]
State = tuple[int, int, bool, int]  # a part: width, height, whether the last cut was across, the turns left


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


def ruled_job(seed: int, sides: tuple[int, int] = (4, 11), papers: int = 1) -> PackingTask:
    """The same with margins, blocks and some of everything that a trimmer cannot do; sheets with such sides.

    Of several papers each has a sheet or two, and a piece may be cut from some of them, turned or not.

    No kerf where a strip must be held: layouts do not say that a blade's width is trimmed off first.
    """
    r = random.Random(seed)
    held = r.choice([0, 0, 2, 3])
    kerf = 0 if held else r.choice([0, 0, 1])
    rules = CutRules(kerf, r.choice([None, None, r.randint(*sides)]), r.choice([None, None, r.randint(3, sides[1])]),
                     held, r.choice([None, None, 0, 1, 2]))  # fmt: skip
    pieces = []
    for _ in range(r.randint(1, 4)):
        width, height = r.randint(1, 7), r.randint(1, 7)
        size = (width, width if r.random() < 0.2 else height)
        block = _block(r, size, kerf) if r.random() < 0.4 else None
        some = [0] if papers == 1 else r.sample(range(papers), r.randint(1, papers))
        allowed = tuple(Allowed(paper, may_turn=r.random() < 0.6) for paper in some)
        pieces.append(PieceKind(*size, r.randint(1, 3), allowed, block))
    sheets = []
    for paper in [paper for paper in range(papers) for _ in range(r.randint(1, 2))]:
        strips = Margins(*(r.choice([0, 0, 0, 1]) for _ in range(4))) if r.random() < 0.6 else Margins()
        sheets.append(SheetKind(r.randint(*sides), r.randint(*sides), paper, r.choice([1, 1, 2, 3, 5]),
                                limit=r.choice([None, None, None, 1, 2]), margins=strips))  # fmt: skip
    return PackingTask(tuple(pieces), tuple(sheets), rules)


def _block(r: random.Random, size: tuple[int, int], kerf: int) -> Block | None:
    axis, parts = r.choice(list(Axis)), r.choice([1, 2, 2, 3])
    room = (size[0] if axis is Axis.ACROSS else size[1]) - (parts - 1) * kerf
    if room < parts:
        return None
    marks = [0, *sorted(r.sample(range(1, room), parts - 1)), room]
    return Block(axis, tuple(b - a for a, b in pairwise(marks)))


def best_cost(task: PackingTask) -> int | None:
    """The least cost of a plan for all needs, by every cut at every position; None if there is no plan."""
    needs = tuple(piece.need for piece in task.pieces)
    yields = [harvests(task, sheet) for sheet in task.sheets]
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


def _ways(piece: PieceKind, paper: int) -> tuple[bool, ...]:
    """How a piece may lie on a paper: as it is (False), turned (True)."""
    return tuple(turned for one in piece.allowed if one.paper == paper for turned in (False, True)[: 1 + one.may_turn])


@dataclass(frozen=True)
class Trimmer:
    """All that can be done with a part of a paper under a task's rules, which are read here in words of their own."""

    task: PackingTask
    paper: int

    def can_cut(self, long: int, wide: int, parts: Sequence[int]) -> bool:
        """Each part off the rest, one after the other: the rest can be held, one side of the blade reaches the stop."""
        rules = self.task.rules
        for number, part in enumerate(parts[:-1]):
            beyond = min(part, max(parts[number + 1 :])) > (rules.largest_setting or long)
            if beyond or min(long, wide) < rules.narrowest_held or wide > (rules.longest_cut or wide):
                return False
            long -= part + rules.kerf
        return True

    def turned(self, state: State, across: bool) -> list[int]:
        """The turns that are left when the next cut goes this way; none if it must not."""
        left = state[3] - (state[2] != across)
        return [left] if self.task.rules.most_turns is None or left >= 0 else []

    def cuts(self, state: State) -> Iterator[tuple[State, State]]:
        """Every cut at every position: the two parts it makes, either of them perhaps of no extent."""
        free, kerf = self.task.rules.most_turns is None, self.task.rules.kerf
        for across in (True, False):
            long, wide = state[:2] if across else state[1::-1]
            for left in self.turned(state, across):
                for first in range(1, long):
                    parts = first, max(0, long - first - kerf)
                    if self.can_cut(long, wide, parts):
                        sizes = [(part, wide) if across else (wide, part) for part in parts]
                        a, b = [(*size, free or across, 0 if free else left) for size in sizes]
                        yield a, b

    def is_piece(self, state: State, piece: PieceKind) -> bool:
        """Whether the part is the piece, or its block, which can still be cut apart."""
        for turned in _ways(piece, self.paper):
            if state[:2] == ((piece.height, piece.width) if turned else (piece.width, piece.height)):
                if piece.block is None or len(piece.block.extents) < 2:
                    return True
                across = (piece.block.axis is Axis.ACROSS) != turned
                long, wide = state[:2] if across else state[1::-1]
                if self.turned(state, across) and self.can_cut(long, wide, piece.block.extents):
                    return True
        return False

    def starts(self, sheet: SheetKind) -> set[State]:
        """What can be left of a sheet once its margins are off, whichever first, the blade inside of them."""
        turns, kerf = self.task.rules.most_turns or 0, self.task.rules.kerf
        found: set[State] = set()

        def cut_off(state: State, edges: frozenset[str]) -> None:
            if not edges:
                found.add((*state[:2], True, 0) if self.task.rules.most_turns is None else state)
            for edge in edges:
                across, margin = edge in ("left", "right"), getattr(sheet.margins, edge)
                long, wide = state[:2] if across else state[1::-1]
                strip = max(0, margin - kerf)
                rest = long - (strip + kerf if edge in ("left", "top") else margin)
                if rest > 0 and self.can_cut(long, wide, (strip, rest)):
                    for left in self.turned(state, across):
                        cut_off((rest, wide, across, left) if across else (wide, rest, across, left), edges - {edge})

        for across in (True, False):  # the first direction is free
            edges = frozenset(edge for edge in ("left", "top", "right", "bottom") if getattr(sheet.margins, edge))
            cut_off((sheet.width, sheet.height, across, turns), edges)
        return found


def harvests(task: PackingTask, sheet: SheetKind) -> frozenset[Counts]:
    """All largest sets of pieces, no more than are needed of each, that one sheet can be cut into."""
    needs, trimmer = tuple(piece.need for piece in task.pieces), Trimmer(task, sheet.paper)
    none = (0,) * len(needs)

    @cache
    def inside(state: State) -> frozenset[Counts]:
        if 0 in state[:2]:
            return frozenset([none])
        found = {none}
        for kind, piece in enumerate(task.pieces):
            if needs[kind] and trimmer.is_piece(state, piece):
                found.add(tuple(int(k == kind) for k in range(len(needs))))
        for one, other in trimmer.cuts(state):
            for a, b in product(inside(one), inside(other)):
                found.add(tuple(min(need, x + y) for need, x, y in zip(needs, a, b, strict=True)))
        return largest(found)

    def largest(found: set[Counts]) -> frozenset[Counts]:
        return frozenset(a for a in found if not any(a != b and all(map(int.__le__, a, b)) for b in found))

    return largest({none}.union(*(inside(state) for state in trimmer.starts(sheet))))


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


def most_worth_ruled(task: PackingTask, sheet: SheetKind, prices: Counts) -> int:
    """The most that a sheet can be worth under all the rules, any number of each piece, by every cut there is."""
    trimmer = Trimmer(task, sheet.paper)

    @cache
    def worth(state: State) -> int:
        if 0 in state[:2]:
            return 0
        priced = zip(task.pieces, prices, strict=True)
        single = max((price for piece, price in priced if trimmer.is_piece(state, piece)), default=0)
        return max([single, *(worth(one) + worth(other) for one, other in trimmer.cuts(state))])

    return max((worth(state) for state in trimmer.starts(sheet)), default=0)
