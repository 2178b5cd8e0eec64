"""A base drawn flat and to scale: panels, folds, slits, what is cut out, the ruler and the stops round it.

In: a Base, a scale, a place. Out: BaseInk. The fact of the trade: every line is named where it lies and measured at
the edge it is measured from, so the sheet is read without counting lines.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from nesting.cutting.passes import Edge
from nesting.describe.designs import Area, Base, Line
from nesting.lengths import Length, Unit
from nesting.reports.drawing import Box, Group, Label, Rectangle, Shape, Strokes, extent, line
from nesting.reports.fold_lines import RULER_HEIGHT, check_lines, fold_line, ruler
from nesting.reports.fold_steps import Make, Step, steps
from nesting.reports.lettering import CAP_HEIGHT, Stacked, Words, length_words
from nesting.reports.look import BLADE, CARD_EDGE, HATCH, INK, LIVE_WIDTH, POINT, SMALL, WHITE
from nesting.reports.map_discs import numbered_disc
from nesting.reports.map_ink import scrap_fill
from nesting.reports.map_view import pushed_apart
from nesting.reports.stop_signs import fitted, stop_square

_LEFT = 1.08
_SETTING = 15.0
_ACROSS_GAP, _DOWN_GAP = 0.66, 0.34
_CHECK = 0.46  # height of the check lines below the base
_CHECK_COLUMN, _CHECK_LENGTH = 0.86, 4.9  # or beside it
_RADIUS = 0.13
Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class BaseInk:
    """A drawn base: its shapes, the box that they fill, and the base's own rectangle."""

    shapes: tuple[Shape | Group, ...]
    box: Box
    base: Box


@dataclass(frozen=True, slots=True)
class _Sheet:
    """Where the base lies on the page, and inches of page to a tick."""

    box: Box
    scale: float

    def at(self, x: Length, y: Length) -> Point:
        return round(self.box.x0 + x.ticks * self.scale, 5), round(self.box.y0 + y.ticks * self.scale, 5)

    def area(self, area: Area) -> Box:
        return Box(*self.at(area.x, area.y), *self.at(area.x + area.width, area.y + area.height))

    def ends(self, one: Line) -> tuple[Point, Point]:
        return self.at(one.x1, one.y1), self.at(one.x2, one.y2)


def side_room(base: Base, unit: Unit, scale: Fraction) -> tuple[float, float, float, float]:
    """What is needed round the base at the left, above, at the right, below; inches."""
    above = 0.08 + RULER_HEIGHT
    across = [step for step in steps(base, unit) if step.from_left and step.make is not Make.CUT_OUT]
    lanes = _lanes(len(across))
    below = 0.03 if _checked_beside(base, scale) else _CHECK
    return _LEFT, above + (0.24 + 0.58 * lanes if across else 0.0), 0.03, below


def _checked_beside(base: Base, scale: Fraction) -> bool:
    """Whether the lines to check the print by have room at the right of a base at full size."""
    wide, high = (float(side.in_unit(Unit.INCH)) for side in (base.width, base.height))
    return scale == 1 and _LEFT + wide + _CHECK_COLUMN <= LIVE_WIDTH and high >= _CHECK_LENGTH


def _lanes(count: int) -> int:
    """Rows of stops above the ruler."""
    return -(-count // 9) if count else 0


def draw_base(base: Base, unit: Unit, names: Sequence[tuple[int, str]], x: float, y: float, scale: Fraction) -> BaseInk:
    """The base with everything round it, its top left corner at (x, y)."""
    left, above, _, below = side_room(base, unit, scale)
    per_tick = float(scale) / Unit.INCH.ticks
    x0, y0 = x + left, y + above
    sheet = _Sheet(Box(x0, y0, x0 + base.width.ticks * per_tick, y0 + base.height.ticks * per_tick), per_tick)
    made = steps(base, unit)
    shapes: list[Shape | Group] = [Group("cut-out", tuple(_cut_out(base, made, sheet)))]
    folds = [Group("fold", tuple(_lines(step, sheet)), f"step-{step.number}", _said(step)) for step in made]
    outline = Rectangle(x0, y0, sheet.box.width, sheet.box.height, None, INK, CARD_EDGE)
    shapes += [*folds, Group("base", (outline,), title="edge of the base")]
    squares = _panels(base, names, sheet)
    shapes += squares
    shapes += _names(made, sheet, [extent((square,)) for square in squares])
    ruler_top = y0 - 0.08 - RULER_HEIGHT
    shapes.append(ruler(x0, ruler_top, base.width, scale, unit))
    shapes += _stops_above(made, unit, sheet, ruler_top, y, x, x + LIVE_WIDTH)
    shapes += _stops_left(made, unit, sheet, x)
    shapes += _signs(x, ruler_top, sheet)
    said: Words = ("drawn at full size",) if scale == 1 else ("drawn at ", Stacked(*scale.as_integer_ratio()), " size")
    foot = sheet.box.y1
    if _checked_beside(base, scale):
        right = sheet.box.x1 + 0.17
        shapes.append(Label(said, right + 0.62, y0 + 4.85, SMALL, turned=True))
        shapes.append(check_lines(right, y0 + 0.1, upright=True))
    else:
        shapes.append(Label(said, x + LIVE_WIDTH, foot + 0.18, SMALL + 1, anchor="end"))
        shapes.append(check_lines(x, foot + 0.25))
    return BaseInk(tuple(shapes), Box(x, y, x + LIVE_WIDTH, foot + below), sheet.box)


def _said(step: Step) -> str:
    return f"step {step.number}: {step.make.value}"


def _cut_out(base: Base, made: Sequence[Step], sheet: _Sheet) -> list[Shape]:
    """What is cut out: hatched, with the number of its step and, where there is room below that, a word."""
    numbers = {step.area: step.number for step in made if step.area is not None}
    shapes: list[Shape] = []
    for area, word in [(a, "cut away") for a in base.cut_away] + [(w, "window") for w in base.windows]:
        box = sheet.area(area)
        x, y = box.centre
        radius = min(_RADIUS, min(box.width, box.height) / 2 - 0.02)
        marked = radius > 0.06
        label = Label((word,), x, y + radius + SMALL * POINT, SMALL, anchor="middle")
        worded = marked and box.inset(0.04).holds(label.box)
        spared = Box(x - radius, y - radius, x + radius, y + radius).inset(-0.03)
        if worded:
            under = label.box.inset(-0.03)
            spared = Box(min(under.x0, spared.x0), spared.y0, max(under.x1, spared.x1), under.y1)
        shapes += scrap_fill(box, spared if marked else None)
        shapes += numbered_disc(x, y, numbers[area], radius) if marked else ()
        shapes += [label] if worded else []
    return shapes


def _lines(step: Step, sheet: _Sheet) -> list[Shape]:
    if step.area is not None:
        box = sheet.area(step.area)
        return [Rectangle(box.x0, box.y0, box.width, box.height, None, BLADE, 1.8)]
    return [shape for each in step.lines for shape in fold_line(*sheet.ends(each), step.make)]


def _panels(base: Base, names: Sequence[tuple[int, str]], sheet: _Sheet) -> list[Group]:
    """A square with its number in every panel, its name below where that fits."""
    called = dict(names)
    windows = [sheet.area(window) for window in base.windows]
    groups = []
    for panel in base.panels:
        box = _beside_windows(sheet.area(Area(panel.x, panel.y, panel.width, panel.height)), windows)
        side = min(0.36, box.width - 0.12, box.height - 0.12)
        if side < 0.1:
            continue
        cx, cy = box.centre
        name = called.get(panel.number, "")
        label = Label((name,), cx, cy + side / 2 + 0.17, SMALL, anchor="middle")
        fits = bool(name) and box.inset(0.06).holds(label.box)
        top = cy - side / 2
        size = side * 50
        number = Label((str(panel.number),), cx, cy + size * CAP_HEIGHT / 2 * POINT, size, True, anchor="middle")
        square = Rectangle(cx - side / 2, top, side, side, WHITE, INK, 1.3)
        shapes: tuple[Shape, ...] = (square, fitted(number, side - 0.04, 5.0), *([label] if fits else []))
        groups.append(Group("panel", shapes, f"panel-{panel.number}", f"panel {panel.number} {name}".strip()))
    return groups


def _beside_windows(panel: Box, windows: Sequence[Box]) -> Box:
    """The panel, or the broadest strip of it beside, above or below the windows cut into it."""
    for window in (window for window in windows if panel.meets(window)):
        strips = (
            Box(panel.x0, panel.y0, window.x0, panel.y1), Box(window.x1, panel.y0, panel.x1, panel.y1),
            Box(panel.x0, panel.y0, panel.x1, window.y0), Box(panel.x0, window.y1, panel.x1, panel.y1),
        )  # fmt: skip
        panel = max(strips, key=lambda strip: (round(min(strip.width, strip.height), 5), strip.width))
    return panel


def _names(made: Sequence[Step], sheet: _Sheet, taken: list[Box]) -> list[Group]:
    """The word beside every line, where it meets nothing; the table names those that find no place."""
    lines = [_around(sheet.ends(each)) for step in made for each in step.lines]
    taken = [*taken, *lines, *(sheet.area(step.area) for step in made if step.area)]
    groups = []
    for step in made:
        for each in step.lines:
            for label in _places(step.make.value, sheet.ends(each)):
                box = label.box.inset(-0.03)
                if sheet.box.inset(0.03).holds(box) and not any(box.meets(other) for other in taken):
                    taken.append(box)
                    groups.append(Group("name", (label,), data=(("step", str(step.number)),)))
                    break
    return groups


def _around(ends: tuple[Point, Point]) -> Box:
    (x0, y0), (x1, y1) = ends
    return Box(x0 - 0.02, y0 - 0.02, x1 + 0.02, y1 + 0.02)


def _places(word: str, ends: tuple[Point, Point]) -> list[Label]:
    """Places for a word beside a line: at several heights, right and left of it; for a level line over and under."""
    (x0, y0), (x1, y1) = ends
    shares = (0.3, 0.7, 0.5, 0.15, 0.85, 0.4, 0.6)
    if x0 == x1:
        middles = [y0 + (y1 - y0) * share for share in shares]
        return [
            Label((word,), x0 + off, y + 0.05, SMALL + 0.5, anchor=anchor)
            for y in middles
            for off, anchor in ((0.09, "start"), (-0.09, "end"))
        ]
    return [
        Label((word,), x0 + (x1 - x0) * share, y0 + off, SMALL + 0.5, anchor="middle")
        for share in shares
        for off in (-0.09, 0.2)
    ]


def _stops_above(
    made: Sequence[Step], unit: Unit, sheet: _Sheet, ruler_top: float, top: float, low: float, high: float
) -> list[Group]:
    """Numbers and settings of what is measured from the left edge, pushed apart, each led to its place."""
    mine = sorted((s for s in made if s.from_left and s.make is not Make.CUT_OUT), key=lambda s: (s.setting, s.number))
    if not mine:
        return []
    lanes = _lanes(len(mine))
    gap = _ACROSS_GAP / lanes
    wishes = [sheet.at(step.setting, step.setting)[0] for step in mine]
    places = pushed_apart(wishes, [gap] * (len(mine) - 1), low + 0.35, high - 0.35)
    groups = []
    for n, (step, wish, place) in enumerate(zip(mine, wishes, places, strict=True)):
        y = top + 0.14 + 0.58 * (n % lanes)
        label = Label(length_words(step.setting, unit), place, y + 0.36, _SETTING, True, BLADE, "middle")
        lead = ((place, y + 0.42, wish, ruler_top), (wish, ruler_top, wish, sheet.box.y0))
        shapes = (Strokes(lead, 1.1, BLADE), *numbered_disc(place, y, step.number, _RADIUS), fitted(label, gap * lanes))
        groups.append(Group("stop", shapes, data=(("step", str(step.number)),)))
    return groups


def _stops_left(made: Sequence[Step], unit: Unit, sheet: _Sheet, x: float) -> list[Group]:
    """Numbers and settings of what is measured from the top edge."""
    mine = sorted((s for s in made if not s.from_left), key=lambda s: (s.setting, s.number))
    if not mine:
        return []
    wishes = [sheet.at(step.setting, step.setting)[1] for step in mine]
    spread = _DOWN_GAP * (len(mine) - 1)
    low = sheet.box.y0 + 0.38
    places = pushed_apart(wishes, [_DOWN_GAP] * (len(mine) - 1), low, max(sheet.box.y1, low + spread))
    groups = []
    for step, wish, place in zip(mine, wishes, places, strict=True):
        words = length_words(step.setting, unit)
        base_line = place + _SETTING * CAP_HEIGHT / 2 * POINT
        label = fitted(Label(words, x + 0.9, base_line, _SETTING, True, BLADE, "end"), 0.6)
        edge = sheet.box.x0
        start = min(sheet.ends(each)[0][0] for each in step.lines)
        thin = line(edge, wish, max(start - 0.08, edge), wish, 0.6, HATCH)
        lead = Strokes(((x + 0.94, place, edge - 0.04, wish), (edge - 0.04, wish, edge, wish)), 1.1, BLADE)
        shapes = (thin, lead, *numbered_disc(x + 0.15, place, step.number, _RADIUS), label)
        groups.append(Group("stop", shapes, data=(("step", str(step.number)),)))
    return groups


def _signs(x: float, ruler_top: float, sheet: _Sheet) -> list[Shape | Group]:
    """Which edge lies against the stop for the settings above and for those at the left."""
    shapes: list[Shape | Group] = []
    for edge, y in ((Edge.LEFT, ruler_top + 0.18), (Edge.TOP, sheet.box.y0 + 0.12)):
        box = Box(x + 0.34, y - 0.09, x + 0.52, y + 0.09)
        shapes.append(Group("stop-sign", (*stop_square(box, edge), Label(("stop",), x + 0.59, y + 0.055, SMALL + 1))))
    return shapes
