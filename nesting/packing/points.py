"""The sizes that parts can have along one side of a sheet, few enough to look at them all.

In: sheet sizes and piece sizes along one axis, the kerf added, and how many of each are needed. Out: the sizes that
a best layout needs (states), and for each the pairs of smaller ones that a cut can turn it into. The facts behind it:
parts can be pushed together until each is as long as some pieces in a row (Herz 1972, IBM Journal of Research and
Development 16, 462-469); and of two pairs the larger one serves, so that most such sums are never needed.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import gcd

import numpy as np
import numpy.typing as npt

from nesting.packing.stock import FAR

Whole = npt.NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Side:
    """States along one axis, rising. Pair number p of state s, starts[s] <= p < starts[s + 1], is (first, second).

    `blocks`: runs of states (from, to) such that no pair of a state lies in the state's own run.
    """

    sizes: Whole
    first: npt.NDArray[np.intp]
    second: npt.NDArray[np.intp]
    starts: npt.NDArray[np.intp]
    blocks: tuple[tuple[int, int], ...]

    def index(self, size: int) -> int:
        """The number of the state of exactly this size."""
        return int(np.searchsorted(self.sizes, size))

    def places(self, sizes: Sequence[int]) -> npt.NDArray[np.intp]:
        """The numbers of the smallest states in which these sizes fit."""
        return np.searchsorted(self.sizes, np.array(sizes, dtype=np.int64))


def reachable(whole: int, parts: Iterable[tuple[int, int]]) -> Whole:
    """All sums up to `whole` of parts (size, how many at most), rising from 0: a row of bits in one long integer."""
    parts = [(size, count) for size, count in parts if size <= whole]
    unit = gcd(*(size for size, _ in parts)) or 1
    top = whole // unit
    sums, mask = 1, (1 << (top + 1)) - 1
    for size, count in parts:
        left, step = min(count, whole // size), 1
        while left > 0:
            step = min(step, left)
            sums = (sums | sums << (size // unit * step)) & mask
            left, step = left - step, 2 * step
    bits = np.frombuffer(sums.to_bytes(top // 8 + 1, "little"), dtype=np.uint8)
    return np.flatnonzero(np.unpackbits(bits, bitorder="little")).astype(np.int64) * unit


def side(wholes: Sequence[int], parts: Sequence[tuple[int, int]], *, setting: int = FAR, longest: int = FAR,
         held: int = 0, every: bool = False, most: int = 1 << 30) -> Side | None:  # fmt: skip
    """The states along one axis for sheets as long as `wholes`; None if there are more than `most`.

    setting: of two parts one may be at most this long. longest: longer parts cannot be cut the other way, so that the
    longest sum that can counts too. held: parts shorter than this cannot be cut, so every sum counts and none is
    trimmed (0: all parts that hold a piece can be held). every: all sums are states, since a part may have to be as
    wide as what lies in it, where no turn is left to trim it.
    """
    largest = max(wholes)
    points = reachable(largest, [*parts, *([(held, largest)] if held else [])])
    every = every or held > 0
    if every and len(points) > most:
        return None
    known: dict[int, Whole] = {}
    todo = [*wholes, *(points[1:].tolist() if every else [])]
    while todo:
        size = todo.pop()
        if size in known:
            continue
        if len(known) >= most:
            return None
        pairs = _pairs(size, points, setting, longest, held)
        known[size] = pairs
        smaller = {int(_below(points, end)) for end in {size, min(size, longest)}}
        todo += [part for part in {*smaller, *pairs.ravel().tolist()} if part and part not in known]
    return _side(known)


def _below(points: Whole, sizes: Whole | int) -> Whole:
    """The largest points that fit."""
    found: Whole = points[points.searchsorted(sizes, side="right") - 1]
    return found


def _pairs(size: int, points: Whole, setting: int, longest: int, held: int) -> Whole:
    """Pairs of points that fit side by side, the first not above the second.

    Where all parts can be held only the largest: of all, and of those that can still be cut the other way. Otherwise
    a rest that cannot be held is as long as what lies in it.
    """
    small = points[1 : points.searchsorted(min(size // 2, setting), side="right")]
    if held:
        small = small[(size - small >= held) | (_below(points, size - small) == size - small)]
    ends = (FAR, longest) if longest < size else (FAR,)
    pairs = []
    for second in (_below(points, np.minimum(size - small, end)) for end in ends):
        room = size - second
        if setting < size:
            room = np.where(second > setting, np.minimum(room, setting), room)
        firsts = [_below(points, np.minimum(room, end)) for end in ends] if not held else [small]
        pairs += [(np.minimum(first, second) << 31) + np.maximum(first, second) for first in firsts]
    keys = np.unique(np.concatenate(pairs))
    keys = keys[keys >> 31 > 0]  # nothing is shorter than the longest cut
    return np.stack([keys >> 31, keys & ((1 << 31) - 1)], axis=1)


def _side(known: dict[int, Whole]) -> Side:
    sizes = np.array(sorted(known), dtype=np.int64)
    pairs = [known[int(size)] for size in sizes]
    counts = np.array([0] + [len(some) for some in pairs])
    flat = np.searchsorted(sizes, np.concatenate(pairs).reshape(-1, 2))
    starts = np.cumsum(counts).astype(np.intp)
    last = [int(flat[starts[s] : starts[s + 1], 1].max(initial=-1)) for s in range(len(sizes))]
    blocks, begin = [], 0
    for state in range(1, len(sizes) + 1):
        if state == len(sizes) or last[state] >= begin:
            blocks.append((begin, state))
            begin = state
    return Side(sizes, flat[:, 0].copy(), flat[:, 1].copy(), starts, tuple(blocks))
