"""One layout drawn into the room that a page gives it: the sheet map proper, without heading and passes.

In: a MapSubject and a Box. Out: MapInk: shapes, the box they fill, and the View, so that a page knows the scale.
The fact of the trade: a stranger must be able to cut the sheet from the map alone, so every part is named on it,
inside where the name fits and by a key below the sheet where it does not.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

from nesting.cutting.passes import What
from nesting.describe.papers import Grain, PrintDirection
from nesting.lengths import Unit
from nesting.reports.drawing import Box, Group, Label, Rectangle, Shape, extent
from nesting.reports.lettering import plain
from nesting.reports.look import DISC_RADIUS, INK, POINT, SHEET_EDGE, WHITE, cut_weight
from nesting.reports.map_discs import cut_lines, disc_groups, leader_boxes
from nesting.reports.map_ink import (
    arrow_room,
    deck_depth,
    deck_edges,
    direction_arrow,
    grain_strokes,
    head_mark,
    keep_fill,
    scrap_fill,
)
from nesting.reports.map_keys import Key, key_marks, key_shapes, keys_height
from nesting.reports.map_labels import blocks, free_rooms, place, smallest_letter
from nesting.reports.map_marks import Mark, Way, find_marks
from nesting.reports.map_subject import Cell, Cut, MapSubject, Scene, Side, scene
from nesting.reports.map_view import Frame, Stand, View, lay_out

_ROUNDS = 5
_ARROW_COLUMN = 0.3
_SLIVER = 0.03  # narrower than this between its lines, a part is no place for a letter
_LEAST_BESIDE_LEADERS = 4.0  # a letter without a key that would be smaller than this may lie on a leader
_MOST_KEYS = 3  # letters outside of a map that the eye still follows
_Cuts = dict[tuple[bool, int], list[Cut]]


@dataclass(frozen=True, slots=True)
class MapInk:
    """A drawn map: its shapes, the box that they fill, and where the sheet lies in it."""

    shapes: tuple[Shape | Group, ...]
    box: Box
    view: View
    turned: bool
    crowded: bool  # it has so many discs or outer letters that it would be better off in a larger room


@dataclass(frozen=True, slots=True)
class _Named:
    """A cell with what is written and drawn inside of it."""

    cell: Cell
    box: Box
    labels: tuple[Label, ...]
    marks: tuple[Group, ...]
    step: int


@lru_cache(200)  # a page is laid out before it is known how many there are, and once more with its number
def draw_map(subject: MapSubject, room: Box, turned: bool | None = None) -> MapInk:
    """The map as large as the room allows, at its top left; turned as `wants_turn` says where that is None."""
    drawn = scene(subject, turned)
    marks, cuts = find_marks(drawn), _by_place(drawn.cuts)
    deck = deck_depth(subject.copies)
    keys: tuple[Key, ...] = ()
    for rounds_left in reversed(range(_ROUNDS)):
        frame, arrow = _framed(subject, drawn, (*marks, *key_marks(keys)), room, deck, keys)
        leaders = leader_boxes(frame)
        named = [_name(subject, drawn, cell, frame, leaders, cuts) for cell in drawn.cells]
        unnamed = [n.cell for n in named if n.step > 4]
        more = Key.for_cells(drawn, unnamed, frame.view, keys, subject.unit, room.width)
        if not more or not rounds_left:
            break
        keys = (*keys, *more)
    shapes: list[Shape | Group] = [Group("deck", deck_edges(frame.view.sheet, subject.copies))]
    shapes += [_filled(n, subject.unit) for n in named]
    sheet = frame.view.sheet
    outline = Rectangle(sheet.x0, sheet.y0, sheet.width, sheet.height, None, INK, SHEET_EDGE)
    shapes.append(Group("sheet", (outline,), title=f"{subject.paper}, {subject.title}"))
    shapes += cut_lines(drawn, frame.view)
    keyed = {index for key in keys for index in key.indices}
    shapes += [group for n in named for group in _written(n, n.cell.index in keyed)]
    shapes += arrow
    shapes += disc_groups(frame)
    shapes += key_shapes(keys, frame, room.x0, room.x1)
    crowded = frame.crowded or len(keys) > _MOST_KEYS
    return MapInk(tuple(shapes), _whole(shapes, frame.box), frame.view, drawn.turned, crowded)


def _whole(shapes: list[Shape | Group], box: Box) -> Box:
    ink = extent(shapes)
    return Box(min(box.x0, ink.x0), min(box.y0, ink.y0), max(box.x1, ink.x1), max(box.y1, ink.y1))


def _framed(
    subject: MapSubject, drawn: Scene, marks: tuple[Mark, ...], room: Box, deck: float, keys: tuple[Key, ...]
) -> tuple[Frame, list[Group]]:
    """The layout of the map, and its direction arrow in the widest gap of the left gutter."""
    room = Box(room.x0, room.y0, room.x1, room.y1 - keys_height(keys))
    frame = lay_out(drawn, marks, room, deck)
    if subject.direction is PrintDirection.NONE:
        return frame, []
    sheet = frame.view.sheet
    need = arrow_room(drawn.up)
    gap = _widest_gap(frame)
    if gap[1] - gap[0] >= need:
        x = sheet.x0 - 0.2
        return frame, [direction_arrow(x, sum(gap) / 2, drawn.up, subject.direction)]
    frame = lay_out(drawn, marks, room, deck, _ARROW_COLUMN)
    x = frame.box.x0 + _ARROW_COLUMN / 2
    sheet = frame.view.sheet
    middle = max(sheet.centre[1], sheet.y0 + need / 2)
    return frame, [direction_arrow(x, middle, drawn.up, subject.direction)]


def _widest_gap(frame: Frame) -> tuple[float, float]:
    """The widest stretch of the left gutter that no disc and no bracket stands in, from top to bottom."""
    sheet, clear = frame.view.sheet, DISC_RADIUS + 0.05
    gaps, top = [], sheet.y0
    for first, last in sorted(_reach(stand, frame.view) for stand in frame.stands if stand.mark.side is Side.LEFT):
        gaps.append((top, first - clear))
        top = max(top, last + clear)
    return max([*gaps, (top, sheet.y1)], key=lambda gap: round(gap[1] - gap[0], 6))


def _reach(stand: Stand, view: View) -> tuple[float, float]:
    """From where to where a disc of the left gutter stands with its bracket, from top to bottom."""
    places = [view.at(0, cut.at)[1] for cut in stand.mark.cuts] if stand.mark.way is Way.BRACKET else []
    return min(places, default=stand.place), max(places, default=stand.place)


def _name(subject: MapSubject, drawn: Scene, cell: Cell, frame: Frame, leaders: tuple[Box, ...], cuts: _Cuts) -> _Named:
    """Write into one cell what fits, below the mark for its head."""
    inner = _inside_lines(cell, cuts, frame.view)
    taken = [box for box in leaders if box.meets(inner)]
    marks: tuple[Group, ...] = ()
    if cell.what is What.PIECE:
        head = head_mark(inner, drawn.up, subject.direction) or _grain_mark(subject, drawn, cell, inner)
        if head and not any(head[0].meets(box) for box in taken):
            marks = (head[1],)
            taken.append(head[0])
    rooms = free_rooms(inner, taken)
    found = place(blocks(cell, subject.unit), rooms)
    if found is None and marks:
        marks, rooms = (), free_rooms(inner, taken[:-1])
        found = place(blocks(cell, subject.unit), rooms)
    box = frame.view.box(cell.x, cell.y, cell.width, cell.height)
    if found is not None:
        return _Named(cell, box, found[1], marks, found[0].step)
    if cell.what is What.SCRAP:
        return _Named(cell, box, (), marks, 0)
    largest = max(rooms, key=lambda r: r.width * r.height, default=inner)
    block = smallest_letter(cell, largest)
    if block.rows[0].size < _LEAST_BESIDE_LEADERS:
        largest = inner if min(inner.width, inner.height) > _SLIVER else box
        block = smallest_letter(cell, largest)
    return _Named(cell, box, block.labels(largest.centre), marks, 5)


def _by_place(cuts: Iterable[Cut]) -> _Cuts:
    """Cuts by whether they run upright, and where."""
    found: _Cuts = {}
    for cut in cuts:
        found.setdefault((cut.vertical, cut.at), []).append(cut)
    return found


def _inside_lines(cell: Cell, cuts: _Cuts, view: View) -> Box:
    """The cell's rectangle without the halves of the lines that bound it."""

    def half(upright: bool, at: int, low: int, high: int) -> float:
        there = [cut for cut in cuts.get((upright, at), ()) if cut.start < high and cut.end > low]
        return max((SHEET_EDGE, *(cut_weight(cut.stage) for cut in there))) / 2 * POINT

    right, below = cell.x + cell.width, cell.y + cell.height
    box = view.box(cell.x, cell.y, cell.width, cell.height)
    return Box(
        box.x0 + half(True, cell.x, cell.y, below),
        box.y0 + half(False, cell.y, cell.x, right),
        box.x1 - half(True, right, cell.y, below),
        box.y1 - half(False, below, cell.x, right),
    )


def _grain_mark(subject: MapSubject, drawn: Scene, cell: Cell, inner: Box) -> tuple[Box, Group] | None:
    bound = subject.grain is not Grain.UNKNOWN and cell.letter in subject.grain_bound
    if not bound or inner.height < 0.6 or inner.width < 0.3:
        return None
    upright = grain_upright(subject, drawn.turned)
    strokes = grain_strokes(inner.centre[0], inner.y0 + 0.13, 0.17, upright)
    strip = Box(inner.x0, inner.y0, inner.x1, inner.y0 + 0.22)
    return strip, Group("grain", (strokes,), title="along the grain")


def grain_upright(subject: MapSubject, turned: bool) -> bool:
    """Whether the grain runs from top to bottom as the map is drawn."""
    return (subject.grain is Grain.UP) is not turned


def _filled(named: _Named, unit: Unit) -> Group:
    cell, box = named.cell, named.box
    spared = extent(named.labels).inset(-0.03) if named.labels else None
    if cell.what is What.KEEP:
        shapes = keep_fill(box, spared)
    elif cell.what is What.SCRAP:
        shapes = scrap_fill(box, spared)
    else:
        shapes = (Rectangle(box.x0, box.y0, box.width, box.height, fill=WHITE),)
    size = plain(cell.size(unit))
    title = f"{cell.letter}, {size} {unit.value}" if "mm" not in size else f"{cell.letter}, {size}"
    data = (("letter", cell.letter), ("what", cell.what.value))
    return Group("part", shapes, f"part-{cell.index + 1}", title, data)


def _written(named: _Named, keyed: bool) -> list[Group]:
    groups = list(named.marks)
    if named.labels and not keyed:
        data = (("letter", named.cell.letter), ("step", str(named.step)))
        groups.append(Group("label", named.labels, f"label-{named.cell.index + 1}", data=data))
    return groups
