"""From panels to pieces: every rectangle that must be cut, how many, and where its size came from.

In: a Project. Out: a PieceList, or all Problems of sizes that cannot be. The fact of the trade: each layer is a
fixed amount smaller than what lies below it, and the arithmetic in sixteenths is where stacks are spoiled.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

from nesting.describe.designs import Base, CardDesign, CardPart, Outline, PartKind, SmallerBy
from nesting.describe.papers import PrintDirection
from nesting.describe.project import LoosePiece, Project
from nesting.errors import NestingError, Place, Problem
from nesting.lengths import ZERO, Length, Unit, write_length
from nesting.pieces.grain import Lie, lie_of
from nesting.pieces.shapes import Blank, best_blank, slanted
from nesting.pieces.spots import Spot, find_spots, rule_words
from nesting.pieces.supply import sheets_of

MOST_PIECES = 10_000_000  # in one batch; a stack of ten sheets at a time, that is a year at the trimmer


@dataclass(frozen=True, slots=True)
class Piece:
    """One kind of piece for one part of one design, or one line of a piece list.

    need: copies for the cards; spare: copies beyond that. per_card: copies on one card, 0 for a line of a list.
    came_from tells in words how the size was found. may_turn: may lie a quarter turned on the sheet. shapes: how many
    shapes are taken from each piece; need counts pieces, per_card counts shapes. each: the size of one shape where
    they share a blank, without allowance. block: the widths, from the left,
    into which one area of a print that runs on is cut apart; empty for all else. must_turn: lies a quarter turned on
    the sheet, so that its main fold runs along the grain. or_papers: other papers of which it may be cut until one is
    chosen, each with whether it may turn there; a part cut from several papers has a piece for each, all with the
    per_card of the part. across_grain: why the main fold crosses the grain, "" where it does not; lies: how the base
    would lie on the papers that may stand in for its own.
    """

    design: str
    part: str
    where: str
    paper: str
    width: Length
    height: Length
    need: int
    spare: int
    per_card: int
    may_turn: bool
    came_from: str
    place: Place
    shapes: int = 1
    each: tuple[Length, Length] | None = None
    block: tuple[Length, ...] = ()
    must_turn: bool = False
    or_papers: tuple[tuple[str, bool], ...] = ()
    across_grain: str = ""
    lies: tuple[tuple[str, Lie], ...] = ()

    @property
    def title(self) -> str:
        """Design, part and panel as one label."""
        label = f"{self.part}, {self.where}" if self.where else self.part
        return f"{self.design}: {label}" if self.design else label

    @property
    def count(self) -> int:
        """Copies to cut, spares included."""
        return self.need + self.spare


@dataclass(frozen=True, slots=True)
class PieceList:
    """All pieces of a batch, in the order in which they were described."""

    pieces: tuple[Piece, ...]

    def of_paper(self, name: str) -> tuple[Piece, ...]:
        """The pieces to be cut from one paper."""
        return tuple(piece for piece in self.pieces if piece.paper == name)


def piece_list(project: Project) -> PieceList:
    """Derive all pieces of the batch; raises NestingError with every size that cannot be."""
    problems: list[Problem] = []
    pieces: list[Piece] = []
    counts = {line.design: line.count for line in project.batch}
    for design in project.designs:
        found = list(_design_pieces(project, design, counts.get(design.name, 0), problems))
        pieces += [piece for piece in found if piece.need]
    pieces += [_loose_piece(project, piece) for piece in project.pieces if piece.count]
    total = sum(piece.count for piece in pieces)
    if total > MOST_PIECES:
        most = max(pieces, key=lambda piece: piece.count)
        what = f"{total} pieces are wanted in all, and {MOST_PIECES} are the most that is planned."
        problems.append(Problem(most.place, what, "Check the numbers; this is the largest of them."))
    if problems:
        raise NestingError(problems)
    return PieceList(tuple(pieces))


def _design_pieces(project: Project, design: CardDesign, cards: int, problems: list[Problem]) -> Iterator[Piece]:
    for base in design.bases:
        yield _base_piece(project, design, base, cards, problems)
    spots = find_spots(design, project.unit, problems)
    for part in design.parts:
        if part.kind is not PartKind.WINDOW:
            yield from _part_pieces(project, design, part, spots[part.name], cards, problems)


def _part_pieces(
    project: Project,
    design: CardDesign,
    part: CardPart,
    spots: list[tuple[Spot, Spot | None]],
    cards: int,
    problems: list[Problem],
) -> Iterator[Piece]:
    """The pieces of one part: equal sizes together, a print that runs on as one, a pair as two hands."""
    if part.runs_on:
        found = _run_on(project, part, spots, problems)
    else:
        found = [(spot, came_from, ()) for spot, came_from in _merged(project.unit, part, spots)]
    for spot, came_from, block in found:
        blank = _blank(project, part, spot)
        need = -(-spot.times * cards // blank.count)
        for hand in (" (left)", " (right)") if part.pair else ("",):
            piece = Piece(
                design=design.name,
                part=part.name + hand,
                where=spot.panels,
                paper=part.paper,
                width=blank.width,
                height=blank.height,
                need=need,
                spare=project.spares.of(need),
                per_card=spot.times,
                may_turn=_may_turn(project, part.paper, part.may_turn),
                came_from=came_from + _together(blank, part),
                place=part.place,
                shapes=blank.count,
                each=None if part.outline is Outline.ANY else _own_size(part, spot),
                block=block,
            )
            yield from _of_papers(project, part, piece)


def _blank(project: Project, part: CardPart, spot: Spot) -> Blank:
    """What is cut for a part: the spot itself, or a blank that several shapes share, unless the print is upright."""
    if part.outline is Outline.ANY:
        return Blank(1, spot.width, spot.height)
    paper = project.paper(part.paper)
    most = 1 if paper.direction is PrintDirection.ONE_WAY else part.to_a_blank
    may_turn = _may_turn(project, part.paper, part.may_turn)
    rooms = [sheet.usable for sheet in sheets_of(project, paper)]

    def fits(width: Length, height: Length) -> bool:
        ways = [(width, height), (height, width)] if may_turn else [(width, height)]
        return any(across <= room[0] and up <= room[1] for across, up in ways for room in rooms)

    shape, allowance = slanted(part, *_own_size(part, spot)), part.allowance or ZERO
    return best_blank(shape, most, allowance, project.trimmer.ruler_step, fits)


def _own_size(part: CardPart, spot: Spot) -> tuple[Length, Length]:
    allowance = part.allowance or ZERO
    return spot.width - 2 * allowance, spot.height - 2 * allowance


def _together(blank: Blank, part: CardPart) -> str:
    if blank.count == 1:
        return ""
    return f", {blank.count} {part.outline.value}s from each blank, every second one upside down"


def _of_papers(project: Project, part: CardPart, piece: Piece) -> Iterator[Piece]:
    """One piece whose paper is to be chosen, or evenly one for each paper, the first ones getting what is left over."""
    others = tuple((name, _may_turn(project, name, part.may_turn)) for name in part.or_papers)
    if not part.spread:
        yield replace(piece, or_papers=others)
        return
    papers = [(piece.paper, piece.may_turn), *others]
    each, rest = divmod(piece.need, len(papers))
    for i, (name, may_turn) in enumerate(papers):
        need = each + (i < rest)
        if need:
            yield replace(piece, paper=name, may_turn=may_turn, need=need, spare=project.spares.of(need))


def _run_on(
    project: Project, part: CardPart, spots: list[tuple[Spot, Spot | None]], problems: list[Problem]
) -> list[tuple[Spot, str, tuple[Length, ...]]]:
    """One area for all spots of a part, in the order of its panels: they must be equally high and follow each other."""
    row = sorted((spot for spot, _ in spots), key=lambda spot: (spot.x, spot.y))
    under = sorted((below for _, below in spots if below is not None), key=lambda spot: (spot.x, spot.y))
    in_row = all(
        left.x + left.width == right.x and left.y == right.y and left.height == right.height
        for left, right in pairwise(under)
    )
    if len(row) < 2 or len(under) != len(row) or not in_row:
        what = f"the {part.kind.value} “{part.name}” is to run on, but does not lie on panels side by side."
        problems.append(Problem(part.place, what, "Put it on two or more panels of one row, or take out runs_on."))
        return []
    widths = tuple(spot.width for spot in row)
    whole = replace(
        row[0],
        width=sum(widths, (len(widths) - 1) * project.trimmer.kerf),
        panels=", ".join(spot.panels for spot in row),
        words=part.name,
    )
    parts = " and ".join(write_length(width, project.unit) for width in widths)
    return [(whole, f"one area, cut apart into {parts} in this order from the left", widths)]


def _base_piece(project: Project, design: CardDesign, base: Base, cards: int, problems: list[Problem]) -> Piece:
    lie = lie_of(project, base, project.paper(base.paper))
    if lie.refused and cards:
        todo = "Choose another sheet or size, or raise grain_required_from under [batch]."
        problems.append(Problem(base.place, f"{lie.across_grain} At this weight the grain is required.", todo))
    folds, need = len(base.scores_across) + len(base.scores_down), cards * len(base.lies)
    return Piece(
        design=design.name,
        part=base.name,
        where="",
        paper=base.paper,
        width=base.width,
        height=base.height,
        need=need,
        spare=project.spares.of(need),
        per_card=len(base.lies),
        may_turn=lie.may_turn,
        came_from=f"flat base, {folds} score{'' if folds == 1 else 's'}" if folds else "flat base, no score",
        place=base.place,
        must_turn=lie.must_turn,
        across_grain=lie.across_grain,
        lies=tuple((name, lie_of(project, base, project.paper(name))) for name in _stand_ins(project, base.paper)),
    )


def _stand_ins(project: Project, name: str) -> list[str]:
    """The paper that stands in for this one, the one that stands in for that, and so on."""
    found: list[str] = []
    while (name := project.paper(name).stand_in) and name not in found:
        found.append(name)
    return found


def grain_notes(pieces: PieceList) -> tuple[tuple[str, str], ...]:
    """Design and sentence, for each base whose main fold runs across the grain."""
    return tuple(dict.fromkeys((piece.design, piece.across_grain) for piece in pieces.pieces if piece.across_grain))


def _loose_piece(project: Project, piece: LoosePiece) -> Piece:
    return Piece(
        design="",
        part=piece.label,
        where="",
        paper=piece.paper,
        width=piece.width,
        height=piece.height,
        need=piece.count,
        spare=project.spares.of(piece.count),
        per_card=0,
        may_turn=_may_turn(project, piece.paper, piece.may_turn),
        came_from="piece list",
        place=piece.place,
    )


def _may_turn(project: Project, paper: str, said: bool | None) -> bool:
    """What was said of the piece, else what the print allows: a quarter turn only where there is no direction."""
    return project.paper(paper).direction is PrintDirection.NONE if said is None else said


def _merged(unit: Unit, part: CardPart, own: list[tuple[Spot, Spot | None]]) -> Iterator[tuple[Spot, str]]:
    """Equal sizes of one part as one spot with its count, each with the words for where the size came from."""
    groups: dict[tuple[Length, Length, str], list[Spot]] = {}
    for spot, under in own:
        groups.setdefault((spot.width, spot.height, _came_from(unit, part, under)), []).append(spot)
    for (width, height, came_from), spots in groups.items():
        where = _listed(list(dict.fromkeys(spot.panels for spot in spots if spot.panels)))
        yield Spot(spots[0].words, where, width, height, sum(spot.times for spot in spots)), came_from


def _listed(labels: list[str]) -> str:
    """Panels in a row: "front", "panels 1, 5"."""
    numbers = [label.removeprefix("panel ") for label in labels]
    if len(labels) > 1 and all(label.startswith("panel ") for label in labels):
        return f"panels {', '.join(numbers)}"
    return ", ".join(labels)


def _came_from(unit: Unit, part: CardPart, below: Spot | None) -> str:
    words = rule_words(unit, part)
    on = f"{below.words}, {words}" if below is not None and isinstance(part.size, SmallerBy) else words
    if part.allowance is not None and part.allowance:
        return f"{on}, with {write_length(part.allowance, unit)} to spare all round"
    return on
