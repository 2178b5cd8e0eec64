"""Maps of thousands of parts: equal parts that touch are found quickly, and are those that all pairs give."""

from __future__ import annotations

from itertools import combinations

import pytest
from map_subjects import Grower, random_subject

from nesting.cutting.passes import What
from nesting.lengths import TICKS_PER_INCH
from nesting.reports.drawing import every_group
from nesting.reports.map_crossings import Crossings
from nesting.reports.map_keys import _clusters, _touch
from nesting.reports.map_subject import Cell, scene
from nesting.reports.sheet_map import sheet_map


def _by_all_pairs(cells: tuple[Cell, ...]) -> set[frozenset[int]]:
    found = {cell.index: {cell.index} for cell in cells}
    for one, other in combinations(cells, 2):
        alike = (one.letter, one.width, one.height) == (other.letter, other.width, other.height)
        if alike and _touch(one, other) and found[one.index] is not found[other.index]:
            both = found[one.index] | found[other.index]
            found |= dict.fromkeys(both, both)
    return {frozenset(cluster) for cluster in found.values()}


@pytest.mark.parametrize("seed", range(12))
def test_parts_that_touch_are_those_that_looking_at_all_pairs_finds(seed: int) -> None:
    cells = scene(random_subject(seed)).cells
    clusters = _clusters(cells)
    assert {frozenset(cell.index for cell in cluster) for cluster in clusters} == _by_all_pairs(cells)
    assert sum(map(len, clusters)) == len(cells)


@pytest.mark.parametrize("seed", range(12))
def test_what_a_way_crosses_is_what_looking_at_every_part_finds(seed: int) -> None:
    drawn = scene(random_subject(seed))
    field = Crossings(drawn)
    for share in (1, 3, 5, 7):
        at, low = drawn.width * share // 8 + 1, drawn.height * share // 9
        crossed = field.parts(True, at, low, drawn.height)
        for what in What:
            mine = [c for c in drawn.cells if c.what is what and c.x < at < c.x + c.width and c.y + c.height > low]
            assert crossed[what] == len(mine)


def test_a_sheet_of_2304_parts_is_drawn_with_every_part() -> None:
    side, step = 12 * TICKS_PER_INCH, TICKS_PER_INCH // 4
    grower = Grower()
    for column in range(48):
        if column < 47:
            grower.split(True, 1, column * step, 0, side - column * step, side, step, step)
        for row in range(48):
            if row < 47:
                grower.split(False, 2, column * step, row * step, step, side - row * step, step, step)
            grower.leaf(What.PIECE, column * step, row * step, step, step)
    drawing = sheet_map(grower.subject(side, side))
    assert len(list(every_group(drawing.shapes, "part"))) == 48 * 48
