"""The list of passes beside the maps: one row a pass, in the order of the hand, and a grey bar where paper turns.

In: passes. Out: rows that know their height and draw themselves at a place. The facts of the trade: a person reads
which part, how deep, which stop, what comes off, and ticks a box for every stack; what is not in that order is
looked for with both hands full.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

from nesting.cutting.passes import Comes, Edge, Pass, What
from nesting.lengths import Length, Unit
from nesting.reports.drawing import Box, Group, Label, Rectangle, Shape, line
from nesting.reports.lettering import CAP_HEIGHT, Words, length_words, text_width
from nesting.reports.look import (
    BAR,
    BAR_TEXT,
    FLOOR,
    HEADS,
    LIST_LETTER,
    LIST_WIDTH,
    POINT,
    ROW_RULE,
    RULE,
    SMALL,
    TEXT,
)
from nesting.reports.map_discs import numbered_disc
from nesting.reports.stop_signs import cut_words, deep_sign, fitted, stop_setting, stop_square, tick_box

BAR_HEIGHT = 0.31
HEADS_HEIGHT = 0.26
_ROW = 0.52
_LINE = 0.195
_PART, _DEEP, _AXIS, _COMES = 0.59, 0.99, 1.58, 2.03
_PART_WIDTH, _DONE_WIDTH = 0.52, 0.58
_WHERE = 0.48
_BOX, _SMALL_BOX = 0.245, 0.17
_FEW_STACKS, _MANY_STACKS = 4, 12
_EDGE = {Edge.LEFT: "left", Edge.RIGHT: "right", Edge.TOP: "top", Edge.BOTTOM: "bottom"}


@dataclass(frozen=True, slots=True)
class Row:
    """One row of the list: its height, the layouts it has to do with, and how it is drawn below a point.

    bar: the row is a grey bar, which must not be the last on a page; `again` says it once more on the next page.
    """

    height: float
    layouts: frozenset[int]
    draw: Callable[[float, float], Group]
    bar: bool = False
    again: Row | None = None


@dataclass(frozen=True, slots=True)
class Line:
    """A pass as the list shows it: the edge as the map shows it, what the part is called, its layouts.

    where: from the sheets of which layouts its parts are, "" where that need not be said.
    """

    each: Pass
    edge: Edge
    called: str
    whole: bool
    layouts: frozenset[int]
    where: str = ""


def rows(lines: Sequence[Line], unit: Unit, width: float = LIST_WIDTH) -> list[Row]:
    """All rows, with a bar wherever the paper is turned, other sheets begin, or another edge goes to the stop."""
    made: list[Row] = []
    last: Line | None = None
    for number, each in enumerate(lines):
        other = last is None or (last.edge, last.whole) != (each.edge, each.whole)
        named = each.where or each.called.startswith("sheet ")
        others = last is not None and not named and last.layouts.isdisjoint(each.layouts)
        if other or others or each.each.turned:
            made.append(_bar_row(each, width, each.each.turned))
        made.append(_pass_row(each, unit, number + 1, width))
        last = each
    return made


def heads(x: float, y: float, stacks: bool, width: float = LIST_WIDTH) -> Group:
    """The heads of the columns."""
    base = y + 0.12
    words = (
        ("pass", x + 0.15, "middle"), ("part", x + _PART, "middle"), ("deep", x + _DEEP, "middle"),
        ("stop", x + _AXIS + 0.02, "middle"), ("comes off", x + _COMES, "start"),
        ("stack done" if stacks else "done", x + width, "end"),
    )  # fmt: skip
    return Group("heads", tuple(Label((word,), at, base, SMALL, False, HEADS, side) for word, at, side in words))


def _bar_row(each: Line, width: float, turned: bool) -> Row:
    what = "whole sheet" if each.whole else "strips"
    turn = "turn " if turned else ""
    text = f"{turn}{what}: {_EDGE[each.edge]} edge to stop"

    def draw(x: float, y: float) -> Group:
        middle = y + BAR_HEIGHT / 2 - 0.01
        shapes: list[Shape] = [Rectangle(x, y, width, BAR_HEIGHT - 0.04, BAR)]
        shapes += stop_square(Box(x + 0.07, middle - 0.085, x + 0.24, middle + 0.085), each.edge)
        base = middle + BAR_TEXT * CAP_HEIGHT / 2 * POINT - 0.01
        shapes.append(fitted(Label((text,), x + 0.34, base, BAR_TEXT, True), width - 0.4))
        return Group("bar", tuple(shapes), title=text)

    again = _bar_row(each, width, False) if turned else None
    row = Row(BAR_HEIGHT, each.layouts, draw, bar=True)
    return replace(row, again=again or row)


def _pass_row(each: Line, unit: Unit, number: int, width: float) -> Row:
    room = width - _COMES - _DONE_WIDTH
    told = _told(each.each, unit, room)
    stacks = len(each.each.stacks)
    across, box = (2, _BOX) if stacks <= _FEW_STACKS else (3, _SMALL_BOX)
    box_rows = -(-stacks // across) if stacks <= _MANY_STACKS else 0
    height = max(_ROW, 0.12 + _LINE * len(told), 0.1 + box_rows * (box + 0.03))
    below = 0.0 if box_rows else -(-stacks // _per_row(width)) * (_SMALL_BOX + 0.03) + 0.04

    def draw(x: float, y: float) -> Group:
        middle = y + height / 2
        shapes: list[Shape] = list(numbered_disc(x + 0.14, middle, each.each.number, 0.14))
        shapes += _part_and_sheets(each, x + _PART, middle)
        shapes += deep_sign(each.each.stacks, x + _DEEP, middle)
        shapes += stop_setting(each.each.setting, unit, x + _AXIS, middle, x + _DEEP + 0.2, x + _COMES - 0.06)
        top = middle - _LINE * len(told) / 2
        for n, words in enumerate(told):
            label = Label(words, x + _COMES, top + _LINE * (n + 0.5) + 0.06, TEXT)
            shapes.append(fitted(label, room if box_rows else width - _COMES))
        if box_rows:
            shapes += _boxes(stacks, x + width, middle, across, box, box_rows)
        else:
            shapes += _box_band(stacks, x, y + height, width)
        end = y + height + below
        shapes.append(line(x, end, x + width, end, ROW_RULE, RULE))
        title = f"pass {each.each.number}: {each.called}, {cut_words(each.each)}"
        layouts = " ".join(str(n + 1) for n in sorted(each.layouts))
        data = (("stop", str(each.each.number)), ("layouts", layouts))
        return Group("pass", tuple(shapes), f"pass-{number}", title, data)

    return Row(height + below, each.layouts, draw)


def _part_and_sheets(each: Line, x: float, middle: float) -> list[Shape]:
    """The part's letters, and below them from which sheets it is: on two lines where there are many."""
    if not each.where:
        return _part_name(each.called, x, middle)
    word, _, numbers = each.where.partition(" ")
    lines = [each.where] if numbers.count(",") < 2 else [word, numbers]
    size, up = (FLOOR, 0.07) if len(lines) == 1 else (FLOOR - 1.5, 0.12)
    shapes = _part_name(each.called, x, middle - up)
    for n, text in enumerate(reversed(lines)):
        label = Label((text,), x - 0.04, middle + 0.2 - 0.11 * n, size, anchor="middle")
        shapes.append(fitted(label, _WHERE, 6.5))
    return shapes


def _part_name(name: str, x: float, middle: float) -> list[Shape]:
    """The part's letters, on two lines where one is too short."""
    one = Label((name,), x, middle + LIST_LETTER * CAP_HEIGHT / 2 * POINT, LIST_LETTER, True, anchor="middle")
    shrunk = fitted(one, _PART_WIDTH, SMALL + 1)
    words = name.split()
    if shrunk.words == one.words or len(words) < 2:
        return [replace(shrunk, y=middle + shrunk.size * CAP_HEIGHT / 2 * POINT)]
    half = min(range(1, len(words)), key=lambda n: abs(len(" ".join(words[:n])) - len(" ".join(words[n:]))))
    return [
        fitted(Label((" ".join(part),), x, at, SMALL + 1, True, anchor="middle"), _PART_WIDTH)
        for part, at in ((words[:half], middle - 0.03), (words[half:], middle + 0.14))
    ]


def _told(each: Pass, unit: Unit, width: float) -> list[Words]:
    """How many cuts, and what comes off, on lines as short as the column."""
    lines: list[Words] = [(f"{cut_words(each)}:",)]
    row = ""
    tokens = [_comes(came, sum(each.stacks)) for came in _merged(each.comes)]
    for token in [f"{token}," for token in tokens[:-1]] + tokens[-1:]:
        longer = f"{row} {token}".strip()
        if row and text_width(longer, TEXT) > width:
            lines.append((row,))
            longer = token
        row = longer
    if row:
        lines.append((row,))
    if each.setting_mark is not None:
        lines.append(("mark ", *length_words(Length(each.setting_mark), unit)))
    if each.spacer:
        lines.append(("use a spacer",))
    return lines


def _merged(comes: Iterable[Comes]) -> list[Comes]:
    """Parts that are called alike, though their sizes differ, are told together."""
    merged: dict[tuple[What, str], Comes] = {}
    for came in comes:
        key = (came.part.what, came.part.name)
        merged[key] = Comes(came.part, came.count + (merged[key].count if key in merged else 0))
    return list(merged.values())


def _comes(came: Comes, parts: int) -> str:
    """What comes off each part of a stack: "2 A", "1 strip B C", "KEEP", "scrap"; over all parts where uneven."""
    count, rest = divmod(came.count, parts)
    if rest:
        count = came.count
    many = f"{count} "
    if came.part.what is What.PIECE:
        text = f"{many}{came.part.name}"
    elif came.part.what is What.PART:
        text = f"{many}strip{'' if count == 1 else 's'} {came.part.name}"
    else:
        word = "KEEP" if came.part.what is What.KEEP else "scrap"
        text = word if count == 1 or came.part.what is What.SCRAP else f"{many}{word}"
    return f"{text} in all" if rest else text


def _boxes(stacks: int, right: float, middle: float, across: int, side: float, box_rows: int) -> list[Shape]:
    shapes: list[Shape] = []
    step = side + 0.03
    wide = min(stacks, across)
    top = middle - (box_rows * step - 0.03) / 2
    for n in range(stacks):
        x = right - wide * step + 0.03 + (n % across) * step
        shapes += tick_box(x, top + (n // across) * step, side, str(n + 1) if stacks > 1 else "")
    return shapes


def _per_row(width: float) -> int:
    return int((width - 0.45) / (_SMALL_BOX + 0.03))


def _box_band(stacks: int, x: float, y: float, width: float) -> list[Shape]:
    """Boxes for very many stacks, below the row."""
    shapes: list[Shape] = []
    step = _SMALL_BOX + 0.03
    for n in range(stacks):
        at = x + 0.45 + (n % _per_row(width)) * step
        shapes += tick_box(at, y + (n // _per_row(width)) * step, _SMALL_BOX, str(n + 1))
    return shapes


def in_pages(made: Iterable[Row], heights: Sequence[float]) -> list[list[Row]]:
    """Rows dealt out over columns of these heights (the last one again and again).

    A bar never ends a column, and what it says is said again where its rows run on.
    """
    pages: list[list[Row]] = [[]]
    used = 0.0
    bar: Row | None = None
    for row in made:
        room = heights[min(len(pages), len(heights)) - 1]
        if used + row.height > room and pages[-1]:
            if pages[-1][-1].bar:
                carried = [pages[-1].pop()]
            else:
                carried = [bar.again] if bar and bar.again and not row.bar else []
            pages = [page for page in pages if page]
            pages.append(carried)
            used = sum(r.height for r in carried)
        pages[-1].append(row)
        bar = row if row.bar else bar
        used += row.height
    return pages
