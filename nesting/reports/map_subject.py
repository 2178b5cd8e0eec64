"""What a sheet map shows: one layout of one paper, with its cuts, its parts and its passes.

In: nothing. Out: MapSubject, filled by whoever holds the plan, and Scene, the same layout turned as the blade sees
it. Lengths are whole ticks. The fact of the trade: a trimmer's blade runs away from the person, so the first cuts of
a sheet are drawn from top to bottom, whichever way the sheet was described.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import Enum

from nesting.cutting.passes import Edge, MapCut, MapPart, Pass, What
from nesting.describe.papers import Grain, PrintDirection
from nesting.lengths import Length, Unit
from nesting.reports.lettering import Words, size_words


@dataclass(frozen=True, slots=True)
class MapSubject:
    """One layout to be drawn.

    title: "Layout 1". width, height: the whole sheet in ticks, with the print upright. unit: what sizes are written
    in. cuts and parts: of this layout only, in the sheet's own frame. passes: the lines that go with the map.
    owners: letter and what the piece is for, "Pear Tree front". grain_bound: letters of the pieces that must lie
    with the grain.
    """

    title: str
    paper: str
    copies: int
    width: int
    height: int
    unit: Unit
    cuts: tuple[MapCut, ...]
    parts: tuple[MapPart, ...]
    direction: PrintDirection = PrintDirection.NONE
    grain: Grain = Grain.UNKNOWN
    passes: tuple[Pass, ...] = ()
    owners: tuple[tuple[str, str], ...] = ()
    grain_bound: tuple[str, ...] = ()


class Side(Enum):
    """A side of the sheet as it is drawn."""

    LEFT = "left"
    TOP = "top"
    RIGHT = "right"
    BOTTOM = "bottom"

    @property
    def beside(self) -> bool:
        """Left or right: what lies along it has its places in y."""
        return self in (Side.LEFT, Side.RIGHT)


@dataclass(frozen=True, slots=True)
class Cut:
    """A cut line of the scene: `vertical` at x = at from y = start to end, or lying at y = at from x = start."""

    number: int
    stage: int
    vertical: bool
    at: int
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Cell:
    """A leaf of the scene: its rectangle, and the part as it was given (`index` among the subject's parts)."""

    index: int
    x: int
    y: int
    width: int
    height: int
    part: MapPart

    @property
    def what(self) -> What:
        """What it is once it lies on the table."""
        return self.part.part.what

    @property
    def letter(self) -> str:
        """The piece's letter, KEEP, scrap, or the name of a part that is cut no further here."""
        named = {What.KEEP: "KEEP", What.SCRAP: "scrap"}
        return named.get(self.what, self.part.part.name)

    def size(self, unit: Unit) -> Words:
        """Across x up as it is drawn."""
        return size_words(Length(self.width), Length(self.height), unit)


@dataclass(frozen=True, slots=True)
class Scene:
    """A layout as it is drawn, in ticks, y down.

    turned: the sheet was turned by a quarter against the clock, so that its top is at the left. up: the side that
    the heads of the print point to.
    """

    width: int
    height: int
    turned: bool
    cuts: tuple[Cut, ...]
    cells: tuple[Cell, ...]

    @property
    def up(self) -> Side:
        """Where the top of the sheet, and so of its print, lies in the drawing."""
        return Side.LEFT if self.turned else Side.TOP


def wants_turn(subject: MapSubject) -> bool:
    """Whether the layout's first cuts run from side to side, so that its map is turned by a quarter."""
    first = min((cut.stage for cut in subject.cuts), default=1)
    return any(cut.y0 == cut.y1 for cut in subject.cuts if cut.stage == first)


def turned_maps(subjects: Sequence[MapSubject]) -> tuple[bool, ...]:
    """Which of a paper's maps are turned; none where one stop setting serves maps that would be turned differently."""
    wish = tuple(wants_turn(subject) for subject in subjects)
    by_number: dict[int, set[bool]] = {}
    for subject, turned in zip(subjects, wish, strict=True):
        for cut in subject.cuts:
            by_number.setdefault(cut.number, set()).add(turned)
    return wish if all(len(ways) == 1 for ways in by_number.values()) else (False,) * len(wish)


def scene(subject: MapSubject, turned: bool | None = None) -> Scene:
    """The layout as it is drawn; cuts in one line with one number are made one.

    turned: as `wants_turn` says where it is None.
    """
    turned = wants_turn(subject) if turned is None else turned
    across = subject.width
    cuts = []
    for cut in subject.cuts:
        xs, ys = sorted((cut.x0, cut.x1)), sorted((cut.y0, cut.y1))
        if turned:
            xs, ys = ys, [across - xs[1], across - xs[0]]
        if xs[0] == xs[1]:
            cuts.append(Cut(cut.number, cut.stage, True, xs[0], ys[0], ys[1]))
        else:
            cuts.append(Cut(cut.number, cut.stage, False, ys[0], xs[0], xs[1]))
    cells = []
    for index, part in enumerate(subject.parts):
        x, y, width, height = part.x, part.y, part.width, part.height
        if turned:
            x, y, width, height = y, across - x - width, height, width
        if width and height:
            cells.append(Cell(index, x, y, width, height, part))
    size = (subject.height, subject.width) if turned else (subject.width, subject.height)
    return Scene(*size, turned, _made_one(cuts), tuple(cells))


def shown_edge(edge: Edge, turned: bool) -> Edge:
    """The edge that goes to the stop, as the drawing shows it."""
    turn = {Edge.TOP: Edge.LEFT, Edge.LEFT: Edge.BOTTOM, Edge.BOTTOM: Edge.RIGHT, Edge.RIGHT: Edge.TOP}
    return turn[edge] if turned else edge


def _made_one(cuts: list[Cut]) -> tuple[Cut, ...]:
    """Cuts of one number and stage that touch in one line are one long line."""
    joined: list[Cut] = []
    for cut in sorted(set(cuts), key=lambda c: (c.stage, c.vertical, c.at, c.number, c.start, c.end)):
        last = joined[-1] if joined else None
        if last and _in_line(last) == _in_line(cut) and cut.start <= last.end:
            joined[-1] = replace(last, end=max(last.end, cut.end))
        else:
            joined.append(cut)
    return tuple(joined)


def _in_line(cut: Cut) -> tuple[int, bool, int, int]:
    return cut.stage, cut.vertical, cut.at, cut.number
