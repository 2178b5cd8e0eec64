"""The fold sheet of a base: drawn to scale with its ruler, and the steps that score, slit and fold it.

In: a FoldSubject. Out: Drawings of pages. The facts of the trade: scores are measured from the same edge as the stop,
the inside faces the reader so that a valley folds up, and a base that is printed at full size can be laid under the
real one to check it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from nesting.describe.designs import Base
from nesting.lengths import Length, Unit
from nesting.reports.drawing import Box, Drawing, Group, Shape
from nesting.reports.fold_drawing import BaseInk, draw_base, side_room
from nesting.reports.fold_steps import Step, copies_words, steps
from nesting.reports.fold_table import KEY_HEIGHT, fold_key, table_rows
from nesting.reports.fold_turn import turned
from nesting.reports.lettering import Words, joined
from nesting.reports.page_frame import Heading, Numbering, PageSize, heading

SCALES = tuple(Fraction(n, d) for n, d in ((1, 1), (3, 4), (1, 2), (3, 8), (1, 4), (1, 8), (1, 16)))
_GAP = 0.06


@dataclass(frozen=True, slots=True)
class FoldSubject:
    """One base to be scored and folded: the design's name, the base, how many, and the names of its panels."""

    design: str
    base: Base
    copies: int
    unit: Unit
    panel_names: tuple[tuple[int, str], ...] = ()


def fold_pages(subject: FoldSubject, size: PageSize, numbering: Numbering | None = None) -> tuple[Drawing, ...]:
    """The pages of one base: drawing and steps on one page where the scale can be kept, else on further pages.

    Where that is not at full size and the base alone would be, as it lies or turned, it follows on a page of its own.
    """
    numbering = numbering or Numbering()
    made = steps(subject.base, subject.unit)
    live = size.live
    top = heading(live, Heading("", (), ""))[1] + 0.06
    room = Box(live.x0, top, live.x1, live.y1 - KEY_HEIGHT)
    pages, scale = _with_table(subject, made, room)
    full = None if scale == 1 else _at_full_size(subject, Box(live.x0, top, live.x1, live.y1))  # its key is before it
    if full is not None:
        pages.append(list(_base(full, live.x0, top, Fraction(1)).shapes))
    drawings = []
    for index, shapes in enumerate(pages):
        alone = full if full and index + 1 == len(pages) else None
        below = _below(subject, alone)
        head, _ = heading(live, Heading(subject.design, below, numbering.text(index), "inside faces you"))
        key = [] if alone else fold_key(Box(live.x0, room.y1, live.x1, live.y1), made)
        title = f"{subject.design}, {subject.base.name}: fold sheet{' at full size' if alone else ''}"
        drawings.append(Drawing(size.width, size.height, (head, *shapes, *key), title, 140))
    return tuple(drawings)


def _with_table(subject: FoldSubject, made: tuple[Step, ...], room: Box) -> tuple[list[list[Shape | Group]], Fraction]:
    """What stands on the pages of drawing and steps, and the drawing's scale."""
    rows = table_rows(made, subject.copies, subject.unit)
    table = sum(row.height for row in rows)
    alone = _largest(subject, room)
    together = _largest(subject, Box(room.x0, room.y0, room.x1, max(room.y1 - table - _GAP, room.y0 + 1.0)))
    apart = together < alone and together < Fraction(1, 2)
    scale = alone if apart else together
    ink = _base(subject, room.x0, room.y0, scale)
    pages: list[list[Shape | Group]] = [list(ink.shapes)]
    y = room.y1 if apart else ink.box.y1 + _GAP
    for n, row in enumerate(rows):
        follows = rows[n + 1].height if row.bar and n + 1 < len(rows) else 0.0
        if y + row.height + follows > room.y1:
            pages.append([])
            y = room.y0
        pages[-1].append(row.draw(room.x0, y))
        y += row.height
    return pages, scale


def _at_full_size(subject: FoldSubject, room: Box) -> FoldSubject | None:
    """The base as it lies or else turned, whichever fits into the room at full size; None where neither does."""
    ways = (subject, replace(subject, base=turned(subject.base)))
    return next((way for way in ways if _largest(way, room) == 1), None)


def _below(subject: FoldSubject, alone: FoldSubject | None) -> Words:
    name = "" if subject.base.name == "base" else f"{subject.base.name}  ·  "
    if alone is None:
        words = copies_words(subject.base, subject.copies, subject.unit)
        return joined((f"fold sheet  ·  {name}{subject.base.paper}  ·  ", *words))
    way = "" if alone is subject else "  ·  turned: its top is at the right"
    return (f"{name}at full size, to lay under{way}",)


def _largest(subject: FoldSubject, room: Box) -> Fraction:
    """The largest of the scales at which the base fits into the room with all that is written round it."""
    for scale in SCALES:
        left, above, right, below = side_room(subject.base, subject.unit, scale)
        wide, high = (float(_inches(side) * scale) for side in (subject.base.width, subject.base.height))
        if left + wide + right <= room.width and above + high + below <= room.height:
            return scale
    return SCALES[-1]


def _inches(length: Length) -> Fraction:
    return length.in_unit(Unit.INCH)


def _base(subject: FoldSubject, x: float, y: float, scale: Fraction) -> BaseInk:
    return draw_base(subject.base, subject.unit, subject.panel_names, x, y, scale)
