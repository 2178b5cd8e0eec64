"""Small shops and small papers in whole inches, with every way of cutting them found by looking at every cut.

Slow, simple, and nothing to do with the planner: which counts of sheets of each size suffice for a paper.
"""

from __future__ import annotations

import random
from dataclasses import dataclass
from itertools import product

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from small_projects import Counts, harvests

from nesting.describe.designs import CardDesign, CardPart, OwnSize, PartKind
from nesting.describe.papers import HeldSheet, Paper, Sheet, SoldSheet
from nesting.describe.project import BatchLine, Project, Spares, Trimmer
from nesting.describe.shops import Offer, Shop, Ware
from nesting.errors import Place
from nesting.lengths import Unit, inches
from nesting.money import Currency
from nesting.pieces.supply import offers_of

NOWHERE = Place("papers.toml", 1)
MOST = 12  # sheets of one size that are looked at


@dataclass(frozen=True)
class Case:
    """Papers: sizes sold, sheets at hand (width, height), pieces (width, height, count); offers and postage by shop."""

    sizes: tuple[tuple[tuple[int, int], ...], ...]
    at_hand: tuple[tuple[tuple[int, int], ...], ...]
    pieces: tuple[tuple[tuple[int, int, int], ...], ...]
    offers: tuple[Offer, ...]
    postage: tuple[tuple[str, int], ...]

    @property
    def project(self) -> Project:
        """One card that takes its pieces from all papers; singles without a shop stand with the papers."""
        papers = tuple(
            Paper(
                f"paper {n}", NOWHERE,
                sold=tuple(SoldSheet(o.holds[0][0].sheet, o.cents, NOWHERE) for o in self.offers
                           if not o.shop and o.holds[0][0].paper == f"paper {n}"),
                at_hand=tuple(HeldSheet(sheet(w, h), 1, NOWHERE) for w, h in there),
            )
            for n, there in enumerate(self.at_hand)
        )  # fmt: skip
        parts = tuple(
            CardPart(PartKind.PIECE, f"piece {n}.{i}", NOWHERE, OwnSize(inches(w), inches(h)), f"paper {n}", count=many)
            for n, pieces in enumerate(self.pieces)
            for i, (w, h, many) in enumerate(pieces)
        )
        shops = tuple(
            Shop(name, NOWHERE, cents, tuple(o for o in self.offers if o.shop == name)) for name, cents in self.postage
        )
        return Project(
            title="small", unit=Unit.INCH, currency=Currency("$"), papers=papers,
            designs=(CardDesign("card", NOWHERE, parts=parts),), batch=(BatchLine("card", 1, NOWHERE),),
            spares=Spares(), pieces=(), trimmer=Trimmer(), shops=shops,
        )  # fmt: skip

    def enough(self, paper: int) -> list[tuple[int, ...]]:
        """The counts of each size sold that suffice together with what is at hand, none more than another."""
        pieces = self.pieces[paper]
        kinds = tuple((w, h) for w, h, _ in pieces)
        left = {tuple(count for _, _, count in pieces)}
        for size in self.at_hand[paper]:
            left = _after(left, kinds, size)
        found: list[tuple[int, ...]] = []
        counts = sorted(product(range(MOST + 1), repeat=len(self.sizes[paper])), key=sum)
        for some in counts:
            if any(all(a <= b for a, b in zip(less, some, strict=True)) for less in found):
                continue
            rest = left
            for size, count in zip(self.sizes[paper], some, strict=True):
                for _ in range(count):
                    rest = _after(rest, kinds, size)
            if any(not any(one) for one in rest):
                found.append(some)
        return found


def sheet(width: int, height: int) -> Sheet:
    return Sheet(inches(width), inches(height))


def ware(paper: int, size: tuple[int, int]) -> Ware:
    return Ware(f"paper {paper}", sheet(*size))


def _after(left: set[Counts], kinds: tuple[tuple[int, int], ...], size: tuple[int, int]) -> set[Counts]:
    after = {
        tuple(max(0, a - b) for a, b in zip(rest, gives, strict=True))
        for rest in left
        for gives in harvests(kinds, *size)
    }
    return {a for a in after if not any(a != b and all(x >= y for x, y in zip(a, b, strict=True)) for b in after)}


def random_case(seed: int) -> Case:
    """One to three papers in one or two sizes, sold singly somewhere and in packs and pads in two shops."""
    r = random.Random(seed)
    papers = r.randint(1, 3)
    sizes = tuple(tuple(r.sample([(6, 6), (4, 4), (6, 3)], r.randint(1, 2))) for _ in range(papers))
    pieces = []
    for _ in range(papers):
        kinds = sorted({(r.randint(2, 3), r.randint(1, 3)) for _ in range(r.randint(1, 2))})
        pieces.append(tuple((w, h, r.randint(2, 7)) for w, h in kinds))
    shops = ["near", "far"]
    offers = [
        Offer("sheet", r.randint(20, 60) * w * h // 12, ((ware(n, (w, h)), 1),), r.choice(["", *shops]))
        for n, some in enumerate(sizes)
        for w, h in some
    ]
    for _ in range(r.randint(1, 3)):
        held = r.sample([(n, size) for n, some in enumerate(sizes) for size in some], r.randint(1, min(2, papers)))
        holds = tuple((ware(n, size), r.randint(2, 4)) for n, size in held)
        cents = sum(r.randint(8, 40) * w * h // 12 * count for (_, (w, h)), (_, count) in zip(held, holds, strict=True))
        offers.append(Offer("pack", cents, holds, r.choice(shops), r.choice([None, None, 1, 2])))
    return Case(
        sizes,
        tuple(tuple((r.randint(2, 5), r.randint(2, 5)) for _ in range(r.randint(0, 1))) for _ in range(papers)),
        tuple(pieces),
        tuple(offers),
        tuple((shop, r.choice([0, 60, 150])) for shop in shops),
    )


def by_program(case: Case) -> int:
    """The least cents, by a plain whole-number program over ways to cut each paper, offers and shops."""
    offers, shops = offers_of(case.project), [shop for shop, _ in case.postage]
    ways = [(n, way) for n in range(len(case.sizes)) for way in case.enough(n)]
    costs = [0] * len(ways) + [offer.cents for offer in offers] + [cents for _, cents in case.postage]
    rows, least = [], []
    for paper in range(len(case.sizes)):
        rows.append([int(n == paper) for n, _ in ways] + [0] * (len(offers) + len(shops)))
        least.append(1)
        for place, size in enumerate(case.sizes[paper]):
            takes = [-way[place] if n == paper else 0 for n, way in ways]
            gives = [dict(offer.holds).get(ware(paper, size), 0) for offer in offers]
            rows.append(takes + gives + [0] * len(shops))
            least.append(0)
    for number, offer in enumerate(offers):
        if offer.shop:
            row = [0] * len(costs)
            row[len(ways) + number], row[len(ways) + len(offers) + shops.index(offer.shop)] = -1, 100
            rows.append(row)
            least.append(0)
    most = [1] * len(ways) + [99 if offer.limit is None else offer.limit for offer in offers] + [1] * len(shops)
    solved = milp(np.array(costs), constraints=LinearConstraint(np.array(rows), np.array(least)),
                  integrality=np.ones(len(costs)), bounds=Bounds(0, np.array(most)),
                  options={"mip_rel_gap": 0})  # fmt: skip
    assert solved.success
    return round(float(solved.fun))
