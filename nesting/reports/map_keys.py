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
from nesting.reports.map_discs import leader_dots, way_out
from nesting.reports.map_labels import Block, Row
from nesting.reports.map_marks import Mark, Way
from nesting.reports.map_subject import Cell, Scene, Side
from nesting.reports.map_view import Frame, View, pushed_apart

_LETTER, _SIZE = 14.0, 11.5
_HEIGHT = 0.3
_APART = 0.14
_DOT = 0.032


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
        for cluster in _clusters(fresh):
            start = min((_way_down(scene, cell, view) for cell in cluster), key=lambda way: way[0])[1]
            letter = Row((cluster[0].letter,), _LETTER, bold=True)
            full = Block(5, (letter, Row(cluster[0].size(unit), _SIZE)), beside=True)
            key = Key(start, tuple(cell.index for cell in cluster), full, Block(5, (letter,)))
            if sum(k.letter.extent[0] + _APART for k in (*known, *keys, key)) <= width:
                keys.append(key)
        return tuple(keys)


def _clusters(cells: Sequence[Cell]) -> list[list[Cell]]:
    """Cells of one letter and size that touch each other."""
    clusters: list[list[Cell]] = []
    for cell in cells:
        near = [c for c in clusters if any(_touch(cell, other) for other in c)]
        merged = [cell for c in near for cell in c] + [cell]
        clusters = [c for c in clusters if c not in near] + [merged]
    return clusters


def _touch(one: Cell, other: Cell) -> bool:
    if (one.letter, one.width, one.height) != (other.letter, other.width, other.height):
        return False
    slack = max(min(one.width, one.height) // 4, 1)  # a blade's width may lie between them
    return (
        one.x <= other.x + other.width + slack
        and other.x <= one.x + one.width + slack
        and one.y <= other.y + other.height + slack
        and other.y <= one.y + one.height + slack
    )


def _way_down(scene: Scene, cell: Cell, view: View) -> tuple[tuple[float, int, int], tuple[int, int]]:
    """The point of a cell from which the fewest pieces lie on the way down, and how many."""
    ways = []
    middle = cell.y + cell.height // 2
    for share in (4, 3, 5, 2, 6):
        x = cell.x + cell.width * share // 8
        crossed = sum(
            0.1 if c.what is What.SCRAP else 1.0
            for c in scene.cells
            if c.index != cell.index and c.x < x < c.x + c.width and c.y + c.height > middle
        )
        near = sum(cut.vertical and cut.end > middle and abs(cut.at - x) * view.scale < 0.04 for cut in scene.cuts)
        ways.append(((crossed + 1.5 * near, -cell.y, -cell.x), (x, middle)))
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
