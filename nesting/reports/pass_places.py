"""Where on the maps each pass works: the parts that go to the stop, and the lines along which they are cut.

In: the plan of one paper. Out: for every pass its Places, one for each part on each layout. The fact of the trade:
one stop setting serves many cuts, so the hand must be shown which part lies under the blade now.
"""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass, replace

from nesting.cutting.passes import Edge, MapCut, Pass
from nesting.errors import Fault
from nesting.packing.layout import Axis
from nesting.plan import PaperPlan


@dataclass(frozen=True, slots=True)
class Place:
    """One part on one map, in the sheet's own frame, in ticks; and the cuts that a pass makes through it."""

    layout: int
    x: int
    y: int
    width: int
    height: int
    cuts: tuple[MapCut, ...] = ()

    def holds(self, x: int, y: int, width: int, height: int) -> bool:
        """Whether a rectangle of the same layout lies inside."""
        return self.x <= x and self.y <= y and x + width <= self.x + self.width and y + height <= self.y + self.height


def pass_places(plan: PaperPlan) -> tuple[tuple[Place, ...], ...]:
    """The places of every pass, in the order of the passes; raises Fault where the maps do not show a pass."""
    lying = [Place(n, 0, 0, use.root.width, use.root.height) for n, use in enumerate(plan.uses)]
    kerf = plan.packing.task.rules.kerf
    found = []
    for line in plan.order.passes:
        there = [place for place in lying if _is_part(plan, place, line)]
        cut = [replace(place, cuts=_cuts_through(plan, place, line, kerf)) for place in there]
        cut = [place for place in cut if len(place.cuts) == line.cuts]
        cut.sort(key=lambda place: not _gives(plan, place, line, kerf))
        copies = tuple(plan.uses[place.layout].copies for place in cut)
        chosen = _adding_up(copies, sum(line.stacks))
        if chosen is None:
            raise Fault(f"{plan.paper.name}: the maps do not show all parts of pass {line.number}.")
        mine = [cut[n] for n in chosen]
        for place in mine:
            lying.remove(replace(place, cuts=()))
            lying += _pieces_of(place, line.edge, kerf)
        found.append(tuple(mine))
    return tuple(found)


def _adding_up(copies: tuple[int, ...], wanted: int, first: int = 0) -> tuple[int, ...] | None:
    """The first places whose copies are together just as many as wanted."""
    if not wanted:
        return ()
    for n in range(first, len(copies)):
        if copies[n] <= wanted:
            rest = _adding_up(copies, wanted - copies[n], n + 1)
            if rest is not None:
                return (n, *rest)
    return None


def _gives(plan: PaperPlan, place: Place, line: Pass, kerf: int) -> bool:
    """Whether the place comes apart into what the pass says, where parts of one name differ inside."""
    own = Counter((each.width, each.height, _letters(plan, each)) for each in _pieces_of(place, line.edge, kerf))
    said = Counter[tuple[int, int, frozenset[str]]]()
    for came in line.comes:
        said[came.part.width, came.part.height, _named(came.part.name)] += came.count
    return said == Counter({part: count * sum(line.stacks) for part, count in own.items()})


def _is_part(plan: PaperPlan, place: Place, line: Pass) -> bool:
    """Whether what lies there is called as the pass says: same size, same letters."""
    if (place.width, place.height) != (line.part.width, line.part.height):
        return False
    return _letters(plan, place) == _named(line.part.name)


def _letters(plan: PaperPlan, place: Place) -> frozenset[str]:
    return frozenset(
        part.part.name.rstrip("0123456789")
        for part in plan.order.parts
        if part.part.name and part.layout == place.layout and place.holds(part.x, part.y, part.width, part.height)
    )


def _named(name: str) -> frozenset[str]:
    """The letters in the name of a part on the table: "A B (2)" holds A and B."""
    return frozenset(re.sub(r"\s*\(\d+\)$", "", name).split())


def _cuts_through(plan: PaperPlan, place: Place, line: Pass, kerf: int) -> tuple[MapCut, ...]:
    """The cuts of this pass through the whole part, in the order in which they are made: one setting after another."""
    across, far = line.edge.axis is Axis.ACROSS, line.edge in (Edge.RIGHT, Edge.BOTTOM)
    start, end = (place.x, place.x + place.width) if across else (place.y, place.y + place.height)
    at = {
        end - n * (line.setting + kerf) + kerf if far else start + n * (line.setting + kerf) - kerf: n
        for n in range(1, line.cuts + 1)
    }
    sides = (place.y, place.y + place.height) if across else (place.x, place.x + place.width)
    mine = [
        cut for cut in plan.order.cuts
        if (cut.layout, cut.number) == (place.layout, line.number)
        and (((cut.y0, cut.y1) == sides and cut.x0 == cut.x1 and cut.x0 in at) if across
             else ((cut.x0, cut.x1) == sides and cut.y0 == cut.y1 and cut.y0 in at))
    ]  # fmt: skip
    return tuple(sorted(mine, key=lambda cut: at[cut.x0 if across else cut.y0]))


def _pieces_of(place: Place, edge: Edge, kerf: int) -> list[Place]:
    """What a part comes apart into."""
    across = edge.axis is Axis.ACROSS
    start, end = (place.x, place.x + place.width) if across else (place.y, place.y + place.height)
    spans = []
    for cut in place.cuts:
        at = cut.x0 if across else cut.y0
        if edge in (Edge.RIGHT, Edge.BOTTOM):
            spans.append((at, end))
            end = at - kerf
        else:
            spans.append((start, at))
            start = at + kerf
    spans.append((start, end))
    return [
        Place(place.layout, a, place.y, b - a, place.height) if across
        else Place(place.layout, place.x, a, place.width, b - a)
        for a, b in spans if b > a
    ]  # fmt: skip
