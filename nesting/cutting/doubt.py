"""In how many pieces of a layout the errors of two settings or more must add up, in whatever order it is cut.

In: the register of parts. Out: a count per layout. The fact of the trade: a strip cut off lies under the stop and
carries one error; what is left over carries them all. Where a row has waste, the waste is left over and every piece
is cut to the stop; where it has none, one part must take up what the others are off by.
"""

from __future__ import annotations

from nesting.cutting.parts import Block, Parts
from nesting.packing.layout import Axis


def doubtful(parts: Parts, root: int, edge: int = 0) -> int:
    """Pieces of a sheet with two or more added errors, at the least; `edge`: the errors of the sheet's own edges."""
    return _doubtful(parts, root, edge, edge, {})


def _doubtful(parts: Parts, number: int, wide: int, high: int, known: dict[tuple[int, int, int], int]) -> int:
    """`wide`, `high`: the errors of the part so far, across and down; more than two are as bad as two."""
    key = number, min(wide, 2), min(high, 2)
    if key not in known:
        block = parts[number]
        if isinstance(block, Block):
            known[key] = _in_block(parts, block, *key[1:], known)
        else:
            known[key] = parts.pieces_in(number) if max(key[1:]) > 1 else 0
    return known[key]


def _in_block(parts: Parts, block: Block, wide: int, high: int, known: dict[tuple[int, int, int], int]) -> int:
    """All children cut to the stop but one, which is the one where that does least harm."""
    across = block.axis is Axis.ACROSS
    strokes = len(block.children) - 1

    def harm(child: int, direct: bool) -> int:
        if across:
            return _doubtful(parts, child, 1 if direct else wide + strokes, high, known)
        return _doubtful(parts, child, wide, 1 if direct else high + strokes, known)

    under_the_stop = sum(harm(child, True) for child in block.children)
    left_over = block.children if block.rest is None else (block.rest,)
    return under_the_stop + min(harm(child, False) - harm(child, True) for child in left_over)
