"""The numbers of a map drawn: cut lines, discs, brackets, and the thin leaders of cuts that end inside the sheet.

In: a Scene and its Frame. Out: groups of shapes, and the boxes inside the sheet that leaders take, which labels
keep clear of. The fact of the trade: white numeral, blue disc, white ring; the heavier a cut the earlier it is made.
"""

from __future__ import annotations

from itertools import pairwise

from nesting.reports.drawing import Box, Disc, Dots, Group, Label, Shape, Strokes
from nesting.reports.lettering import CAP_HEIGHT
from nesting.reports.look import BLADE, DISC_RADIUS, DISC_RING, LEADER, POINT, WHITE, cut_weight
from nesting.reports.map_marks import Way
from nesting.reports.map_subject import Cut, Scene, Side
from nesting.reports.map_view import Frame, Stand, View

_BRACKET_OUT = 0.1
_BRACKET = 1.3
_DOT = 0.03
_INSET = 0.06  # of a leader's dot from the end of its cut
_LEADER_DOT = 0.0085
_DOT_PITCH = 0.04
_LEADER_HALF = 0.015
Point = tuple[float, float]


def numbered_disc(x: float, y: float, number: int, radius: float = DISC_RADIUS) -> tuple[Shape, ...]:
    """A white numeral on a blue disc with a white ring."""
    text = str(number)
    size = radius * (84 if len(text) < 2 else 76 if len(text) < 3 else 56)
    numeral = Label((text,), x, y + size * CAP_HEIGHT / 2 * POINT, size, True, WHITE, "middle")
    return Disc(x, y, radius + DISC_RING, WHITE), Disc(x, y, radius, BLADE), numeral


def cut_lines(scene: Scene, view: View) -> tuple[Group, ...]:
    """Every cut, later stages first, so that the heavier line lies on top."""
    groups = []
    order = sorted(range(len(scene.cuts)), key=lambda n: -scene.cuts[n].stage)
    for index in order:
        cut = scene.cuts[index]
        stroke = Strokes(((*_ends(cut, view)[0], *_ends(cut, view)[1]),), cut_weight(cut.stage), BLADE)
        data = (("stop", str(cut.number)), ("stage", str(cut.stage)))
        groups.append(Group("cut", (stroke,), f"cut-{index + 1}", f"cut {cut.number}", data))
    return tuple(groups)


def _ends(cut: Cut, view: View) -> tuple[Point, Point]:
    if cut.vertical:
        return view.at(cut.at, cut.start), view.at(cut.at, cut.end)
    return view.at(cut.start, cut.at), view.at(cut.end, cut.at)


def disc_groups(frame: Frame) -> tuple[Group, ...]:
    """Every disc with what leads to it. Discs come last, so that they lie on top of all lines."""
    lines, discs = [], []
    for n, stand in enumerate(s for s in frame.stands if s.mark.number):
        data = (("stop", str(stand.mark.number)), ("side", stand.mark.side.value))
        lines.append(Group("lead", tuple(_lead(stand, frame.view)), data=data))
        x, y = beside(frame.view, stand.mark.side, stand.place, stand.out)
        shapes = numbered_disc(x, y, stand.mark.number)
        discs.append(Group("disc", shapes, f"disc-{n + 1}", f"stop setting {stand.mark.number}", data))
    return (*lines, *discs)


def beside(view: View, side: Side, place: float, out: float) -> Point:
    """A point outside of the sheet: `place` along the side, `out` from the edge."""
    sheet = view.sheet
    return {
        Side.LEFT: (sheet.x0 - out, place),
        Side.RIGHT: (sheet.x1 + out, place),
        Side.TOP: (place, sheet.y0 - out),
        Side.BOTTOM: (place, sheet.y1 + out),
    }[side]


def way_out(stand: Stand, view: View) -> tuple[Point, ...]:
    """The points of the line from the sheet's edge to the disc's centre."""
    side, out = stand.mark.side, stand.out
    edge = beside(view, side, stand.wish, 0.0)
    disc = beside(view, side, stand.place, out)
    if not stand.bent:
        return edge, disc
    return edge, beside(view, side, stand.wish, 0.03), beside(view, side, stand.place, 0.14), disc


def _path(points: tuple[Point, ...], weight: float, colour: str = BLADE) -> Strokes:
    segments = tuple((*a, *b) for a, b in pairwise(points))
    return Strokes(segments, weight, colour, round_ends=len(points) > 2)


def leader_dots(start: Point, end: Point, colour: str = BLADE) -> Dots:
    """A row of fine dots inside of the sheet: never to be taken for a cut, which is solid, or a fold, dashed."""
    length = ((end[0] - start[0]) ** 2 + (end[1] - start[1]) ** 2) ** 0.5
    count = max(round(length / _DOT_PITCH), 1)
    shares = [n / count for n in range(count + 1)]
    points = tuple(
        (start[0] + (end[0] - start[0]) * share, start[1] + (end[1] - start[1]) * share) for share in shares
    )
    return Dots(points, _LEADER_DOT, colour)


def _lead(stand: Stand, view: View) -> list[Shape]:
    mark = stand.mark
    points = way_out(stand, view)
    if mark.way is Way.BRACKET:
        return _bracket(stand, view)
    if mark.way is Way.LINE:
        nearest = min(mark.cuts, key=lambda cut: _gap(cut, mark.side, view))
        gap = _gap(nearest, mark.side, view)
        straight = not stand.bent and abs(stand.place - stand.wish) < 0.02
        heavy = cut_weight(nearest.stage) if straight else min(cut_weight(nearest.stage), 1.3)
        shapes: list[Shape] = [_path(points, heavy if gap < 0.02 else LEADER)]
        if gap > 0.001:
            shapes.append(leader_dots(beside(view, mark.side, stand.wish, -gap), points[0]))
        return shapes
    inside = leader_points(stand, view)
    shapes = [leader_dots(*inside), _path(points, LEADER)]
    if mark.comb:
        string = [_inset_end(cut, mark.side, view) for cut in mark.cuts]
        shapes.append(leader_dots(string[0], string[-1]))
        shapes.extend(Disc(*point, _DOT, BLADE) for point in string)
    else:
        shapes.append(Disc(*inside[0], _DOT, BLADE))
    return shapes


def _bracket(stand: Stand, view: View) -> list[Shape]:
    mark = stand.mark
    places = [view.at(0, c.at)[1] if mark.side.beside else view.at(c.at, 0)[0] for c in mark.cuts]
    tips = [beside(view, mark.side, place, _BRACKET_OUT) for place in places]
    ticks = tuple((*beside(view, mark.side, place, 0.0), *tip) for place, tip in zip(places, tips, strict=True))
    shapes: list[Shape] = [Strokes(((*tips[0], *tips[-1]), *ticks), _BRACKET, BLADE)]
    gaps = [(place, _gap(c, mark.side, view)) for place, c in zip(places, mark.cuts, strict=True)]
    shapes += [
        leader_dots(beside(view, mark.side, place, -gap), beside(view, mark.side, place, 0.0))
        for place, gap in gaps
        if gap > 0.001
    ]
    nearest = min(max(stand.place, min(places)), max(places))
    way = (beside(view, mark.side, nearest, _BRACKET_OUT), beside(view, mark.side, stand.place, stand.out))
    shapes.append(_path(way, _BRACKET))
    return shapes


def _gap(cut: Cut, side: Side, view: View) -> float:
    """From the cut's end to the edge of the sheet, in inches."""
    far = view.width if side.beside else view.height
    return (cut.start if side in (Side.LEFT, Side.TOP) else far - cut.end) * view.scale


def _inset_end(cut: Cut, side: Side, view: View) -> Point:
    """A point on the cut near its end on that side."""
    a, b = _ends(cut, view)
    length = abs(b[0] - a[0]) + abs(b[1] - a[1])
    inset = min(_INSET, length / 3)
    near, far = (a, b) if side in (Side.LEFT, Side.TOP) else (b, a)
    share = inset / length if length else 0.0
    return near[0] + (far[0] - near[0]) * share, near[1] + (far[1] - near[1]) * share


def leader_points(stand: Stand, view: View) -> tuple[Point, Point]:
    """Where a leader begins inside of the sheet, and where it leaves it."""
    mark = stand.mark
    x, y = view.at(*mark.start)
    edge = beside(view, mark.side, stand.wish, 0.0)
    along = next((cut for cut in mark.cuts if cut.vertical is not mark.side.beside and cut.at == mark.place), None)
    if along is not None and (along.at, _end(along, mark.side)) == (mark.start if along.vertical else mark.start[::-1]):
        return _inset_end(along, mark.side, view), edge
    return (x, y), edge


def _end(cut: Cut, side: Side) -> int:
    return cut.start if side in (Side.LEFT, Side.TOP) else cut.end


def leader_boxes(frame: Frame) -> tuple[Box, ...]:
    """What leaders, combs and dots take up inside of the sheet."""
    boxes = []
    for stand in frame.stands:
        mark = stand.mark
        if mark.way is Way.LEADER:
            points = list(leader_points(stand, frame.view))
            boxes.append(_around(points, _LEADER_HALF))
            boxes.append(_around(points[:1], _DOT))
            if mark.comb:
                boxes.append(_around([_inset_end(cut, mark.side, frame.view) for cut in mark.cuts], _DOT))
        elif mark.number:
            for cut in mark.cuts:
                gap = _gap(cut, mark.side, frame.view)
                if gap > 0.001:
                    place = frame.view.at(cut.at, cut.at)[1 if mark.side.beside else 0]
                    ends = [beside(frame.view, mark.side, place, out) for out in (-gap, 0.0)]
                    boxes.append(_around(ends, _LEADER_HALF))
    return tuple(boxes)


def _around(points: list[Point], by: float) -> Box:
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return Box(min(xs) - by, min(ys) - by, max(xs) + by, max(ys) + by)
