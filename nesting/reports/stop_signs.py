"""The small signs that passes are told with: stop square, stop setting, boxes to tick, chips.

In: passes. Out: shapes. The facts of the trade: the stop is set by a number read from a ruler, so it is the largest
thing in the line; and left- and right-handed trimmers differ, so the edge for the stop is shown and not a hand.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from nesting.cutting.passes import Edge, MapPart, Pass, What
from nesting.lengths import Length, Unit
from nesting.reports.drawing import Box, Group, Label, Rectangle, Shape, Strokes
from nesting.reports.lettering import CAP_HEIGHT, TIMES, Stacked, length_words
from nesting.reports.look import BLADE, FLOOR, HEADS, INK, LIST_LETTER, POINT, STOP, TEXT
from nesting.reports.map_discs import numbered_disc

_BAR = 0.045  # thickness of a stop square's heavy side


def fitted(label: Label, width: float, least: float = FLOOR) -> Label:
    """The label made smaller until it fits, then shortened with an ellipsis; its baseline stays."""
    while label.box.width > width and label.size > least:
        label = replace(label, size=max(label.size - 0.5, least))
    words = label.words
    while label.box.width > width and isinstance(words[-1], str) and len(words[-1]) > 1:
        words = (*words[:-1], words[-1][:-1])
        label = replace(label, words=(*words[:-1], str(words[-1]).rstrip() + "…"))
    return label


def stop_square(box: Box, edge: Edge) -> tuple[Shape, ...]:
    """A square sheet whose heavy side is the edge against the stop."""
    x0, y0, x1, y1 = box.x0, box.y0, box.x1, box.y1
    over = 0.02
    bars = {
        Edge.LEFT: Rectangle(x0 - _BAR, y0 - over, _BAR, box.height + 2 * over, INK),
        Edge.RIGHT: Rectangle(x1, y0 - over, _BAR, box.height + 2 * over, INK),
        Edge.TOP: Rectangle(x0 - over, y0 - _BAR, box.width + 2 * over, _BAR, INK),
        Edge.BOTTOM: Rectangle(x0 - over, y1, box.width + 2 * over, _BAR, INK),
    }
    return Rectangle(x0, y0, box.width, box.height, "#FFFFFF", INK, 0.9), bars[edge]


def stop_setting(length: int, unit: Unit, axis: float, middle: float, left: float, right: float) -> list[Label]:
    """A stop setting with its whole number right-aligned at `axis` and its fraction left-aligned there.

    A decimal number or one off the ruler is set between left and right as large as fits. middle: y of its centre.
    """
    words = length_words(Length(length), unit)
    baseline = middle + STOP * CAP_HEIGHT / 2 * POINT
    fraction = words[-1] if isinstance(words[-1], Stacked) else None
    if fraction is None and unit is Unit.INCH and str(words[0]).isdigit():
        return [Label(words, axis, baseline, STOP, True, BLADE, "end")]
    if fraction is None:
        label = fitted(Label(words, left, baseline, STOP, True, BLADE), right - left)
        number, _, name = str(words[0]).partition(" ")
        if not name or (label.words == words and label.size >= TEXT):
            return [replace(label, y=middle + label.size * CAP_HEIGHT / 2 * POINT)]
        above = fitted(Label((number,), left, middle - 0.02, STOP, True, BLADE), right - left)
        return [above, Label((name,), left, middle + 0.16, TEXT, True, BLADE)]
    labels = [Label((fraction,), axis + 0.01, baseline, STOP * 0.94, True, BLADE)]
    if len(words) > 1:
        labels.append(Label(words[:-1], axis, baseline, STOP, True, BLADE, "end"))
    return labels


def tick_box(x: float, y: float, side: float, number: str = "") -> tuple[Shape, ...]:
    """A box to tick, with the number of its stack where there are several."""
    box: Shape = Rectangle(x, y, side, side, "#FFFFFF", INK, 1.1)
    if not number:
        return (box,)
    label = Label((number,), x + side / 2, y + side / 2 + FLOOR * CAP_HEIGHT / 2 * POINT, FLOOR, False, HEADS, "middle")
    return box, fitted(label, side - 0.02, 6.0)


def deep_sign(stacks: tuple[int, ...], x: float, middle: float) -> list[Shape]:
    """How deep the stacks are: the number over that many strokes; "last 2" where the last one is shallower."""
    deep = max(stacks, default=1)
    shapes: list[Shape] = [Label((str(deep),), x, middle - 0.01, TEXT + 1, False, INK, "middle")]
    if min(stacks, default=deep) != deep:
        shapes.append(Label((f"last {stacks[-1]}",), x, middle + 0.15, FLOOR, False, INK, "middle"))
        return shapes
    heights = (middle + 0.04 + n * 0.035 for n in range(min(deep, 5)))
    shapes.append(Strokes(tuple((x - 0.09, y, x + 0.09, y) for y in heights), 1.1, INK))
    return shapes


def cut_words(line: Pass) -> str:
    """So many cuts."""
    return f"{line.cuts} cut{'' if line.cuts == 1 else 's'}"


def chip(line: Pass, times: int, edge: Edge, box: Box, unit: Unit, name: str) -> Group:
    """One pass as a chip: number, edge to the stop, stop, part, cuts; `times`: so many parts of the map are cut so."""
    middle = (box.y0 + box.y1) / 2
    shapes: list[Shape] = list(numbered_disc(box.x0 + 0.135, middle, line.number, 0.135))
    square = Box(box.x0 + 0.36, middle - 0.09, box.x0 + 0.54, middle + 0.09)
    shapes += stop_square(square, edge)
    shapes += stop_setting(line.setting, unit, box.x0 + 0.98, middle, box.x0 + 0.62, box.x0 + 1.24)
    left, width = box.x0 + 1.3, box.x1 - box.x0 - 1.3
    called = (line.part.name or "scrap") + (f" {TIMES} {times}" if times > 1 else "")
    shapes.append(fitted(Label((called,), left, middle - 0.02, LIST_LETTER - 1, True), width))
    shapes.append(fitted(Label((cut_words(line),), left, middle + 0.15, TEXT), width))
    title = f"pass {line.number}: {called}, {cut_words(line)}"
    return Group("pass", tuple(shapes), name, title, (("stop", str(line.number)),))


def part_list(parts: Iterable[MapPart]) -> list[tuple[str, int, int, int]]:
    """Letter, width, height (with the print upright) and count of every piece, in the order of letters."""
    found: dict[tuple[str, int, int], int] = {}
    for part in parts:
        if part.part.what is not What.PIECE:
            continue
        size = (part.part.height, part.part.width) if part.turned else (part.part.width, part.part.height)
        key = (part.part.name, *size)
        found[key] = found.get(key, 0) + 1
    return [(*key, found[key]) for key in sorted(found, key=lambda k: (len(k[0]), k))]
