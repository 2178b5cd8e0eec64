"""In how many pieces of a layout the errors of two settings or more must add up, in whatever order it is cut.

In: the register of parts. Out: a count per layout. The fact of the trade: a strip cut off lies under the stop and
carries one error; what is left over carries them all. Where a row has waste, the waste is left over and every piece
is cut to the stop; where it has none, one part must take up what the others are off by.
"""

from __future__ import annotations

from collections import Counter

from nesting.cutting.parts import Block, Parts
from nesting.packing.layout import Axis

Errors = tuple[int, int]  # of a part so far, across and down; more than two are as bad as two


def doubtful(parts: Parts, root: int, edge: int = 0) -> int:
    """Pieces of a sheet with two or more added errors, at the least; `edge`: the errors of the sheet's own edges."""
    return Doubt(parts).of(root, (edge, edge))


class Doubt:
    """Counts for the parts of one register, remembered part by part."""

    def __init__(self, parts: Parts) -> None:
        self._parts = parts
        self._known: dict[tuple[int, Errors], int] = {}

    def of(self, number: int, errors: Errors) -> int:
        """Doubtful pieces in a part that carries these errors, at the least."""
        key = number, errors
        if key not in self._known:
            block = self._parts[number]
            if isinstance(block, Block):
                self._known[key] = self._in_block(block, errors)
            else:
                self._known[key] = self._parts.pieces_in(number) if max(errors) > 1 else 0
        return self._known[key]

    def kinds(self, number: int, errors: Errors) -> Counter[int]:
        """The same pieces: how many there are of each kind."""
        part, found = self._parts[number], Counter[int]()
        if isinstance(part, Block):
            children = list(part.children)
            over = self._left_over(part, errors)
            children.remove(over)
            for child in children:
                found += self.kinds(child, after(part, errors, True))
            found += self.kinds(over, after(part, errors, False))
        elif part.table.kind is not None and max(errors) > 1:
            found[part.table.kind] = 1
        return found

    def harm(self, block: Block, child: int, errors: Errors) -> int:
        """How many more pieces of a child are doubtful when it is left over than when it is cut to the stop."""
        return self.of(child, after(block, errors, False)) - self.of(child, after(block, errors, True))

    def _in_block(self, block: Block, errors: Errors) -> int:
        """All children cut to the stop but one, which is the one where that does least harm."""
        under_the_stop = sum(self.of(child, after(block, errors, True)) for child in block.children)
        return under_the_stop + self.harm(block, self._left_over(block, errors), errors)

    def _left_over(self, block: Block, errors: Errors) -> int:
        """The child that does the least harm when it is left over."""
        if block.rest is not None:
            return block.rest
        return min(block.children, key=lambda child: self.harm(block, child, errors))


def after(block: Block, errors: Errors, direct: bool) -> Errors:
    """What a child of a block carries that has these errors: cut to the stop (`direct`), or left over at the end."""
    wide, high = errors
    strokes = len(block.children) - 1
    if block.axis is Axis.ACROSS:
        return (1 if direct else min(wide + strokes, 2)), high
    return wide, (1 if direct else min(high + strokes, 2))
