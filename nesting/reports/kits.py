"""Kits of parts: for every card the pieces that it is put together from, and what is spare.

In: a Plan. Out: Kits; every piece that the plan cuts is in exactly one kit or among the spares. The fact of the
trade: a mat that is missing is found out when the glue is open, so the parts of a card are laid together first.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from nesting.packing.layout import PiecePart, leaves
from nesting.pieces.piece_list import Piece
from nesting.plan import PaperPlan, Plan


@dataclass(frozen=True, slots=True)
class KitPart:
    """`count` rectangles of one piece; letter: what the maps of its paper call it."""

    piece: Piece
    letter: str
    count: int


@dataclass(frozen=True, slots=True)
class Kit:
    """What each of the cards number `first` to `last` of a design is made from; design "": a plain piece list, once."""

    design: str
    first: int
    last: int
    parts: tuple[KitPart, ...]

    @property
    def cards(self) -> int:
        """How many such kits there are."""
        return self.last - self.first + 1


@dataclass(frozen=True, slots=True)
class Kits:
    """All kits in the order of the batch, the spares, and what is missing because the paper does not suffice."""

    kits: tuple[Kit, ...]
    spares: tuple[KitPart, ...]
    missing: tuple[KitPart, ...]


@dataclass(frozen=True, slots=True)
class _Got:
    """What was cut of one piece: for the cards, and beyond."""

    piece: Piece
    letter: str
    need: int
    spare: int


def kits(plan: Plan) -> Kits:
    """Deal out every piece that is cut: first to the cards, then to the spares."""
    dealt = [each for paper in plan.papers for each in _cut(paper)]
    by_piece = {id(each.piece): each for each in dealt}
    got = [by_piece[id(piece)] for piece in plan.pieces.pieces if id(piece) in by_piece]
    found: list[Kit] = []
    spares = [KitPart(each.piece, each.letter, each.spare) for each in got if each.spare]
    for line in plan.project.batch:
        mine = [each for each in got if each.piece.design == line.design]
        cards, beyond = _by_card(mine, line.count)
        found += _grouped(line.design, cards)
        spares += beyond
    loose = tuple(KitPart(each.piece, each.letter, each.need) for each in got if not each.piece.design and each.need)
    if loose:
        found.append(Kit("", 1, 1, loose))
    short = (KitPart(g.piece, g.letter, g.piece.need - g.need) for g in got if g.need < g.piece.need)
    return Kits(tuple(found), tuple(spares), tuple(short))


def _cut(paper: PaperPlan) -> Iterable[_Got]:
    """What the layouts of a paper give of each piece; needs of all that are alike come before spares."""
    counts = [0] * len(paper.packing.kinds)
    for use in paper.uses:
        for leaf in leaves(use.root):
            if isinstance(leaf, PiecePart):
                counts[leaf.kind] += use.copies
    letters = paper.letters
    for kind, alike in enumerate(paper.packing.kinds):
        left = counts[kind]
        needs = []
        for piece in alike:
            needs.append(min(piece.need, left))
            left -= needs[-1]
        letter = letters.get(kind, "").rstrip("0123456789")  # the panels of a print that runs on are numbered
        for place, (piece, need) in enumerate(zip(alike, needs, strict=True)):
            spare = left if place + 1 == len(alike) else min(piece.spare, left)
            left -= spare
            yield _Got(piece, letter, need, spare)


def _by_card(got: list[_Got], cards: int) -> tuple[list[list[KitPart]], list[KitPart]]:
    """The parts of every card in turn, and rectangles that begin beyond the last card.

    A part that is cut from several papers is dealt paper after paper. Where a rectangle gives two shapes it goes to
    the card of its first one.
    """
    dealt: list[list[KitPart]] = [[] for _ in range(cards)]
    beyond: list[KitPart] = []
    begun: dict[tuple[object, ...], int] = {}  # shapes dealt so far of a part
    for each in got:
        piece = each.piece
        key = piece.part, piece.where, piece.width, piece.height, piece.per_card, piece.shapes
        first = begun.get(key, 0)
        begun[key] = first + each.need * piece.shapes
        counts: dict[int, int] = {}
        for number in range(each.need):
            card = (first + number * piece.shapes) // piece.per_card
            counts[card] = counts.get(card, 0) + 1
        for card, count in counts.items():
            target = dealt[card] if card < cards else beyond
            target.append(KitPart(piece, each.letter, count))
    return dealt, beyond


def _grouped(design: str, cards: list[list[KitPart]]) -> list[Kit]:
    """Neighbours with the same parts as one."""
    found: list[Kit] = []
    for number, parts in enumerate(cards, start=1):
        if found and found[-1].parts == tuple(parts):
            found[-1] = Kit(design, found[-1].first, number, found[-1].parts)
        else:
            found.append(Kit(design, number, number, tuple(parts)))
    return found
