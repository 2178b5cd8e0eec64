"""Cut trees in two dresses: nested tuples with the kerf added for the searches, parts for everyone else.

In: nodes (code, width, height, item or children) as forest.py has them, kerf added to every extent, siblings in any
order. Out: parts of layout.py, in an order that the trimmer's rules allow, margins around them; and back. The facts
of the trade: with the kerf added to every extent, the parts of a cut simply add up; strips of one cut may change
places; and the last cut needs enough paper under the clamp, so the widest strips are cut last where that matters.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from nesting.packing.forest import ACROSS_CODE, DOWN_CODE, FREE_CODE, PIECE_CODE
from nesting.packing.layout import (
    Axis,
    CutPart,
    CutRules,
    FreePart,
    MarginPart,
    PackingTask,
    Part,
    PieceKind,
    PiecePart,
    SheetKind,
    Use,
    leaves,
)

Node = tuple[int, int, int, Any]
CODES = {Axis.ACROSS: ACROSS_CODE, Axis.DOWN: DOWN_CODE}
AXES = {ACROSS_CODE: Axis.ACROSS, DOWN_CODE: Axis.DOWN}


def free_node(width: int, height: int) -> Node:
    """Free paper."""
    return FREE_CODE, width, height, 0


def cut_node(axis: Axis, width: int, height: int, nodes: Iterable[Node]) -> Node:
    """A part of width x height cut along an axis into nodes; what they leave is one free part, the last.

    Children cut along the same axis are taken apart, free ones are joined, and a child that is all there is stands
    for the whole.
    """
    code, whole = CODES[axis], width if axis is Axis.ACROSS else height
    children: list[Node] = []
    for node in nodes:
        children += node[3] if node[0] == code else [node]
    children = [child for child in children if child[0] != FREE_CODE]
    rest = whole - sum(extent_of(child, axis) for child in children)
    if not children:
        return free_node(width, height)
    if rest > 0:
        children.append(free_node(rest, height) if axis is Axis.ACROSS else free_node(width, rest))
    return children[0] if len(children) == 1 else (code, width, height, tuple(children))


def corner_node(axis: Axis, width: int, height: int, node: Node) -> Node:
    """A part of width x height with a smaller one cut from its corner, first along an axis, then along the other."""
    inner = (node[1], height) if axis is Axis.ACROSS else (width, node[2])
    return cut_node(axis, width, height, [cut_node(axis.other, *inner, [node])])


def extent_of(node: Node, axis: Axis) -> int:
    """How long a node is along an axis."""
    return node[1] if axis is Axis.ACROSS else node[2]


def part_extent(part: Part, axis: Axis) -> int:
    """How long a part is along an axis."""
    return part.width if axis is Axis.ACROSS else part.height


# ------------------------------------------------------------------------------------------ to parts and back


def laid_out(task: PackingTask, kind: int, node: Node, axes: Sequence[Axis]) -> Part | None:
    """What lies inside a sheet's margins as the whole sheet, margins off in this order; None: no trimmer cuts it so."""
    sheet = task.sheets[kind]
    inner = _part_of(node, task, sheet.paper, axes[-1] if axes else None)
    root = with_margins(sheet, inner, axes, task.rules.kerf)
    return root if obeys(root, task.pieces, task.rules) else None


def _part_of(node: Node, task: PackingTask, paper: int, last: Axis | None) -> Part:
    """A node whose items are numbers of piece kinds, as a part without the kerf, in an order the rules allow."""
    code, width, height, inside = node
    rules = task.rules
    width, height = max(0, width - rules.kerf), max(0, height - rules.kerf)
    if code == FREE_CODE:
        return FreePart(width, height)
    if code == PIECE_CODE:
        return PiecePart(width, height, inside, _is_turned(task.pieces[inside], (width, height), paper, last))
    axis = AXES[code]
    parts = [_part_of(child, task, paper, axis) for child in inside]
    parts = _chopped(parts, axis, rules)
    return CutPart(width, height, axis, _ordered(parts, axis, part_extent_whole(width, height, axis), rules))


def _is_turned(piece: PieceKind, size: tuple[int, int], paper: int, last: Axis | None) -> bool:
    """Whether a piece lies turned; one that fits either way is cut apart along the last cuts' axis if it may be."""
    if size != (piece.height, piece.width):
        return False
    if size != (piece.width, piece.height):
        return True
    turns = cut_apart(piece) not in (None, last) and last is not None
    return turns and any(one.paper == paper and one.may_turn for one in piece.allowed)


def part_extent_whole(width: int, height: int, axis: Axis) -> int:
    """Width or height, whichever lies along the axis."""
    return width if axis is Axis.ACROSS else height


def _chopped(parts: list[Part], axis: Axis, rules: CutRules) -> list[Part]:
    """Free paper beside a part that lies beyond the stop is cut off in lengths that the stop reaches."""
    setting = rules.largest_setting
    if setting is None or not any(part_extent(p, axis) > setting and not isinstance(p, FreePart) for p in parts):
        return parts
    result: list[Part] = []
    for part in parts:
        extent = part_extent(part, axis)
        if isinstance(part, FreePart):
            while extent > setting:
                result.append(_resized(part, axis, setting))
                extent = max(0, extent - setting - rules.kerf)
            part = _resized(part, axis, extent)
        result.append(part)
    return result


def _resized(part: FreePart, axis: Axis, extent: int) -> FreePart:
    return FreePart(extent, part.height) if axis is Axis.ACROSS else FreePart(part.width, extent)


def _ordered(parts: list[Part], axis: Axis, whole: int, rules: CutRules) -> tuple[Part, ...]:
    """The longest first and free paper last; the longest last where the last cut could not be held otherwise."""

    def place(part: Part) -> tuple[bool, int, int, int]:
        kind = part.kind if isinstance(part, PiecePart) else -1
        return isinstance(part, FreePart), -part_extent(part, axis), kind, -_pieces_in(part)

    ordered = sorted(parts, key=place)
    if not _can_hold(ordered, axis, whole, rules):
        nothing = [part for part in ordered if part_extent(part, axis) == 0]
        ordered = sorted(parts, key=lambda part: part_extent(part, axis))[len(nothing) :] + nothing
    return tuple(ordered)


def _pieces_in(part: Part) -> int:
    return sum(_pieces_in(child) for child in part.parts) if isinstance(part, CutPart) else 1


def _can_hold(parts: Sequence[Part], axis: Axis, whole: int, rules: CutRules) -> bool:
    for part in parts[:-1]:
        if whole < rules.narrowest_held:
            return False
        whole -= part_extent(part, axis) + rules.kerf
    return True


def node_of(part: Part, kerf: int, width: int, height: int) -> Node:
    """A part, without margins, as a node of width x height, both with the kerf; items are numbers of piece kinds."""
    if isinstance(part, PiecePart):
        return PIECE_CODE, part.width + kerf, part.height + kerf, part.kind
    if not isinstance(part, CutPart):
        return free_node(width, height)
    across = part.axis is Axis.ACROSS
    nodes = [
        node_of(child, kerf, child.width + kerf if across else width, height if across else child.height + kerf)
        for child in part.parts
        if not isinstance(child, FreePart)
    ]
    return cut_node(part.axis, width, height, nodes)


def renamed(node: Node, items: Sequence[int]) -> Node:
    """The same tree with item i called items[i]."""
    code, width, height, inside = node
    if code == PIECE_CODE:
        return code, width, height, items[inside]
    if code == FREE_CODE:
        return node
    return code, width, height, tuple(renamed(child, items) for child in inside)


def items_of(node: Node) -> list[int]:
    """The items of a tree."""
    if node[0] == PIECE_CODE:
        return [node[3]]
    return [item for child in node[3] for item in items_of(child)] if node[0] != FREE_CODE else []


# ------------------------------------------------------------------------------------------ pieces


def cut_apart(piece: PieceKind) -> Axis | None:
    """The axis along which a piece that is not turned is cut apart in the end, if it is."""
    return piece.block.axis if piece.block is not None and len(piece.block.extents) > 1 else None


def may_lie(piece: PieceKind, paper: int, rules: CutRules) -> tuple[bool, bool]:
    """Whether a piece may be cut from this paper as it is described; and turned, where that makes a difference."""
    allowed, axis = [one for one in piece.allowed if one.paper == paper], cut_apart(piece)
    if piece.block is not None and axis is not None:
        long = part_extent_whole(piece.width, piece.height, axis)
        wide = part_extent_whole(piece.width, piece.height, axis.other)
        if not can_cut(long, wide, piece.block.extents, rules):
            return False, False
    differs = piece.width != piece.height or axis is not None
    return bool(allowed), differs and any(one.may_turn for one in allowed)


# ------------------------------------------------------------------------------------------ margins


def inside_margins(sheet: SheetKind, kerf: int) -> tuple[int, int]:
    """Width and height of the part inside the margins; a first margin thinner than the kerf costs the whole kerf."""
    m = sheet.margins
    left, top = (max(m.left, kerf) if m.left else 0), (max(m.top, kerf) if m.top else 0)
    return sheet.width - left - m.right, sheet.height - top - m.bottom


def margin_axes(sheet: SheetKind, rules: CutRules) -> tuple[Axis, ...] | None:
    """The order in which the margins come off, outermost first; None where the trimmer can make no such cuts."""
    m = sheet.margins
    strips = {Axis.ACROSS: m.left or m.right, Axis.DOWN: m.top or m.bottom}
    needed = tuple(axis for axis in Axis if strips[axis])
    width, height = inside_margins(sheet, rules.kerf)
    if width <= 0 or height <= 0:
        return None
    for axes in (needed, needed[::-1]):
        root = with_margins(sheet, FreePart(width, height), axes, rules.kerf)
        if obeys(root, (), rules):
            return axes
    return None


def with_margins(sheet: SheetKind, inner: Part, axes: Sequence[Axis], kerf: int) -> Part:
    """The whole sheet: `inner` with the sheet's margins around it, cut off in the order of `axes`."""
    if not axes:
        return inner
    width, height = sheet.width, sheet.height
    part = inner
    for axis in reversed(axes):
        m = sheet.margins
        before, after = (m.left, m.right) if axis is Axis.ACROSS else (m.top, m.bottom)
        parts: list[Part] = [part]
        if before:
            parts.insert(0, _margin(axis, max(0, before - kerf), part))
        if after:
            parts.append(_margin(axis, max(0, after - kerf), part))
        part = CutPart(width if axis is Axis.ACROSS else part.width, height if axis is Axis.DOWN else part.height,
                       axis, tuple(parts))  # fmt: skip
    return part


def _margin(axis: Axis, extent: int, beside: Part) -> MarginPart:
    return MarginPart(extent, beside.height) if axis is Axis.ACROSS else MarginPart(beside.width, extent)


def without_margins(root: Part) -> Part:
    """What lies inside the margins of a whole sheet."""
    while isinstance(root, CutPart) and any(isinstance(part, MarginPart) for part in root.parts):
        root = next(part for part in root.parts if not isinstance(part, MarginPart))
    return root


# ------------------------------------------------------------------------------------------ looking at trees


def obeys(
    part: Part, kinds: Sequence[PieceKind], rules: CutRules, last: Axis | None = None, turns: int = 0
) -> bool:
    """Whether the trimmer can make all cuts of a whole sheet, in the order that stands there."""
    if isinstance(part, CutPart):
        turns += last not in (None, part.axis)
        long, wide = part_extent(part, part.axis), part_extent(part, part.axis.other)
        sizes = [part_extent(child, part.axis) for child in part.parts]
        good = can_cut(long, wide, sizes, rules)
        return good and all(obeys(child, kinds, rules, part.axis, turns) for child in part.parts)
    if not isinstance(part, PiecePart):
        return True
    block = kinds[part.kind].block
    if block is not None and len(block.extents) > 1:
        axis = block.axis.other if part.turned else block.axis
        turns += last not in (None, axis)
    return rules.most_turns is None or turns <= rules.most_turns


def can_cut(long: int, wide: int, sizes: Sequence[int], rules: CutRules) -> bool:
    """Whether a part `long` along the cuts' axis and `wide` across can be cut into `sizes`, from the first on."""
    if rules.longest_cut is not None and wide > rules.longest_cut:
        return False
    if rules.largest_setting is not None and sum(size > rules.largest_setting for size in sizes) > 1:
        return False
    if wide < rules.narrowest_held:
        return False
    for size in sizes[:-1]:
        if long < rules.narrowest_held:
            return False
        long -= size + rules.kerf
    return True


def largest_free(root: Part) -> int:
    """Area of the largest single free rectangle of a layout."""
    return max((leaf.width * leaf.height for leaf in leaves(root) if isinstance(leaf, FreePart)), default=0)


def largest_free_of(uses: Iterable[Use]) -> int:
    """Area of the largest single free rectangle of a plan."""
    return max((largest_free(use.root) for use in uses), default=0)


def counts_of(root: Part, kinds: int) -> tuple[int, ...]:
    """How many pieces of each kind one sheet of a layout gives."""
    counts = [0] * kinds
    for leaf in leaves(root):
        if isinstance(leaf, PiecePart):
            counts[leaf.kind] += 1
    return tuple(counts)


def gathered(uses: Iterable[Use]) -> tuple[Use, ...]:
    """The same sheets with equal layouts counted together, in the order of their first appearance."""
    copies: dict[tuple[int, Part], int] = {}
    for use in uses:
        key = (use.sheet, use.root)
        copies[key] = copies.get(key, 0) + use.copies
    return tuple(Use(sheet, root, count) for (sheet, root), count in copies.items())
