"""From data to ink: a Drawing as PNG, SVG or PDF. The only module that imports matplotlib.

In: Drawings and a path whose suffix decides. Out: a file with the same bytes every time, written beside its place
and renamed into it, so that a reader never sees half of it. Text stays text in SVG and PDF. The fact of the trade:
what is printed at scale 1 is measured with a ruler, so one inch of a Drawing is one inch of paper.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from functools import cache
from io import BytesIO
from pathlib import Path as FilePath
from typing import Any

import matplotlib as mpl
import numpy as np
import numpy.typing as npt
from matplotlib.artist import Artist
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.colors import to_rgba
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties
from matplotlib.path import Path
from matplotlib.transforms import Affine2D
from PIL import Image

from nesting.files import write_beside, write_whole
from nesting.reports.drawing import Disc, Dots, Drawing, Polygon, Rectangle, Shape, Strokes, Text, every_shape
from nesting.reports.drawing import Label as RowOfWords
from nesting.reports.svg import svg_text

_MOST_WAITING = 8  # pictures drawn and not yet packed: some 5 MB each
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


def save(drawing: Drawing, path: str | FilePath) -> None:
    """Write one drawing as .png, .svg or .pdf; any other suffix is a ValueError."""
    path = FilePath(path)
    suffix = path.suffix.lower()
    if suffix == ".svg":
        write_beside(path, lambda beside: beside.write_text(svg_text(drawing), encoding="utf-8", newline="\n"))
    elif suffix == ".pdf":
        save_pages((drawing,), path)
    elif suffix == ".png":
        _pack(_pixels(drawing), drawing.dpi, path)
    else:
        raise ValueError(f"A drawing is written as .png, .svg or .pdf, not as “{path.name}”.")


def save_all(drawings: Iterable[tuple[Drawing, FilePath]]) -> None:
    """Write many: while one is drawn here, the dots of the last ones are packed into their files on other cores."""
    waiting: deque[Future[None]] = deque()
    with ThreadPoolExecutor() as others:
        for drawing, path in drawings:
            if path.suffix.lower() == ".png":
                waiting.append(others.submit(_pack, _pixels(drawing), drawing.dpi, path))
            else:
                save(drawing, path)
            if len(waiting) > _MOST_WAITING:
                waiting.popleft().result()
        for future in waiting:
            future.result()


def save_pages(drawings: Sequence[Drawing], path: str | FilePath, title: str = "") -> None:
    """Write the drawings as the pages of one PDF, each in its own size."""
    if not drawings:
        raise ValueError("A PDF needs at least one page.")
    facts = _PDF_FACTS | {"Title": title or drawings[0].title}
    pdf = BytesIO()  # whole before it meets the disk: a PDF that breaks off midway cannot be closed
    _write_pdf(drawings, pdf, facts)
    write_whole(FilePath(path), pdf.getvalue())


def _pixels(drawing: Drawing) -> npt.NDArray[np.uint8]:
    """The dots of a drawing, rows x columns x red, green and blue."""
    with mpl.rc_context(_SETTINGS):
        canvas = FigureCanvasAgg(_figure(drawing, drawing.dpi))
        canvas.draw()
        return np.asarray(canvas.buffer_rgba())[:, :, :3].copy()


def _pack(pixels: npt.NDArray[np.uint8], dpi: int, path: FilePath) -> None:
    image = Image.fromarray(pixels).quantize(_COLOURS, dither=Image.Dither.NONE)
    # level 6 is a tenth larger than 9 and five times as fast
    write_beside(path, lambda beside: image.save(beside, compress_level=6, dpi=(dpi, dpi)))


def _write_pdf(drawings: Sequence[Drawing], file: BytesIO, facts: dict[str, str | None]) -> None:
    from matplotlib.backends.backend_pdf import PdfPages  # a third of matplotlib's start, and PNGs do without

    with mpl.rc_context(_SETTINGS), PdfPages(file, metadata=facts) as pages:
        for drawing in drawings:
            pages.savefig(_figure(drawing, 72))


def _figure(drawing: Drawing, dpi: int) -> Figure:
    """A figure of the drawing's size that holds nothing but the drawing."""
    figure = Figure(figsize=(drawing.width, drawing.height), dpi=dpi, facecolor="white")
    figure.add_artist(_Ink(drawing), clip=False)
    return figure


class _Ink(Artist):  # type: ignore[misc,unused-ignore]
    """All shapes of a drawing, handed to matplotlib's renderer one by one in drawing order.

    One artist and not thousands: axes and text boxes are laid out by matplotlib, but here all is laid out already.
    """

    def __init__(self, drawing: Drawing) -> None:
        super().__init__()
        self._drawing = drawing

    def draw(self, renderer: Any) -> None:
        """Draw in inches, y down."""
        dots = renderer.points_to_pixels(72.0)
        place = Affine2D().scale(dots, -dots).translate(0, self._drawing.height * dots)
        for shape in every_shape(self._drawing.shapes):
            for piece in shape.ink() if isinstance(shape, RowOfWords) else (shape,):
                _draw(renderer, piece, place)


def _draw(renderer: Any, shape: Shape, place: Affine2D) -> None:
    if isinstance(shape, Text):
        _draw_text(renderer, shape, place)
    elif isinstance(shape, Strokes):
        ends = "round" if shape.round_ends else "butt"
        gc = _pen(renderer, shape.colour, shape.weight, ends)
        points = [point for x0, y0, x1, y1 in shape.segments for point in ((x0, y0), (x1, y1))]
        renderer.draw_path(gc, Path(points, [Path.MOVETO, Path.LINETO] * len(shape.segments)), place)
        gc.restore()
    elif isinstance(shape, Dots):
        gc = _pen(renderer, shape.fill, 0.0)
        dot = Affine2D().scale(shape.radius * renderer.points_to_pixels(72.0))
        renderer.draw_markers(gc, Path.unit_circle(), dot, Path(shape.points), place, to_rgba(shape.fill))
        gc.restore()
    elif isinstance(shape, Disc):
        _draw_area(renderer, shape, Path.circle((shape.x, shape.y), shape.radius), place)
    elif isinstance(shape, Rectangle):
        x, y, right, bottom = shape.x, shape.y, shape.x + shape.width, shape.y + shape.height
        corners = [(x, y), (right, y), (right, bottom), (x, bottom), (x, y)]
        _draw_area(renderer, shape, Path(corners, closed=True), place)
    elif isinstance(shape, Polygon):
        _draw_area(renderer, shape, Path([*shape.points, shape.points[0]], closed=True), place)


def _pen(renderer: Any, colour: str, weight: float, ends: str = "butt") -> Any:
    gc = renderer.new_gc()
    gc.set_linewidth(weight)
    gc.set_foreground(colour)
    gc.set_capstyle(ends)
    gc.set_joinstyle("miter")
    return gc


def _draw_area(renderer: Any, shape: Rectangle | Polygon | Disc, path: Path, place: Affine2D) -> None:
    gc = _pen(renderer, shape.edge or shape.fill or "#000000", shape.weight if shape.edge else 0.0)
    renderer.draw_path(gc, path, place, to_rgba(shape.fill) if shape.fill else None)
    gc.restore()


def _draw_text(renderer: Any, run: Text, place: Affine2D) -> None:
    """One run; what is centred or right-aligned is measured as this renderer sets it."""
    font = _font(run.size, run.bold)
    x, y = place.transform((run.x, run.y))
    if run.anchor != "start":
        width, _, _ = renderer.get_text_width_height_descent(run.text, font, False)
        shift = width / 2 if run.anchor == "middle" else width
        x, y = (x, y - shift) if run.turned else (x - shift, y)
    if renderer.flipy():
        y = renderer.get_canvas_width_height()[1] - y
    gc = _pen(renderer, run.colour, 0.0)
    renderer.draw_text(gc, x, y, run.text, font, 90.0 if run.turned else 0.0, False)
    gc.restore()


@cache
def _font(size: float, bold: bool) -> FontProperties:
    """The font that matplotlib ships, by its file: no search, and no other font of its name."""
    file = FilePath(mpl.get_data_path(), "fonts", "ttf", f"DejaVuSans{'-Bold' if bold else ''}.ttf")
    return FontProperties(fname=str(file), size=size)
