"""From panels to pieces: every rectangle that must be cut, how many, and where its size came from.

In: a Project. Out: a PieceList, or all Problems of sizes that cannot be. The fact of the trade: each layer is a
fixed amount smaller than what lies below it, and the arithmetic in sixteenths is where stacks are spoiled.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from nesting.describe.designs import Base, CardDesign, CardPart, OwnSize, PartKind, SmallerBy
from nesting.describe.papers import PrintDirection
from nesting.describe.project import LoosePiece, Project
from nesting.errors import NestingError, Place, Problem
from nesting.lengths import Length, Unit, write_length, write_size


@dataclass(frozen=True, slots=True)
class Piece:
    """One kind of piece for one part of one design, or one line of a piece list.

    need: copies for the cards; spare: copies beyond that. per_card: copies on one card, 0 for a line of a list.
    came_from tells in words how the size was found. may_turn: may lie a quarter turned on the sheet.
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


@dataclass(frozen=True, slots=True)
class _Spot:
    """A place on the card that carries `times` equal rectangles of this size; `panels` names where."""

    words: str
    panels: str
    width: Length
    height: Length
    times: int


def piece_list(project: Project) -> PieceList:
    """Derive all pieces of the batch; raises NestingError with every size that cannot be."""
    problems: list[Problem] = []
    pieces: list[Piece] = []
    counts = {line.design: line.count for line in project.batch}
    for design in project.designs:
        found = list(_design_pieces(project, design, counts.get(design.name, 0), problems))
        pieces += [piece for piece in found if piece.need]
    pieces += [_loose_piece(project, piece) for piece in project.pieces if piece.count]
    if problems:
        raise NestingError(problems)
    return PieceList(tuple(pieces))


def _design_pieces(
    project: Project, design: CardDesign, cards: int, problems: list[Problem]
) -> Iterator[Piece]:
    for base in design.bases:
        yield _base_piece(project, design, base, cards)
    spots: dict[str, list[_Spot]] = {}
    for part in design.parts:
        below = _spots_below(design, part, spots, project.unit)
        pairs = [(_spot_on(project.unit, part, under, problems), under) for under in below]
        own = [(spot, under) for spot, under in pairs if spot is not None]
        spots[part.name] = [spot for spot, _ in own]
        if part.kind is PartKind.WINDOW:
            continue
        for spot, came_from in _merged(project.unit, part, own):
            need = spot.times * cards
            yield Piece(
                design=design.name,
                part=part.name,
                where=spot.panels,
                paper=part.paper,
                width=spot.width,
                height=spot.height,
                need=need,
                spare=project.spares.of(need),
                per_card=spot.times,
                may_turn=_may_turn(project, part.paper, part.may_turn),
                came_from=came_from,
                place=part.place,
            )


def _base_piece(project: Project, design: CardDesign, base: Base, cards: int) -> Piece:
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
        may_turn=_may_turn(project, base.paper, base.may_turn),
        came_from=f"flat base, {folds} score{'' if folds == 1 else 's'}" if folds else "flat base, no score",
        place=base.place,
    )


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


def _spots_below(
    design: CardDesign, part: CardPart, spots: dict[str, list[_Spot]], unit: Unit
) -> Sequence[_Spot | None]:
    """What the part lies on: the panels named, the spots of another part, or nothing (None) for a part only counted."""
    if part.on_part:
        return spots.get(part.on_part, [])
    if not part.panels:
        return [None]
    labels = _panel_labels(design)
    if len(part.panels) == 1 and part.on_words in dict(design.names):
        labels[part.panels[0]] = part.on_words  # front and inside left are the two faces of one panel
    by_number = {panel.number: (panel, len(base.lies)) for base in design.bases for panel in base.panels}
    return [
        _Spot(f"panel {write_size(panel.width, panel.height, unit)}", labels[panel.number],
              panel.width, panel.height, copies)
        for panel, copies in (by_number[number] for number in part.panels)
    ]  # fmt: skip


def _panel_labels(design: CardDesign) -> dict[int, str]:
    """A panel's first own name where it has one, else its number; a base without scores has no panels to name."""
    labels = {panel.number: f"panel {panel.number}" for base in design.bases for panel in base.panels}
    named: set[int] = set()
    for name, numbers in design.names:
        if len(numbers) == 1 and numbers[0] not in named:
            labels[numbers[0]] = name
            named.add(numbers[0])
    return dict.fromkeys(labels, "") if len(labels) == 1 and not design.names else labels


def _spot_on(unit: Unit, part: CardPart, below: _Spot | None, problems: list[Problem]) -> _Spot | None:
    match part.size:
        case OwnSize(width, height):
            pass
        case SmallerBy(across, down):
            assert below is not None  # the reader asks for `on` beside smaller_by
            width, height = below.width - across, below.height - down
    if part.allowance is not None:
        width, height = width + 2 * part.allowance, height + 2 * part.allowance
    if below is not None and (width.ticks <= 0 or height.ticks <= 0):
        problems.append(
            Problem(
                part.place,
                f"the {part.kind.value} “{part.name}” is to be {_rule_words(unit, part)} than"
                f" {below.words}, which leaves nothing of it.",
                "Make it less smaller, or give its size outright.",
            )
        )
        return None
    if below is not None and part.kind is not PartKind.BLANK and (width > below.width or height > below.height):
        problems.append(
            Problem(
                part.place,
                f"the {part.kind.value} “{part.name}” of {write_size(width, height, unit)} is larger than what it"
                f" lies on ({below.words}).",
                "Give a smaller size, swap its two sides, or take away “on” if it does not lie there.",
            )
        )
        return None
    return _Spot(
        words=f"{part.name} {write_size(width, height, unit)}",
        panels=below.panels if below else "",
        width=width,
        height=height,
        times=part.count * (below.times if below else 1),
    )


def _merged(unit: Unit, part: CardPart, own: list[tuple[_Spot, _Spot | None]]) -> Iterator[tuple[_Spot, str]]:
    """Equal sizes of one part as one spot with its count, each with the words for where the size came from."""
    groups: dict[tuple[Length, Length, str], list[_Spot]] = {}
    for spot, under in own:
        groups.setdefault((spot.width, spot.height, _came_from(unit, part, under)), []).append(spot)
    for (width, height, came_from), spots in groups.items():
        where = _listed(list(dict.fromkeys(spot.panels for spot in spots if spot.panels)))
        yield _Spot(spots[0].words, where, width, height, sum(spot.times for spot in spots)), came_from


def _listed(labels: list[str]) -> str:
    """Panels in a row: "front", "panels 1, 5"."""
    numbers = [label.removeprefix("panel ") for label in labels]
    if len(labels) > 1 and all(label.startswith("panel ") for label in labels):
        return f"panels {', '.join(numbers)}"
    return ", ".join(labels)


def _came_from(unit: Unit, part: CardPart, below: _Spot | None) -> str:
    words = _rule_words(unit, part)
    on = f"{below.words}, {words}" if below is not None and isinstance(part.size, SmallerBy) else words
    if part.allowance is not None and part.allowance:
        return f"{on}, with {write_length(part.allowance, unit)} to spare all round"
    return on


def _rule_words(unit: Unit, part: CardPart) -> str:
    match part.size:
        case OwnSize():
            return "size as given"
        case SmallerBy(across, down) if across == down:
            return f"{write_length(across, unit)} smaller"
        case SmallerBy(across, down):
            return f"{write_length(across, unit)} smaller across and {write_length(down, unit)} up"
