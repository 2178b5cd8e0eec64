"""Is this answer true? Recomputed from the layouts alone, sharing nothing with the code that found them.

In: what was asked (PackingTask) and what was answered (Answer). Out: sentences, one for each thing that is wrong;
none where all is true. The facts of the trade it guards: every cut runs from edge to edge, a print keeps its
direction, a margin holds no piece, the trimmer has its limits, and a proof can be added up again.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from nesting.packing.check_bound import verify_bound
from nesting.packing.check_offcut import wrong_offcut
from nesting.packing.check_trimmer import beyond_trimmer
from nesting.packing.layout import (
    Answer,
    Axis,
    CutPart,
    FreePart,
    MarginPart,
    Outcome,
    PackingTask,
    Part,
    PiecePart,
    SheetKind,
    cost_of,
    sheets_of,
)


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
        if answer.offcut is not None:
            yield from wrong_offcut(task, needs, cost, answer.offcut)


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
        """Margins come off first; then the rest must be all that lies inside them, less what the blade takes.

        The blade runs inside a margin, or where the margin is thinner from the sheet's edge on.
        """
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
        starts = tuple(max(margin, kerf) if margin else 0 for margin in (m.left, m.top))
        ends = self.sheet.width - m.right, self.sheet.height - m.bottom
        if (x, y) != starts or (x + part.width, y + part.height) != ends:
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
        kerf = self.task.rules.kerf
        spare = length - sum(sizes) - (len(sizes) - 1) * kerf
        last_is_nothing = kerf > 0 and sizes[-1] == 0 and isinstance(part.parts[-1], FreePart | MarginPart)
        if spare and not (last_is_nothing and -kerf <= spare < 0):
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
            at += size + kerf
        return placed

    def trimmer(self, part: Part, length: int, width: int, sizes: Sequence[int]) -> None:
        for beyond in beyond_trimmer(self.task.rules, length, width, sizes):
            self.say(part, beyond)

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
