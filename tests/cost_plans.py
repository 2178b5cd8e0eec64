"""Plans put together by hand, so that costs are tested against sheets whose every square is known."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass

from nesting.cutting.passes import CutOrder, MapPart, TablePart, WaysOfWork, What
from nesting.describe.designs import CardDesign, CardPart, OwnSize, PartKind
from nesting.describe.papers import Paper, Sheet, SoldSheet
from nesting.describe.project import BatchLine, Project, Spares, Trimmer
from nesting.errors import Place
from nesting.lengths import Unit, inches
from nesting.money import Currency
from nesting.packing.layout import (
    Answer,
    Axis,
    Bound,
    CutPart,
    FreePart,
    Outcome,
    PackingTask,
    Part,
    PieceKind,
    PiecePart,
    Reason,
    SheetKind,
    Use,
    leaves,
)  # fmt: skip
from nesting.packing.pack import PaperPacking
from nesting.pieces.piece_list import Piece, PieceList
from nesting.pieces.supply import Source, SourceKind, Supply
from nesting.plan import PaperPlan, Plan

INCH = inches(1).ticks
NOWHERE = Place()


def sheet(width: int, height: int) -> Sheet:
    """A sheet in whole inches."""
    return Sheet(inches(width), inches(height))


def buy(paper: str, width: int, height: int, price: int | None) -> Source:
    """Sheets to buy."""
    return Source(SourceKind.BUY, paper, sheet(width, height), price, None)


def at_hand(paper: str, width: int, height: int) -> Source:
    """Offcuts in the drawer."""
    return Source(SourceKind.OFFCUT, paper, sheet(width, height), None, 99)


def piece(design: str, part: str, paper: str, width: int, height: int, need: int, spare: int = 0) -> Piece:
    """A kind of piece, in whole inches."""
    return Piece(
        design, part, "", paper, inches(width), inches(height), need, spare, 1, True, "size as given", NOWHERE
    )


def grid(width: int, height: int, across: int, down: int, kinds: Sequence[int | None]) -> Part:
    """A sheet in inches cut into equal cells, row by row, each a piece of that kind or (None) left over."""
    wide, high = width * INCH // across, height * INCH // down
    cells: list[Part] = [
        FreePart(wide, high) if kinds[i] is None else PiecePart(wide, high, kinds[i] or 0) for i in range(len(kinds))
    ]
    rows = [
        CutPart(width * INCH, high, Axis.ACROSS, tuple(cells[i : i + across])) if across > 1 else cells[i]
        for i in range(0, len(cells), across)
    ]
    return CutPart(width * INCH, height * INCH, Axis.DOWN, tuple(rows)) if down > 1 else rows[0]


@dataclass(frozen=True)
class Cut:
    """One paper as it was cut: sources, uses, pieces behind each kind; offcuts are kept from so many square inches."""

    sources: tuple[Source, ...]
    uses: tuple[Use, ...]
    kinds: tuple[tuple[Piece, ...], ...]
    sold: tuple[tuple[Sheet, int | None], ...] = ()
    keep_from: int = 10**6
    seconds: int = 0


def plan_of(cards: dict[str, int], cuts: Sequence[Cut], stuck: Sequence[str] = ()) -> Plan:
    """A plan of these cards; parts named in `stuck` lie on a panel, the others on nothing."""
    pieces = [p for cut in cuts for alike in cut.kinds for p in alike]
    designs = []
    for name in cards:
        own = dict.fromkeys(p.part for p in pieces if p.design == name)
        parts = tuple(
            CardPart(PartKind.PIECE, part, NOWHERE, OwnSize(inches(1), inches(1)), "x", (1,) if part in stuck else ())
            for part in own
        )
        designs.append(CardDesign(name, NOWHERE, parts=parts))
    project = Project(
        title="by hand", unit=Unit.INCH, currency=Currency("$"), papers=tuple(_paper(cut) for cut in cuts),
        designs=tuple(designs), batch=tuple(BatchLine(name, count, NOWHERE) for name, count in cards.items()),
        spares=Spares(), pieces=(), trimmer=Trimmer(),
    )  # fmt: skip
    return Plan(project, PieceList(tuple(pieces)), Supply(()), tuple(_paper_plan(cut) for cut in cuts))


def _paper(cut: Cut) -> Paper:
    sold = tuple(SoldSheet(size, price, NOWHERE) for size, price in cut.sold)
    return Paper(cut.sources[0].paper, NOWHERE, sold=sold)


def _paper_plan(cut: Cut) -> PaperPlan:
    kinds = tuple(PieceKind(p[0].width.ticks, p[0].height.ticks, sum(q.count for q in p)) for p in cut.kinds)
    sheets = tuple(SheetKind(s.sheet.width.ticks, s.sheet.height.ticks) for s in cut.sources)
    answer = Answer(cut.uses, (0,) * len(kinds), Outcome.OPEN, Bound(0, 0, Reason.AREA))
    parts = tuple(
        MapPart(number, 0, 0, leaf.width, leaf.height, TablePart(What.KEEP, leaf.width, leaf.height))
        for number, use in enumerate(cut.uses)
        for leaf in leaves(use.root)
        if isinstance(leaf, FreePart) and leaf.width * leaf.height >= cut.keep_from * INCH * INCH
    )
    order = CutOrder((), (), parts, 0, 0, 0, 0, 0, cut.seconds)
    packing = PaperPacking(_paper(cut), cut.kinds, cut.sources, PackingTask(kinds, sheets), answer)
    return PaperPlan(packing, order, WaysOfWork())


def random_plan(choice: random.Random) -> Plan:
    """Any designs, papers, sheets and straight cuts; some paper from the drawer, some offcuts kept."""
    names = choice.sample(["robin", "wren", "owl", "finch"], choice.randint(1, 4))
    cards = {name: choice.randint(1, 40) for name in names}
    return plan_of(cards, [_random_cut(choice, f"paper {n}", cards) for n in range(choice.randint(1, 3))], ("mat",))


def _random_cut(choice: random.Random, paper: str, cards: dict[str, int]) -> Cut:
    kinds = tuple(
        tuple(
            piece(name, choice.choice(["mat", "tag"]), paper, choice.randint(1, 9), choice.randint(1, 9), count,
                  choice.randint(0, 3))
            for name, count in cards.items() if choice.random() < 0.7 or name == min(cards)
        )
        for _ in range(choice.randint(1, 3))
    )  # fmt: skip
    sources = (buy(paper, 12, 12, choice.randint(0, 300)), buy(paper, 8, 11, choice.randint(0, 300)),
               at_hand(paper, 5, 7), at_hand(paper, 12, 12))  # fmt: skip
    uses = []
    for _ in range(choice.randint(1, 4)):
        source = choice.randrange(4)
        size = sources[source].sheet
        root = _random_part(choice, size.width.ticks, size.height.ticks, Axis.DOWN, len(kinds), 3)
        uses.append(Use(source, root, choice.randint(1, 9)))
    first = sources[0].sheet
    pieces = CutPart(first.width.ticks, first.height.ticks, Axis.DOWN, tuple(
        PiecePart(first.width.ticks, first.height.ticks // len(kinds), n) for n in range(len(kinds))
    ))  # fmt: skip
    uses.append(Use(0, pieces, 1))  # so that every kind is cut at least once
    sold = tuple((source.sheet, source.price) for source in sources[:2])
    return Cut(sources, tuple(uses), kinds, sold, choice.randint(1, 60), choice.randint(0, 5000))


def _random_part(choice: random.Random, width: int, height: int, axis: Axis, kinds: int, deep: int) -> Part:
    if not deep or choice.random() < 0.2:
        number = choice.randrange(kinds + 1)
        return FreePart(width, height) if number == kinds else PiecePart(width, height, number)
    extent = width if axis is Axis.ACROSS else height
    first = choice.randint(1, extent - 1)
    sizes = [(e, height) if axis is Axis.ACROSS else (width, e) for e in (first, extent - first)]
    parts = tuple(_random_part(choice, w, h, axis.other, kinds, deep - 1) for w, h in sizes)
    return CutPart(width, height, axis, parts)

