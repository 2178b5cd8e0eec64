"""Seeded layouts for the tests of the order of cuts, and the fewest settings of tiny ones by trying everything."""

from __future__ import annotations

import random
from collections.abc import Callable, Hashable, Iterator
from dataclasses import replace
from typing import TypeVar

from nesting.packing.layout import (
    Axis,
    Block,
    CutPart,
    CutRules,
    FreePart,
    MarginPart,
    Margins,
    PackingTask,
    Part,
    PieceKind,
    PiecePart,
    SheetKind,
    Use,
)


class _Grower:
    """Grows trees of cuts at random and notes the piece kinds that come of them."""

    def __init__(self, chance: random.Random, kerf: int, blocks: bool) -> None:
        self.chance, self.kerf, self.blocks = chance, kerf, blocks
        self.kinds: dict[tuple[int, int, Block | None], int] = {}

    def leaf(self, width: int, height: int, free: float) -> Part:
        if self.chance.random() < free:
            return FreePart(width, height)
        turned = width != height and self.chance.random() < 0.3
        block = None
        if self.blocks and self.chance.random() < 0.2:
            axis = self.chance.choice(list(Axis))
            along = width if axis is Axis.ACROSS else height
            count = self.chance.choice((2, 3))
            room = along - (count - 1) * self.kerf
            if room >= 2 * count:
                first = room // count if self.chance.random() < 0.5 else self.chance.randint(1, room // count)
                middle = (first,) * (count - 2)
                extents = (first, *middle, room - first - sum(middle))
                block = Block(axis.other if turned else axis, extents)
        size = (height, width) if turned else (width, height)
        kind = self.kinds.setdefault((*size, block), len(self.kinds))
        return PiecePart(width, height, kind, turned)

    def part(self, width: int, height: int, depth: int, axis: Axis) -> Part:
        """A part that is cut along the axis, if at all."""
        length = width if axis is Axis.ACROSS else height
        if depth == 0 or length < 4 or self.chance.random() < 0.15:
            return self.leaf(width, height, 0.2)
        sizes = self._split(length)
        if len(sizes) < 2:
            return self.leaf(width, height, 0.2)
        parts: list[Part] = []
        for size in sizes:
            inner = (size, height) if axis is Axis.ACROSS else (width, size)
            if parts and self.chance.random() < 0.5 and _length(parts[-1], axis) == size:
                parts.append(parts[-1])
            else:
                parts.append(self.part(*inner, depth - 1, axis.other))
        waste = [place for place, part in enumerate(parts) if isinstance(part, FreePart)]
        for place in waste[1:]:
            parts[place] = self.leaf(parts[place].width, parts[place].height, 0)
        if all(isinstance(part, FreePart) for part in parts):
            return FreePart(width, height)
        return CutPart(width, height, axis, tuple(parts))

    def _split(self, length: int) -> list[int]:
        few = self.chance.sample(range(2, max(3, length)), min(2, max(1, length - 2)))
        sizes: list[int] = []
        left = length
        while left > 0 and len(sizes) < 4:
            size = self.chance.choice(few)
            if size + self.kerf + 1 > left:
                break
            sizes.append(size)
            left -= size + self.kerf
        if left > 0 and sizes:
            sizes.append(left)
        return sizes


def _length(part: Part, axis: Axis) -> int:
    return part.width if axis is Axis.ACROSS else part.height


def random_plan(
    seed: int, *, sheets: int = 3, depth: int = 4, size: int = 24, kerf: int = 0, margins: bool = False,
    blocks: bool = False,
) -> tuple[PackingTask, tuple[Use, ...]]:
    """Layouts grown at random with the task that they answer; needs are what is cut."""
    chance = random.Random(seed)
    grower = _Grower(chance, kerf, blocks)
    uses: list[Use] = []
    kinds: list[SheetKind] = []
    for _ in range(chance.randint(1, sheets)):
        edges = Margins(*(chance.choice((0, 0, 2, 3)) for _ in range(4))) if margins else Margins()
        inner: Part | None = None
        while inner is None or isinstance(inner, FreePart):
            inner = grower.part(
                chance.randint(size // 2, size), chance.randint(size // 2, size), depth, chance.choice(list(Axis))
            )
        root = _with_margins(inner, edges, kerf)
        kinds.append(SheetKind(root.width, root.height, margins=edges))
        uses.append(Use(len(kinds) - 1, root, chance.randint(1, 5)))
    pieces = tuple(PieceKind(*key[:2], 1, block=key[2]) for key in grower.kinds)
    return PackingTask(pieces, tuple(kinds), CutRules(kerf=kerf)), tuple(uses)


def _with_margins(inner: Part, edges: Margins, kerf: int) -> Part:
    """The margins round a part, left and right first; the blade runs over the edge where a margin is under its kerf."""
    width = inner.width + edges.left + edges.right
    for axis, near, far in ((Axis.DOWN, edges.top, edges.bottom), (Axis.ACROSS, edges.left, edges.right)):
        across = axis is Axis.ACROSS
        parts: list[Part] = [inner]
        for margin, first in ((near, True), (far, False)):
            if margin:
                thick = max(0, margin - kerf)
                strip = MarginPart(thick, inner.height) if across else MarginPart(inner.width, thick)
                parts.insert(0 if first else len(parts), strip)
        if len(parts) > 1:
            size = (width, inner.height) if across else (inner.width, inner.height + near + far)
            inner = CutPart(*size, axis, tuple(parts))
    return inner


# ------------------------------------------------------------------------------------------ trying everything

# A part still to be cut: whether it leaves waste, and its strips as (setting, what the strip holds).
_Raw = tuple[bool, tuple[tuple[int, "_Raw | None"], ...]]


def _raw(part: Part) -> _Raw | None:
    if not isinstance(part, CutPart):
        return None
    strips = [(_length(child, part.axis), _raw(child)) for child in part.parts if not isinstance(child, FreePart)]
    return len(strips) < len(part.parts), tuple(sorted(strips, key=repr))


def fewest_by_trying(uses: tuple[Use, ...], most_states: int = 60_000) -> int | None:
    """The fewest settings over all orders of single strokes; None where that takes too long.

    A stroke takes one strip off one part; the stop may be moved after any stroke. Parts of one size are the same
    part wherever they come from. Breadth first over settings, every set of parts that can be reached within one.
    """
    start = tuple(sorted({raw for use in uses if (raw := _raw(use.root)) is not None}, key=repr))
    for settings, layer in enumerate(_by_settings(start, _settings, _strokes, most_states)):
        if layer is None or () in layer:
            return None if layer is None else settings
    raise AssertionError("every sheet can be cut to its end")


_State = TypeVar("_State", bound=Hashable)


def _by_settings(
    start: _State, settings: Callable[[_State], set[int]], strokes: Callable[[_State, int], list[_State]], most: int,
    may_move: Callable[[_State], bool] = lambda state: True,
) -> Iterator[set[_State] | None]:
    """What can be reached with no setting, with one more each time, each state once; None where it is too much.

    may_move: whether the stop may be moved in a state.
    """
    layer, seen = {start}, {start}
    while layer:
        yield layer
        following: set[_State] = set()
        for state in layer:
            for size in settings(state):
                reached, todo = {state}, [state]
                while todo:
                    for after in strokes(todo.pop(), size):
                        if after not in reached:
                            reached.add(after)
                            todo.append(after)
                    if len(reached) + len(seen) > most:
                        yield None
                        return
                following |= {found for found in reached - seen if may_move(found)}
        seen |= following
        layer = following


def _settings(state: tuple[_Raw, ...]) -> set[int]:
    return {strip[0] for part in state for strip in part[1]}


def _strokes(state: tuple[_Raw, ...], size: int) -> list[tuple[_Raw, ...]]:
    found = []
    for place, (waste, strips) in enumerate(state):
        for which, (extent, inside) in enumerate(strips):
            if extent != size:
                continue
            left = strips[:which] + strips[which + 1 :]
            came = [inside] if inside is not None else []
            if len(left) == 1 and not waste:
                came += [left[0][1]] if left[0][1] is not None else []
            elif left:
                came.append((waste, left))
            found.append(tuple(sorted([*state[:place], *came, *state[place + 1 :]], key=repr)))
    return found


# ------------------------------------------------------------------------------------------ few piles

# A part as it lies there, strips in any order, and whether it is cut already (0 for a whole sheet).
_Lying = tuple[int, CutPart]


def fewest_under_cap(uses: tuple[Use, ...], cap: int, most_states: int) -> int | None:
    """The fewest settings over all orders of single strokes that leave so many kinds of begun parts at most.

    Counted whenever the stop is moved. None where that takes too long, or where no order keeps to the cap.
    """
    whole = {_bag(use.root) for use in uses}
    start = tuple(sorted(((0, part) for part in whole if isinstance(part, CutPart)), key=repr))
    layers = _by_settings(start, _lying_settings, _lying_strokes, most_states, lambda state: _kinds(state) <= cap)
    for settings, layer in enumerate(layers):
        if layer is None or () in layer:
            return None if layer is None else settings
    return None


def _bag(part: Part) -> Part:
    if not isinstance(part, CutPart):
        return part
    return replace(part, parts=tuple(sorted(map(_bag, part.parts), key=repr)))


def _kinds(state: tuple[_Lying, ...]) -> int:
    return len({part for begun, part in state if begun})


def _lying_settings(state: tuple[_Lying, ...]) -> set[int]:
    return {_length(strip, part.axis) for _, part in state for strip in part.parts if not isinstance(strip, FreePart)}


def _lying_strokes(state: tuple[_Lying, ...], size: int) -> list[tuple[_Lying, ...]]:
    found = []
    for place, (_, part) in enumerate(state):
        for strip in dict.fromkeys(part.parts):
            if isinstance(strip, FreePart) or _length(strip, part.axis) != size:
                continue
            left = list(part.parts)
            left.remove(strip)
            length = _length(part, part.axis) - size
            sides = (length, part.height) if part.axis is Axis.ACROSS else (part.width, length)
            came = [strip, left[0] if len(left) == 1 else CutPart(*sides, part.axis, tuple(left))]
            parts = [(1, each) for each in came if isinstance(each, CutPart)]
            found.append(tuple(sorted([*state[:place], *parts, *state[place + 1 :]], key=repr)))
    return found


# ------------------------------------------------------------------------------------------ and every error

# A part: the direction in which it is cut, its errors across and down (two are as bad as more), whether it leaves
# waste, its strips as (setting, what the strip holds); a piece has no strips.
_Sure = tuple[int, tuple[int, int], bool, tuple[tuple[int, "_Sure"], ...]]
PIECE: _Sure = (0, (0, 0), False, ())


def fewest_by_doubts(uses: tuple[Use, ...], most_states: int) -> dict[int, int] | None:
    """By doubtful pieces the fewest settings of the orders with just so many, every copy cut stroke by stroke."""
    whole = [_sure(use.root) for use in uses for _ in range(use.copies)]
    start = tuple(sorted(part for part in whole if part[3]))
    best: dict[int, int] = {}
    for settings, layer in enumerate(_by_settings((start, 0), _sure_settings, _sure_strokes, most_states)):
        if layer is None:
            return None
        for state, doubts in layer:
            if not state:
                best.setdefault(doubts, settings)
    return best


def _sure_settings(at: tuple[tuple[_Sure, ...], int]) -> set[int]:
    return {strip[0] for part in at[0] for strip in part[3]}


def _sure(part: Part) -> _Sure:
    if not isinstance(part, CutPart):
        return PIECE
    strips = [(_length(child, part.axis), _sure(child)) for child in part.parts if not isinstance(child, FreePart)]
    return int(part.axis is Axis.DOWN), (0, 0), len(strips) < len(part.parts), tuple(sorted(strips))


def _sure_strokes(at: tuple[tuple[_Sure, ...], int], size: int) -> list[tuple[tuple[_Sure, ...], int]]:
    """One stroke more, wherever one can be made at this setting."""
    found, (state, doubts) = [], at
    for place, (axis, errors, waste, strips) in enumerate(state):
        direct, more = list(errors), list(errors)
        direct[axis], more[axis] = 1, min(2, errors[axis] + 1)
        for which, (extent, inside) in enumerate(strips):
            if extent != size:
                continue
            left = strips[:which] + strips[which + 1 :]
            came = [(inside, direct)]
            if len(left) == 1 and not waste:
                came.append((left[0][1], more))
            elif left:
                came.append(((axis, (0, 0), waste, left), more))
            parts = [(part[0], (wide, high), part[2], part[3]) for part, (wide, high) in came if part[3]]
            bad = sum(max(carried) > 1 for part, carried in came if not part[3])
            found.append((tuple(sorted([*state[:place], *parts, *state[place + 1 :]])), doubts + bad))
    return found
