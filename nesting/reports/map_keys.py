"""Keys: the names of parts that are too small to be written on, below the sheet, each with a leader to its part.

In: a Scene and the cells that no letter fits into. Out: Keys, the marks by which the layout keeps a way out for
their leaders, and their shapes. The fact of the trade: strips of 3/8 in are cut like any other and must be found.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from nesting.cutting.passes import What
from nesting.lengths import Unit
from nesting.reports.drawing import Disc, Group, Strokes
from nesting.reports.look import DISC_RADIUS, INK, LEADER
from nesting.reports.map_crossings import Crossings
from nesting.reports.map_discs import leader_dots, way_out
from nesting.reports.map_labels import Block, Row
from nesting.reports.map_marks import Mark, Way
from nesting.reports.map_subject import Cell, Scene, Side
from nesting.reports.map_view import Frame, View, pushed_apart

_LETTER, _SIZE = 14.0, 11.5
_HEIGHT = 0.3
_APART = 0.14
_DOT = 0.032
_Square = tuple[str, int, int, int, int]


@dataclass(frozen=True, slots=True)
class Key:
    """One name outside of the sheet for a cluster of equal small parts.

    start: the point in ticks, inside the last part of the cluster that it points to. indices: of all its parts.
    """

    start: tuple[int, int]
    indices: tuple[int, ...]
    full: Block
    letter: Block

    @staticmethod
    def for_cells(
        scene: Scene, cells: Sequence[Cell], view: View, known: Sequence[Key], unit: Unit, width: float
    ) -> tuple[Key, ...]:
        """Keys for the cells that have none yet, as many as find room in one row of this width."""
        keyed = {index for key in known for index in key.indices}
        fresh = [cell for cell in cells if cell.index not in keyed and cell.what is not What.SCRAP]
        keys: list[Key] = []
        field = Crossings(scene)
        for cluster in _clusters(fresh):
            start = min((_way_down(field, cell, view) for cell in cluster), key=lambda way: way[0])[1]
            letter = Row((cluster[0].letter,), _LETTER, bold=True)
            full = Block(5, (letter, Row(cluster[0].size(unit), _SIZE)), beside=True)
            key = Key(start, tuple(cell.index for cell in cluster), full, Block(5, (letter,)))
            if sum(k.letter.extent[0] + _APART for k in (*known, *keys, key)) <= width:
                keys.append(key)
        return tuple(keys)


def _clusters(cells: Sequence[Cell]) -> list[list[Cell]]:
    """Cells of one letter and size that touch each other, in the order in which the last of each comes."""
    squares: dict[_Square, list[int]] = {}
    for number, cell in enumerate(cells):
        squares.setdefault(_square(cell), []).append(number)
    clusters, left = [], dict.fromkeys(range(len(cells)))
    while left:
        cluster, fresh = [], [left.popitem()[0]]
        while fresh:
            number = fresh.pop()
            cluster.append(number)
            near = [n for square in _round(cells[number]) for n in squares.get(square, ()) if n in left]
            touching = [n for n in near if _touch(cells[number], cells[n])]
            fresh += touching
            for n in touching:
                del left[n]
        clusters.append(sorted(cluster))
    return [[cells[n] for n in cluster] for cluster in sorted(clusters, key=lambda cluster: cluster[-1])]


def _square(cell: Cell, right: int = 0, down: int = 0) -> _Square:
    """Letter, size, and where the cell begins on a grid so wide that what touches it begins in a square beside it."""
    slack = _slack(cell)
    column, row = cell.x // (cell.width + slack) + right, cell.y // (cell.height + slack) + down
    return cell.letter, cell.width, cell.height, column, row


def _round(cell: Cell) -> list[_Square]:
    return [_square(cell, right, down) for right in (-1, 0, 1) for down in (-1, 0, 1)]


def _slack(cell: Cell) -> int:
    return max(min(cell.width, cell.height) // 4, 1)  # a blade's width may lie between two cells


def _touch(one: Cell, other: Cell) -> bool:
    """Whether two cells of one size touch."""
    slack = _slack(one)
    return abs(one.x - other.x) <= one.width + slack and abs(one.y - other.y) <= one.height + slack


def _way_down(field: Crossings, cell: Cell, view: View) -> tuple[tuple[int, int, int], tuple[int, int]]:
    """The point of a cell from which the fewest pieces lie on the way down, and how many (in tenths)."""
    ways = []
    middle = cell.y + cell.height // 2
    for share in (4, 3, 5, 2, 6):
        x = cell.x + cell.width * share // 8
        crossed = field.parts(True, x, middle, field.scene.height, but=cell.index)
        pieces = sum(crossed.values()) - crossed[What.SCRAP]
        near = field.upright_cuts_near(x, middle, 0.04 / view.scale)
        ways.append(((10 * pieces + crossed[What.SCRAP] + 15 * near, -cell.y, -cell.x), (x, middle)))
    return min(ways, key=lambda way: way[0])


def key_marks(keys: Sequence[Key]) -> tuple[Mark, ...]:
    """Marks without a number: each keeps a gap in the row of discs for a leader to pass."""
    return tuple(Mark(0, (), Side.BOTTOM, key.start[0], Way.LEADER, key.start) for key in keys)


def keys_height(keys: Sequence[Key]) -> float:
    """Room that the keys take below the sheet."""
    return _HEIGHT if keys else 0.0


def key_shapes(keys: Sequence[Key], frame: Frame, low: float, high: float) -> list[Group]:
    """Dots, leaders and texts; the texts between x = low and high."""
    if not keys:
        return []
    view = frame.view
    stands = {stand.mark.start: stand for stand in frame.stands if not stand.mark.number}
    ordered = sorted(keys, key=lambda key: stands[key.start].place)
    texts = _chosen(ordered, high - low)
    widths = [text.extent[0] for text in texts]
    gaps = [(a + b) / 2 + _APART for a, b in pairwise(widths)]
    wishes = [stands[key.start].place for key in ordered]
    first, last = low + widths[0] / 2, high - widths[-1] / 2
    places = pushed_apart(wishes, gaps, first, last)
    groups = []
    for key, text, place in zip(ordered, texts, places, strict=True):
        stand = stands[key.start]
        y = frame.box.y1 + _HEIGHT / 2 + 0.03
        x0, y0 = view.at(*key.start)
        edge, *rest = way_out(stand, view)
        points = (edge, *rest[:-1], (stand.place, view.sheet.y1 + stand.out + DISC_RADIUS))
        outside = pairwise((*points, (place, y - text.extent[1] / 2 - 0.03)))
        lead = Strokes(tuple((*a, *b) for a, b in outside), LEADER, INK, round_ends=True)
        shapes = (leader_dots((x0, y0), edge, INK), lead, Disc(x0, y0, _DOT, INK))
        labels = text.labels((place, y))
        data = (("letter", text.rows[0].words[0] if isinstance(text.rows[0].words[0], str) else ""),)
        groups.append(Group("key", (*shapes, *labels), f"key-{key.indices[0] + 1}", data=data))
    return groups


def _chosen(keys: Sequence[Key], width: float) -> list[Block]:
    """Letter and size for all where there is room, else the letters alone; sizes are told elsewhere too."""
    full = [key.full for key in keys]
    if sum(block.extent[0] + _APART for block in full) <= width:
        return full
    return [key.letter for key in keys]
