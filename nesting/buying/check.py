"""Does a purchase hold? It is added up again from the offers, and challenged to see whether a cheaper one is left.

In: a Decision, the offers and postage, and the new sheets that are cut. Out: sentences, one for each thing that is
wrong. It shares no code with the search: the challenge is one whole-number program over offers, shops and sheets,
solved by HiGHS; what that finds is a hint, and counts only where exact sums confirm it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from nesting.buying.decide import Decision
from nesting.describe.shops import Offer, Ware
from nesting.packing.master import least_whole

NODES = 2000  # of the challenge


def check_purchase(
    decision: Decision, offers: Sequence[Offer], postage: Mapping[str, int], cut: Mapping[Ware, int]
) -> tuple[str, ...]:
    """All that is wrong with a purchase; `cut`: new sheets that the plan takes."""
    return (*_wrong_sums(decision, offers, postage, cut), *_challenged(decision, offers, postage))


def _wrong_sums(
    decision: Decision, offers: Sequence[Offer], postage: Mapping[str, int], cut: Mapping[Ware, int]
) -> Iterable[str]:
    purchase = decision.purchase
    cents = 0
    there: dict[Ware, int] = {}
    for line in purchase.lines:
        cents += line.offer.cents * line.count
        if line.offer not in offers or line.count < 1:
            yield f"“{line.offer.name}” is bought {line.count} times, and nobody sells it so."
        if line.offer.limit is not None and line.count > line.offer.limit:
            yield f"“{line.offer.name}” is bought {line.count} times, and there are {line.offer.limit}."
        for ware, count in line.offer.holds:
            there[ware] = there.get(ware, 0) + count * line.count
    posted = sum(postage[shop] for shop in {line.offer.shop for line in purchase.lines} if shop in postage)
    if (purchase.postage, purchase.cents) != (posted, cents + posted):
        yield f"The purchase is said to cost {purchase.cents}, and costs {cents + posted}."
    for ware, count in cut.items():
        if count > there.get(ware, 0):
            yield f"{count} new sheets of {ware.paper} are cut, and {there.get(ware, 0)} are bought."
    if purchase.proven != (purchase.bound == purchase.cents):
        yield "The purchase is called the cheapest, and its bound says otherwise."


def _challenged(decision: Decision, offers: Sequence[Offer], postage: Mapping[str, int]) -> Iterable[str]:
    """Whether a purchase under the bound is left open by all facts."""
    shops = sorted({offer.shop for offer in offers if postage.get(offer.shop)})
    costs = [10 * offer.cents for offer in offers] + [10 * postage[shop] for shop in shops]
    most: list[int | None] = [offer.limit for offer in offers] + [1 for _ in shops]
    rows: list[tuple[dict[int, float], float]] = []
    sheets: dict[tuple[int, int], int] = {}  # the column of each sheet kind of each group
    wares: dict[Ware, int] = {}
    for number, known in enumerate(decision.evidence):
        for ware, kind, _ in known.kinds.wares:
            wares[ware] = sheets[number, kind] = len(costs)
            costs, most = [*costs, 0], [*most, None]
        for kind, count, work in known.kinds.paid:
            sheets[number, kind] = len(costs)
            costs, most = [*costs, work], [*most, count]
    many = 1 + sum(-(-fact.need // max(1, *fact.worths)) for known in decision.evidence for fact in known.facts[:1])
    for ware, column in wares.items():
        holding = {i: float(dict(offer.holds)[ware]) for i, offer in enumerate(offers) if ware in dict(offer.holds)}
        rows.append(({**holding, column: -1.0}, 0.0))
    for number, offer in enumerate(offers):
        if offer.shop in shops:
            times = float(10 * many if offer.limit is None else max(1, offer.limit))
            rows.append(({number: -1.0, len(offers) + shops.index(offer.shop): times}, 0.0))
    exact: list[tuple[dict[int, int], int]] = []
    for number, known in enumerate(decision.evidence):
        for fact in known.facts:
            free = sum(fact.worths[kind] * count for kind, count in known.kinds.free)
            factors = {sheets[place]: fact.worths[place[1]] for place in sheets if place[0] == number}
            exact.append((factors, fact.need - free))
            if fact.need > free:
                scale = fact.need - free
                rows.append(({column: worth / scale for column, worth in factors.items()}, 1.0))
    found = least_whole(costs, rows, most, nodes=NODES)
    if not found or any(sum(found[c] * worth for c, worth in factors.items()) < need for factors, need in exact):
        return
    for ware, column in wares.items():
        if found[column] > sum(found[i] * dict(offer.holds).get(ware, 0) for i, offer in enumerate(offers)):
            return
    paid = {shop for shop in shops if any(found[i] for i, offer in enumerate(offers) if offer.shop == shop)}
    cost = sum(10 * postage[shop] for shop in paid)
    cost += sum(cost * found[i] for i, cost in enumerate(costs) if not len(offers) <= i < len(offers) + len(shops))
    if cost < decision.bound:
        yield f"A purchase for {cost} tenths is left open, and none under {decision.bound} is said to be."
