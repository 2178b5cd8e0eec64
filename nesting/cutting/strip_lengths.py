"""The lengths that can occur on one side of a sheet: strips of given sizes, and what is left over beside them.

In: a side in whole units, sizes of strips. Out: all lengths that the side comes to when strips are taken off it again
and again, in order, with the strips that fit into each. The fact of the trade: a dozen sizes leave few lengths on a
sheet, and none of the others needs to be looked at (Herz 1972, IBM Journal of Research and Development 16, 462-469).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
import numpy.typing as npt

Places: TypeAlias = npt.NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class Fits:
    """For one length: the strips that can be taken off it, the place of each in the lengths, and of what it leaves."""

    strips: tuple[int, ...]
    places: Places
    rests: Places


class StripLengths:
    """One side. lengths: nought, then all that can occur, in units; unit: how long one is; side: the true length.

    A side that is a little longer than its whole units has paper to spare where nothing else has: `longer`.
    """

    def __init__(self, unit: int, side: int, sizes: Iterable[int]) -> None:
        self.unit, self.side = unit, side
        self.whole, self.longer = side // unit, side % unit > 0
        self.sizes = sorted(size for size in sizes if size <= self.whole)
        self.lengths = self._all()
        self.place = {length: place for place, length in enumerate(self.lengths)}
        self.fits = [self._fits(length, length - 1) for length in self.lengths]
        self.fits_or_fills = [self._fits(length, length) for length in self.lengths]

    def true(self, length: int) -> int:
        """A length in units as it is."""
        return self.side if length == self.whole else length * self.unit

    def _all(self) -> list[int]:
        found = {0, self.whole, *self.sizes}
        todo = list(found)
        while todo:
            length = todo.pop()
            rests = {length - size for size in self.sizes if size < length} - found
            found |= rests
            todo += rests
        return sorted(found)

    def _fits(self, length: int, most: int) -> Fits:
        strips = [size for size in self.sizes if size <= most]
        places, rests = ([self.place[one] for one in some] for some in (strips, [length - size for size in strips]))
        return Fits(tuple(strips), np.array(places, dtype=np.intp), np.array(rests, dtype=np.intp))
