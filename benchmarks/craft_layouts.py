"""Made-up batches of card papers and a plain planner for them, for tests and measures of the order of cuts.

In: a seed, how many sizes, how many cards. Out: a PackingTask with one paper and the Uses that cover it. Sizes are
in sixteenths of an inch on 12 x 12 in sheets, as mats and layers come out of card panels. The planner fills
sheets with grids and strips, greedily; it proves nothing and is not meant to.
"""

from __future__ import annotations

import random
from dataclasses import dataclass

from nesting.lengths import TICKS_PER_INCH
from nesting.packing.layout import (
    Allowed,
    Axis,
    CutPart,
    CutRules,
    FreePart,
    PackingTask,
    Part,
    PieceKind,
    PiecePart,
    SheetKind,
    Use,
)

SIXTEENTH = TICKS_PER_INCH // 16
PANELS = ((88, 68), (80, 56), (68, 44), (112, 80), (64, 64), (88, 34), (40, 56), (60, 60))  # sixteenths
SMALL = ((48, 12), (40, 16), (32, 32), (24, 24), (56, 20), (16, 64), (28, 44), (10, 60))


def card_batch(seed: int, sizes: int, cards: int, *, sheet: int = 192) -> PackingTask:
    """One paper of a batch: mats and layers of a few cards, `cards` of each card, one to four pieces a card."""
    draw = random.Random(f"card batch {seed} {sizes}")
    found: dict[tuple[int, int, bool], int] = {}
    while len(found) < sizes:
        width, height = draw.choice(PANELS) if draw.random() < 0.65 else draw.choice(SMALL)
        smaller = draw.choice((0, 2, 4, 6, 8)) if min(width, height) > 20 else draw.choice((0, 2))
        if draw.random() < 0.5:
            width, height = height, width
        may_turn = draw.random() < 0.6
        found.setdefault((width - smaller, height - smaller, may_turn), draw.choice((1, 1, 1, 2, 2, 4)))
    pieces = tuple(
        PieceKind(width * SIXTEENTH, height * SIXTEENTH, each * cards, (Allowed(0, may_turn),))
        for (width, height, may_turn), each in found.items()
    )
    return PackingTask(pieces, (SheetKind(sheet * SIXTEENTH, sheet * SIXTEENTH),), CutRules())


@dataclass(frozen=True, slots=True)
class _Filled:
    """A part filled with pieces: the tree, how many of each kind, the area they take."""

    part: Part
    counts: tuple[int, ...]
    area: int


def plain_plan(task: PackingTask) -> tuple[Use, ...]:
    """Layouts that cover every need: the fullest sheet of what is missing, as often as the needs allow."""
    missing = [piece.need for piece in task.pieces]
    sheet = task.sheets[0]
    uses: list[Use] = []
    while any(missing):
        filled = _fill(task, sheet.width, sheet.height, tuple(missing), 6)
        copies = min(have // used for have, used in zip(missing, filled.counts, strict=True) if used)
        missing = [have - copies * used for have, used in zip(missing, filled.counts, strict=True)]
        uses.append(Use(0, filled.part, copies))
    return tuple(uses)


def _fill(task: PackingTask, width: int, height: int, missing: tuple[int, ...], depth: int) -> _Filled:
    """The best of the three largest pieces that fit, as a row or a column, and what is left filled likewise."""
    best = _Filled(FreePart(width, height), (0,) * len(missing), 0)
    tried = 0
    for kind in sorted(range(len(missing)), key=lambda k: -task.pieces[k].width * task.pieces[k].height):
        piece = task.pieces[kind]
        turns = (False, True) if piece.allowed[0].may_turn and piece.width != piece.height else (False,)
        fits = False
        for turned in turns:
            wide, high = (piece.height, piece.width) if turned else (piece.width, piece.height)
            if missing[kind] == 0 or wide > width or high > height:
                continue
            fits = True
            for axis in Axis:
                filled = _strip(task, (width, height), missing, (kind, turned, axis), depth)
                if filled.area > best.area:
                    best = filled
        tried += fits
        if tried == (3 if depth > 4 else 1):
            break
    return best


def _strip(
    task: PackingTask, room: tuple[int, int], missing: tuple[int, ...], lead: tuple[int, bool, Axis], depth: int
) -> _Filled:
    """A strip led by one piece, cut off along the axis, as often as it can be had; then the rest of the room."""
    kind, turned, axis = lead
    piece = task.pieces[kind]
    wide, high = (piece.height, piece.width) if turned else (piece.width, piece.height)
    width, height = room
    along, across, most = (wide, high, height) if axis is Axis.ACROSS else (high, wide, width)
    count = min(missing[kind], most // across)
    left_over = most - count * across
    parts: list[Part] = [PiecePart(wide, high, kind, turned)] * count
    counts = [0] * len(missing)
    counts[kind] = count
    area = count * wide * high
    if left_over:
        less = tuple(have - used for have, used in zip(missing, counts, strict=True))
        corner = (along, left_over) if axis is Axis.ACROSS else (left_over, along)
        inside = _fill(task, *corner, less, depth - 1) if depth > 0 else _Filled(FreePart(*corner), (0,) * len(less), 0)
        parts += _flat(inside.part, axis.other)
        counts = [mine + more for mine, more in zip(counts, inside.counts, strict=True)]
        area += inside.area
    strip = CutPart(*((along, height) if axis is Axis.ACROSS else (width, along)), axis.other, tuple(parts))
    one: Part = strip if len(parts) > 1 else parts[0]
    length = width if axis is Axis.ACROSS else height
    often = min(have // used for have, used in zip(missing, counts, strict=True) if used)
    often = max(1, min(often, length // along))
    rest = length - often * along
    strips: list[Part] = [one] * often
    counts = [used * often for used in counts]
    area *= often
    if rest:
        less = tuple(have - used for have, used in zip(missing, counts, strict=True))
        other = (rest, height) if axis is Axis.ACROSS else (width, rest)
        filled = _fill(task, *other, less, depth - 1) if depth > 0 else _Filled(FreePart(*other), (0,) * len(less), 0)
        strips += _flat(filled.part, axis)
        counts = [mine + more for mine, more in zip(counts, filled.counts, strict=True)]
        area += filled.area
    if len(strips) == 1:
        return _Filled(strips[0], tuple(counts), area)
    return _Filled(CutPart(width, height, axis, tuple(strips)), tuple(counts), area)


def _flat(part: Part, axis: Axis) -> list[Part]:
    """A part as parts of a row along the axis: a row along the same axis is taken apart."""
    if isinstance(part, CutPart) and part.axis is axis:
        return list(part.parts)
    return [part]
