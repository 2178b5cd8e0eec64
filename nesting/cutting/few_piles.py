"""Few settings with few piles: which setting next, on which piles, and which whole sheets to begin with.

In: the register of parts, needs with their bounds, and a cap on the piles. Out: runs. The fact of the trade: begun
sheets lie about as piles of half-cut parts, and too many of them are mixed up; so sheets are begun only when there
is room for what comes off. Many orders are grown side by side and the most promising ones kept (a beam search).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import TypeAlias

from nesting.cutting.alone import Alone
from nesting.cutting.needs import PartNeeds, members
from nesting.cutting.parts import Parts, measured
from nesting.cutting.play import Run

WIDTHS = (20, 80, 320, 1280)
GROWTH = 3.5  # four times as wide a search looks at so many times as many states, or a few more
PILE_BITS = 32
BOUND_WEIGHT = 8  # how much of the weight of parts counts as much as one setting that is sure to come

Some = int  # a set of parts as bits, by their numbers


_Desk: TypeAlias = tuple[Some, Some]  # piles on the table, whole sheets not begun
_Path: TypeAlias = tuple["_Path", int, Some] | tuple[()]  # the path to the last run, its setting, what is chosen


class PileSearch:
    """One search under a cap; `left` counts the states that may still be looked at."""

    def __init__(
        self, parts: Parts, needs: PartNeeds, cap: int, work: int, stop: Callable[[], bool] | None
    ) -> None:
        self.left = work
        self._over = -work  # a search once begun may take more than the work is
        self._parts = parts
        self._needs = needs
        self._alone = Alone(needs.needs)
        self._cap = cap
        self._stop = stop
        self._leaves: dict[tuple[int, int], Some] = {}
        self._weights: dict[int, int] = {}
        self._cut_by: dict[int, Some] = dict.fromkeys(needs.sizes, 0)  # per setting: the parts met that it cuts now
        self._to_come: dict[int, tuple[int, int]] = {}  # per part met: the runs that are sure to come, a weight
        self._known: dict[Some, tuple[int, int]] = {}  # the same for sets of parts
        self._taken: dict[Some, dict[int, tuple[Some, Some]]] = {}  # of piles, per setting: what is cut, what is left
        self._able: dict[Some, dict[int, list[tuple[Some, Some]]]] = {}  # of whole sheets, per setting: each, its piles

    def best(self, roots: frozenset[int], enough: int) -> tuple[Run, ...] | None:
        """The best order found, wider and wider searches; None where no order keeps to the cap."""
        best: tuple[Run, ...] | None = None
        for width in WIDTHS:
            left = self.left
            found = self._side_by_side(roots, width)
            if found is not None and (best is None or len(found) < len(best)):
                best = found
            if GROWTH * (left - self.left) > self.left or (best is not None and len(best) <= enough):
                break
        return best

    def _side_by_side(self, roots: frozenset[int], width: int) -> tuple[Run, ...] | None:
        front: list[tuple[_Desk, _Path]] = [((0, self._meet(roots)), ())]
        while front:
            ranked: dict[_Desk, tuple[int, _Path]] = {}
            for desk, path in front:
                if desk == (0, 0):
                    return _runs(path)
                for setting, chosen, following in self._moves(desk):
                    if following not in ranked:
                        ranked[following] = self._rank(following), (path, setting, chosen)
            self.left -= len(ranked)
            if self._stop is not None and self._stop():
                self.left = self._over
            if self.left <= self._over:
                width = 1  # bring the best order to its end
            front = _best(ranked, width)
        return None

    def _rank(self, desk: _Desk) -> int:
        """The less the better: runs and cuts to come, then piles, which are fewer than the bits they are given."""
        piles, whole = desk
        piled, of_piles = self._sums(piles)
        lying, of_whole = self._sums(whole)
        return (of_piles + of_whole + BOUND_WEIGHT * (piled | lying).bit_count() << PILE_BITS) + piles.bit_count()

    def _sums(self, some: Some) -> tuple[int, int]:
        """The runs that are sure to come for a set of parts, and the weights of all."""
        known = self._known.get(some)
        if known is None:
            sure = weight = 0
            for part in members(some):
                runs, each = self._to_come[part]
                sure |= runs
                weight += each
            known = self._known[some] = sure, weight
        return known

    def _meet(self, blocks: frozenset[int]) -> Some:
        """These blocks as a set, and all that is to be known of each."""
        some = 0
        for part in sorted(blocks):
            some |= 1 << part
            if part not in self._to_come:
                runs = self._alone.of(self._needs.of_all((part,)))
                self._to_come[part] = runs, self._weight(part) + runs.bit_count()
                for setting in self._parts.settings(part):
                    self._cut_by[setting] |= 1 << part
        return some

    def _weight(self, part: int) -> int:
        """How many cuts are still to come in a part, equal ones of a block counted once."""
        known = self._weights.get(part)
        if known is None:
            block = self._parts.block(part)
            known = len({self._parts.extent(child, block.axis) for child in measured(block)})
            known += sum(self._weight(child) for child in set(block.children) if self._parts.is_block(child))
            self._weights[part] = known
        return known

    # ------------------------------------------------------------------------------------------ moves

    def _moves(self, desk: _Desk) -> Iterator[tuple[int, Some, _Desk]]:
        """A setting, what is taken to it, and what is there then."""
        lying, whole = desk
        taken = self._taken.get(lying)
        if taken is None:
            taken = self._taken[lying] = self._take_piles(lying)
        able = self._able.get(whole)
        if able is None:
            able = self._able[whole] = self._may_begin(whole)
        for setting in self._cut_by:
            chosen, piles = taken.get(setting, (0, lying))
            if chosen:
                yield setting, chosen, (piles, whole)
            if setting in able:
                for begun, after in self._begin(able[setting], piles):
                    yield setting, chosen | begun, (after, whole ^ begun)

    def _take_piles(self, piles: Some) -> dict[int, tuple[Some, Some]]:
        """Per setting the piles cut at it, and all piles then: all that can be cut, or as many as the cap allows."""
        taken = {}
        for setting, cut_by in self._cut_by.items():
            chosen = piles & cut_by
            if chosen:
                left = piles ^ chosen
                for part in members(chosen):
                    left |= self.leaves(part, setting)
                taken[setting] = chosen, left
                if left.bit_count() > self._cap:
                    taken[setting] = self._take_some(piles, chosen, setting)
        return taken

    def _take_some(self, piles: Some, able: Some, setting: int) -> tuple[Some, Some]:
        """Those that leave least first, as many as the cap allows."""
        rest, chosen = members(able), 0
        while rest:
            after = {part: piles & ~(1 << part) | self.leaves(part, setting) for part in rest}
            best = min(rest, key=lambda part: (after[part].bit_count(), part))
            if after[best].bit_count() > self._cap:
                break
            piles = after[best]
            rest.remove(best)
            chosen |= 1 << best
        return chosen, piles

    def _may_begin(self, whole: Some) -> dict[int, list[tuple[Some, Some]]]:
        """Per setting the whole sheets that it cuts, those with most cuts first, and the piles that each leaves."""
        able: dict[int, list[tuple[Some, Some]]] = {}
        for part in sorted(members(whole), key=lambda part: (-self._weight(part), part)):
            for setting in self._parts.settings(part):
                able.setdefault(setting, []).append((1 << part, self.leaves(part, setting)))
        return able

    def _begin(self, able: list[tuple[Some, Some]], piles: Some) -> Iterator[tuple[Some, Some]]:
        """Whole sheets begun while there is room, those that add fewest piles first; and all piles then, each time."""
        rest, begun = able, 0
        while rest:
            after, best = min([((piles | leaves).bit_count(), place) for place, (_, leaves) in enumerate(rest)])
            if after > self._cap:
                return
            sheet, leaves = rest[best]
            rest = rest[:best] + rest[best + 1 :]
            begun |= sheet
            piles |= leaves
            yield begun, piles

    def leaves(self, part: int, setting: int) -> Some:
        """The blocks that lie on the table when everything of a part that can be cut at a setting is cut."""
        key = part, setting
        known = self._leaves.get(key)
        if known is None:
            cutting = self._parts.cut(part, setting)
            if cutting is None:
                known = self._meet(frozenset((part,)))
            else:
                known = 0
                came = (*cutting.off, *(() if cutting.left is None else (cutting.left,)))
                for number in sorted({number for number in came if self._parts.is_block(number)}):
                    known |= self.leaves(number, setting)
            self._leaves[key] = known
        return known

    def follow(self, roots: frozenset[int], settings: tuple[int, ...]) -> tuple[Run, ...] | None:
        """These settings in this order, everything begun and cut as soon as it can be.

        None where something is left, or where more piles lie about than the cap allows.
        """
        piles, whole = 0, self._meet(roots)
        runs = []
        for setting in settings:
            chosen = (piles | whole) & self._cut_by[setting]
            if chosen:
                piles, whole = piles & ~chosen, whole & ~chosen
                for part in members(chosen):
                    piles |= self.leaves(part, setting)
                runs.append(Run(setting, tuple(members(chosen))))
            if piles.bit_count() > self._cap:
                return None
        return None if piles | whole else tuple(runs)


def _best(ranked: dict[_Desk, tuple[int, _Path]], width: int) -> list[tuple[_Desk, _Path]]:
    """The best desks, without those that have but more piles than a better one, and the same whole sheets."""
    best: list[tuple[_Desk, _Path]] = []
    kept: dict[Some, list[Some]] = {}
    desks, ranks = list(ranked), [rank for rank, _ in ranked.values()]
    for place in sorted(range(len(desks)), key=ranks.__getitem__):
        desk = piles, whole = desks[place]
        same = kept.setdefault(whole, [])
        more = ~piles
        for fewer in same:
            if not fewer & more:
                break
        else:
            same.append(piles)
            best.append((desk, ranked[desk][1]))
            if len(best) == width:
                break
    return best


def _runs(path: _Path) -> tuple[Run, ...]:
    runs: list[Run] = []
    while path:
        path, setting, chosen = path
        runs.append(Run(setting, tuple(members(chosen))))
    return tuple(reversed(runs))
