"""Is this answer true? Recomputed from the layouts alone, sharing nothing with the code that found them.

In: what was asked (PackingTask) and what was answered (Answer). Out: sentences, one for each thing that is wrong;
none where all is true. The facts of the trade it guards: every cut runs from edge to edge, a print keeps its
direction, a margin holds no piece, the trimmer has its limits, and a proof can be added up again: the most that one
sheet can be worth at the bound's prices, by a plain dynamic program (Gilmore & Gomory 1966, Operations Research 14,
1045-1074), and the cheapest sheets that are together worth all that is needed (Farley 1990, same journal 38, 922-923).
This file is long because it leans on nothing else of the project but the language of the question and the answer.
"""

from __future__ import annotations

import bisect
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from functools import lru_cache
from math import gcd

import numpy as np
import numpy.typing as npt

from nesting.packing.layout import (
    Answer,
    Axis,
    Bound,
    CutPart,
    CutRules,
    FreePart,
    MarginPart,
    Outcome,
    PackingTask,
    Part,
    PieceKind,
    PiecePart,
    Reason,
    SheetKind,
    cost_of,
    sheets_of,
)
from nesting.packing.recheck import Cuts, none_within

Table = npt.NDArray[np.int64]
MOST_STATES = 400  # per axis, in the dynamic program; beyond it lengths are rounded in the bound's disfavour
MOST_STEPS = 200_000  # of the search for the cheapest sheets


def check(task: PackingTask, answer: Answer) -> tuple[str, ...]:
    """All that is wrong with an answer, as sentences; empty when it is true."""
    wrong: list[str] = []
    placed: Counter[int] = Counter()
    for number, use in enumerate(answer.uses, start=1):
        if not 0 <= use.sheet < len(task.sheets):
            wrong.append(f"Layout {number} names sheet kind {use.sheet}, which does not exist.")
            continue
        if use.copies < 1:
            wrong.append(f"Layout {number} is used {use.copies} times.")
        walk = _Walk(task, task.sheets[use.sheet], f"Layout {number}")
        walk.whole(use.root)
        wrong += walk.wrong
        for kind, count in walk.placed.items():
            placed[kind] += count * use.copies
    wrong += _wrong_counts(task, answer, placed)
    wrong += _wrong_claims(task, answer)
    return tuple(wrong)


def _wrong_counts(task: PackingTask, answer: Answer, placed: Counter[int]) -> Iterable[str]:
    if len(answer.missing) != len(task.pieces):
        yield f"{len(answer.missing)} numbers say what is missing, for {len(task.pieces)} kinds of pieces."
        return
    for kind, (piece, missing) in enumerate(zip(task.pieces, answer.missing, strict=True)):
        if missing < 0 or placed[kind] + missing != piece.need:
            yield f"Piece kind {kind} is needed {piece.need} times, cut {placed[kind]} times, {missing} said missing."
    taken: Counter[int] = Counter()
    for use in answer.uses:
        taken[use.sheet] += use.copies
    for number, sheet in enumerate(task.sheets):
        if sheet.limit is not None and taken[number] > sheet.limit:
            yield f"Sheet kind {number} is taken {taken[number]} times, and there are {sheet.limit}."


def _wrong_claims(task: PackingTask, answer: Answer) -> Iterable[str]:
    if any(not 0 <= use.sheet < len(task.sheets) for use in answer.uses) or len(answer.missing) != len(task.pieces):
        return
    cost, bound = cost_of(task, answer.uses), answer.bound
    if any(answer.missing) and answer.outcome not in (Outcome.SHORT, Outcome.STOPPED):
        yield f"Pieces are missing, and the outcome says “{answer.outcome.value}”."
    if answer.outcome is Outcome.SHORT and not any(answer.missing):
        yield "The outcome says that paper is short, and no piece is missing."
    if answer.outcome is Outcome.PROVEN and cost != bound.cost:
        yield f"The plan costs {cost} and is called proven best, with a bound of {bound.cost}."
    if bound.cost > cost or bound.sheets > sheets_of(answer.uses):
        yield f"The bound ({bound.cost}, {bound.sheets} sheets) is above the plan ({cost}, {sheets_of(answer.uses)})."
    needs = tuple(piece.need - missing for piece, missing in zip(task.pieces, answer.missing, strict=True))
    if min(needs, default=0) >= 0:
        proof = verify_bound(task, bound, needs)
        if proof.cost < bound.cost or proof.sheets < bound.sheets:
            claim = f"The bound claims {bound.cost}, {bound.sheets} sheets;"
            yield f"{claim} {proof.how} gives {proof.cost}, {proof.sheets}."


# ---------------------------------------------------------------------------------------------- the layouts


@dataclass(slots=True)
class _Walk:
    """One walk down a layout: every part gets its place, every rule is looked at, pieces are counted."""

    task: PackingTask
    sheet: SheetKind
    name: str
    wrong: list[str] = field(default_factory=list)
    placed: Counter[int] = field(default_factory=Counter)

    def say(self, part: Part, what: str) -> None:
        self.wrong.append(f"{self.name}: the part of {part.width} x {part.height} {what}")

    def whole(self, root: Part) -> None:
        if (root.width, root.height) != (self.sheet.width, self.sheet.height):
            self.say(root, f"is not the whole sheet of {self.sheet.width} x {self.sheet.height}.")
        self.margins(root, 0, 0, None, 0, depth=0)
        if not self.placed and not self.wrong:
            self.say(root, "holds no piece; a sheet is taken for nothing.")

    def margins(self, part: Part, x: int, y: int, last: Axis | None, turns: int, depth: int) -> None:
        """Margins come off first; then the rest must be all that lies inside them, less what the blade takes."""
        if isinstance(part, CutPart) and any(isinstance(child, MarginPart) for child in part.parts):
            inner = [child for child in part.parts if not isinstance(child, MarginPart)]
            if len(inner) != 1 or depth > 3:
                self.say(part, "cuts margins off and must leave one part inside them.")
                return
            turns += last not in (None, part.axis)
            for child, cx, cy in self.node(part, x, y):
                if isinstance(child, MarginPart):
                    self.margin(child, cx, cy)
                else:
                    self.margins(child, cx, cy, part.axis, turns, depth + 1)
            return
        m, kerf = self.sheet.margins, self.task.rules.kerf
        beyond = self.sheet.width - m.right - x - part.width, self.sheet.height - m.bottom - y - part.height
        gaps = (x - m.left, y - m.top, *beyond)
        if any(not 0 <= gap <= kerf for gap in gaps):
            self.say(part, f"at {x}, {y} is not what lies inside the margins.")
        self.part(part, x, y, last, turns, may_repeat=True)

    def margin(self, part: MarginPart, x: int, y: int) -> None:
        m = self.sheet.margins
        inside = (
            x + part.width <= m.left or x >= self.sheet.width - m.right
            or y + part.height <= m.top or y >= self.sheet.height - m.bottom
        )  # fmt: skip
        if not inside:
            self.say(part, f"at {x}, {y} is called margin and lies outside the margins.")

    def part(self, part: Part, x: int, y: int, last: Axis | None, turns: int, *, may_repeat: bool = False) -> None:
        if isinstance(part, MarginPart):
            self.say(part, "is called margin inside the margins.")
        elif isinstance(part, PiecePart):
            self.piece(part, last, turns)
        elif isinstance(part, CutPart):
            if last is part.axis and not may_repeat:
                self.say(part, f"is cut {part.axis.value} like the part it comes from; they are one cut part.")
            turns += last not in (None, part.axis)
            for child, cx, cy in self.node(part, x, y):
                self.part(child, cx, cy, part.axis, turns)

    def node(self, part: CutPart, x: int, y: int) -> list[tuple[Part, int, int]]:
        """The parts of a cut and where they lie; says what is wrong with the cut itself."""
        across = part.axis is Axis.ACROSS
        length, width = (part.width, part.height) if across else (part.height, part.width)
        sizes = [child.width if across else child.height for child in part.parts]
        if len(sizes) < 2:
            self.say(part, f"is cut into {len(sizes)} part(s).")
            return []
        for child in part.parts:
            if (child.height if across else child.width) != width:
                self.say(part, f"is cut {part.axis.value} into a part of {child.width} x {child.height}:"
                               " the cut does not reach from edge to edge.")  # fmt: skip
        spare = length - sum(sizes) - (len(sizes) - 1) * self.task.rules.kerf
        last_is_nothing = sizes[-1] == 0 and isinstance(part.parts[-1], FreePart | MarginPart)
        if spare and not (last_is_nothing and -self.task.rules.kerf <= spare < 0):
            self.say(part, f"is cut {part.axis.value} into parts of {sizes}, which do not add up to {length}.")
        for size, child in zip(sizes[:-1], part.parts, strict=False):
            if size < 0 or (size == 0 and not isinstance(child, MarginPart)):
                self.say(part, "is cut into a part of no extent.")
        if sizes[-1] < 0 or (sizes[-1] == 0 and not last_is_nothing):
            self.say(part, "is cut into a part of no extent.")
        self.trimmer(part, length, width, sizes)
        at, placed = 0, []
        for size, child in zip(sizes, part.parts, strict=True):
            placed.append((child, x + at if across else x, y if across else y + at))
            at += size + self.task.rules.kerf
        return placed

    def trimmer(self, part: Part, length: int, width: int, sizes: Sequence[int]) -> None:
        """The trimmer's limits for one run of cuts: `length` is divided into `sizes`, each cut `width` long."""
        rules = self.task.rules
        if rules.longest_cut is not None and width > rules.longest_cut:
            self.say(part, f"needs a cut of {width}, longer than {rules.longest_cut}.")
        if rules.largest_setting is not None and sum(size > rules.largest_setting for size in sizes) > 1:
            self.say(part, f"is cut into {list(sizes)}: two of them lie beyond the stop at {rules.largest_setting}.")
        rest = [length - sum(sizes[:done]) - done * rules.kerf for done in range(len(sizes) - 1)]
        if min([width, *rest]) < rules.narrowest_held:
            self.say(part, f"is cut while only {min([width, *rest])} wide, under {rules.narrowest_held}.")

    def piece(self, part: PiecePart, last: Axis | None, turns: int) -> None:
        if not 0 <= part.kind < len(self.task.pieces):
            self.say(part, f"is of piece kind {part.kind}, which does not exist.")
            return
        kind, rules = self.task.pieces[part.kind], self.task.rules
        self.placed[part.kind] += 1
        size = (kind.height, kind.width) if part.turned else (kind.width, kind.height)
        if size != (part.width, part.height):
            self.say(part, f"is not piece kind {part.kind} of {size[0]} x {size[1]}.")
        allowed = [one for one in kind.allowed if one.paper == self.sheet.paper]
        if not allowed:
            self.say(part, f"is piece kind {part.kind}, which may not be cut from paper {self.sheet.paper}.")
        elif part.turned and not any(one.may_turn for one in allowed):
            self.say(part, f"is piece kind {part.kind} turned against its print.")
        if kind.block is not None:
            axis = kind.block.axis.other if part.turned else kind.block.axis
            across = axis is Axis.ACROSS
            length, width = (part.width, part.height) if across else (part.height, part.width)
            if sum(kind.block.extents) + rules.kerf * (len(kind.block.extents) - 1) != length:
                self.say(part, f"is a block whose parts {list(kind.block.extents)} do not add up to {length}.")
            if len(kind.block.extents) > 1:
                self.trimmer(part, length, width, kind.block.extents)
                turns += last not in (None, axis)
        if rules.most_turns is not None and turns > rules.most_turns:
            self.say(part, f"is reached after {turns} turns, more than {rules.most_turns}.")


# ------------------------------------------------------------------------------------------------ the bound


@dataclass(frozen=True, slots=True)
class Verified:
    """What adding a bound up again gave: no plan takes fewer sheets or costs less; and how that was found."""

    cost: int
    sheets: int
    how: str


def verify_bound(task: PackingTask, bound: Bound, needs: Sequence[int] | None = None) -> Verified:
    """Add a bound up again, for all needs or for those given; nothing of the bound's own sums is believed."""
    needs = tuple(piece.need for piece in task.pieces) if needs is None else tuple(needs)
    if bound.reason is Reason.AREA:
        prices, how = tuple(piece.width * piece.height for piece in task.pieces), "area alone"
        worths = [max(0, sheet.usable[0]) * max(0, sheet.usable[1]) for sheet in task.sheets]
    elif len(bound.prices) != len(task.pieces) or any(price < 0 for price in bound.prices):
        return Verified(0, 0, "a list of prices that does not fit the pieces")
    else:
        prices, how = bound.prices, "the prices with the most that a sheet can be worth"
        worths = sheet_worths(task, prices)
    groups, found = _apart(task), []
    for pieces, kinds in groups:
        need = sum(needs[i] * prices[i] for i in pieces)
        rows = [(worths[k], task.sheets[k].cost, task.sheets[k].limit) for k in kinds]
        found.append((_cheapest(need, rows), _cheapest(need, [(worth, 1, limit) for worth, _, limit in rows])))
    if bound.reason is Reason.EXHAUSTIVE:
        for number, (pieces, kinds) in enumerate(groups):
            more = bound.cost - sum(cost for cost, _ in found)
            own = [need if kind in pieces else 0 for kind, need in enumerate(needs)]
            found[number] = _raised(task, prices, own, kinds, found[number], more)
        how = "trying all ways again"
    return Verified(sum(cost for cost, _ in found), sum(sheets for _, sheets in found), how)


def _raised(
    task: PackingTask, prices: Sequence[int], needs: Sequence[int], kinds: Sequence[int], least: tuple[int, int],
    more: int,
) -> tuple[int, int]:  # fmt: skip
    """A bound (cost, sheets) on some sheet kinds, raised by `more` or by one step of cost where trying shows it."""
    costs = {task.sheets[kind].cost for kind in kinds}
    cost, sheets = least
    for raised in sorted({cost + more, cost + gcd(*costs)}, reverse=True):
        if cost < raised <= cost + more and _none_for_less(task, prices, needs, kinds, raised):
            return raised, max(sheets, -(-raised // costs.pop())) if len(costs) == 1 else sheets
    return least


def _none_for_less(
    task: PackingTask, prices: Sequence[int], needs: Sequence[int], kinds: Sequence[int], cost: int
) -> bool:
    """Whether trying all ways of cutting shows that no plan costs less than `cost`."""
    if task.rules.most_turns is not None:
        return False
    sheets = []
    for kind in kinds:
        grid = _grid_of(task, task.sheets[kind], prices, needs)
        if isinstance(grid, int):
            return False
        sheets.append((None if grid is None else _cuts(grid), task.sheets[kind].cost, task.sheets[kind].limit))
    return none_within(sheets, prices, needs, cost - 1)


def _cuts(grid: _Grid) -> Cuts:
    xs, ys = np.array(grid.xs), np.array(grid.ys)
    can_across = (ys <= grid.longest) & (ys >= grid.held) & (xs >= grid.held)[:, None]
    can_down = ((xs <= grid.longest) & (xs >= grid.held))[:, None] & (ys >= grid.held)
    pieces = [
        (item.kind, _fits(grid, item, Axis.ACROSS, 9) | _fits(grid, item, Axis.DOWN, 9).T) for item in grid.items
    ]
    pairs = (grid.x_pairs, grid.y_pairs) if grid.held else (_snug(grid.xs, grid.x_pairs), _snug(grid.ys, grid.y_pairs))
    return Cuts(_any_turns(grid), *pairs, can_across, can_down, pieces)


def _snug(sizes: list[int], pairs: list[tuple[list[int], list[int]]]) -> list[tuple[list[int], list[int]]]:
    """The pairs that do not fit into the next smaller size, to which a part could be trimmed first."""
    below = [0, *sizes[:-1]]
    kept = [[(a, b) for a, b in zip(*some, strict=True) if sizes[a] + sizes[b] > least]
            for some, least in zip(pairs, below, strict=True)]  # fmt: skip
    return [([a for a, _ in some], [b for _, b in some]) for some in kept]


def _apart(task: PackingTask) -> list[tuple[list[int], list[int]]]:
    """Piece kinds and sheet kinds that can have to do with each other, through papers and pieces."""
    groups: list[set[int]] = []
    for piece in task.pieces:
        papers = {one.paper for one in piece.allowed}
        touching = [group for group in groups if group & papers]
        groups = [group for group in groups if not group & papers] + [papers.union(*touching)]
    result = []
    for group in groups:
        pieces = [i for i, piece in enumerate(task.pieces) if group & {one.paper for one in piece.allowed}]
        result.append((pieces, [k for k, sheet in enumerate(task.sheets) if sheet.paper in group]))
    return result


def _cheapest(need: int, rows: Sequence[tuple[int, int, int | None]]) -> int:
    """Least cost of whole sheets (worth, cost, limit) that are together worth `need`, or less, never more than it.

    Depth first, best value for money first; where the search grows too long, the plain fractional sum stands.
    0 when not even all sheets are worth that much: then nothing can be proven, for there is no plan.
    """
    rows = sorted((row for row in rows if row[0] > 0 and row[2] != 0), key=lambda row: Fraction(row[1], row[0]))
    unit = gcd(*(cost for _, cost, _ in rows)) or 1
    if need <= 0 or not rows:
        return 0
    best: list[int | None] = [None]
    steps = [0]

    def fraction(left: int, start: int) -> int | None:
        cost = 0
        for worth, price, limit in rows[start:]:
            if limit is None or worth * limit >= left:
                return -(-(cost + -(-left * price // worth)) // unit) * unit
            cost, left = cost + price * limit, left - worth * limit
        return None

    def search(left: int, start: int, paid: int) -> None:
        if left <= 0:
            best[0] = paid if best[0] is None else min(best[0], paid)
            return
        least = fraction(left, start)
        steps[0] += 1
        if least is None or (best[0] is not None and paid + least >= best[0]) or steps[0] > MOST_STEPS:
            return
        worth, price, limit = rows[start]
        most = -(-left // worth)
        most = most if limit is None else min(most, limit)
        for count in range(most, -1, -1):
            search(left - count * worth, start + 1, paid + count * price)
            if steps[0] > MOST_STEPS or best[0] == floor:
                return

    floor = fraction(need, 0)
    if floor is None:
        return 0
    search(need, 0, 0)
    return floor if best[0] is None or steps[0] > MOST_STEPS else best[0]


# ------------------------------------------------------------------------------- the most a sheet is worth


def sheet_worths(task: PackingTask, prices: Sequence[int]) -> list[int]:
    """The most that any layout on each sheet kind can be worth at these prices."""
    plain = [replace(sheet, cost=0, limit=None) for sheet in task.sheets]
    longest = max((max(sheet.width, sheet.height) for sheet in task.sheets), default=0) + task.rules.kerf
    pieces = tuple(_no_more_than_fit(piece, longest, task.rules.kerf) for piece in task.pieces)
    return [_most_worth(pieces, task.rules, sheet, tuple(prices)) for sheet in plain]


def _no_more_than_fit(piece: PieceKind, longest: int, kerf: int) -> PieceKind:
    """The piece needed no more often than it fits side by side: more of it make no further sums of lengths."""
    return replace(piece, need=min(piece.need, longest // (min(piece.width, piece.height) + kerf)))


@dataclass(frozen=True, slots=True)
class _Item:
    """A piece as it may lie on the sheet, the kerf added; `axis`: how it is cut apart in the end, if it is."""

    kind: int
    width: int
    height: int
    price: int
    count: int
    axis: Axis | None


@lru_cache(maxsize=2000)  # many a task differs from the last in its needs alone
def _most_worth(
    pieces: tuple[PieceKind, ...], rules: CutRules, sheet: SheetKind, prices: tuple[int, ...]
) -> int:
    """The most that one sheet can hold, in prices."""
    task = PackingTask(pieces, (sheet,), rules)
    grid = _grid_of(task, sheet, prices, [int(price > 0) for price in prices])
    if grid is None:
        return 0
    return grid if isinstance(grid, int) else _most_inside(grid, sheet, task.rules)


def _grid_of(task: PackingTask, sheet: SheetKind, prices: Sequence[int], needs: Sequence[int]) -> _Grid | int | None:
    """All parts of one sheet that pieces with a need can ask for, lengths made coarser (never smaller sums) if needed.

    None: no piece fits. A number: even the coarsest has too many parts, and this is the most the sheet is worth.
    """
    rules, kerf, m = task.rules, task.rules.kerf, sheet.margins
    width = sheet.width - m.right - (max(m.left, kerf) if m.left else 0) + kerf
    height = sheet.height - m.bottom - (max(m.top, kerf) if m.top else 0) + kerf
    items = [item for kind, piece in enumerate(task.pieces) if needs[kind] > 0
             for item in _lying(kind, piece, prices[kind], sheet.paper, rules)]  # fmt: skip
    items = [item for item in items if item.width <= width and item.height <= height]
    if not items:
        return None
    held = rules.narrowest_held + kerf if rules.narrowest_held else 0
    if held <= min(min(item.width, item.height) for item in items):
        held = 0
    longest = None if rules.longest_cut is None else rules.longest_cut + kerf
    setting = None if rules.largest_setting is None else rules.largest_setting + kerf
    whole = [width, height, held, longest or 0, setting or 0]
    unit = gcd(*(item.width for item in items), *(item.height for item in items), *whole)
    while True:
        grid = _Grid(
            [replace(item, width=item.width // unit, height=item.height // unit) for item in items],
            (width // unit, height // unit),
            held // unit,
            None if longest is None else longest // unit,
            None if setting is None else setting // unit,
        )
        if max(len(grid.xs), len(grid.ys)) <= MOST_STATES:
            return grid
        unit, held = 2 * unit, 0
        if unit > min(min(item.width, item.height) for item in items):  # area alone: the dearest piece for its area
            return max(item.price * width * height // (item.width * item.height) for item in items)


def _lying(kind: int, piece: PieceKind, price: int, paper: int, rules: CutRules) -> Iterable[_Item]:
    for turned in (False, True):
        if not any(one.paper == paper and (one.may_turn or not turned) for one in piece.allowed):
            continue
        if turned and piece.width == piece.height:
            continue
        width, height = (piece.height, piece.width) if turned else (piece.width, piece.height)
        axis = None
        if piece.block is not None and len(piece.block.extents) > 1:
            axis = piece.block.axis.other if turned else piece.block.axis
            probe = _Walk(PackingTask((), (), rules), SheetKind(width, height), "")
            long, across = (width, height) if axis is Axis.ACROSS else (height, width)
            probe.trimmer(FreePart(width, height), long, across, piece.block.extents)
            if probe.wrong:
                continue
        yield _Item(kind, width + rules.kerf, height + rules.kerf, price, piece.need, axis)


class _Grid:
    """The sizes that parts can have, and the pairs of parts that a cut can give, each way."""

    def __init__(
        self, items: list[_Item], size: tuple[int, int], held: int, longest: int | None, setting: int | None
    ) -> None:
        self.items, self.held = items, held
        self.longest = max(size) if longest is None else longest
        self.setting = max(size) if setting is None else setting
        self.xs, self.x_pairs = self._sizes(size[0], [(item.width, item.count) for item in items])
        self.ys, self.y_pairs = self._sizes(size[1], [(item.height, item.count) for item in items])

    def _sizes(self, whole: int, parts: list[tuple[int, int]]) -> tuple[list[int], list[tuple[list[int], list[int]]]]:
        sums = 1
        for size, count in [*parts, *([(self.held, whole)] if self.held else [])]:
            count, step = min(count, whole // size), 1
            while count > 0:
                step = min(step, count)
                sums |= sums << (size * step)
                sums &= (1 << (whole + 1)) - 1
                count, step = count - step, 2 * step
        bits = np.unpackbits(np.frombuffer(sums.to_bytes(whole // 8 + 1, "little"), dtype=np.uint8), bitorder="little")
        points = [int(point) for point in np.flatnonzero(bits)]

        def below(size: int) -> int:
            return points[bisect.bisect_right(points, size) - 1]

        def pairs(size: int) -> set[tuple[int, int]]:
            found = set()
            for part in points[1 : bisect.bisect_right(points, min(size // 2, self.setting))]:
                rest = below(size - part)
                if not self.held:
                    part = below(size - rest if rest <= self.setting else min(size - rest, self.setting))
                found.add((part, rest))
            return found

        todo = [whole, *points[1:]] if self.held else [whole]
        known: dict[int, set[tuple[int, int]]] = {}
        while todo:
            size = todo.pop()
            if size > 0 and size not in known and len(known) <= 2 * MOST_STATES:
                known[size] = pairs(size)
                todo += [below(size), *(part for pair in known[size] for part in pair)]
        sizes = sorted(known)
        at = {size: index for index, size in enumerate(sizes)}
        if len(sizes) > MOST_STATES:
            return sizes, []
        return sizes, [([at[a] for a, _ in sorted(known[s])], [at[b] for _, b in sorted(known[s])]) for s in sizes]


def _most_inside(grid: _Grid, sheet: SheetKind, rules: CutRules) -> int:
    """The value of the whole inside of a sheet, with as many turns as the margins leave."""
    m = sheet.margins
    across, down = bool(m.left or m.right), bool(m.top or m.bottom)
    longest = max(sheet.width, sheet.height) if rules.longest_cut is None else rules.longest_cut
    inside_width, inside_height = sheet.usable
    starts: list[tuple[Axis | None, int]]  # the axis cut last, the turns made so far
    if across and down:
        starts = [(Axis.DOWN, 1)] if sheet.height <= longest and inside_width <= longest else []
        starts += [(Axis.ACROSS, 1)] if sheet.width <= longest and inside_height <= longest else []
    elif across:
        starts = [(Axis.ACROSS, 0)] if sheet.height <= longest else []
    elif down:
        starts = [(Axis.DOWN, 0)] if sheet.width <= longest else []
    else:
        starts = [(None, 0)]
    if not starts:
        return 0
    if rules.most_turns is None:
        return int(_any_turns(grid)[-1, -1])
    tables = _few_turns(grid, rules.most_turns)
    best = 0
    for last, turns in starts:
        for axis in Axis:
            left = rules.most_turns - turns - (last not in (None, axis))
            best = max(best, int(tables[left][axis][-1, -1]) if left >= 0 else 0)
    return best


def _singles(grid: _Grid, axis: Axis, turns: int) -> Table:
    """The dearest single piece in each part, trimmed along `axis` first and the other way then, if at all."""
    across = axis is Axis.ACROSS
    along, beside = (grid.xs, grid.ys) if across else (grid.ys, grid.xs)
    worth = np.zeros((len(along), len(beside)), dtype=np.int64)
    for item in grid.items:
        fits = _fits(grid, item, axis, turns)
        worth[fits] = np.maximum(worth[fits], item.price)
    return worth if across else worth.T.copy()


def _fits(grid: _Grid, item: _Item, axis: Axis, turns: int) -> npt.NDArray[np.bool_]:
    """The parts (sizes along the axis x sizes beside it) that can be trimmed to a piece, along `axis` first."""
    across = axis is Axis.ACROSS
    along, beside = (grid.xs, grid.ys) if across else (grid.ys, grid.xs)
    long, wide = np.array(along)[:, None], np.array(beside)[None, :]
    length, width = (item.width, item.height) if across else (item.height, item.width)
    turned = item.axis not in (None, axis)
    can_trim = (wide <= grid.longest) & (wide >= grid.held) & (long >= grid.held)
    two_way = turns >= 1 + (item.axis is axis) and length <= grid.longest and length >= grid.held
    fits = (long == length) & (wide == width) & (turns >= turned)
    fits |= (long > length) & (wide == width) & can_trim & (turns >= turned)
    fits |= (long > length) & (wide > width) & can_trim & two_way
    found: npt.NDArray[np.bool_] = fits
    return found


def _any_turns(grid: _Grid) -> Table:
    worth = np.maximum(_singles(grid, Axis.ACROSS, 9), _singles(grid, Axis.DOWN, 9))
    xs, ys = np.array(grid.xs), np.array(grid.ys)
    can_across = (ys <= grid.longest) & (ys >= grid.held)
    for i in range(len(xs)):
        if xs[i] >= grid.held:
            np.maximum(worth[i], _joined(worth, i, grid.x_pairs[i]), out=worth[i], where=can_across)
        if grid.held <= xs[i] <= grid.longest:
            for j in np.flatnonzero(ys >= grid.held):
                worth[i, j] = max(worth[i, j], _joined(worth[i], int(j), grid.y_pairs[j]))
    return worth


def _joined(worth: Table, at: int, pairs: tuple[list[int], list[int]]) -> Table:
    """The best two parts of part number `at` together, or the next smaller part alone."""
    best: Table = worth[at - 1] if at else np.zeros_like(worth[at])
    return np.maximum(best, (worth[pairs[0]] + worth[pairs[1]]).max(axis=0)) if pairs[0] else best


def _few_turns(grid: _Grid, most: int) -> list[dict[Axis, Table]]:
    """Values by the turns still allowed and the axis that is cut first."""
    xs, ys = np.array(grid.xs), np.array(grid.ys)
    tables: list[dict[Axis, Table]] = []
    for turns in range(most + 1):
        across, down = _singles(grid, Axis.ACROSS, turns), _singles(grid, Axis.DOWN, turns)
        if turns:
            across, down = np.maximum(across, tables[-1][Axis.DOWN]), np.maximum(down, tables[-1][Axis.ACROSS])
        can_across, can_down = (ys <= grid.longest) & (ys >= grid.held), (xs <= grid.longest) & (xs >= grid.held)
        for i in np.flatnonzero(xs >= grid.held):
            np.maximum(across[i], _joined(across, int(i), grid.x_pairs[i]), out=across[i], where=can_across)
        flipped = down.T
        for j in np.flatnonzero(ys >= grid.held):
            np.maximum(flipped[j], _joined(flipped, int(j), grid.y_pairs[j]), out=flipped[j], where=can_down)
        tables.append({Axis.ACROSS: across, Axis.DOWN: down})
    return tables
