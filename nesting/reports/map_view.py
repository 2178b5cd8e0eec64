"""Where a map's sheet lies on the page, and where its discs and keys stand round it.

In: a Scene's measures, the Marks, the room there is. Out: a View (scale and place, the same for x and y) and for
each side the places of its items, pushed apart so that none touch. The fact of the trade: a map is to scale, since
the eye compares the part in the hand with the part on the paper.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from nesting.reports.drawing import Box
from nesting.reports.look import DISC_OUT, DISC_RADIUS, GUTTER_LEFT, GUTTER_RIGHT
from nesting.reports.map_marks import Mark
from nesting.reports.map_subject import Scene, Side

_PITCH = (0.27, 0.185, 0.145, 0.125, 0.11, 0.1)  # between neighbours by lanes: leaders pass between discs
_LANE = 0.28  # from one lane of discs to the next
_BEND = 0.13  # room for leaders to bend before the first lane
_AIR = 0.07  # round a side without discs
_TOP_ROOM = 0.33
_SMALL_SHARE = 0.55  # of the scale that the room alone would allow


@dataclass(frozen=True, slots=True)
class View:
    """The sheet's top left corner on the page in inches, and inches of page to a tick."""

    x: float
    y: float
    scale: float
    width: int
    height: int

    def at(self, x: float, y: float) -> tuple[float, float]:
        """A point of the scene on the page."""
        return self.x + x * self.scale, self.y + y * self.scale

    def box(self, x: int, y: int, width: int, height: int) -> Box:
        """A rectangle of the scene on the page."""
        return Box(*self.at(x, y), *self.at(x + width, y + height))

    @property
    def sheet(self) -> Box:
        """The whole sheet on the page."""
        return self.box(0, 0, self.width, self.height)


@dataclass(frozen=True, slots=True)
class Stand:
    """A disc's place: `wish` where its line leaves the sheet and `place` where it stands, both along the side."""

    mark: Mark
    wish: float
    place: float
    lane: int
    out: float  # from the sheet's edge to the disc's centre
    bent: bool


@dataclass(frozen=True, slots=True)
class Frame:
    """A map laid out: the view, its discs, and the box that sheet and discs fill together.

    crowded: discs stand more than two deep, or their gutters leave little room for the sheet itself.
    """

    view: View
    stands: tuple[Stand, ...]
    box: Box
    crowded: bool


def lay_out(scene: Scene, marks: Sequence[Mark], room: Box, deck: float, left_extra: float = 0.0) -> Frame:
    """The largest map with all its discs that fits into the room, at its top left.

    deck: how far the edges of the copies stand out at the right and below. left_extra: more gutter at the left.
    """
    lanes = dict.fromkeys(Side, 1)
    bent = dict.fromkeys(Side, False)
    while True:
        gutter = {side: _gutter(side, marks, lanes[side], bent[side], deck) for side in Side}
        gutter[Side.LEFT] += left_extra
        wide = room.width - gutter[Side.LEFT] - gutter[Side.RIGHT]
        high = room.height - gutter[Side.TOP] - gutter[Side.BOTTOM]
        scale = max(min(wide / scene.width, high / scene.height), 0.2 / max(scene.width, scene.height))
        view = View(room.x0 + gutter[Side.LEFT], room.y0 + gutter[Side.TOP], scale, scene.width, scene.height)
        stands, wanted_lanes, wanted_bent = _stand_all(view, marks, lanes, bent)
        if wanted_lanes == lanes and wanted_bent == bent:
            break
        lanes, bent = wanted_lanes, wanted_bent
    sheet = view.sheet
    box = Box(
        sheet.x0 - gutter[Side.LEFT],
        sheet.y0 - gutter[Side.TOP],
        sheet.x1 + gutter[Side.RIGHT],
        sheet.y1 + gutter[Side.BOTTOM],
    )
    ideal = min(room.width / scene.width, room.height / scene.height)
    crowded = max(lanes.values()) > 2 or scale < _SMALL_SHARE * ideal
    return Frame(view, stands, box, crowded)


def _gutter(side: Side, marks: Sequence[Mark], lanes: int, bent: bool, deck: float) -> float:
    """Room for the discs of one side."""
    used = any(mark.side is side for mark in marks)
    discs = _out(lanes - 1, bent) + DISC_RADIUS + 0.03 if used else _AIR
    least = {Side.LEFT: GUTTER_LEFT, Side.RIGHT: 0.0, Side.TOP: 0.0, Side.BOTTOM: 0.0}[side]
    if side is Side.RIGHT:
        least = max(deck + 0.03, GUTTER_RIGHT if used else 0.0)
    if side is Side.BOTTOM:
        least = deck + 0.03
    if side is Side.TOP and used:
        least = _TOP_ROOM
    return max(discs, least)


def _out(lane: int, bent: bool) -> float:
    return DISC_OUT + lane * _LANE + (_BEND if bent else 0.0)


def _stand_all(
    view: View, marks: Sequence[Mark], lanes: dict[Side, int], bent: dict[Side, bool]
) -> tuple[tuple[Stand, ...], dict[Side, int], dict[Side, bool]]:
    """Places for all discs; more lanes and room for bends where a side needs them (never fewer than before)."""
    lanes, bent = dict(lanes), dict(bent)
    stands: list[Stand] = []
    for side in Side:
        mine = sorted((m for m in marks if m.side is side), key=lambda m: (m.place, m.number))
        if not mine:
            continue
        sheet = view.sheet
        low, high = (sheet.y0, sheet.y1) if side.beside else (sheet.x0, sheet.x1)
        while lanes[side] < len(_PITCH) and (len(mine) - 1) * _PITCH[lanes[side] - 1] > high - low:
            lanes[side] += 1
        pitch = _PITCH[lanes[side] - 1]
        wishes = [(view.at(0, m.place)[1] if side.beside else view.at(m.place, 0)[0]) for m in mine]
        half = max((len(mine) - 1) * pitch - (high - low), 0.0) / 2
        places = pushed_apart(wishes, [pitch] * (len(mine) - 1), low - half, high + half)
        if lanes[side] > 1 or any(abs(p - w) > pitch for p, w in zip(places, wishes, strict=True)):
            bent[side] = True
        for n, (mark, wish, place) in enumerate(zip(mine, wishes, places, strict=True)):
            lane = n % lanes[side]
            stands.append(Stand(mark, wish, place, lane, _out(lane, bent[side]), bent[side]))
    return tuple(stands), lanes, bent


def pushed_apart(wishes: Sequence[float], gaps: Sequence[float], low: float, high: float) -> list[float]:
    """Places in the same order, neighbours at least their gap apart, as near to the wishes as can be.

    Least squares by pooling neighbours, then kept between low and high, which must leave room for all gaps.
    """
    offsets = [0.0]
    for gap in gaps:
        offsets.append(offsets[-1] + gap)
    pools: list[tuple[float, int]] = []  # mean of wish minus offset, and how many
    for wish, offset in zip(wishes, offsets, strict=True):
        mean, count = wish - offset, 1
        while pools and pools[-1][0] > mean:
            before, many = pools.pop()
            mean, count = (mean * count + before * many) / (count + many), count + many
        pools.append((mean, count))
    starts = [mean for mean, count in pools for _ in range(count)]
    return [min(max(s, low), high - offsets[-1]) + o for s, o in zip(starts, offsets, strict=True)]
