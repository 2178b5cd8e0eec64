"""Few settings with few piles: which setting next, on which piles, and which whole sheets to begin with.

In: the register of parts, needs with their bounds, and a cap on the piles. Out: runs. The fact of the trade: begun
sheets lie about as piles of half-cut parts, and too many of them are mixed up; so sheets are begun only when there
is room for what comes off. Many orders are grown side by side and the most promising ones kept (a beam search).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import NamedTuple

from nesting.cutting.alone import Alone
from nesting.cutting.needs import PartNeeds, members
from nesting.cutting.parts import Parts, measured
from nesting.cutting.play import Run

WIDTHS = (20, 80, 320)
BOUND_WEIGHT = 8  # how much of the weight of parts counts as much as one setting that is sure to come

Some = int  # a set of parts as bits, by their numbers


class _Desk(NamedTuple):
    """Piles on the table and whole sheets not begun."""

    piles: Some
    whole: Some


class _Path(NamedTuple):
    """The last run of an order, and the path to it; None is no run at all."""

    before: _Path | None
    setting: int
    chosen: Some


class PileSearch:
    """One search under a cap; `left` counts the states that may still be looked at."""

    def __init__(
        self, parts: Parts, needs: PartNeeds, cap: int, work: int, stop: Callable[[], bool] | None
    ) -> None:
        self.left = work
        self._over = -3 * work  # a search once begun may take more than the work is
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
        self._taken: dict[tuple[Some, int], tuple[Some, Some]] = {}  # of piles at a setting: what is cut, what is left

    def best(self, roots: frozenset[int], enough: int) -> tuple[Run, ...] | None:
        """The best order found, wider and wider searches; None where no order keeps to the cap."""
        best: tuple[Run, ...] | None = None
        for width in WIDTHS:
            found = self._side_by_side(roots, width)
            if found is not None and (best is None or len(found) < len(best)):
                best = found
            if self.left <= 0 or (best is not None and len(best) <= enough):
                break
        return best

    def _side_by_side(self, roots: frozenset[int], width: int) -> tuple[Run, ...] | None:
        front: list[tuple[_Desk, _Path | None]] = [(_Desk(0, self._meet(roots)), None)]
        while front:
            ranked: dict[_Desk, tuple[tuple[int, int], _Path]] = {}
            for desk, path in front:
                if not desk.piles and not desk.whole:
                    return _runs(path)
                for setting, chosen, following in self._moves(desk):
                    if following not in ranked:
                        ranked[following] = self._rank(following), _Path(path, setting, chosen)
            self.left -= len(ranked)
            if self._stop is not None and self._stop():
                self.left = self._over
            if self.left <= self._over:
                width = 1  # bring the best order to its end
            best = sorted(ranked.items(), key=lambda item: item[1][0])[:width]
            front = [(desk, path) for desk, (_, path) in best]
        return None

    def _rank(self, desk: _Desk) -> tuple[int, int]:
        piled, of_piles = self._sums(desk.piles)
        lying, of_whole = self._sums(desk.whole)
        return of_piles + of_whole + BOUND_WEIGHT * (piled | lying).bit_count(), desk.piles.bit_count()

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
        for setting, cut_by in self._cut_by.items():
            able = desk.piles & cut_by
            chosen, piles = self._take_piles(desk.piles, able, setting) if able else (0, desk.piles)
            if chosen:
                yield setting, chosen, _Desk(piles, desk.whole)
            if desk.whole & cut_by and piles.bit_count() <= self._cap:
                yield from self._begin(setting, chosen, piles, desk.whole)

    def _take_piles(self, piles: Some, able: Some, setting: int) -> tuple[Some, Some]:
        """All piles that can be cut, or as many as the cap allows, those that leave least first."""
        known = self._taken.get((piles, setting))
        if known is None:
            chosen, left = able, piles & ~able
            for part in members(able):
                left |= self.leaves(part, setting)
            if left.bit_count() > self._cap:
                chosen, left = self._take_some(piles, able, setting)
            known = self._taken[piles, setting] = chosen, left
        return known

    def _take_some(self, piles: Some, able: Some, setting: int) -> tuple[Some, Some]:
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

    def _begin(
        self, setting: int, chosen: Some, piles: Some, whole: Some
    ) -> Iterator[tuple[int, Some, _Desk]]:
        """Whole sheets begun one after another while there is room, those that add fewest piles first."""
        rest = members(whole & self._cut_by[setting])
        while rest:
            best = min(rest, key=lambda p: ((self.leaves(p, setting) & ~piles).bit_count(), -self._weight(p), p))
            piles |= self.leaves(best, setting)
            if piles.bit_count() > self._cap:
                return
            rest.remove(best)
            chosen |= 1 << best
            whole &= ~(1 << best)
            yield setting, chosen, _Desk(piles, whole)

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


def _runs(path: _Path | None) -> tuple[Run, ...]:
    runs: list[Run] = []
    while path is not None:
        runs.append(Run(path.setting, tuple(members(path.chosen))))
        path = path.before
    return tuple(reversed(runs))
