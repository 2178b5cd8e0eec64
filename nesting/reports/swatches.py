"""How papers look on the cover: a tint and a pattern that tells which way a print runs.

In: a paper's name and direction. Out: filled rectangles. The fact of the trade: a crafter knows papers by sight, so a
paper whose name holds a plain word for its colour is tinted that way; any other gets a quiet grey, and none is told by
its tint alone, since its name stands beside it.
"""

from __future__ import annotations

from dataclasses import dataclass

from nesting.describe.papers import PrintDirection
from nesting.reports.drawing import Box, Polygon, Rectangle, Shape, Strokes
from nesting.reports.look import INK, POINT

_TINTS = {
    "white": "#FFFFFF", "ivory": "#FBF7EA", "cream": "#F6EDD8", "linen": "#EFE8DA", "natural": "#EBDDC3",
    "kraft": "#C9A77C", "brown": "#8A5A3B", "chocolate": "#5B3A29", "rust": "#C26A3D", "orange": "#E08A3C",
    "pumpkin": "#D9782D", "amber": "#E3A53A", "gold": "#CFA63E", "yellow": "#F0D264", "straw": "#EFDDA0",
    "coral": "#E8836B", "pink": "#EDB7C0", "rose": "#D98A9B", "red": "#B23A3A", "berry": "#8C2F4B",
    "plum": "#6A3D66", "purple": "#6B4E91", "lavender": "#C3B5DD", "blue": "#4C78A8", "navy": "#22345C",
    "midnight": "#1F2A44", "night": "#26324F", "sky": "#BCD7EC", "teal": "#2E7F83", "mint": "#BFE0CF",
    "green": "#4C8A57", "moss": "#7C8A4A", "pine": "#1F4D3A", "forest": "#24523B", "grey": "#A9A9A9",
    "gray": "#A9A9A9", "silver": "#CFCFCF", "slate": "#5F6B76", "black": "#262626",
}  # fmt: skip
_QUIET = "#E4E1DA"
_MARKS = ("#1F4D3A", "#C26A3D", "#4A4A4A")  # of prints, on a light ground
_GROUND = "#FFFFFF"


@dataclass(frozen=True, slots=True)
class Swatch:
    """A paper's look: its ground, the colour of its print, and which way that runs."""

    ground: str
    mark: str
    direction: PrintDirection


def swatch(name: str, direction: PrintDirection, index: int = 0) -> Swatch:
    """The look of a paper; `index` tells prints of one batch apart."""
    words = "".join(letter if letter.isalpha() else " " for letter in name.lower()).split()
    tint = next((_TINTS[word] for word in words if word in _TINTS), None)
    if direction is PrintDirection.NONE:
        return Swatch(tint or _QUIET, INK, direction)
    mark = tint if tint and _is_dark(tint) else _MARKS[index % len(_MARKS)]
    return Swatch(_GROUND, mark, direction)


def _is_dark(tint: str) -> bool:
    red, green, blue = (int(tint[n : n + 2], 16) for n in (1, 3, 5))
    return 299 * red + 587 * green + 114 * blue < 160_000


def swatch_shapes(look: Swatch, box: Box, edge: float = 0.9) -> tuple[Shape, ...]:
    """The rectangle filled with the paper: stripes for a two-way print, small tents that stand for a one-way one."""
    shapes: list[Shape] = [Rectangle(box.x0, box.y0, box.width, box.height, look.ground)]
    inner = box.inset(edge / 2 * POINT)
    if look.direction is PrintDirection.TWO_WAY and inner.width > 0.06:
        count = max(round(inner.width / 0.09), 1)
        step = inner.width / count
        xs = [inner.x0 + (n + 0.5) * step for n in range(count)]
        shapes.append(Strokes(tuple((x, inner.y0, x, inner.y1) for x in xs), 2.2, look.mark))
    elif look.direction is PrintDirection.ONE_WAY:
        shapes += _tents(inner, look.mark)
    shapes.append(Rectangle(box.x0, box.y0, box.width, box.height, None, INK, edge))
    return tuple(shapes)


def _tents(box: Box, colour: str) -> list[Shape]:
    """Staggered triangles that stand on their feet."""
    columns, rows = max(int(box.width / 0.16), 1), max(int(box.height / 0.15), 1)
    wide, high = box.width / columns, box.height / rows
    side = min(0.085, wide * 0.7, high * 0.8)
    shapes: list[Shape] = []
    for row in range(rows):
        shift = 0.25 if row % 2 else -0.25
        for column in range(columns):
            x, y = box.x0 + (column + 0.5 + shift * 0.8) * wide, box.y0 + (row + 0.5) * high
            x = min(max(x, box.x0 + side / 2), box.x1 - side / 2)
            tip, foot = y - side * 0.45, y + side * 0.45
            shapes.append(Polygon(((x, tip), (x + side / 2, foot), (x - side / 2, foot)), colour))
    return shapes
