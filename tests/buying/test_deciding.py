"""Layouts and purchases decided together: against every purchase and every cut, and against a plain program."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp
from shop_cases import Case, random_case, sheet, ware

from nesting.buying.check import check_purchase
from nesting.buying.purchase import Bought, postage_of
from nesting.describe.shops import Offer, Ware
from nesting.packing.solve import Effort
from nesting.pieces.supply import offers_of
from nesting.plan import Plan, make_plan


def planned(case: Case) -> Plan:
    return make_plan(case.project, effort=Effort.QUICK)


def purchases(offers: tuple[Offer, ...], postage: Mapping[str, int], cents: int) -> Iterator[tuple[int, list[int]]]:
    """Every purchase of at most so many cents, postage included: its cost and how many of each offer."""

    def more(number: int, left: int, paid: frozenset[str], taken: list[int]) -> Iterator[tuple[int, list[int]]]:
        if number == len(offers):
            yield cents - left, list(taken)
            return
        offer, count = offers[number], 0
        posted = 0 if offer.shop in paid else postage.get(offer.shop, 0)
        yield from more(number + 1, left, paid, [*taken, 0])
        while (offer.limit is None or count < offer.limit) and count < 12:
            count += 1
            rest = left - posted - count * offer.cents
            if rest < 0:
                return
            yield from more(number + 1, rest, paid | {offer.shop}, [*taken, count])

    yield from more(0, cents, frozenset(), [])


def enough(case: Case, there: Mapping[Ware, int], ways: list[list[tuple[int, ...]]]) -> bool:
    return all(
        any(all(there.get(ware(n, size), 0) >= count for size, count in zip(sizes, way, strict=True)) for way in some)
        for n, (sizes, some) in enumerate(zip(case.sizes, ways, strict=True))
    )


def there_is(offers: tuple[Offer, ...], taken: list[int]) -> dict[Ware, int]:
    found: dict[Ware, int] = {}
    for offer, count in zip(offers, taken, strict=True):
        for one, held in offer.holds:
            found[one] = found.get(one, 0) + held * count
    return found


@pytest.mark.parametrize("seed", range(12))
def test_no_purchase_of_all_there_are_is_cheaper(seed: int) -> None:
    case = random_case(seed)
    ways = [case.enough(n) for n in range(len(case.sizes))]
    plan = planned(case)
    assert plan.complete
    assert plan.purchase is not None
    assert plan.purchase.proven
    offers, postage = offers_of(case.project), postage_of(case.project)
    best = min(
        (cost, sum(there_is(offers, taken).values()))
        for cost, taken in purchases(offers, postage, plan.purchase.cents)
        if enough(case, there_is(offers, taken), ways)
    )
    assert (plan.purchase.cents, sum(plan.purchase.brought.values())) == best


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


@pytest.mark.parametrize("seed", range(100, 130))
def test_a_plain_program_over_all_ways_of_cutting_finds_nothing_cheaper(seed: int) -> None:
    case = random_case(seed)
    plan = planned(case)
    assert plan.purchase is not None
    least = by_program(case)
    assert plan.purchase.bound <= least <= plan.purchase.cents
    assert plan.purchase.proven
    assert plan.purchase.cents == least
