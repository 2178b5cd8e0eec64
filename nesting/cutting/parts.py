"""The parts that lie on the table: equal ones of all layouts are one part, with one number.

In: layouts (trees of cuts). Out: Parts, a register of leaves and of blocks still to be cut, each named once, and
what one setting of the stop makes of a block. The facts of the trade: the strips of a block may be cut off in any
order, so a block is a bag of strips and what is left of it is again a block; but a margin, and the panels of a
print that runs on, lie where they lie. What is waste is never measured: it is what is left over.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from nesting.cutting.passes import TablePart, WaysOfWork, What
from nesting.packing.layout import Axis, CutPart, FreePart, MarginPart, PackingTask, Part, PieceKind, PiecePart, Use


@dataclass(frozen=True, slots=True)
class Leaf:
    """A part that is done: a piece, an offcut, scrap. `turned`: the piece's width runs down the sheet."""

    table: TablePart
    turned: bool = False

    @property
    def width(self) -> int:
        """Extent across."""
        return self.table.width

    @property
    def height(self) -> int:
        """Extent down."""
        return self.table.height


@dataclass(frozen=True, slots=True)
class Block:
    """A part still to be cut along `axis` into `children` (numbers in the register), kept in order where `pinned`.

    rest: the child that is never measured and is left over last, or None where any child may be. A pinned block
    has two children, one to be cut off from either side, or several of one extent.
    """

    width: int
    height: int
    axis: Axis
    children: tuple[int, ...]
    rest: int | None = None
    pinned: bool = False

    @property
    def extent(self) -> int:
        """Length along the axis in which it is cut."""
        return self.width if self.axis is Axis.ACROSS else self.height


@dataclass(frozen=True, slots=True)
class Cutting:
    """What one setting makes of a block: `off` come off one after another in `strokes`, `left` is what stays, if any.

    from_end: the block's far edge (right, bottom) goes to the stop. Where nothing is `left`, the last of `off`
    was what stayed after the last stroke.
    """

    strokes: int
    off: tuple[int, ...]
    left: int | None
    from_end: bool


class Parts:
    """The register: numbers for leaves and blocks, and what each setting does to each block (remembered)."""

    def __init__(self, task: PackingTask, ways: WaysOfWork, letters: dict[int, str]) -> None:
        self.kerf = task.rules.kerf
        self.ways = ways
        self._kinds = task.pieces
        self._sheets = task.sheets
        self._letters = letters
        self._parts: list[Leaf | Block] = []
        self._numbers: dict[Leaf | Block, int] = {}
        self._pieces: list[int] = []
        self._cuttings: dict[tuple[int, int], Cutting | None] = {}
        self._settings: dict[int, tuple[int, ...]] = {}
        self._left_over: set[tuple[Axis, int, int]] = set()  # of two in one row the first is rather left over

    def __getitem__(self, number: int) -> Leaf | Block:
        return self._parts[number]

    def __len__(self) -> int:
        return len(self._parts)

    def block(self, number: int) -> Block:
        """The block with this number; a leaf here is a fault."""
        part = self._parts[number]
        assert isinstance(part, Block)
        return part

    def is_block(self, number: int) -> bool:
        """Whether the part is still to be cut."""
        return isinstance(self._parts[number], Block)

    def pieces_in(self, number: int) -> int:
        """How many pieces the part holds."""
        return self._pieces[number]

    def extent(self, number: int, axis: Axis) -> int:
        """Length of a part along an axis."""
        part = self._parts[number]
        return part.width if axis is Axis.ACROSS else part.height

    def letters_in(self, number: int) -> tuple[str, ...]:
        """The letters of the pieces in a part, each once, in order."""
        kinds: set[int] = set()
        todo = [number]
        while todo:
            part = self._parts[todo.pop()]
            if isinstance(part, Block):
                todo.extend(part.children)
            elif part.table.kind is not None:
                kinds.add(part.table.kind)
        return tuple(sorted((self._letters[kind] for kind in kinds), key=lambda name: (len(name), name)))

    # ------------------------------------------------------------------------------------------ from layouts

    def add_layout(self, use: Use) -> int:
        """The number of a whole sheet of this layout."""
        return self._add_part(use.root, use)

    def _add_part(self, part: Part, use: Use) -> int:
        if isinstance(part, PiecePart):
            return self._add_piece(part)
        if isinstance(part, FreePart):
            return self._intern(Leaf(TablePart(self._worth(part), part.width, part.height)))
        if isinstance(part, MarginPart):
            return self._intern(Leaf(TablePart(What.SCRAP, part.width, part.height)))
        children = [self._add_part(child, use) for child in part.parts]
        if any(isinstance(child, MarginPart) for child in part.parts):
            return self._add_margins(part, children, use)
        return self._add_strips(part, children, part.parts)

    def _worth(self, part: FreePart) -> What:
        short, long = sorted((part.width, part.height))
        least_short, least_long = sorted(self.ways.keep_from)
        return What.KEEP if short > 0 and least_short <= short and least_long <= long else What.SCRAP

    def _add_piece(self, part: PiecePart) -> int:
        kind = self._kinds[part.kind]
        letter = self._letters[part.kind]
        if kind.block is None or len(kind.block.extents) < 2:
            return self._intern(Leaf(TablePart(What.PIECE, part.width, part.height, letter, part.kind), part.turned))
        return self._add_panels(part, kind, letter)

    def _add_panels(self, part: PiecePart, kind: PieceKind, letter: str) -> int:
        """A print that runs on: panels in order, cut from the first on; equal neighbours in one go."""
        assert kind.block is not None
        axis = kind.block.axis.other if part.turned else kind.block.axis
        panels = []
        for count, extent in enumerate(kind.block.extents, start=1):
            width, height = (extent, part.height) if axis is Axis.ACROSS else (part.width, extent)
            table = TablePart(What.PIECE, width, height, f"{letter}{count}", part.kind)
            panels.append(self._intern(Leaf(table, part.turned)))
        whole = Block(part.width, part.height, axis, tuple(panels), None, True)
        return self._pin(whole)

    def _pin(self, block: Block) -> int:
        """Register a row whose order is fixed: as it is where all are equal, else first one | the others."""
        extents = {self.extent(child, block.axis) for child in block.children}
        if len(extents) == 1 or len(block.children) == 2:
            return self._intern(block)
        first, *others = block.children
        length = block.extent - self.extent(first, block.axis) - self.kerf
        inner = self._pin(_resized(replace(block, children=tuple(others)), length))
        return self._intern(replace(block, children=(first, inner)))

    def _add_margins(self, part: CutPart, children: list[int], use: Use) -> int:
        """Margins stay at their sides: the near ones first, each one against all that is still there."""
        margins = self._sheets[use.sheet].margins
        near = margins.left if part.axis is Axis.ACROSS else margins.top
        block = Block(part.width, part.height, part.axis, tuple(children), None, True)
        if len(children) == 2:
            return self._intern(replace(block, rest=self._never_measured(children, part.axis)))
        if len(children) != 3:
            return self._pin(block)
        first, *others = children
        lost = near if self.extent(first, part.axis) == 0 else self.extent(first, part.axis) + self.kerf
        inner = _resized(replace(block, children=tuple(others)), block.extent - lost)
        number = self._intern(replace(inner, rest=self._never_measured(others, part.axis)))
        pair = [first, number]
        return self._intern(replace(block, children=tuple(pair), rest=self._never_measured(pair, part.axis)))

    def _never_measured(self, pair: list[int], axis: Axis) -> int | None:
        """The one of two that is not measured: nothing is left of it, the stop does not reach, an edge is trued."""
        most = self.ways.largest_setting
        for number in pair:
            if self.extent(number, axis) == 0:
                return number
        for number in pair:
            if most is not None and self.extent(number, axis) > most:
                return number
        inside = [number for number in pair if self._pieces[number]]
        return inside[0] if self.ways.square_first and len(inside) == 1 else None

    def _add_strips(self, part: CutPart, children: list[int], given: tuple[Part, ...]) -> int:
        axis, most = part.axis, self.ways.largest_setting
        free = [number for number, child in zip(children, given, strict=True) if isinstance(child, FreePart)]
        rest: int | None = None
        if free:
            lengths = [self.extent(number, axis) for number in free]
            rest = free[lengths.index(0 if 0 in lengths else max(lengths))]
        longest = max(children, key=lambda number: self.extent(number, axis))
        if most is not None and self.extent(longest, axis) > most and (rest is None or self.extent(rest, axis)):
            rest = longest
        row = Block(part.width, part.height, axis, self._in_order(children, axis), rest)
        return self._halved(row) if self.ways.halve_rows else self._intern(row)

    def _halved(self, row: Block) -> int:
        """A row in which too many errors would add up, cut in the middle first where that can be."""
        count = len(row.children)
        equal = len({self.extent(child, row.axis) for child in row.children}) == 1
        if row.rest is not None or not equal or count % 2 or count - 1 <= self.ways.most_error_steps:
            return self._intern(row)
        half = count // 2
        length = half * self.extent(row.children[0], row.axis) + (half - 1) * self.kerf
        if self.ways.largest_setting is not None and length > self.ways.largest_setting:
            return self._intern(row)
        sides = row.children[:half], row.children[half:]
        halves = [_resized(replace(row, children=side), length) for side in sides]
        return self._intern(replace(row, children=tuple(self._halved(each) for each in halves)))

    def _in_order(self, children: Iterable[int], axis: Axis) -> tuple[int, ...]:
        """Longest first; of equal ones those with most pieces first, so that errors add up in the fewest."""
        return tuple(sorted(children, key=lambda n: (-self.extent(n, axis), -self._pieces[n], n)))

    def _intern(self, part: Leaf | Block) -> int:
        number = self._numbers.get(part)
        if number is None:
            number = self._numbers[part] = len(self._parts)
            self._parts.append(part)
            if isinstance(part, Block):
                self._pieces.append(sum(self._pieces[child] for child in part.children))
            else:
                self._pieces.append(int(part.table.what is What.PIECE))
        return number

    # ------------------------------------------------------------------------------------------ what is left over

    def leave_over(self, number: int, children: frozenset[int]) -> None:
        """From now on one of these is left over from the row, and from all rows of strips that are among the row's.

        To be said before anything is cut; so equal rows, wherever they come from, leave over the same.
        """
        block = self.block(number)
        others = set(block.children) - children
        self._left_over.update((block.axis, child, other) for child in children for other in others)
        block = self._parts[number] = replace(block, rest=self._one_left_over(block))
        self._numbers[block] = number

    @property
    def settled(self) -> frozenset[tuple[Axis, int, int]]:
        """What was said of all rows: in which direction they are cut, what is left over, rather than what."""
        return frozenset(self._left_over)

    def may_be_left_over(self, block: Block) -> frozenset[int]:
        """The children that may be left over by what was said of this row and of others."""
        if block.rest is not None:
            return frozenset((block.rest,))
        several = set(block.children)
        if not self._left_over or len(several) == 1 or block.pinned:
            return frozenset(several)
        return frozenset(
            child for child in several if not any((block.axis, other, child) in self._left_over for other in several)
        )

    def _one_left_over(self, block: Block) -> int | None:
        """The child that must be left over, where there is only one."""
        stays = self.may_be_left_over(block)
        return min(stays) if len(stays) == 1 < len(set(block.children)) else None

    # ------------------------------------------------------------------------------------------ what a setting does

    def settings(self, number: int) -> tuple[int, ...]:
        """The settings at which this part can be cut now, largest first; none for a leaf."""
        known = self._settings.get(number)
        if known is None:
            part = self._parts[number]
            sizes: set[int] = set()
            if isinstance(part, Block):
                sizes = {self.extent(child, part.axis) for child in measured(part)}
            known = tuple(s for s in sorted(sizes, reverse=True) if self.cut(number, s) is not None)
            self._settings[number] = known
        return known

    def cut(self, number: int, setting: int) -> Cutting | None:
        """All cuts of one setting through a part, or None where there is none, or what is left could not be held."""
        key = number, setting
        if key not in self._cuttings:
            part = self._parts[number]
            self._cuttings[key] = self._cut(part, setting) if isinstance(part, Block) else None
        return self._cuttings[key]

    def _cut(self, block: Block, setting: int) -> Cutting | None:
        others = measured(block)
        off = [child for child in others if self.extent(child, block.axis) == setting]
        if not off:
            return None
        for child in off:
            others.remove(child)
        if block.rest is not None:
            others.append(block.rest)
        if not others:
            return Cutting(len(off) - 1, tuple(off), None, False)
        from_end = block.pinned and off[0] != block.children[0]
        if len(others) == 1:
            return Cutting(len(off), tuple(off), others[0], from_end)
        length = max(0, block.extent - len(off) * (setting + self.kerf))
        left = _resized(replace(block, children=self._in_order(others, block.axis)), length)
        if len(set(others)) == 1:
            left = replace(left, rest=None)  # any of equal ones may be left over
        elif left.rest is None and not left.pinned:
            left = replace(left, rest=self._one_left_over(left))
        if self._holdable(block) and not self._holdable(left):
            return None
        return Cutting(len(off), tuple(off), self._intern(left), from_end)

    def _holdable(self, block: Block) -> bool:
        """Whether the strips can come off in some order with the block never narrower than can be held."""
        least = self.ways.narrowest_held
        if least <= 0:
            return True
        lengths = sorted((self.extent(child, block.axis) for child in measured(block)), reverse=True)
        if block.rest is not None:
            return self.extent(block.rest, block.axis) + self.kerf + lengths[0] >= least
        return lengths[0] + lengths[1] + self.kerf >= least


def measured(block: Block) -> list[int]:
    """The children that come off under the stop; where there is no `rest`, one of them need not."""
    children = list(block.children)
    if block.rest is not None:
        children.remove(block.rest)
    return children


def _resized(block: Block, length: int) -> Block:
    """The same block with another extent along its axis."""
    if block.axis is Axis.ACROSS:
        return replace(block, width=length)
    return replace(block, height=length)


def letters(task: PackingTask, uses: Iterable[Use]) -> dict[int, str]:
    """A letter for each piece kind present: A, B, ... by area, largest first, then AA, AB, ..."""
    present: set[int] = set()
    for use in uses:
        todo: list[Part] = [use.root]
        while todo:
            part = todo.pop()
            if isinstance(part, CutPart):
                todo.extend(part.parts)
            elif isinstance(part, PiecePart):
                present.add(part.kind)
    kinds = sorted(present, key=lambda kind: (-task.pieces[kind].width * task.pieces[kind].height, kind))
    return {kind: _letter(place) for place, kind in enumerate(kinds)}


def _letter(place: int) -> str:
    name = ""
    place += 1
    while place:
        place, digit = divmod(place - 1, 26)
        name = chr(ord("A") + digit) + name
    return name
