"""Every base, every part with a window and every blank as an SVG at full size, for a machine that cuts and scores.

In: a Project. Out: Templates, each a name and an SVG document in millimetres, with cuts, mountain scores and valley
scores in groups of their own. The facts of the trade: such a machine must know a cut from a score, it takes one
millimetre of the drawing for one of the paper, and it needs the bare lines without a word of text.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from html import escape

from nesting.describe.designs import Area, Base, CardDesign, CardPart, FoldKind, Line, Outline, PartKind
from nesting.describe.project import Project
from nesting.lengths import ZERO, Length, Unit, write_length, write_size
from nesting.pieces.spots import Spot, base_windows, find_spots

_HAIR = "0.1"  # mm: a line as thin as machines ask for
_CUT, _MOUNTAIN, _VALLEY = "#0B4F8A", "#A8430B", "#1A1A1A"


@dataclass(frozen=True, slots=True)
class Template:
    """One thing at full size: the design and part it is for, its size, and what is cut and scored in it.

    The outline is a cut; areas are cut out of it; `diagonal`: cut in two from the lower left to the upper right.
    """

    design: str
    part: str
    width: Length
    height: Length
    areas: tuple[Area, ...] = ()
    slits: tuple[Line, ...] = ()
    mountains: tuple[Line, ...] = ()
    valleys: tuple[Line, ...] = ()
    diagonal: bool = False

    @property
    def title(self) -> str:
        """Design and part."""
        return f"{self.design}: {self.part}"


def templates(project: Project) -> tuple[Template, ...]:
    """All templates of the designs in the batch, bases first, then parts in the order in which they were described."""
    wanted = {line.design for line in project.batch if line.count}
    designs = [design for design in project.designs if design.name in wanted]
    return tuple(found for design in designs for found in _of_design(project, design))


def _of_design(project: Project, design: CardDesign) -> Iterable[Template]:
    for base in design.bases:
        yield _base(design.name, opened(design, base, project.unit))
    spots = find_spots(design, project.unit, [])
    for part in design.parts:
        windows = [other for other in design.parts if other.kind is PartKind.WINDOW and other.on_part == part.name]
        holes = [pair for window in windows for pair in spots[window.name]]
        if part.kind is PartKind.WINDOW or not (holes or part.kind is PartKind.BLANK):
            continue
        known: set[Template] = set()
        for spot, _ in spots[part.name]:
            template = _part(design.name, part, spot, [hole for hole, under in holes if under == spot])
            if template not in known:
                known.add(template)
                yield template


def opened(design: CardDesign, base: Base, unit: Unit) -> Base:
    """The base with the windows that the design's parts cut into its panels."""
    return replace(base, windows=base.windows + base_windows(design, base, unit))


def _base(design: str, base: Base) -> Template:
    folds = {kind: tuple(fold.line for fold in base.folds if fold.kind is kind) for kind in FoldKind}
    return Template(
        design, base.name, base.width, base.height, (*base.cut_away, *base.windows), base.slits,
        folds[FoldKind.MOUNTAIN], folds[FoldKind.VALLEY],
    )  # fmt: skip


def _part(design: str, part: CardPart, spot: Spot, holes: list[Spot]) -> Template:
    areas = tuple(Area(hole.x - spot.x, hole.y - spot.y, hole.width, hole.height) for hole in holes)
    cut_in_two = part.outline is Outline.RIGHT_TRIANGLE
    return Template(design, part.name, spot.width, spot.height, tuple(dict.fromkeys(areas)), diagonal=cut_in_two)


def template_svg(template: Template, unit: Unit) -> str:
    """The template as an SVG document: one unit of it is one millimetre, lengths exact."""
    wide, high = _mm(template.width), _mm(template.height)
    size = write_size(template.width, template.height, unit, with_unit=True)
    groups = [
        _group("cuts", "cuts", _CUT, _cuts(template)),
        _group("mountain-scores", "mountain scores: folded away from you", _MOUNTAIN, map(_line, template.mountains)),
        _group("valley-scores", "valley scores: folded towards you", _VALLEY, map(_line, template.valleys)),
    ]
    return "\n".join([
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide}mm" height="{high}mm" viewBox="0 0 {wide} {high}">',
        f"<title>{escape(template.title)}</title>",
        f"<desc>{escape(size)}, inside facing you; print and cut at full size.</desc>",
        *(line for group in groups for line in group),
        "</svg>\n",
    ])  # fmt: skip


def _mm(length: Length) -> str:
    """Exact millimetres: a tick is 1/3200 mm, so the decimals end."""
    return write_length(length, Unit.MILLIMETRE)


def _group(name: str, title: str, colour: str, paths: Iterable[str]) -> list[str]:
    """A group that is there even when empty, so that a machine's settings find it."""
    lines = [f'<path d="{path}"/>' for path in paths]
    head = f'<g id="{name}" fill="none" stroke="{colour}" stroke-width="{_HAIR}">'
    return [head, f"<title>{title}</title>", *lines, "</g>"]


def _cuts(template: Template) -> list[str]:
    """What is inside first, so that the sheet still lies firm, then what is cut away at the edges, then the outline."""
    inside = [area for area in template.areas if not _at_edge(area, template)]
    away = [area for area in template.areas if _at_edge(area, template)]
    paths = [_line(slit) for slit in template.slits]
    paths += [_rectangle(area.x, area.y, area.width, area.height) for area in (*inside, *away)]
    if template.diagonal:
        paths.append(f"M0 {_mm(template.height)}L{_mm(template.width)} 0")
    return [*paths, _rectangle(ZERO, ZERO, template.width, template.height)]


def _at_edge(area: Area, template: Template) -> bool:
    right, foot = area.x + area.width, area.y + area.height
    return not area.x or not area.y or right == template.width or foot == template.height


def _line(line: Line) -> str:
    return f"M{_mm(line.x1)} {_mm(line.y1)}L{_mm(line.x2)} {_mm(line.y2)}"


def _rectangle(x: Length, y: Length, width: Length, height: Length) -> str:
    return f"M{_mm(x)} {_mm(y)}H{_mm(x + width)}V{_mm(y + height)}H{_mm(x)}Z"
