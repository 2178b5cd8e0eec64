"""The least that any purchase costs from which some papers can be cut, by bounds that the packer has found.

In: for each group of papers that share pieces its sources, its task and bounds. Out: cents. The fact of the trade: two
plans with as many sheets are not bought for the same money, so that fewest sheets is no proof of cheapest.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from nesting.buying.cheapest import search
from nesting.buying.facts import fact_of, front, kinds_of, tried
from nesting.buying.purchase import TENTHS
from nesting.describe.shops import Offer
from nesting.packing.layout import Bound, PackingTask
from nesting.pieces.supply import Source


def least_cents(
    groups: Sequence[tuple[Sequence[Source], PackingTask, Sequence[Bound]]],
    offers: Sequence[Offer], postage: Mapping[str, int],
) -> int:  # fmt: skip
    """No purchase of what all groups need costs less; 0 where nothing is certain. What knife work costs is left out."""
    fronts = []
    for sources, task, bounds in groups:
        facts = [fact for bound in bounds for fact in (fact_of(task, bound), *tried(task, bound))]
        open_counts = front(list(dict.fromkeys(facts)), kinds_of(sources, task), low=True)
        fronts.append(replace(open_counts, work=(0,) * len(open_counts.work)))
    found = search([one for one in fronts if one.wares], offers, postage)
    return 0 if found is None else -(-found.bound // TENTHS)
