"""The lines of a folding diagram and the ruler along its edge.

In: end points in inches. Out: shapes. The signs are the usual ones of paper folding: a valley fold is dashed, a
mountain fold is dash and dot; a slit is solid with a bar at each end. Every folded line begins and ends on a full
dash, so that its ends can be seen.
"""

from __future__ import annotations

from fractions import Fraction

from nesting.lengths import Length, Unit
from nesting.reports.drawing import Disc, Group, Label, Rectangle, Shape, Strokes
from nesting.reports.fold_steps import Make
from nesting.reports.look import BLADE, INK, SMALL

SCORE, SLIT = 1.8, 3.0
_DASH, _GAP = 0.13, 0.075
_LONG, _DOT_GAP = 0.2, 0.11
_BAR = 0.05
RULER_HEIGHT = 0.37
Point = tuple[float, float]


def fold_line(start: Point, end: Point, make: Make) -> tuple[Shape, ...]:
    """A fold or a slit from one point to another, upright or level."""
    if make in (Make.SLIT, Make.CUT_OUT):
        return _slit(start, end, bars=make is Make.SLIT)
    length = abs(end[0] - start[0]) + abs(end[1] - start[1])
    dash, gap = (_DASH, _GAP) if make is Make.VALLEY else (_LONG, _DOT_GAP)
    count = max(round((length + gap) / (dash + gap)), 1)
    if count == 1:
        return (Strokes(((*start, *end),), SCORE, INK),)
    factor = length / (count * dash + (count - 1) * gap)
    dash, gap = dash * factor, gap * factor
    ux, uy = (end[0] - start[0]) / length, (end[1] - start[1]) / length

    def at(distance: float) -> Point:
        return round(start[0] + ux * distance, 4), round(start[1] + uy * distance, 4)

    dashes = tuple((*at(n * (dash + gap)), *at(n * (dash + gap) + dash)) for n in range(count))
    shapes: list[Shape] = [Strokes(dashes, SCORE, INK)]
    if make is Make.MOUNTAIN:
        shapes += [Disc(*at(n * (dash + gap) + dash + gap / 2), 0.016, INK) for n in range(count - 1)]
    return tuple(shapes)


def _slit(start: Point, end: Point, bars: bool) -> tuple[Shape, ...]:
    shapes: list[Shape] = [Strokes(((*start, *end),), SLIT, BLADE)]
    if bars:
        across, up = (0.0, _BAR) if start[1] == end[1] else (_BAR, 0.0)
        ends = tuple((x - across, y - up, x + across, y + up) for x, y in (start, end))
        shapes.append(Strokes(ends, SLIT * 0.8, BLADE))
    return tuple(shapes)


def ruler(x: float, y: float, length: Length, scale: Fraction, unit: Unit) -> Group:
    """A ruler strip from zero at the left, as long as the base and drawn at its scale."""
    wide = float(length.in_unit(Unit.INCH) * scale)
    shapes: list[Shape] = [Rectangle(x, y, wide, RULER_HEIGHT, "#F4F4F4", INK, 0.9)]
    steps = 16 if unit is Unit.INCH and scale == 1 else 8
    mark = Length(unit.ticks // steps) if unit is Unit.INCH else Length(Unit.MILLIMETRE.ticks)
    every = (steps // 2, steps) if unit is Unit.INCH else (5, 10)
    if unit is not Unit.INCH and scale < Fraction(1, 2):
        mark, every = Length(5 * mark.ticks), (1, 2)
    tens = float(Length(10 * Unit.MILLIMETRE.ticks).in_unit(Unit.INCH) * scale)
    written = next(n for n in (10, 20, 50, 100, 1000) if n * tens / 10 > 0.42) if unit is Unit.MILLIMETRE else 1
    ticks = []
    foot = y + RULER_HEIGHT
    for n in range(length.ticks // mark.ticks + 1):
        at = x + float(Length(n * mark.ticks).in_unit(Unit.INCH) * scale)
        high = 0.2 if n % every[1] == 0 else 0.13 if n % every[0] == 0 else 0.06
        ticks.append((at, foot, at, foot - high))
        if n % every[1] == 0:
            number = n // every[1] if unit is not Unit.MILLIMETRE else n // every[1] * 10
            label = Label((str(number),), at + 0.05, y + 0.19, SMALL + 0.5)
            if number % written == 0 and label.box.x1 < x + wide:
                shapes.append(label)
    shapes.append(Strokes(tuple(ticks), 0.7, INK))
    return Group("ruler", tuple(shapes), title=f"ruler in {unit.value}")


def check_lines(x: float, y: float, upright: bool = False) -> Group:
    """A line of 4 in and one of 100 mm at true size, to find out whether the printer kept the scale.

    upright: one beside the other, to be read from below, in a column 0.7 in wide; else one below the other.
    """
    shapes: list[Shape] = []
    for n, (text, wide) in enumerate((("4 in", 4.0), ("100 mm", 100 / 25.4))):
        if upright:
            at = x + 0.26 * n
            ends = ((at, y, at, y + wide), (at - 0.05, y, at + 0.05, y), (at - 0.05, y + wide, at + 0.05, y + wide))
            shapes += [Strokes(ends, 0.9, INK), Label((text,), at + 0.16, y + 2.2, SMALL, turned=True)]
        else:
            at = y + 0.17 * n
            ends = ((x, at, x + wide, at), (x, at - 0.05, x, at + 0.05), (x + wide, at - 0.05, x + wide, at + 0.05))
            shapes += [Strokes(ends, 0.9, INK), Label((text,), x + 4.12, at + 0.05, SMALL)]
    said = ("print at full size: measure these lines",)
    beside = Label(said, x + 0.62, y + 3.3, SMALL, turned=True)
    shapes.append(beside if upright else Label(said, x + 4.85, y + 0.13, SMALL))
    return Group("check-lines", tuple(shapes), title="lines of 4 in and 100 mm to check the print")
