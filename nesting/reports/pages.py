"""From data to ink: a Drawing as PNG, SVG or PDF. The only module that imports matplotlib.

In: Drawings and a path whose suffix decides. Out: a file with the same bytes every time, written beside its place
and renamed into it, so that a reader never sees half of it. Text stays text in SVG and PDF. The fact of the trade:
what is printed at scale 1 is measured with a ruler, so one inch of a Drawing is one inch of paper.
"""

from __future__ import annotations

import os
import tempfile
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import matplotlib as mpl
import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.backends.backend_pdf import PdfPages
from matplotlib.collections import EllipseCollection, LineCollection
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties
from matplotlib.patches import Circle
from matplotlib.patches import Polygon as Outline
from matplotlib.text import Text as Lettering
from matplotlib.transforms import Affine2D
from PIL import Image

from nesting.reports.drawing import (
    Disc,
    Dots,
    Drawing,
    Polygon,
    Rectangle,
    Shape,
    Strokes,
    Text,
    every_shape,
)
from nesting.reports.drawing import Label as RowOfWords
from nesting.reports.svg import svg_text

_COLOURS = 200  # of a PNG's palette; 64 are too few for the papers of a cover
_SETTINGS = {
    "pdf.fonttype": 42,
    "pdf.compression": 6,
    "font.family": "DejaVu Sans",
    "text.usetex": False,
    "text.parse_math": False,
    "text.hinting": "none",
    "text.antialiased": True,
    "path.simplify": False,
    "axes.unicode_minus": False,
}
_PDF_FACTS = {"Creator": "nesting", "Producer": "nesting", "CreationDate": None, "ModDate": None}


def save(drawing: Drawing, path: str | Path) -> None:
    """Write one drawing as .png, .svg or .pdf; any other suffix is a ValueError."""
    path = Path(path)
    suffix = path.suffix.lower()
    if suffix == ".svg":
        _put_in_place(path, lambda beside: beside.write_text(svg_text(drawing), encoding="utf-8", newline="\n"))
    elif suffix == ".pdf":
        save_pages((drawing,), path)
    elif suffix == ".png":
        _put_in_place(path, lambda beside: _write_png(drawing, beside))
    else:
        raise ValueError(f"A drawing is written as .png, .svg or .pdf, not as “{path.name}”.")


def save_pages(drawings: Sequence[Drawing], path: str | Path, title: str = "") -> None:
    """Write the drawings as the pages of one PDF, each in its own size."""
    if not drawings:
        raise ValueError("A PDF needs at least one page.")
    facts = _PDF_FACTS | {"Title": title or drawings[0].title}
    _put_in_place(Path(path), lambda beside: _write_pdf(drawings, beside, facts))


def _put_in_place(path: Path, write: Callable[[Path], Any]) -> None:
    handle, name = tempfile.mkstemp(prefix=f".{path.stem}-", suffix=path.suffix, dir=path.parent)
    os.close(handle)
    beside = Path(name)
    try:
        write(beside)
        mask = os.umask(0)
        os.umask(mask)
        beside.chmod(0o666 & ~mask)
        beside.replace(path)
    finally:
        beside.unlink(missing_ok=True)


def _write_png(drawing: Drawing, path: Path) -> None:
    with mpl.rc_context(_SETTINGS):
        canvas = FigureCanvasAgg(_figure(drawing, drawing.dpi))
        canvas.draw()
        pixels = np.asarray(canvas.buffer_rgba())[:, :, :3].copy()
    image = Image.fromarray(pixels).quantize(_COLOURS, dither=Image.Dither.NONE)
    image.save(path, optimize=True, dpi=(drawing.dpi, drawing.dpi))


def _write_pdf(drawings: Sequence[Drawing], path: Path, facts: dict[str, str | None]) -> None:
    with mpl.rc_context(_SETTINGS), PdfPages(path, metadata=facts) as pages:
        for drawing in drawings:
            pages.savefig(_figure(drawing, 72))


def _figure(drawing: Drawing, dpi: int) -> Figure:
    """A figure of the drawing's size; its artists are placed in inches, y down."""
    figure = Figure(figsize=(drawing.width, drawing.height), dpi=dpi, facecolor="white")
    inches = Affine2D().scale(1, -1).translate(0, drawing.height) + figure.dpi_scale_trans
    for depth, shape in enumerate(_ink(drawing)):
        artist = _artist(shape, inches)
        artist.set_zorder(depth)
        artist.set_clip_on(False)
        figure.add_artist(artist)
    return figure


def _ink(drawing: Drawing) -> list[Shape]:
    return [
        piece
        for shape in every_shape(drawing.shapes)
        for piece in (shape.ink() if isinstance(shape, RowOfWords) else (shape,))
    ]


def _artist(shape: Shape, inches: Any) -> Any:
    if isinstance(shape, Text):
        return _lettering(shape, inches)
    if isinstance(shape, Strokes):
        ends = "round" if shape.round_ends else "butt"
        lines = [((x0, y0), (x1, y1)) for x0, y0, x1, y1 in shape.segments]
        return LineCollection(lines, linewidths=shape.weight, colors=shape.colour, capstyle=ends, transform=inches)
    if isinstance(shape, Dots):
        across = 2 * shape.radius
        return EllipseCollection(
            across, across, 0, units="inches", offsets=shape.points, offset_transform=inches,
            facecolors=shape.fill, edgecolors="none",
        )  # fmt: skip
    if isinstance(shape, Disc):
        return Circle((shape.x, shape.y), shape.radius, transform=inches, **_paint(shape))
    if isinstance(shape, Rectangle):
        x, y, right, bottom = shape.x, shape.y, shape.x + shape.width, shape.y + shape.height
        return Outline([(x, y), (right, y), (right, bottom), (x, bottom)], transform=inches, **_paint(shape))
    assert isinstance(shape, Polygon)
    return Outline(shape.points, transform=inches, **_paint(shape))


def _lettering(run: Text, inches: Any) -> Any:
    font = FontProperties(family="DejaVu Sans", size=run.size, weight="bold" if run.bold else "normal")
    side: Any = {"start": "left", "middle": "center", "end": "right"}[run.anchor]
    return Lettering(
        run.x, run.y, run.text, color=run.colour, fontproperties=font, horizontalalignment=side,
        verticalalignment="baseline", rotation=90 if run.turned else 0, rotation_mode="anchor",
        parse_math=False, transform=inches,
    )  # fmt: skip


def _paint(shape: Rectangle | Polygon | Disc) -> dict[str, Any]:
    return {
        "facecolor": shape.fill or "none",
        "edgecolor": shape.edge or "none",
        "linewidth": shape.weight if shape.edge else 0,
        "joinstyle": "miter",
    }
