"""Where on the maps each pass works: the parts that go to the stop, and the lines along which they are cut.

In: the plan of one paper. Out: for every pass its Places, one for each part on each layout. The fact of the trade:
one stop setting serves many cuts, so the hand must be shown which part lies under the blade now.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

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
        return (
            self.x <= x and self.y <= y and x + width <= self.x + self.width and y + height <= self.y + self.height
        )


def pass_places(plan: PaperPlan) -> tuple[tuple[Place, ...], ...]:
    """The places of every pass, in the order of the passes; raises Fault where the maps do not show a pass."""
    lying = [Place(n, 0, 0, use.root.width, use.root.height) for n, use in enumerate(plan.uses)]
    kerf = plan.packing.task.rules.kerf
    found = []
    for line in plan.order.passes:
        mine: list[Place] = []
        wanted = sum(line.stacks)
        for place in [each for each in lying if _is_part(plan, each, line)]:
            cuts = _cuts_through(plan, place, line, kerf)
            if len(cuts) == line.cuts and wanted >= plan.uses[place.layout].copies:
                wanted -= plan.uses[place.layout].copies
                lying.remove(place)
                mine.append(Place(place.layout, place.x, place.y, place.width, place.height, cuts))
                lying += _pieces_of(mine[-1], line.edge, kerf)
        if wanted:
            raise Fault(f"{plan.paper.name}: the maps do not show all parts of pass {line.number}.")
        found.append(tuple(mine))
    return tuple(found)


def _is_part(plan: PaperPlan, place: Place, line: Pass) -> bool:
    """Whether what lies there is called as the pass says: same size, same letters."""
    if (place.width, place.height) != (line.part.width, line.part.height):
        return False
    letters = {
        part.part.name.rstrip("0123456789")
        for part in plan.order.parts
        if part.part.name and part.layout == place.layout and place.holds(part.x, part.y, part.width, part.height)
    }
    return letters == set(re.sub(r"\s*\(\d+\)$", "", line.part.name).split())


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
