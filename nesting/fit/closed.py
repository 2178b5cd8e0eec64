"""The card when it is shut: how large, how thick, how heavy.

In: a Project and a CardDesign. Out: a ClosedCard, or NotFlat where its folds do not let it be shut. The fact of the
trade: thickness adds up, base, mats, layers and foam, and is greatest where most of them lie over each other.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from nesting.describe.designs import Area, Base, CardDesign, CardPart, Outline, PartKind
from nesting.describe.folding import Turned, fold_shut
from nesting.describe.papers import Paper
from nesting.describe.project import Project
from nesting.errors import Problem
from nesting.lengths import TICKS_PER_MM, ZERO, Length
from nesting.pieces.shapes import slanted
from nesting.pieces.spots import Spot, Spots, find_spots
from nesting.standards import likely_thickness

SQUARE_METRE = (1000 * TICKS_PER_MM) ** 2  # in square ticks


@dataclass(frozen=True, slots=True)
class ClosedCard:
    """A card shut: size across x up, thickness where it is thickest, plies of paper there, and mass.

    by_guide: a thickness was worked out from a paper's weight. thickness and grams are None where no weight of a
    paper is known; `unknown` names these papers. uneven: foam lies under a part. folded: it has a fold. Windows and
    centres cut out are not taken off the thickness.
    """

    design: str
    width: Length
    height: Length
    thickness: Length | None
    plies: int
    grams: Fraction | None
    by_guide: bool
    unknown: tuple[str, ...]
    uneven: bool
    folded: bool


def closed_card(project: Project, design: CardDesign) -> ClosedCard:
    """Shut the card; raises NotFlat where that cannot be. The design has a base, and all its sizes can be."""
    problems: list[Problem] = []
    spots = find_spots(design, project.unit, problems)
    papers = {name: project.paper(name) for name in _papers_of(design)}
    places = _places(design)
    sheets = list(_sheets(project, design, spots, places))
    areas = [area for area, _, _ in sheets]
    unknown = tuple(name for name, paper in papers.items() if paper.weight is None)
    thick_unknown = [paper for paper in papers.values() if _thickness(paper) is None]
    return ClosedCard(
        design=design.name,
        width=max(area.x + area.width for area in areas) - min(area.x for area in areas),
        height=max(area.y + area.height for area in areas) - min(area.y for area in areas),
        thickness=None if thick_unknown else Length(_deepest([(area, thick) for area, thick, _ in sheets])),
        plies=_deepest([(area, plies) for area, _, plies in sheets]),
        grams=None if unknown else _grams(project, design, spots),
        by_guide=any(paper.thickness is None for paper in papers.values()),
        unknown=unknown,
        uneven=any(part.raised_by for part in design.parts),
        folded=any(base.folds for base in design.bases),
    )


def _papers_of(design: CardDesign) -> list[str]:
    names = [base.paper for base in design.bases] + [part.paper for part in design.parts if part.paper]
    return list(dict.fromkeys(names))


def _thickness(paper: Paper) -> Length | None:
    if paper.thickness is not None:
        return paper.thickness
    return None if paper.weight is None else likely_thickness(paper.weight)


def _places(design: CardDesign) -> list[tuple[Base, int, Turned]]:
    """Every panel of every copy of every base, and how it is moved when the card is shut."""
    found = []
    for base in design.bases:
        moved = fold_shut(base)
        first_x, first_y = base.lies[0]
        for x, y in base.lies:
            aside = (x - first_x).ticks, (y - first_y).ticks
            found += [(base, number, move.moved(*aside)) for number, move in moved.items()]
    return found


def _sheets(
    project: Project, design: CardDesign, spots: Spots, places: list[tuple[Base, int, Turned]]
) -> list[tuple[Area, int, int]]:
    """Everything that lies in the closed card: where, how thick in ticks, how many plies of paper; panels first."""
    panels = {panel.number: panel for base in design.bases for panel in base.panels}
    found = []
    for base, number, move in places:
        panel = panels[number]
        thick = _thickness(project.paper(base.paper)) or ZERO
        found.append((move.area(panel.x, panel.y, panel.width, panel.height), thick.ticks, 1))
    for part in design.parts:
        if part.kind is PartKind.WINDOW:
            continue
        thick = (_thickness(project.paper(part.paper)) or ZERO) + (part.raised_by or ZERO)
        for spot, _ in spots[part.name]:
            for _, number, move in places:
                if spot.panel == number:
                    found.append((move.area(spot.x, spot.y, spot.width, spot.height), thick.ticks, 1))
    return found


def _deepest(sheets: list[tuple[Area, int]]) -> int:
    """The largest sum over any point: each rectangle enters at its corners, sums run across and down."""
    xs = sorted({edge.ticks for area, _ in sheets for edge in (area.x, area.x + area.width)})
    ys = sorted({edge.ticks for area, _ in sheets for edge in (area.y, area.y + area.height)})
    column, row = {x: i for i, x in enumerate(xs)}, {y: i for i, y in enumerate(ys)}
    steps = np.zeros((len(ys), len(xs)), dtype=np.int64)
    for area, value in sheets:
        left, right = column[area.x.ticks], column[(area.x + area.width).ticks]
        top, bottom = row[area.y.ticks], row[(area.y + area.height).ticks]
        steps[top, left] += value
        steps[top, right] -= value
        steps[bottom, left] -= value
        steps[bottom, right] += value
    return int(steps.cumsum(axis=0).cumsum(axis=1).max())


def _grams(project: Project, design: CardDesign, spots: Spots) -> Fraction:
    """Mass of base and parts, without glue; what is cut away is taken off."""
    total = Fraction(0)
    weights = {name: project.paper(name).weight or Fraction(0) for name in _papers_of(design)}
    paper_of = {number: base.paper for base in design.bases for number in (panel.number for panel in base.panels)}
    by_name = {part.name: part for part in design.parts}
    for base in design.bases:
        area = base.width.ticks * base.height.ticks - sum(
            out.width.ticks * out.height.ticks for out in (*base.cut_away, *base.windows)
        )
        total += weights[base.paper] * area * len(base.lies)
    for part in design.parts:
        areas = (
            _share(part, spot) * spot.width.ticks * spot.height.ticks * spot.times for spot, _ in spots[part.name]
        )
        taken = sum(areas, Fraction(0))
        if part.kind is not PartKind.WINDOW:
            total += weights[part.paper] * taken
        elif part.on_part:
            total -= weights[by_name[part.on_part].paper] * taken
        else:
            total -= sum(
                weights[paper_of[spot.panel]] * spot.width.ticks * spot.height.ticks * spot.times
                for spot, _ in spots[part.name]
            )
    return total / SQUARE_METRE


def _share(part: CardPart, spot: Spot) -> Fraction:
    """How much of its rectangle is in the shape, and of how many of them: a pair is two, a triangle half."""
    share = Fraction(1) if part.outline is Outline.ANY else slanted(part, spot.width, spot.height).share
    return 2 * share if part.pair else share
