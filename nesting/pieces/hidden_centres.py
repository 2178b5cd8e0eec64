"""Paper that is cut out and still good: the middles of mats under their layers, and the cut-outs of windows.

In: a Project. Out: Sources, small sheets of the mat's own paper, as many as mats are cut. The fact of the trade: the
middle of a mat is never seen, so all but a rim can be taken out with a knife before gluing; it is knife work, so it
has a price.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from nesting.describe.designs import CardDesign, CardPart, PartKind
from nesting.describe.papers import PrintDirection, Sheet
from nesting.describe.project import CentreRule, Project
from nesting.errors import Problem
from nesting.lengths import Length
from nesting.pieces.spots import Spot, Spots, find_spots
from nesting.pieces.supply import Source, SourceKind, supply


@dataclass(frozen=True, slots=True)
class _Out:
    """Something cut out: what it is, of which paper, how large, what one costs."""

    kind: SourceKind
    paper: str
    width: Length
    height: Length
    price: int


@dataclass(frozen=True, slots=True)
class Whence:
    """The part that something is cut out of, its size there, and where the hole begins, from the left and the top."""

    design: str
    part: str
    width: Length
    height: Length
    left: Length
    top: Length


def hidden_centres(project: Project) -> tuple[Source, ...]:
    """All centres and cut-outs that the batch gives, equal ones together; spares give none.

    Every centre lies inside its layer by the rim of the batch's rule, and only there where nothing shows through.
    """
    found: dict[_Out, int] = {}
    for out, count, _ in _cut_out(project):
        found[out] = found.get(out, 0) + count
    return tuple(
        Source(out.kind, out.paper, Sheet(out.width, out.height), out.price, count) for out, count in found.items()
    )


def whence(project: Project, source: Source) -> tuple[Whence, ...]:
    """All parts of the batch that a centre or cut-out of this kind, paper and size can be taken from."""
    sheet = source.sheet
    wanted = (source.kind, source.paper, sheet.width, sheet.height)
    found = (place for out, _, place in _cut_out(project) if (out.kind, out.paper, out.width, out.height) == wanted)
    return tuple(dict.fromkeys(found))


def _cut_out(project: Project) -> Iterator[tuple[_Out, int, Whence]]:
    """Everything that is cut out and worth keeping, how many, and out of what."""
    counts = {line.design: line.count for line in project.batch}
    for design in project.designs:
        cards = counts.get(design.name, 0)
        problems: list[Problem] = []
        for out, times, place in _of_design(project, design, find_spots(design, project.unit, problems)):
            if cards and _worth_keeping(project, out):
                yield out, times * cards, place


def _of_design(project: Project, design: CardDesign, spots: Spots) -> list[tuple[_Out, int, Whence]]:
    by_name = {part.name: part for part in design.parts}
    found = []
    for part in design.parts:
        if part.kind is PartKind.WINDOW and part.reuse:
            found += _cut_outs(project, design, part, by_name, spots)
        elif project.centres is not None and _may_be_hollow(project, design, part):
            found += _centres(project.centres, part, design, spots)
    return found


def _cut_outs(
    project: Project, design: CardDesign, window: CardPart, by_name: dict[str, CardPart], spots: Spots
) -> list[tuple[_Out, int, Whence]]:
    """The cut-outs of a window: they cost nothing more, since the window is cut anyway."""
    papers = {panel.number: base.paper for base in design.bases for panel in base.panels}
    turned = {base.paper: base.may_turn for base in design.bases}
    found = []
    for spot, under in spots[window.name]:
        below = by_name.get(window.on_part)
        if below is not None and below.or_papers:
            continue
        paper = below.paper if below else papers[spot.panel]
        if _may_run_short(project, paper):
            continue
        if _upright(project, paper, below.may_turn if below else turned[paper]):
            on = spot if under is None else under
            part = below.name if below else on.panels
            place = Whence(design.name, part, on.width, on.height, spot.x - on.x, spot.y - on.y)
            found.append((_Out(SourceKind.CUT_OUT, paper, spot.width, spot.height, 0), spot.times, place))
    return found


def _may_be_hollow(project: Project, design: CardDesign, mat: CardPart) -> bool:
    """A mat without windows, of a design and a paper that allow it."""
    if mat.kind is not PartKind.MAT or mat.pair or mat.or_papers or _windows(design, mat):
        return False
    wanted = design.centres and project.paper(mat.paper).centres and not _may_run_short(project, mat.paper)
    return wanted and _upright(project, mat.paper, mat.may_turn)


def _may_run_short(project: Project, name: str) -> bool:
    """Whether some of its pieces may be cut from a stand-in, so that it is not known how many are of this paper."""
    if not project.paper(name).stand_in:
        return False
    return all(source.limit is not None for source in supply(project).of_paper(name))


def _upright(project: Project, paper: str, may_turn: bool | None) -> bool:
    """Whether it is known which way up the print lies in what is cut out."""
    return project.paper(paper).direction is PrintDirection.NONE or not may_turn


def _windows(design: CardDesign, part: CardPart) -> bool:
    return any(other.kind is PartKind.WINDOW and other.on_part == part.name for other in design.parts)


def _centres(rule: CentreRule, mat: CardPart, design: CardDesign, spots: Spots) -> list[tuple[_Out, int, Whence]]:
    """For each of the mat's spots the centre under the one part that covers most of it."""
    covers: dict[Spot, list[Spot]] = {}
    for part in design.parts:
        covering = part.kind in (PartKind.MAT, PartKind.LAYER) and part.count == 1 and not part.pair
        if part.on_part == mat.name and covering and part.raised_by is None and not _windows(design, part):
            for spot, under in spots[part.name]:
                if under is not None:
                    covers.setdefault(under, []).append(spot)
    found = []
    for under, over in covers.items():
        cover = max(over, key=lambda spot: spot.width.ticks * spot.height.ticks)
        width, height = cover.width - 2 * rule.rim, cover.height - 2 * rule.rim
        if width.ticks > 0 and height.ticks > 0:
            left, top = cover.x - under.x + rule.rim, cover.y - under.y + rule.rim
            place = Whence(design.name, mat.name, under.width, under.height, left, top)
            found.append((_Out(SourceKind.CENTRE, mat.paper, width, height, rule.price), under.times, place))
    return found


def _worth_keeping(project: Project, out: _Out) -> bool:
    """Large enough that the drawer would keep it."""
    short, long = project.trimmer.keep_from
    return min(out.width, out.height) >= short and max(out.width, out.height) >= long
