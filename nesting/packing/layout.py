"""The packer's own small language: what is asked, and what is answered.

In: whole numbers, of whatever unit (the other rooms use ticks). Out: frozen values that know neither paper nor
card. Origin is the top left corner of a sheet; x runs to the right along its width, y runs down along its
height. A print stands upright on a sheet that lies as it is described, so "not turned" keeps the print upright.

The fact of the trade that all of it serves: a trimmer cuts from edge to edge only, so a layout is a tree of
straight cuts (a guillotine pattern; Gilmore & Gomory 1965, Operations Research 13, 94-120).
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum


class Axis(Enum):
    """The direction in which the parts of a cut follow each other."""

    ACROSS = "across"  # side by side, left to right: the cut lines run from top to bottom
    DOWN = "down"  # one below the other, top to bottom: the cut lines run from left to right

    @property
    def other(self) -> Axis:
        """The axis at a right angle to this one."""
        return Axis.DOWN if self is Axis.ACROSS else Axis.ACROSS


# ------------------------------------------------------------------------------------------ what is asked


@dataclass(frozen=True, slots=True)
class Allowed:
    """A piece may be cut from this paper; `may_turn`: also turned by a quarter."""

    paper: int
    may_turn: bool = True


@dataclass(frozen=True, slots=True)
class Block:
    """A piece that is one continuous area first and is then cut apart along `axis` (a print that runs on).

    The extents of the parts and the kerfs between them add up to the piece's extent along the axis. Turning
    the piece turns its axis too.
    """

    axis: Axis
    extents: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class PieceKind:
    """One kind of rectangle to be cut: `need` copies of width x height, from any of the papers allowed."""

    width: int
    height: int
    need: int
    allowed: tuple[Allowed, ...] = (Allowed(0),)
    block: Block | None = None


@dataclass(frozen=True, slots=True)
class Margins:
    """Strips along a sheet's edges that no piece may use: a printed strip, an unprinted rim, a torn edge."""

    left: int = 0
    top: int = 0
    right: int = 0
    bottom: int = 0


@dataclass(frozen=True, slots=True)
class SheetKind:
    """One source of paper: whole size, unusable margins, cost of taking one, and how many there are.

    `cost` is a whole number of any unit, 0 or more; `limit` is None where as many can be had as are wanted.
    A sheet to buy, a sheet at hand, an offcut and the hidden centre of a mat are all sheet kinds.
    """

    width: int
    height: int
    paper: int = 0
    cost: int = 1
    limit: int | None = None
    margins: Margins = Margins()

    @property
    def usable(self) -> tuple[int, int]:
        """Width and height inside the margins."""
        m = self.margins
        return self.width - m.left - m.right, self.height - m.top - m.bottom


@dataclass(frozen=True, slots=True)
class CutRules:
    """What the trimmer can do.

    kerf: what the blade removes between two parts.
    longest_cut: no cut line may be longer (it is as long as the part being cut is wide across the blade).
    largest_setting: of the parts of one cut node all but one must be at most this long along its axis, since
        each cut needs its part or the whole rest between stop and blade.
    narrowest_held: a part that is still to be cut must be at least this long on both sides, or it cannot be held
        flat. In a cut node with several parts this holds before each of its cuts, made from the first part on.
    most_turns: at most so many changes of direction from the whole sheet down to any piece; None: as many as wanted.
    """

    kerf: int = 0
    longest_cut: int | None = None
    largest_setting: int | None = None
    narrowest_held: int = 0
    most_turns: int | None = None


@dataclass(frozen=True, slots=True)
class PackingTask:
    """Cut all needs of all pieces from the sheets at the least total cost, then with the fewest sheets."""

    pieces: tuple[PieceKind, ...]
    sheets: tuple[SheetKind, ...]
    rules: CutRules = CutRules()


# ------------------------------------------------------------------------------------------ what is answered


@dataclass(frozen=True, slots=True)
class PiecePart:
    """A leaf: one piece of kind number `kind`; `turned`: its width runs down the sheet."""

    width: int
    height: int
    kind: int
    turned: bool = False


@dataclass(frozen=True, slots=True)
class FreePart:
    """A leaf: paper left over, an offcut or scrap. One extent is 0 where the blade ran over the edge."""

    width: int
    height: int


@dataclass(frozen=True, slots=True)
class MarginPart:
    """A leaf: a strip of the sheet's margin, never good for a piece. One extent may be 0, as in FreePart."""

    width: int
    height: int


@dataclass(frozen=True, slots=True)
class CutPart:
    """A part that is cut into two or more `parts` along `axis`, listed from the left or from the top.

    With w the extent along the axis, n parts and kerf k: sum of the parts + (n - 1) k = w. Where the blade
    takes less than its kerf off at the end, the last part is a FreePart or MarginPart of extent 0 and the sum
    may exceed w by up to k. No part of a cut part is itself a cut part along the same axis, except a margin's.
    """

    width: int
    height: int
    axis: Axis
    parts: tuple[Part, ...]


Part = PiecePart | FreePart | MarginPart | CutPart


@dataclass(frozen=True, slots=True)
class Use:
    """`copies` sheets of kind number `sheet`, all cut as `root` says; root has the sheet's whole size.

    Margins come off first, on the outside of the tree: what is left of the sheet inside them is one part.
    """

    sheet: int
    root: Part
    copies: int


class Outcome(Enum):
    """How far an answer can be trusted to be the best one."""

    PROVEN = "proven best"
    OPEN = "not proven"
    SHORT = "not enough paper"
    STOPPED = "stopped"


class Reason(Enum):
    """Why no plan can do with less."""

    AREA = "area"
    PRICES = "prices"
    SINGLE = "single pieces"
    EXHAUSTIVE = "exhaustive search"


@dataclass(frozen=True, slots=True)
class Bound:
    """No plan that cuts every need takes fewer than `sheets` sheets or costs less than `cost`; and why.

    With Reason.PRICES, `prices` holds one whole number of 0 or more per piece kind and `scale` what one unit
    of cost is worth in them: whoever knows the most that any one sheet can hold at these prices can add the
    bound up again (Farley 1990, Operations Research 38, 922-923). With Reason.EXHAUSTIVE the prices say how much
    each sheet of a cheaper plan could lose, and so which ways of cutting it are to be tried; none of them adds up.
    """

    cost: int
    sheets: int
    reason: Reason
    prices: tuple[int, ...] = ()
    scale: int = 1


@dataclass(frozen=True, slots=True)
class RuledOut:
    """A piece of width x height, not turned, that no plan of an answer's cost cuts besides all others.

    The bound is that of the task with this piece in addition, behind all others, and the kerf as its only rule.
    """

    width: int
    height: int
    bound: Bound


@dataclass(frozen=True, slots=True)
class OffcutBound:
    """No plan that costs as much as the answer leaves a free part of more than `area`; and why.

    Each larger size that a free part can have contains a piece that is ruled out.
    """

    area: int
    ruled_out: tuple[RuledOut, ...] = ()


@dataclass(frozen=True, slots=True)
class Answer:
    """Layouts and copies, how many of each piece kind are missing, how good it is, and the bound.

    `pool` keeps other layouts that were found on the way, for those who choose among equally few sheets; `offcut`
    bounds the largest free part, where it was asked for.
    """

    uses: tuple[Use, ...]
    missing: tuple[int, ...]
    outcome: Outcome
    bound: Bound
    pool: tuple[Use, ...] = ()
    offcut: OffcutBound | None = None


def cost_of(task: PackingTask, uses: tuple[Use, ...]) -> int:
    """Total cost of the sheets taken, in the task's unit of cost."""
    return sum(use.copies * task.sheets[use.sheet].cost for use in uses)


def sheets_of(uses: tuple[Use, ...]) -> int:
    """Number of sheets taken."""
    return sum(use.copies for use in uses)


def pieces_of(task: PackingTask) -> int:
    """Number of pieces needed."""
    return sum(piece.need for piece in task.pieces)


def leaves(part: Part) -> list[PiecePart | FreePart | MarginPart]:
    """All leaves of a layout, from the left and from the top."""
    if isinstance(part, CutPart):
        return [leaf for child in part.parts for leaf in leaves(child)]
    return [part]
