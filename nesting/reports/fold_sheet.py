"""The fold sheet of a base: drawn to scale with its ruler, and the steps that score, slit and fold it.

In: a FoldSubject. Out: Drawings of pages. The facts of the trade: scores are measured from the same edge as the stop,
the inside faces the reader so that a valley folds up, and a base that is printed at full size can be laid under the
real one to check it.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from nesting.describe.designs import Base
from nesting.lengths import Length, Unit
from nesting.reports.drawing import Box, Drawing, Group, Shape
from nesting.reports.fold_drawing import BaseInk, draw_base, side_room
from nesting.reports.fold_steps import copies_words, steps
from nesting.reports.fold_table import KEY_HEIGHT, fold_key, table_rows
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
    """The pages of one base: drawing and steps on one page where the scale can be kept, else on further pages."""
    numbering = numbering or Numbering()
    made = steps(subject.base, subject.unit)
    rows = table_rows(made, subject.copies, subject.unit)
    live = size.live
    top = heading(live, Heading("", (), ""))[1] + 0.06
    foot = live.y1 - KEY_HEIGHT
    table = sum(row.height for row in rows)
    alone = _largest(subject, Box(live.x0, top, live.x1, foot))
    together = _largest(subject, Box(live.x0, top, live.x1, max(foot - table - _GAP, top + 1.0)))
    apart = together < alone and (alone == 1 or together < Fraction(1, 2))
    ink = _base(subject, live.x0, top, alone if apart else together)
    pages: list[list[Shape | Group]] = [list(ink.shapes)]
    y = foot if apart else ink.box.y1 + _GAP
    for n, row in enumerate(rows):
        follows = rows[n + 1].height if row.bar and n + 1 < len(rows) else 0.0
        if y + row.height + follows > foot:
            pages.append([])
            y = top
        pages[-1].append(row.draw(live.x0, y))
        y += row.height
    drawings = []
    for index, shapes in enumerate(pages):
        head, _ = heading(live, Heading(subject.design, _below(subject), numbering.text(index), "inside faces you"))
        key = fold_key(Box(live.x0, foot, live.x1, live.y1), made)
        title = f"{subject.design}, {subject.base.name}: fold sheet"
        drawings.append(Drawing(size.width, size.height, (head, *shapes, *key), title, 140))
    return tuple(drawings)


def _below(subject: FoldSubject) -> Words:
    name = "" if subject.base.name == "base" else f"{subject.base.name}  ·  "
    words = copies_words(subject.base, subject.copies, subject.unit)
    return joined((f"fold sheet  ·  {name}{subject.base.paper}  ·  ", *words))


def _largest(subject: FoldSubject, room: Box) -> Fraction:
    """The largest of the scales at which the base fits into the room with all that is written round it."""
    left, above, right, below = side_room(subject.base, subject.unit)
    for scale in SCALES:
        wide, high = (float(_inches(side) * scale) for side in (subject.base.width, subject.base.height))
        if left + wide + right <= room.width and above + high + below <= room.height:
            return scale
    return SCALES[-1]


def _inches(length: Length) -> Fraction:
    return length.in_unit(Unit.INCH)


def _base(subject: FoldSubject, x: float, y: float, scale: Fraction) -> BaseInk:
    return draw_base(subject.base, subject.unit, subject.panel_names, x, y, scale)
