"""Which disc speaks for which cuts of a map, and on which side of the sheet it stands.

In: a Scene. Out: Marks, still in ticks: one disc each. The rules of the trade behind it: a number is one stop
setting, cuts in one line share it, and a person finds a cut by following its line out of the sheet to its number.
A cut that ends inside of the sheet gets a thin leader with a dot, on the way that crosses the fewest pieces.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from enum import Enum

from nesting.cutting.passes import What
from nesting.reports.map_crossings import Crossings
from nesting.reports.map_subject import Cut, Scene, Side

_MANY = 4  # so many equal cuts of one strip get a bracket
_CROSSED = {What.PIECE: 1.0, What.PART: 1.0, What.KEEP: 0.4, What.SCRAP: 0.0}


class Way(Enum):
    """How a cut is led to its disc."""

    LINE = "line"  # the cut itself runs out of the sheet
    BRACKET = "bracket"  # a bracket outside of the sheet with a tick for each cut
    LEADER = "leader"  # a thin line from a dot on the cut


@dataclass(frozen=True, slots=True)
class Mark:
    """One disc: its number, the cuts it speaks for, its side, and its wished place along that side in ticks.

    start: where the thin leader begins, in ticks; `comb`: the cuts are strung together beside that point.
    """

    number: int
    cuts: tuple[Cut, ...]
    side: Side
    place: int
    way: Way
    start: tuple[int, int] = (0, 0)
    comb: bool = False


@dataclass(frozen=True, slots=True)
class _Route:
    cost: float
    order: int
    side: Side
    place: int
    start: tuple[int, int]
    straight: bool  # it goes on in the cut's own line

    @property
    def rank(self) -> tuple[float, int]:
        return self.cost, self.order


def find_marks(scene: Scene) -> tuple[Mark, ...]:
    """One mark for every disc of the map, in the order of their numbers; every cut belongs to one."""
    strips: dict[tuple[int, bool, int, int], list[Cut]] = defaultdict(list)
    for cut in scene.cuts:
        strips[cut.number, cut.vertical, cut.start, cut.end].append(cut)
    marks: list[Mark] = []
    field = Crossings(scene)
    for equal in strips.values():
        marks.extend(_marks_of_strip(field, sorted(equal, key=lambda c: c.at)))
    return _shared(marks)


def _marks_of_strip(field: Crossings, equal: list[Cut]) -> list[Mark]:
    """Marks for the cuts of one number that begin and end alike."""
    best = [_routes(field, cut)[0] for cut in equal]
    if len(equal) >= _MANY:
        for side in _sides(equal[0]):
            if all(_straight(field, cut, side).cost < 0.4 for cut in equal):
                middle = (equal[0].at + equal[-1].at) // 2
                return [Mark(equal[0].number, tuple(equal), side, middle, Way.BRACKET)]
    if len(equal) > 1 and any(route.cost >= 0.4 for route in best):
        middle_cut = equal[len(equal) // 2]
        route = min((_straight(field, middle_cut, side) for side in _sides(middle_cut)), key=lambda r: r.rank)
        return [Mark(middle_cut.number, tuple(equal), route.side, route.place, Way.LEADER, route.start, comb=True)]
    return [
        Mark(cut.number, (cut,), r.side, r.place, Way.LINE if r.cost < 0.4 and r.straight else Way.LEADER, r.start)
        for cut, r in zip(equal, best, strict=True)
    ]


def _shared(marks: list[Mark]) -> tuple[Mark, ...]:
    """Marks of one number at one place are one disc: cuts in one line share it."""
    groups: dict[tuple[int, Side, int, Way, bool], list[Mark]] = {}
    for mark in marks:
        key = (mark.number, mark.side, mark.place, Way.BRACKET if mark.way is Way.BRACKET else Way.LINE, mark.comb)
        groups.setdefault(key, []).append(mark)
    shared = []
    for group in groups.values():
        way = Way.LEADER if any(m.way is Way.LEADER for m in group) else group[0].way
        leading = [m for m in group if m.way is way]
        cuts = tuple(cut for m in group for cut in m.cuts)
        # the leader begins at the cut that lies furthest from the disc
        far = max(leading, key=lambda m: _depth(m))
        shared.append(Mark(far.number, cuts, far.side, far.place, way, far.start, far.comb))
    return tuple(sorted(shared, key=lambda m: (m.number, m.side.value, m.place)))


def _depth(mark: Mark) -> int:
    x, y = mark.start
    return {Side.LEFT: x, Side.TOP: y, Side.RIGHT: -x, Side.BOTTOM: -y}[mark.side]


def _sides(cut: Cut) -> tuple[Side, Side]:
    """The two sides in the cut's own line, the preferred one first."""
    if not cut.vertical:
        return Side.LEFT, Side.RIGHT
    return (Side.TOP, Side.BOTTOM) if cut.stage == 1 else (Side.BOTTOM, Side.TOP)


def _routes(field: Crossings, cut: Cut) -> list[_Route]:
    """All ways from a cut to a side, the best first: in its own line, or from a point of it at a right angle."""
    routes = [_straight(field, cut, side) for side in _sides(cut)]
    if min(route.cost for route in routes) >= 1:
        across = (Side.LEFT, Side.RIGHT) if cut.vertical else (Side.TOP, Side.BOTTOM)
        for order, share in enumerate((4, 2, 6, 3, 5)):
            at = cut.start + (cut.end - cut.start) * share // 8
            start = (cut.at, at) if cut.vertical else (at, cut.at)
            for side in across:
                cost = _cost(field, cut, side, start, at) + 0.5
                routes.append(_Route(cost, 10 + order, side, at, start, False))
    return sorted(routes, key=lambda route: route.rank)


def _straight(field: Crossings, cut: Cut, side: Side) -> _Route:
    at_start = side in (Side.LEFT, Side.TOP)
    end = cut.start if at_start else cut.end
    start = (cut.at, end) if cut.vertical else (end, cut.at)
    cost = _cost(field, cut, side, start, cut.at)
    return _Route(cost, _sides(cut).index(side), side, cut.at, start, True)


def _cost(field: Crossings, cut: Cut, side: Side, start: tuple[int, int], at: int) -> float:
    """What the way from `start` straight to a side meets: pieces crossed, and other cuts in the same line."""
    scene = field.scene
    low, high = _span(scene, side, start)
    cost = sum(_CROSSED[what] * count for what, count in field.parts(not side.beside, at, low, high).items())
    cost += 3.0 * field.other_cuts(not side.beside, at, low, high, cut.number)
    return cost + 0.02 * (high - low) / max(scene.width, scene.height)


def _span(scene: Scene, side: Side, start: tuple[int, int]) -> tuple[int, int]:
    """From where to where a way runs, along x for left and right, along y for top and bottom."""
    x, y = start
    return {
        Side.LEFT: (0, x),
        Side.RIGHT: (x, scene.width),
        Side.TOP: (0, y),
        Side.BOTTOM: (y, scene.height),
    }[side]
