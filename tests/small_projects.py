"""Small projects in whole inches, and what can be made of them by looking at every cut there is.

Slow, simple, and nothing to do with the planner: every straight cut at every inch, every way of taking the sheets.
"""

from __future__ import annotations

import random
from dataclasses import dataclass
from functools import cache

from nesting.describe.designs import CardDesign, CardPart, OwnSize, PartKind
from nesting.describe.papers import HeldSheet, Paper, Sheet, SoldSheet
from nesting.describe.project import BatchLine, Project, Spares, Trimmer
from nesting.errors import Place
from nesting.lengths import Unit, inches
from nesting.money import Currency

NOWHERE = Place("papers.toml", 1)
Counts = tuple[int, ...]


@dataclass(frozen=True)
class Small:
    """Papers: sheets at hand (width, height, count), one size to buy and its cents; pieces (width, height, a card)."""

    at_hand: tuple[tuple[tuple[int, int, int], ...], ...]
    sold: tuple[tuple[int, int, int] | None, ...]
    pieces: tuple[tuple[tuple[int, int, int], ...], ...]

    @property
    def project(self) -> Project:
        """One design, "card", that takes its pieces from all papers."""
        papers = tuple(
            Paper(
                f"paper {n}", NOWHERE,
                sold=() if sold is None else (SoldSheet(_sheet(*sold[:2]), sold[2], NOWHERE),),
                at_hand=tuple(HeldSheet(_sheet(w, h), count, NOWHERE) for w, h, count in there),
            )
            for n, (there, sold) in enumerate(zip(self.at_hand, self.sold, strict=True))
        )  # fmt: skip
        parts = tuple(
            CardPart(PartKind.PIECE, f"piece {n}.{i}", NOWHERE, OwnSize(inches(w), inches(h)), f"paper {n}", count=many)
            for n, pieces in enumerate(self.pieces)
            for i, (w, h, many) in enumerate(pieces)
        )
        return Project(
            title="small", unit=Unit.INCH, currency=Currency("$"), papers=papers,
            designs=(CardDesign("card", NOWHERE, parts=parts),), batch=(BatchLine("card", 1, NOWHERE),),
            spares=Spares(), pieces=(), trimmer=Trimmer(),
        )  # fmt: skip


def _sheet(width: int, height: int) -> Sheet:
    return Sheet(inches(width), inches(height))


def most_cards(small: Small, money: int) -> int:
    """The most cards, by trying one more until no way of buying and cutting gives them."""
    cards = 0
    while sum(least_money(small, n, cards + 1, money) for n in range(len(small.pieces))) <= money:
        cards += 1
    return cards


def least_money(small: Small, number: int, cards: int, money: int) -> int:
    """The least cents that this paper takes; money + 1 if there is no way."""
    pieces, sold = small.pieces[number], small.sold[number]
    needs = tuple(count * cards for _, _, count in pieces)
    sizes = tuple((w, h) for w, h, _ in pieces)
    there = [(w, h) for w, h, count in small.at_hand[number] for _ in range(count)]
    most = 0 if sold is None else money // sold[2]
    left = {needs}
    for width, height in there:
        left = _after(left, sizes, width, height)
    for bought in range(most + 1):
        if any(not any(rest) for rest in left):
            return bought * (sold[2] if sold else 0)
        if sold:
            left = _after(left, sizes, sold[0], sold[1])
    return money + 1


def _after(left: set[Counts], sizes: tuple[tuple[int, int], ...], width: int, height: int) -> set[Counts]:
    """What may still be wanted when one more sheet is cut in any way."""
    return {
        tuple(max(0, a - b) for a, b in zip(rest, gives, strict=True))
        for rest in left
        for gives in harvests(sizes, width, height)
    }


@cache
def harvests(sizes: tuple[tuple[int, int], ...], width: int, height: int) -> frozenset[Counts]:
    """All sets of pieces, none of which holds another, that straight cuts at whole inches free."""
    none = (0,) * len(sizes)
    found = {none}
    for kind, (w, h) in enumerate(sizes):
        if (w <= width and h <= height) or (h <= width and w <= height):
            found.add((*none[:kind], 1, *none[kind + 1 :]))
    halves = [((cut, height), (width - cut, height)) for cut in range(1, width // 2 + 1)]
    halves += [((width, cut), (width, height - cut)) for cut in range(1, height // 2 + 1)]
    for one, other in halves:
        for a in harvests(sizes, *one):
            for b in harvests(sizes, *other):
                found.add(tuple(x + y for x, y in zip(a, b, strict=True)))
    return frozenset(
        a for a in found if not any(a != b and all(x <= y for x, y in zip(a, b, strict=True)) for b in found)
    )


def random_small(seed: int) -> Small:
    """One or two papers, a few small sheets at hand, perhaps a size to buy."""
    r = random.Random(seed)
    papers = r.randint(1, 2)
    return Small(
        at_hand=tuple(
            tuple((r.randint(2, 6), r.randint(2, 6), r.randint(1, 2)) for _ in range(r.randint(1, 2)))
            for _ in range(papers)
        ),
        sold=tuple((6, 6, r.randint(3, 9)) if r.random() < 0.7 else None for _ in range(papers)),
        pieces=tuple(_pieces(r) for _ in range(papers)),
    )


def _pieces(r: random.Random) -> tuple[tuple[int, int, int], ...]:
    sizes = sorted({(r.randint(1, 3), r.randint(1, 2)) for _ in range(r.randint(1, 2))})
    return tuple((w, h, r.randint(1, 2)) for w, h in sizes)
