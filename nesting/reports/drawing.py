"""A picture as data before it is ink: what tests read and `pages` draws.

In: nothing. Out: frozen shapes with their places in inches on a page, x to the right and y down, lines and type in
points. Groups carry what a shape stands for, so that a screen can light it up and a test can find it. The facts of
the trade: a map is read at arm's length, so a label that meets a line or another label is a fault that a test finds.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from nesting.reports.lettering import Words, plain, set_words, words_height, words_width
from nesting.reports.look import INK, POINT


@dataclass(frozen=True, slots=True)
class Box:
    """An upright rectangle from (x0, y0), top left, to (x1, y1)."""

    x0: float
    y0: float
    x1: float
    y1: float

    @property
    def width(self) -> float:
        """Extent along x."""
        return self.x1 - self.x0

    @property
    def height(self) -> float:
        """Extent along y."""
        return self.y1 - self.y0

    @property
    def centre(self) -> tuple[float, float]:
        """The point in the middle."""
        return (self.x0 + self.x1) / 2, (self.y0 + self.y1) / 2

    def inset(self, by: float) -> Box:
        """The rectangle `by` further in on all sides; further out where negative."""
        return Box(self.x0 + by, self.y0 + by, self.x1 - by, self.y1 - by)

    def meets(self, other: Box) -> bool:
        """Whether the two share any area."""
        return self.x0 < other.x1 and other.x0 < self.x1 and self.y0 < other.y1 and other.y0 < self.y1

    def holds(self, other: Box, slack: float = 1e-9) -> bool:
        """Whether the other lies inside of this one."""
        return (
            self.x0 <= other.x0 + slack
            and self.y0 <= other.y0 + slack
            and self.x1 >= other.x1 - slack
            and self.y1 >= other.y1 - slack
        )


@dataclass(frozen=True, slots=True)
class Strokes:
    """Straight lines of one weight and colour, each (x0, y0, x1, y1); a dashed line is its dashes."""

    segments: tuple[tuple[float, float, float, float], ...]
    weight: float
    colour: str = INK
    round_ends: bool = False


@dataclass(frozen=True, slots=True)
class Rectangle:
    """A filled and/or outlined rectangle."""

    x: float
    y: float
    width: float
    height: float
    fill: str | None = None
    edge: str | None = None
    weight: float = 0.0

    @property
    def box(self) -> Box:
        """Its outline without the weight of the edge."""
        return Box(self.x, self.y, self.x + self.width, self.y + self.height)


@dataclass(frozen=True, slots=True)
class Polygon:
    """A closed outline through the points, filled and/or outlined."""

    points: tuple[tuple[float, float], ...]
    fill: str | None = None
    edge: str | None = None
    weight: float = 0.0


@dataclass(frozen=True, slots=True)
class Disc:
    """A filled circle; the edge, where there is one, is drawn on its rim."""

    x: float
    y: float
    radius: float
    fill: str
    edge: str | None = None
    weight: float = 0.0


@dataclass(frozen=True, slots=True)
class Dots:
    """Many equal filled circles."""

    points: tuple[tuple[float, float], ...]
    radius: float
    fill: str


@dataclass(frozen=True, slots=True)
class Text:
    """One run of letters on the baseline through (x, y); `anchor`: start, middle or end; turned reads upwards."""

    text: str
    x: float
    y: float
    size: float
    bold: bool
    colour: str
    anchor: str = "start"
    turned: bool = False


@dataclass(frozen=True, slots=True)
class Label:
    """A row of words with stacked fractions, on the baseline through (x, y).

    anchor: which end of the row is at (x, y), "start", "middle" or "end". turned: by a quarter, so that it is
    read from below upwards and (x, y) is on its baseline still.
    """

    words: Words
    x: float
    y: float
    size: float
    bold: bool = False
    colour: str = INK
    anchor: str = "start"
    turned: bool = False

    @property
    def box(self) -> Box:
        """The rectangle that the ink stays in."""
        width = words_width(self.words, self.size, self.bold)
        above, below = words_height(self.words, self.size)
        shift = _SHIFT[self.anchor] * width
        if self.turned:
            return Box(self.x - above, self.y + shift - width, self.x + below, self.y + shift)
        return Box(self.x - shift, self.y - above, self.x - shift + width, self.y + below)

    @property
    def text(self) -> str:
        """The words as plain text."""
        return plain(self.words)

    def ink(self) -> tuple[Text | Strokes, ...]:
        """The single runs and fraction bars that it is drawn with."""
        if len(self.words) == 1 and isinstance(self.words[0], str):
            word = self.words[0]
            return (Text(word, self.x, self.y, self.size, self.bold, self.colour, self.anchor, self.turned),)
        shift = _SHIFT[self.anchor] * words_width(self.words, self.size, self.bold)
        runs, bars = set_words(self.words, self.size, self.bold)
        ink: list[Text | Strokes] = []
        for run in runs:
            x, y = self._at(run.x - shift, run.y)
            ink.append(Text(run.text, x, y, run.size, self.bold, self.colour, "start", self.turned))
        for bar in bars:
            segment = (*self._at(bar.x0 - shift, bar.y), *self._at(bar.x1 - shift, bar.y))
            ink.append(Strokes((segment,), bar.weight, self.colour))
        return tuple(ink)

    def _at(self, along: float, down: float) -> tuple[float, float]:
        return (self.x + down, self.y - along) if self.turned else (self.x + along, self.y + down)


_SHIFT = {"start": 0.0, "middle": 0.5, "end": 1.0}

Shape = Strokes | Rectangle | Polygon | Disc | Dots | Text | Label


@dataclass(frozen=True, slots=True)
class Group:
    """Shapes that stand for one thing.

    kind: what sort of thing ("part", "cut", "disc", "label", ...). name: unique in its parent, or empty. title:
    what a screen reader says. data: pairs such as ("stop", "3") by which a screen can find the group.
    """

    kind: str
    shapes: tuple[Shape | Group, ...]
    name: str = ""
    title: str = ""
    data: tuple[tuple[str, str], ...] = ()

    def get(self, key: str) -> str:
        """The value of one pair of data, empty where there is none."""
        return dict(self.data).get(key, "")


@dataclass(frozen=True, slots=True)
class Drawing:
    """A page of width x height inches; dpi: dots per inch of its PNG; what is later in `shapes` lies on top."""

    width: float
    height: float
    shapes: tuple[Shape | Group, ...]
    title: str = ""
    dpi: int = 150


def every_shape(shapes: Iterable[Shape | Group]) -> Iterator[Shape]:
    """All shapes in drawing order, groups opened."""
    for shape in shapes:
        if isinstance(shape, Group):
            yield from every_shape(shape.shapes)
        else:
            yield shape


def every_group(shapes: Iterable[Shape | Group], kind: str = "") -> Iterator[Group]:
    """All groups of a kind, or of any kind, outer before inner."""
    for shape in shapes:
        if isinstance(shape, Group):
            if kind in ("", shape.kind):
                yield shape
            yield from every_group(shape.shapes, kind)


def line(x0: float, y0: float, x1: float, y1: float, weight: float, colour: str = INK) -> Strokes:
    """One straight line."""
    return Strokes(((x0, y0, x1, y1),), weight, colour)


def extent(shapes: Iterable[Shape | Group]) -> Box:
    """The rectangle that holds everything, weights of lines included."""
    boxes = [box for shape in every_shape(shapes) for box in _boxes(shape)]
    if not boxes:
        return Box(0.0, 0.0, 0.0, 0.0)
    return Box(
        min(b.x0 for b in boxes), min(b.y0 for b in boxes), max(b.x1 for b in boxes), max(b.y1 for b in boxes)
    )


def _boxes(shape: Shape) -> Iterator[Box]:
    if isinstance(shape, Label):
        yield shape.box
    elif isinstance(shape, Text):
        yield Label((shape.text,), shape.x, shape.y, shape.size, shape.bold, "", shape.anchor, shape.turned).box
    elif isinstance(shape, Strokes):
        half = shape.weight / 2 * POINT
        for x0, y0, x1, y1 in shape.segments:
            yield Box(min(x0, x1) - half, min(y0, y1) - half, max(x0, x1) + half, max(y0, y1) + half)
    elif isinstance(shape, Rectangle):
        yield shape.box.inset(-shape.weight / 2 * POINT)
    elif isinstance(shape, Polygon):
        xs, ys = [x for x, _ in shape.points], [y for _, y in shape.points]
        yield Box(min(xs), min(ys), max(xs), max(ys)).inset(-shape.weight / 2 * POINT)
    elif isinstance(shape, Disc):
        r = shape.radius + shape.weight / 2 * POINT
        yield Box(shape.x - r, shape.y - r, shape.x + r, shape.y + r)
    else:
        for x, y in shape.points:
            yield Box(x - shape.radius, y - shape.radius, x + shape.radius, y + shape.radius)
