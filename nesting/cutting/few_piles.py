"""Few settings with few piles: which setting next, on which piles, and which whole sheets to begin with.

In: the register of parts, needs with their bounds, and a cap on the piles. Out: runs. The fact of the trade: begun
sheets lie about as piles of half-cut parts, and too many of them are mixed up; so sheets are begun only when there
is room for what comes off. Many orders are grown side by side and the most promising ones kept (a beam search).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from nesting.cutting.alone import Alone
from nesting.cutting.needs import PartNeeds
from nesting.cutting.parts import Parts, measured
from nesting.cutting.play import Run

WIDTHS = (5, 20, 80)
BOUND_WEIGHT = 8  # how many cuts still to come weigh as much as one setting that is sure to come


@dataclass(frozen=True, slots=True)
class _Desk:
    """Piles on the table and whole sheets not begun."""

    piles: frozenset[int]
    whole: frozenset[int]


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
        self._leaves: dict[tuple[int, int], frozenset[int]] = {}
        self._weights: dict[int, int] = {}

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
        front: list[tuple[_Desk, tuple[Run, ...]]] = [(_Desk(frozenset(), roots), ())]
        while front:
            ranked: dict[_Desk, tuple[tuple[int, int], tuple[Run, ...]]] = {}
            for desk, order in front:
                if not desk.piles and not desk.whole:
                    return order
                for run, following in self._moves(desk):
                    if following not in ranked:
                        ranked[following] = self._rank(following), (*order, run)
            self.left -= len(ranked)
            if self._stop is not None and self._stop():
                self.left = self._over
            if self.left <= self._over:
                width = 1  # bring the best order to its end
            best = sorted(ranked.items(), key=lambda item: item[1][0])[:width]
            front = [(desk, order) for desk, (_, order) in best]
        return None

    def _rank(self, desk: _Desk) -> tuple[int, int]:
        state = self._needs.of_all(sorted(desk.piles | desk.whole))
        weight = sum(self._weight(part) for part in desk.piles) + sum(self._weight(part) for part in desk.whole)
        return weight + BOUND_WEIGHT * self._alone.of(state).bit_count(), len(desk.piles)

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

    def _moves(self, desk: _Desk) -> Iterator[tuple[Run, _Desk]]:
        settings: set[int] = set()
        for part in sorted(desk.piles | desk.whole):
            settings.update(self._parts.settings(part))
        for setting in sorted(settings):
            chosen, piles = self._take_piles(desk.piles, setting)
            if chosen:
                yield Run(setting, chosen), _Desk(piles, desk.whole)
            if len(piles) > self._cap:
                continue
            yield from self._begin(setting, chosen, piles, desk.whole)

    def _take_piles(self, piles: frozenset[int], setting: int) -> tuple[tuple[int, ...], frozenset[int]]:
        """All piles that can be cut, or as many as the cap allows, those that leave least first."""
        rest = [part for part in sorted(piles) if self._parts.cut(part, setting) is not None]
        all_cut = piles.difference(rest).union(*(self.leaves(part, setting) for part in rest))
        if len(all_cut) <= self._cap:
            return tuple(rest), all_cut
        chosen: list[int] = []
        while rest:
            after = {part: (piles - {part}) | self.leaves(part, setting) for part in rest}
            best = min(rest, key=lambda part: (len(after[part]), part))
            if len(after[best]) > self._cap:
                break
            piles = after[best]
            rest.remove(best)
            chosen.append(best)
        return tuple(chosen), piles

    def _begin(
        self, setting: int, chosen: tuple[int, ...], piles: frozenset[int], whole: frozenset[int]
    ) -> Iterator[tuple[Run, _Desk]]:
        """Whole sheets begun one after another while there is room, those that add fewest piles first."""
        rest = [part for part in sorted(whole) if self._parts.cut(part, setting) is not None]
        while rest:
            best = min(rest, key=lambda p: (len(self.leaves(p, setting) - piles), -self._weight(p), p))
            piles |= self.leaves(best, setting)
            if len(piles) > self._cap:
                return
            rest.remove(best)
            chosen = (*chosen, best)
            whole -= {best}
            yield Run(setting, chosen), _Desk(piles, whole)

    def leaves(self, part: int, setting: int) -> frozenset[int]:
        """The blocks that lie on the table when everything of a part that can be cut at a setting is cut."""
        key = part, setting
        known = self._leaves.get(key)
        if known is None:
            cutting = self._parts.cut(part, setting)
            if cutting is None:
                known = frozenset((part,))
            else:
                came = (*cutting.off, *(() if cutting.left is None else (cutting.left,)))
                blocks = sorted({number for number in came if self._parts.is_block(number)})
                known = frozenset().union(*(self.leaves(number, setting) for number in blocks))
            self._leaves[key] = known
        return known

    def follow(self, roots: frozenset[int], settings: tuple[int, ...]) -> tuple[Run, ...] | None:
        """These settings in this order, everything begun and cut as soon as it can be; None where that fails."""
        piles = roots
        runs = []
        for setting in settings:
            chosen = tuple(part for part in sorted(piles) if self._parts.cut(part, setting) is not None)
            if chosen:
                piles = piles.difference(chosen).union(*(self.leaves(part, setting) for part in chosen))
                runs.append(Run(setting, chosen))
        return None if piles else tuple(runs)
