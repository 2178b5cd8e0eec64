"""What is taken from the drawer, and what goes back into it.

In: a Plan. Out: plain rows of paper, size, count. The fact of the trade: an offcut without a label is bought again.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from nesting.describe.papers import Paper, Sheet
from nesting.lengths import Length
from nesting.plan import Plan

Taken = tuple[str, Sheet, int, str]  # paper, sheet, how many, what it is


@dataclass(frozen=True, slots=True)
class Kept:
    """`count` offcuts of one size, as they lie with the print upright, from some layouts (1 up) of a paper."""

    paper: Paper
    width: Length
    height: Length
    count: int
    layouts: tuple[int, ...]


def from_drawer(plan: Plan) -> tuple[Taken, ...]:
    """Sheets and offcuts to take out of the drawer, equal ones together."""
    counts: dict[tuple[str, Sheet, str], int] = {}
    for paper in plan.papers:
        for use in paper.uses:
            source = paper.packing.sources[use.sheet]
            if source.kind.at_hand:
                key = (paper.paper.name, source.sheet, source.kind.value.removesuffix(" at hand"))
                counts[key] = counts.get(key, 0) + use.copies
    return tuple((name, sheet, count, kind) for (name, sheet, kind), count in counts.items())


def to_keep(plan: Plan) -> tuple[Kept, ...]:
    """Offcuts to put back, largest first within a paper; equal ones are one lot, as in the drawer."""
    found: list[Kept] = []
    for paper in plan.papers:
        lots: dict[tuple[int, int], Kept] = {}
        for each in paper.offcuts:
            new = Kept(paper.paper, Length(each.width), Length(each.height), each.count, (each.layout + 1,))
            lot = lots.get((each.width, each.height), replace(new, count=0, layouts=()))
            layouts = tuple(dict.fromkeys((*lot.layouts, *new.layouts)))
            lots[each.width, each.height] = replace(lot, count=lot.count + each.count, layouts=layouts)
        found += lots.values()
    return tuple(found)
