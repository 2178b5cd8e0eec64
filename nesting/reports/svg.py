"""A Drawing as SVG text: for the tablet's page, for browsers, and for machines that read SVG.

In: a Drawing. Out: one SVG document in real units (a page of 8.5 x 11 in measures that), with text as text and one
group per thing, named and titled, so that a screen can light up a cut and a screen reader can say what it is. It is
written here and not by a drawing library because several maps share one page: names must not clash.
"""

from __future__ import annotations

from collections.abc import Iterator
from html import escape

from nesting.reports.drawing import Disc, Dots, Drawing, Group, Label, Polygon, Rectangle, Shape, Strokes, Text
from nesting.reports.lettering import text_width
from nesting.reports.look import POINT

_FONT = "'DejaVu Sans', Verdana, Geneva, sans-serif"


def svg_text(drawing: Drawing, prefix: str = "", *, standalone: bool = True) -> str:
    """The drawing as an SVG document, or as an element for an HTML page where not `standalone`.

    prefix: put before every id, so that many drawings can live on one page. The id of a group inside of a named
    group has that name in front: "map-2-cut-5".
    """
    size = f'viewBox="0 0 {_n(drawing.width)} {_n(drawing.height)}"'
    if standalone:
        size = f'width="{drawing.width:.4f}in" height="{drawing.height:.4f}in" {size}'
    title_id = f"{prefix}title"
    lines = ['<?xml version="1.0" encoding="UTF-8"?>'] if standalone else []
    lines.append(
        f'<svg xmlns="http://www.w3.org/2000/svg" {size} role="img" aria-labelledby="{escape(title_id)}"'
        f' font-family="{_FONT}">'
    )
    lines.append(f'<title id="{escape(title_id)}">{escape(drawing.title)}</title>')
    for shape in drawing.shapes:
        lines.extend(_element(shape, prefix))
    lines.append("</svg>")
    return "\n".join(lines) + "\n"


def _n(inches: float) -> str:
    """A coordinate in points, at most three decimals."""
    text = f"{inches / POINT:.3f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _element(shape: Shape | Group, prefix: str) -> Iterator[str]:
    if isinstance(shape, Group):
        name = f' id="{escape(prefix + shape.name)}"' if shape.name else ""
        data = "".join(f' data-{key}="{escape(value)}"' for key, value in shape.data)
        yield f'<g class="{escape(shape.kind)}"{name}{data}>'
        if shape.title:
            yield f"<title>{escape(shape.title)}</title>"
        within = f"{prefix}{shape.name}-" if shape.name else prefix
        for inner in shape.shapes:
            yield from _element(inner, within)
        yield "</g>"
    elif isinstance(shape, Label):
        for piece in shape.ink():
            yield from _element(piece, prefix)
    elif isinstance(shape, Text):
        yield _text(shape)
    elif isinstance(shape, Strokes):
        path = "".join(f"M{_n(x0)} {_n(y0)}L{_n(x1)} {_n(y1)}" for x0, y0, x1, y1 in shape.segments)
        cap = ' stroke-linecap="round"' if shape.round_ends else ""
        yield f'<path d="{path}" fill="none" stroke="{shape.colour}" stroke-width="{shape.weight:g}"{cap}/>'
    elif isinstance(shape, Rectangle):
        place = f'x="{_n(shape.x)}" y="{_n(shape.y)}" width="{_n(shape.width)}" height="{_n(shape.height)}"'
        yield f"<rect {place}{_paint(shape)}/>"
    elif isinstance(shape, Polygon):
        points = " ".join(f"{_n(x)},{_n(y)}" for x, y in shape.points)
        yield f'<polygon points="{points}"{_paint(shape)}/>'
    elif isinstance(shape, Disc):
        yield f'<circle cx="{_n(shape.x)}" cy="{_n(shape.y)}" r="{_n(shape.radius)}"{_paint(shape)}/>'
    elif isinstance(shape, Dots):
        r = _n(shape.radius)
        back = _n(-2 * shape.radius)
        path = "".join(
            f"M{_n(x - shape.radius)} {_n(y)}a{r} {r} 0 1 0 {_n(2 * shape.radius)} 0a{r} {r} 0 1 0 {back} 0"
            for x, y in shape.points
        )
        yield f'<path d="{path}" fill="{shape.fill}"/>'


def _paint(shape: Rectangle | Polygon | Disc) -> str:
    edge = f' stroke="{shape.edge}" stroke-width="{shape.weight:g}"' if shape.edge else ""
    return f' fill="{shape.fill or "none"}"{edge}'


def _text(run: Text) -> str:
    """One run; its length is fixed, so that another typeface cannot push it over a line."""
    anchor = f' text-anchor="{run.anchor}"' if run.anchor != "start" else ""
    bold = ' font-weight="bold"' if run.bold else ""
    turn = f' transform="rotate(-90 {_n(run.x)} {_n(run.y)})"' if run.turned else ""
    width = _n(text_width(run.text, run.size, run.bold))
    length = f' textLength="{width}" lengthAdjust="spacingAndGlyphs"' if len(run.text) > 1 else ""
    return (
        f'<text x="{_n(run.x)}" y="{_n(run.y)}" font-size="{run.size:g}" fill="{run.colour}"'
        f"{bold}{anchor}{length}{turn}>{escape(run.text)}</text>"
    )
