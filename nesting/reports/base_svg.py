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
from nesting.pieces.piece_list import PieceList
from nesting.pieces.shapes import Outline4, Point, outlines, slanted
from nesting.pieces.spots import Spot, base_windows, find_spots

_HAIR = "0.1"  # mm: a line as thin as machines ask for
_CUT, _MOUNTAIN, _VALLEY = "#0B4F8A", "#A8430B", "#1A1A1A"


@dataclass(frozen=True, slots=True)
class Template:
    """One thing at full size: the design and part it is for, its size, and what is cut and scored in it.

    The outline is a cut; areas are cut out of it; shapes: the corners of those that are cut from a blank.
    """

    design: str
    part: str
    width: Length
    height: Length
    areas: tuple[Area, ...] = ()
    slits: tuple[Line, ...] = ()
    mountains: tuple[Line, ...] = ()
    valleys: tuple[Line, ...] = ()
    shapes: tuple[Outline4, ...] = ()

    @property
    def title(self) -> str:
        """Design and part."""
        return f"{self.design}: {self.part}"


def templates(project: Project, pieces: PieceList) -> tuple[Template, ...]:
    """All templates of the designs in the batch, bases first, then parts in the order in which they were described."""
    wanted = {line.design for line in project.batch if line.count}
    designs = [design for design in project.designs if design.name in wanted]
    return tuple(found for design in designs for found in _of_design(project, design, pieces))


def _of_design(project: Project, design: CardDesign, pieces: PieceList) -> Iterable[Template]:
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
            if part.outline is not Outline.ANY:
                template = _blank(template, part, pieces)
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
    return Template(design, part.name, spot.width, spot.height, tuple(dict.fromkeys(areas)))


def _blank(alone: Template, part: CardPart, pieces: PieceList) -> Template:
    """The blank that shapes share, as the piece list says, with the shapes in it."""
    allowance = part.allowance or ZERO
    width, height = alone.width - 2 * allowance, alone.height - 2 * allowance
    piece = next(
        piece for piece in pieces.pieces
        if piece.design == alone.design and piece.part.removesuffix(" (left)") == part.name
        and piece.each == (width, height)
    )  # fmt: skip
    shapes = outlines(slanted(part, width, height), piece.shapes, allowance)
    return replace(alone, width=piece.width, height=piece.height, shapes=shapes)


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
    paths += [f"M{_mm(x0)} {_mm(y0)}L{_mm(x1)} {_mm(y1)}" for (x0, y0), (x1, y1) in _sides(template)]
    return [*paths, _rectangle(ZERO, ZERO, template.width, template.height)]


def _sides(template: Template) -> list[tuple[Point, Point]]:
    """The sides of all shapes, each once: two shapes may share one, and what lies on the outline is cut with it."""
    sides = dict.fromkeys(
        (min(a, b, key=_place), max(a, b, key=_place))
        for corners in template.shapes
        for a, b in zip(corners, (*corners[1:], corners[0]), strict=True)
        if a != b
    )
    edges = [(0, ZERO), (0, template.width), (1, ZERO), (1, template.height)]
    return [side for side in sides if not any(side[0][axis] == side[1][axis] == at for axis, at in edges)]


def _place(point: Point) -> tuple[int, int]:
    return point[0].ticks, point[1].ticks


def _at_edge(area: Area, template: Template) -> bool:
    right, foot = area.x + area.width, area.y + area.height
    return not area.x or not area.y or right == template.width or foot == template.height


def _line(line: Line) -> str:
    return f"M{_mm(line.x1)} {_mm(line.y1)}L{_mm(line.x2)} {_mm(line.y2)}"


def _rectangle(x: Length, y: Length, width: Length, height: Length) -> str:
    return f"M{_mm(x)} {_mm(y)}H{_mm(x + width)}V{_mm(y + height)}H{_mm(x)}Z"
