"""The quiet parts of a map: fills of what is kept and what is scrap, edges of the copies, direction and grain.

In: boxes in inches. Out: shapes. The facts of the trade: an offcut worth keeping must not be taken for scrap, and a
print that stands on its head spoils the card; so each is told by a pattern or a shape and not by colour alone.
"""

from __future__ import annotations

from nesting.describe.papers import PrintDirection
from nesting.reports.drawing import Box, Dots, Group, Label, Polygon, Rectangle, Shape, Strokes, line
from nesting.reports.look import (
    DECK_EDGE,
    DOT_PITCH,
    HATCH,
    HATCH_LINE,
    HATCH_PITCH,
    KEEP_DOTS,
    KEEP_FILL,
    SMALL,
    WAY_UP,
    WHITE,
)
from nesting.reports.map_subject import Side

DECK_STEP = 0.055
_ARROW = 0.62  # length of the direction arrow with its word


def keep_fill(box: Box, spared: Box | None = None) -> tuple[Shape, ...]:
    """Straw with staggered dots, none of them in the spared box."""
    points = []
    rows = int(box.height / DOT_PITCH + 0.5)
    for row in range(rows):
        y = box.y0 + (row + 0.5) * box.height / rows
        x = box.x0 + DOT_PITCH * (0.5 if row % 2 else 1.0)
        while x < box.x1 - 0.02:
            if spared is None or not spared.holds(Box(x, y, x, y), slack=0.015):
                points.append((round(x, 4), round(y, 4)))
            x += 2 * DOT_PITCH
    fill = Rectangle(box.x0, box.y0, box.width, box.height, fill=KEEP_FILL)
    return (fill, Dots(tuple(points), 0.008, KEEP_DOTS)) if points else (fill,)


def scrap_fill(box: Box, spared: Box | None = None) -> tuple[Shape, ...]:
    """White with lines that rise to the right; a spared box is left white."""
    segments = []
    step = HATCH_PITCH * 2**0.5
    first = int((box.x0 + box.y0) / step) + 1
    total = box.x1 + box.y1
    while first * step < total:
        s = first * step  # the line x + y = s
        x0, x1 = max(box.x0, s - box.y1), min(box.x1, s - box.y0)
        if x1 - x0 > 1e-6:
            segments.append((round(x0, 4), round(s - x0, 4), round(x1, 4), round(s - x1, 4)))
        first += 1
    shapes: list[Shape] = [Rectangle(box.x0, box.y0, box.width, box.height, fill=WHITE)]
    if segments:
        shapes.append(Strokes(tuple(segments), HATCH_LINE, HATCH))
    if spared is not None:
        shapes.append(Rectangle(spared.x0, spared.y0, spared.width, spared.height, fill=WHITE))
    return tuple(shapes)


def deck_depth(copies: int) -> float:
    """How far the edges of further copies stand out, in inches: up to three are shown."""
    return min(max(copies - 1, 0), 3) * DECK_STEP


def deck_edges(sheet: Box, copies: int) -> tuple[Shape, ...]:
    """Edges of the sheets that lie below, at the right and at the bottom."""
    segments = []
    for n in range(1, min(copies, 4)):
        by = n * DECK_STEP
        segments.append((sheet.x0 + by, sheet.y1 + by, sheet.x1 + by, sheet.y1 + by))
        segments.append((sheet.x1 + by, sheet.y1 + by, sheet.x1 + by, sheet.y0 + by))
    return (Strokes(tuple(segments), DECK_EDGE, HATCH),) if segments else ()


def head_mark(box: Box, up: Side, direction: PrintDirection) -> tuple[Box, Group] | None:
    """The small triangle at a part's head, and the strip that it takes; None where the part is too small."""
    long, wide = (box.width, box.height) if up.beside else (box.height, box.width)
    two = direction is PrintDirection.TWO_WAY
    if direction is PrintDirection.NONE or long < (0.62 if two else 0.5) or wide < 0.2:
        return None
    depth = 0.24 if two else 0.14
    cx, cy = box.centre
    if up is Side.LEFT:
        strip = Box(box.x0, box.y0, box.x0 + depth, box.y1)
        first, second = (box.x0 + 0.05, cy), (box.x0 + 0.235, cy)
    else:
        strip = Box(box.x0, box.y0, box.x1, box.y0 + depth)
        first, second = (cx, box.y0 + 0.05), (cx, box.y0 + 0.235)
    shapes: list[Shape] = [_triangle(*first, 0.12, up, 1)]
    if two:
        shapes.append(_triangle(*second, 0.12, up, -1))
    return strip, Group("way-up", tuple(shapes), title="print up" if not two else "print, either end up")


def _triangle(x: float, y: float, width: float, up: Side, sense: int) -> Polygon:
    """A triangle with its tip at (x, y), pointing to the side (sense 1) or away from it (-1)."""
    high = width * 0.7 * sense
    if up is Side.LEFT:
        return Polygon(((x, y), (x + high, y - width / 2), (x + high, y + width / 2)), WAY_UP)
    return Polygon(((x, y), (x - width / 2, y + high), (x + width / 2, y + high)), WAY_UP)


def grain_strokes(x: float, y: float, size: float, upright: bool, weight: float = 1.4) -> Strokes:
    """Three strokes along the grain, the middle one longer, round the point (x, y)."""
    segments = []
    for off, half in ((-0.28, 0.32), (0.0, 0.5), (0.28, 0.32)):
        a, b = off * size, half * size
        segments.append((x + a, y - b, x + a, y + b) if upright else (x - b, y + a, x + b, y + a))
    return Strokes(tuple(segments), weight, WAY_UP)


def arrow_room(up: Side) -> float:
    """How much of a gutter's length the direction arrow takes."""
    return _ARROW + 0.1 if up is Side.TOP else 0.4


def direction_arrow(x: float, y: float, up: Side, direction: PrintDirection) -> Group:
    """The arrow round the middle (x, y) of a gutter, with "up" under it where there is only one way up."""
    two = direction is PrintDirection.TWO_WAY
    half = 0.13 if up is Side.LEFT else (_ARROW - (0.0 if two else 0.17)) / 2
    cy = y if two else y - 0.09
    shapes: list[Shape | Group]
    if up is Side.LEFT:
        wide = 0.15 if two else 0.2
        tips = [_triangle(x - half, cy, wide, up, 1)] + ([_triangle(x + half, cy, wide, up, -1)] if two else [])
        shaft = line(x - half + 0.1, cy, x + half - (0.1 if two else 0.0), cy, 2.4, WAY_UP)
    else:
        tips = [_triangle(x, cy - half, 0.24, up, 1)] + ([_triangle(x, cy + half, 0.24, up, -1)] if two else [])
        shaft = line(x, cy - half + 0.1, x, cy + half - (0.1 if two else 0.0), 2.4, WAY_UP)
    shapes = [shaft, *tips]
    if not two:
        below = cy + (0.27 if up is Side.LEFT else half + 0.16)
        shapes.append(Label(("up",), x, below, SMALL + 1, True, WAY_UP, "middle"))
    return Group("direction", tuple(shapes), title="print up" if not two else "print, either end up")
