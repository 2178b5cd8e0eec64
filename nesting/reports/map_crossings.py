"""What a straight way across a map meets: the parts that it crosses and the cuts that lie in its line.

In: a Scene. Out: counts, from sorted-out rows of numbers, so that thousands of parts are looked at in one go. The
fact of the trade: a leader that crosses the fewest pieces is the one that the eye follows.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from nesting.cutting.passes import What
from nesting.reports.map_subject import Scene

_Numbers = NDArray[np.int64]
_WHATS = tuple(What)


class Crossings:
    """The parts and cuts of a scene as columns of ticks."""

    def __init__(self, scene: Scene) -> None:
        cells = [(c.index, c.x, c.y, c.x + c.width, c.y + c.height, _WHATS.index(c.what)) for c in scene.cells]
        self.scene = scene
        self._index, *sides, self._what = _columns(cells, 6)
        self._x0, self._y0, self._x1, self._y1 = sides
        cuts = {up: [(c.at, c.start, c.end, c.number) for c in scene.cuts if c.vertical is up] for up in (True, False)}
        self._cuts = {up: _columns(rows, 4) for up, rows in cuts.items()}

    def parts(self, upright: bool, at: int, low: int, high: int, *, but: int = -1) -> dict[What, int]:
        """How many parts of each kind the line at x = `at` (upright) or y = `at` crosses from low to high.

        but: the index of a part that does not count.
        """
        along, end, across, far = (
            (self._y0, self._y1, self._x0, self._x1) if upright else (self._x0, self._x1, self._y0, self._y1)
        )
        met = (along < high) & (end > low) & (across < at) & (far > at) & (self._index != but)
        counts = np.bincount(self._what[met], minlength=len(_WHATS))
        return {what: int(count) for what, count in zip(_WHATS, counts, strict=True)}

    def other_cuts(self, upright: bool, at: int, low: int, high: int, number: int) -> int:
        """How many cuts of other numbers lie in that line between low and high."""
        place, start, end, numbers = self._cuts[upright]
        return int(np.count_nonzero((place == at) & (start < high) & (end > low) & (numbers != number)))

    def upright_cuts_near(self, at: int, below: int, near: float) -> int:
        """How many upright cuts that reach below a height lie nearer than that to x = `at`."""
        place, _, end, _ = self._cuts[True]
        return int(np.count_nonzero((end > below) & (np.abs(place - at) < near)))


def _columns(rows: Sequence[tuple[int, ...]], count: int) -> tuple[_Numbers, ...]:
    return tuple(np.array(rows, dtype=np.int64).reshape(len(rows), count).T)
