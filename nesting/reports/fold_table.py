"""The table of a fold sheet: one row a step, a bar for each group, boxes to tick for every base; and the key.

In: steps. Out: rows that draw themselves. The fact of the trade: all bases of a batch are scored at one setting
before the stop is moved, so the boxes stand beside the step and not beside the base.
"""

from __future__ import annotations

from collections.abc import Sequence

from nesting.cutting.passes import Edge
from nesting.lengths import Unit
from nesting.reports.drawing import Box, Group, Label, Rectangle, Shape, line
from nesting.reports.fold_lines import fold_line
from nesting.reports.fold_steps import Make, Step
from nesting.reports.lettering import CAP_HEIGHT
from nesting.reports.look import BAR, BAR_TEXT, HATCH, HEADS, INK, LIVE_WIDTH, POINT, ROW_RULE, RULE, SMALL, TEXT, WHITE
from nesting.reports.map_discs import numbered_disc
from nesting.reports.pass_rows import Row
from nesting.reports.stop_signs import fitted, stop_setting, stop_square, tick_box

KEY_HEIGHT = 0.36
_HEADS, _BAR, _ROW = 0.22, 0.29, 0.345
_MAKE, _AXIS, _FAR = 0.42, 2.05, 2.45
_BOX, _MOST_BOXES = 0.21, 10
_CAUTION = "on a mat, along a metal ruler, free hand behind the blade"
_NOWHERE: frozenset[int] = frozenset()


def table_rows(made: Sequence[Step], copies: int, unit: Unit) -> list[Row]:
    """Heads of the columns, then the steps under their bars."""
    if not made:
        return []
    rows = [Row(_HEADS, _NOWHERE, lambda x, y: _heads(x, y, copies), bar=True)]
    last = ""
    for step in made:
        if step.group != last:
            rows.append(_bar(step))
            last = step.group
        rows.append(_step(step, copies, unit))
    return rows


def _heads(x: float, y: float, copies: int) -> Group:
    words = (
        ("step", x, "start"), ("make", x + _MAKE, "start"), ("stop", x + _AXIS, "middle"),
        ("how far", x + _FAR, "start"),
        ("base done" if copies > 1 else "done", x + LIVE_WIDTH, "end"),
    )  # fmt: skip
    return Group("heads", tuple(Label((w,), at, y + 0.14, SMALL, False, HEADS, side) for w, at, side in words))


def _bar(step: Step) -> Row:
    knife = step.make in (Make.SLIT, Make.CUT_OUT)

    def draw(x: float, y: float) -> Group:
        middle = y + _BAR / 2 - 0.02
        shapes: list[Shape] = [Rectangle(x, y, LIVE_WIDTH, _BAR - 0.05, BAR)]
        edge = Edge.LEFT if step.from_left else Edge.TOP
        shapes += stop_square(Box(x + 0.07, middle - 0.08, x + 0.23, middle + 0.08), edge)
        base = middle + BAR_TEXT * CAP_HEIGHT / 2 * POINT
        label = Label((step.group,), x + _MAKE, base, BAR_TEXT, True)
        shapes.append(label)
        if knife:
            note = Label((_CAUTION,), x + LIVE_WIDTH - 0.06, base, SMALL, anchor="end")
            shapes.append(fitted(note, x + LIVE_WIDTH - 0.2 - label.box.x1, 6.5))
        return Group("bar", tuple(shapes), title=step.group)

    return Row(_BAR, _NOWHERE, draw, bar=True)


def _step(step: Step, copies: int, unit: Unit) -> Row:
    boxes = copies if copies <= _MOST_BOXES else 1
    wide = boxes * (_BOX + 0.03)

    def draw(x: float, y: float) -> Group:
        middle = y + _ROW / 2
        shapes: list[Shape] = list(numbered_disc(x + 0.14, middle, step.number, 0.125))
        shapes.append(Label((step.make.value,), x + _MAKE, middle + 0.01, TEXT, True))
        shapes += fold_line((x + _MAKE, middle + 0.1), (x + _MAKE + 0.9, middle + 0.1), step.make)
        if step.area is None:
            shapes += stop_setting(step.setting.ticks, unit, x + _AXIS, middle, x + 1.58, x + _FAR - 0.06)
        base = middle + TEXT * CAP_HEIGHT / 2 * POINT
        note = "" if copies <= _MOST_BOXES else f"all {copies}"
        right = x + LIVE_WIDTH - wide - (0.6 if note else 0.1)
        shapes.append(fitted(Label(step.far, x + _FAR, base, TEXT), right - x - _FAR))
        if note:
            shapes.append(Label((note,), x + LIVE_WIDTH - wide - 0.06, base, SMALL, anchor="end"))
        for n in range(boxes):
            at = x + LIVE_WIDTH - wide + 0.03 + n * (_BOX + 0.03)
            shapes += tick_box(at, middle - _BOX / 2, _BOX, str(n + 1) if boxes > 1 else "")
        shapes.append(line(x, y + _ROW, x + LIVE_WIDTH, y + _ROW, ROW_RULE, RULE))
        return Group("step", tuple(shapes), data=(("step", str(step.number)),))

    return Row(_ROW, _NOWHERE, draw)


def fold_key(box: Box, made: Sequence[Step]) -> list[Shape | Group]:
    """What the lines mean, of those that are there."""
    shapes: list[Shape] = []
    middle = box.y0 + box.height / 2 + 0.02
    x = box.x0
    words = {
        Make.VALLEY: "valley: fold up to you", Make.MOUNTAIN: "mountain: fold away", Make.SLIT: "slit",
        Make.CUT_OUT: "cut out",
    }  # fmt: skip
    for make, word in words.items():
        if any(step.make is make for step in made):
            shapes += fold_line((x, middle), (x + 0.4, middle), make)
            label = Label((word,), x + 0.49, middle + 0.05, SMALL)
            shapes.append(label)
            x = label.box.x1 + 0.2
    shapes.append(Rectangle(x, middle - 0.09, 0.18, 0.18, WHITE, INK, 1.2))
    shapes.append(Label(("1",), x + 0.09, middle + 0.045, 9.0, True, anchor="middle"))
    panel = Label(("panel",), x + 0.26, middle + 0.05, SMALL)
    shapes.append(panel)
    last = Label(("scores first, fold last",), box.x1, middle + 0.05, SMALL, anchor="end")
    if last.box.x0 > panel.box.x1 + 0.15:
        shapes.append(last)
    return [line(box.x0, box.y0, box.x1, box.y0, 0.7, HATCH), Group("key-line", tuple(shapes))]
