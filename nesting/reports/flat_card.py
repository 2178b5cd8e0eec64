"""A card lying flat, as its maker sees it on the table: the base with its folds, and everything stuck on its panels.

In: a CardDesign and how its papers look. Out: a Drawing. The fact of the trade: a wrong border is seen at a glance on
the card and never in a list of numbers, so the card is drawn to scale while it is described.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from nesting.describe.designs import Area, Base, CardDesign, CardPart, FoldKind, Line, PartKind
from nesting.describe.papers import PrintDirection
from nesting.describe.project import Project
from nesting.lengths import ZERO, Length, Unit, write_size
from nesting.pieces.spots import Spot, find_spots, fullest_panel
from nesting.reports.drawing import Box, Drawing, Group, Label, Rectangle, Shape, extent, line
from nesting.reports.fold_lines import fold_line
from nesting.reports.fold_steps import Make
from nesting.reports.lettering import TIMES, length_words, size_words
from nesting.reports.look import CARD_EDGE, HATCH, HEADS, INK, SMALL, WHITE
from nesting.reports.map_ink import scrap_fill
from nesting.reports.swatches import Swatch, swatch, swatch_shapes

_WIDE, _HIGH = 6.4, 4.6  # inches that a base may take
_ROOM = 0.42  # round a base, for its measures
_GAP = 0.3
_MAKE = {FoldKind.VALLEY: Make.VALLEY, FoldKind.MOUNTAIN: Make.MOUNTAIN}


@dataclass(frozen=True, slots=True)
class _Place:
    """Where a base lies on the drawing, and inches of drawing to a tick."""

    x: float
    y: float
    scale: float

    def box(self, x: Length, y: Length, width: Length, height: Length) -> Box:
        x0, y0 = self.x + x.ticks * self.scale, self.y + y.ticks * self.scale
        return Box(x0, y0, x0 + width.ticks * self.scale, y0 + height.ticks * self.scale)

    def end(self, x: Length, y: Length) -> tuple[float, float]:
        return round(self.x + x.ticks * self.scale, 5), round(self.y + y.ticks * self.scale, 5)


def paper_looks(project: Project) -> dict[str, Swatch]:
    """How every paper looks; prints of one project are told apart by the colour of their marks."""
    prints = [paper.name for paper in project.papers if paper.direction is not PrintDirection.NONE]
    places = {name: number for number, name in enumerate(prints)}
    return {one.name: swatch(one.name, one.direction, places.get(one.name, 0)) for one in project.papers}


def flat_card(design: CardDesign, unit: Unit, looks: Mapping[str, Swatch]) -> Drawing:
    """The bases one below the other with what lies on them, and in a row below what is only counted."""
    spots = [(part, spot) for part in design.parts for spot, _ in find_spots(design, unit, []).get(part.name, [])]
    scale = _scale(design, [spot for _, spot in spots])
    shapes: list[Shape | Group] = []
    y = _ROOM
    for base in design.bases:
        place = _Place(_ROOM, y, scale)
        shapes += _base(design, base, spots, place, unit, looks)
        y += base.height.ticks * scale + _ROOM + 0.1
    loose = [(part, spot) for part, spot in spots if not spot.panel and part.kind is not PartKind.WINDOW]
    if loose:
        shapes += _loose(loose, _Place(_ROOM, y - (_ROOM - 0.1 if design.bases else 0.0), scale), unit, looks)
    box = extent(shapes)
    return Drawing(max(box.x1 + 0.06, 1.0), max(box.y1 + 0.08, 1.0), tuple(shapes), f"{design.name}, lying flat")


def card_front(design: CardDesign, unit: Unit, looks: Mapping[str, Swatch], wide: float = 2.0) -> Drawing | None:
    """The panel that carries the most, `wide` inches; None for a design without a base."""
    spots = [(part, spot) for part in design.parts for spot, _ in find_spots(design, unit, []).get(part.name, [])]
    found = fullest_panel(design, (spot for _, spot in spots))
    if found is None:
        return None
    base, panel = found
    scale = wide / max(panel.width.ticks, panel.height.ticks)
    place = _Place(0.03 - panel.x.ticks * scale, 0.03 - panel.y.ticks * scale, scale)
    shapes: list[Shape | Group] = list(
        swatch_shapes(_look(looks, base.paper), place.box(panel.x, panel.y, panel.width, panel.height), 1.2)
    )
    shapes += [_part(part, spot, place, unit, looks) for part, spot in spots if spot.panel == panel.number]
    across, down = (side.ticks * scale + 0.06 for side in (panel.width, panel.height))
    return Drawing(across, down, tuple(shapes), f"{design.name}, closed")


def _scale(design: CardDesign, spots: Sequence[Spot]) -> float:
    """Inches to a tick, so that the largest base fits; a design without one is drawn by its largest part."""
    sides = [(base.width.ticks, base.height.ticks) for base in design.bases]
    sides = sides or [(spot.width.ticks, 2 * spot.height.ticks) for spot in spots] or [(Unit.INCH.ticks,) * 2]
    widest, highest = max(wide for wide, _ in sides), sum(high for _, high in sides)
    if len(sides) > 1:
        highest = max(max(high for _, high in sides), highest // 2)
    return min(_WIDE / widest, _HIGH / highest)


def _look(looks: Mapping[str, Swatch], paper: str) -> Swatch:
    return looks.get(paper) or swatch(paper, PrintDirection.NONE)


def _base(
    design: CardDesign, base: Base, spots: Sequence[tuple[CardPart, Spot]], place: _Place, unit: Unit,
    looks: Mapping[str, Swatch],
) -> list[Shape | Group]:  # fmt: skip
    whole = place.box(ZERO, ZERO, base.width, base.height)
    said = f"{base.name}: {write_size(base.width, base.height, unit)}, {base.paper}"
    shapes: list[Shape | Group] = [Group("base", swatch_shapes(_look(looks, base.paper), whole, CARD_EDGE), title=said)]
    for area in base.cut_away:
        shapes.append(Group("cut-away", scrap_fill(_area(place, area)), title="cut away"))
    mine = {panel.number for panel in base.panels}
    shapes += [_part(part, spot, place, unit, looks) for part, spot in spots if spot.panel in mine]
    for area in base.windows:
        box = _area(place, area)
        shapes.append(Group("window", _hole(box), title="window"))
    shapes += [_fold(place, fold.line, _MAKE[fold.kind]) for fold in base.folds]
    shapes += [_fold(place, slit, Make.SLIT) for slit in base.slits]
    shapes += _panel_names(design, base, place)
    return shapes + _measures(base, whole, place, unit)


def _area(place: _Place, area: Area) -> Box:
    return place.box(area.x, area.y, area.width, area.height)


def _hole(box: Box) -> tuple[Shape, ...]:
    return (*scrap_fill(box), Rectangle(box.x0, box.y0, box.width, box.height, None, INK, 1.1))


def _part(part: CardPart, spot: Spot, place: _Place, unit: Unit, looks: Mapping[str, Swatch]) -> Group:
    """One part on its spot; where several lie there, their number is written on it."""
    box = place.box(spot.x, spot.y, spot.width, spot.height)
    said = f"{part.kind.value} {part.name}: {write_size(spot.width, spot.height, unit)}"
    if part.kind is PartKind.WINDOW:
        return Group("window", _hole(box), title=said, data=(("part", part.name),))
    shapes: list[Shape] = list(swatch_shapes(_look(looks, part.paper), box, 0.9))
    if part.count > 1:
        label = Label((f"{TIMES} {part.count}",), box.centre[0], box.centre[1] + 0.05, SMALL, True, INK, "middle")
        around = label.box.inset(-0.05)
        shapes += [Rectangle(around.x0, around.y0, around.width, around.height, WHITE, HATCH, 0.5), label]
    return Group("part", tuple(shapes), title=f"{said}, {part.paper}", data=(("part", part.name),))


def _fold(place: _Place, each: Line, make: Make) -> Group:
    return Group("fold", fold_line(place.end(each.x1, each.y1), place.end(each.x2, each.y2), make), title=make.value)


def _panel_names(design: CardDesign, base: Base, place: _Place) -> list[Group]:
    """The number of every panel in its lower left corner, with its own name where that fits."""
    names: dict[int, str] = {}
    for name, numbers in design.names:
        if len(numbers) == 1:
            names.setdefault(numbers[0], name.replace("_", " "))
    groups = []
    for panel in base.panels:
        box = place.box(panel.x, panel.y, panel.width, panel.height).inset(0.07)
        for text in (f"{panel.number} {names.get(panel.number, '')}".strip(), str(panel.number)):
            label = Label((text,), box.x0 + 0.06, box.y1 - 0.06, SMALL, False, INK)
            around = label.box.inset(-0.045)
            if around.x1 < box.x1 and around.y0 > box.y0:
                back = Rectangle(around.x0, around.y0, around.width, around.height, WHITE, HATCH, 0.5)
                groups.append(Group("panel", (back, label), title=f"panel {text}"))
                break
    return groups


def _measures(base: Base, whole: Box, place: _Place, unit: Unit) -> list[Shape | Group]:
    """Width above, height at the left, and every score's distance from the edge it is measured from."""
    shapes: list[Shape | Group] = []
    taken: list[Box] = []
    size = Label((*size_words(base.width, base.height, unit),), whole.x1, whole.y0 - 0.14, SMALL + 1, True, INK, "end")
    shapes.append(size)
    taken.append(size.box.inset(-0.06))
    for score in base.scores_across:
        x, _ = place.end(score, ZERO)
        label = Label(length_words(score, unit), x, whole.y0 - 0.14, SMALL, False, HEADS, "middle")
        if not any(label.box.meets(box) for box in taken):
            taken.append(label.box.inset(-0.06))
            shapes += [label, line(x, whole.y0 - 0.09, x, whole.y0 - 0.02, 0.8, HEADS)]
    for score in base.scores_down:
        _, y = place.end(ZERO, score)
        label = Label(length_words(score, unit), whole.x0 - 0.12, y + 0.05, SMALL, False, HEADS, "end")
        if not any(label.box.meets(box) for box in taken):
            taken.append(label.box.inset(-0.03))
            shapes += [label, line(whole.x0 - 0.09, y, whole.x0 - 0.02, y, 0.8, HEADS)]
    return shapes


def _loose(
    loose: Sequence[tuple[CardPart, Spot]], place: _Place, unit: Unit, looks: Mapping[str, Swatch]
) -> list[Shape | Group]:
    """What lies on no panel, in rows with a name below each."""
    shapes: list[Shape | Group] = [Label(("besides",), place.x, place.y + 0.1, SMALL, False, HEADS)]
    x, y, row = place.x, place.y + 0.2, 0.0
    for part, spot in loose:
        wide, high = spot.width.ticks * place.scale, spot.height.ticks * place.scale
        label = Label((part.name,), 0.0, 0.0, SMALL)
        if x > place.x and x + max(wide, label.box.width) > place.x + _WIDE:
            x, y, row = place.x, y + row + 0.36, 0.0
        there = _Place(x - spot.x.ticks * place.scale, y - spot.y.ticks * place.scale, place.scale)
        shapes += [_part(part, spot, there, unit, looks), Label((part.name,), x, y + high + 0.17, SMALL)]
        x, row = x + max(wide, label.box.width) + _GAP, max(row, high)
    return shapes
