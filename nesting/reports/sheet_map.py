"""A sheet map by itself, for a phone or a screen beside the trimmer: heading, map, passes as chips, sizes.

In: a MapSubject. Out: a Drawing, 900 dots wide as PNG, and as long as its passes need. The fact of the trade: it is
propped up 60 cm away, so what to do next must be found at a glance: number, edge to the stop, stop, cuts.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

from nesting.cutting.passes import Edge, Pass, What
from nesting.describe.papers import Grain
from nesting.lengths import Length
from nesting.reports.drawing import Box, Drawing, Group, Label, Shape, line
from nesting.reports.lettering import TIMES, Words, size_words, words_width
from nesting.reports.look import BLADE, FLOOR, HATCH, INK, PAGE_RULE, ROW_RULE, TEXT, WAY_UP
from nesting.reports.map_draw import MapInk, draw_map, grain_upright
from nesting.reports.map_ink import grain_strokes
from nesting.reports.map_subject import MapSubject, shown_edge
from nesting.reports.stop_signs import chip, fitted, part_list

__all__ = ["MapSubject", "sheet_map"]

_DPI = 216
_WIDTH = 900 / _DPI
_MARGIN = 0.17
_TOP = 0.48
_MAP_HEIGHT = 4.4
_WIDER = 1.3  # a crowded map gets a wider page, up to so many times as wide: it is zoomed into
_WIDEST = 6
_CHIP_HEIGHT = 0.44
_CHIP_WIDTH = 1.9
_TITLE = 18.0


def sheet_map(subject: MapSubject) -> Drawing:
    """The layout with its heading, the passes below it as chips, and the sizes of its pieces."""
    width, dpi = _WIDTH, _DPI
    ink = draw_map(subject, _room(width))
    while ink.crowded and width < _WIDEST * _WIDTH:
        width *= _WIDER
        dpi = round((900 if width < 1.5 * _WIDTH else 1800) / width)
        ink = draw_map(subject, _room(width))
    shapes: list[Shape | Group] = [*_heading(subject, ink, width), *ink.shapes]
    y = ink.box.y1 + 0.1
    if subject.passes:
        shapes.append(line(_MARGIN, y, width - _MARGIN, y, PAGE_RULE * 0.8))
        y = _chips(subject, ink, y + 0.05, width, shapes)
    y = _sizes(subject, y, width, shapes)
    title = f"{subject.paper}, {subject.title}, {subject.copies} copies"
    return Drawing(width, y + 0.08, tuple(shapes), title, dpi)


def _room(width: float) -> Box:
    """Where the map may lie below its heading."""
    return Box(_MARGIN - 0.05, _TOP, width - _MARGIN + 0.05, _TOP + _MAP_HEIGHT * width / _WIDTH)


def _heading(subject: MapSubject, ink: MapInk, width: float) -> list[Shape | Group]:
    """Paper, layout, copies, how deep, and the grain at the right."""
    copies = "copy" if subject.copies == 1 else "copies"
    right = width - _MARGIN
    shapes: list[Shape | Group] = []
    if subject.grain is not Grain.UNKNOWN:
        label = Label(("grain",), right, 0.3, TEXT, False, WAY_UP, "end")
        strokes = grain_strokes(label.box.x0 - 0.16, 0.24, 0.25, grain_upright(subject, ink.turned))
        shapes += [label, Group("grain", (strokes,), title="direction of the grain")]
        right = label.box.x0 - 0.35
    title: Words = (subject.paper,)
    more: Words = (f"{TIMES} {subject.copies} {copies}",)
    gap = 0.13
    depths = sorted({max(line.stacks) for line in subject.passes if line.stacks}, reverse=True)
    deep: Words = (f"{depths[0]} deep" if len(depths) == 1 else "",)
    room = right - _MARGIN
    size = _TITLE
    while size > FLOOR and _row_width(title, more, deep, size, gap) > room:
        if deep != ("",) and size <= 14:
            deep = ("",)
            continue
        size -= 0.5
    x = _MARGIN
    for words, points, bold, colour in (
        (title, size, True, INK), (more, size * 0.92, True, BLADE), (deep, min(size * 0.75, TEXT), False, INK)
    ):  # fmt: skip
        if words != ("",):
            label = fitted(Label(words, x, 0.3, points, bold, colour), room - (x - _MARGIN))
            shapes.append(label)
            x = label.box.x1 + gap
    return shapes


def _row_width(title: Words, more: Words, deep: Words, size: float, gap: float) -> float:
    width = words_width(title, size, True) + gap + words_width(more, size * 0.92, True)
    return width + (gap + words_width(deep, min(size * 0.75, TEXT)) if deep != ("",) else 0.0)


def _chips(subject: MapSubject, ink: MapInk, y: float, width: float, shapes: list[Shape | Group]) -> float:
    """Columns of chips, two on a phone, in the order of the passes from left to right.

    Passes of one setting and edge are one chip: what the map's person does before the stop is moved or paper turned.
    """
    chips = _one_chip_each(subject)
    columns = max(int((width - 2 * _MARGIN) / _CHIP_WIDTH), 1)
    column = (width - 2 * _MARGIN) / columns
    for n, (each, times) in enumerate(chips):
        x = _MARGIN + (n % columns) * column
        top = y + (n // columns) * _CHIP_HEIGHT
        edge = shown_edge(each.edge, ink.turned)
        box = Box(x, top, x + column - 0.06, top + _CHIP_HEIGHT)
        shapes.append(chip(each, times, edge, box, subject.unit, f"pass-{n + 1}"))
    return y + -(-len(chips) // columns) * _CHIP_HEIGHT + 0.02


def _one_chip_each(subject: MapSubject) -> list[tuple[Pass, int]]:
    """A chip for each setting, edge and stage, with the map's own cuts counted and the letters that they go through.

    What must be cut before paper is turned and what only after it are two chips, in the order of the stages. Where
    several parts are each cut alike, the cuts of one are given, and how many such parts the map has.
    """
    found = {part.part.name for part in subject.parts if part.part.what is What.PIECE}
    letters = sorted(found, key=lambda name: (len(name), name))
    merged: dict[tuple[int, Edge], list[Pass]] = {}
    for each in subject.passes:
        merged.setdefault((each.number, each.edge), []).append(each)
    chips: list[tuple[int, int, Pass, int]] = []
    for (number, edge), lines in merged.items():
        upright = edge in (Edge.LEFT, Edge.RIGHT)
        stages = [cut.stage for cut in subject.cuts if cut.number == number and (cut.x0 == cut.x1) is upright]
        words = {word for line in lines for word in line.part.name.split()}
        name = " ".join(letter for letter in letters if letter in words) or lines[0].part.name
        other = {Edge.LEFT: Edge.RIGHT, Edge.TOP: Edge.BOTTOM, Edge.RIGHT: Edge.LEFT, Edge.BOTTOM: Edge.TOP}[edge]
        counts = Counter([min(stages)] * len(stages) if (number, other) in merged and stages else stages)
        for stage, cuts in counts.items():
            alike = len(lines) == 1 and 1 < lines[0].cuts < cuts and cuts % lines[0].cuts == 0
            times = cuts // lines[0].cuts if alike else 1
            line = replace(lines[0], part=replace(lines[0].part, name=name), cuts=cuts // times)
            chips.append((number, stage, line, times))
    return [(line, times) for _, _, line, times in sorted(chips, key=lambda chip: chip[:2])]


def _sizes(subject: MapSubject, y: float, width: float, shapes: list[Shape | Group]) -> float:
    """Letter and size of every piece of the map, in rows."""
    shapes.append(line(_MARGIN, y, width - _MARGIN, y, ROW_RULE, HATCH))
    x, y = _MARGIN, y + 0.2
    for letter, across, up, _ in part_list(subject.parts):
        name = Label((letter,), x, y, TEXT + 0.5, True)
        size = Label(size_words(Length(across), Length(up), subject.unit), name.box.x1 + 0.09, y, TEXT)
        if size.box.x1 > width - _MARGIN and x > _MARGIN:
            x, y = _MARGIN, y + 0.27
            name = Label(name.words, x, y, name.size, True)
            size = Label(size.words, name.box.x1 + 0.09, y, size.size)
        shapes.append(Group("size", (name, size), data=(("letter", letter),)))
        x = size.box.x1 + 0.22
    return y + 0.1
