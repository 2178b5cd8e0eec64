"""Labels for the offcuts to keep: paper, size, how many, direction, grain, and lines for the date and the number.

In: a Plan. Out: Drawings of pages of labels, to be cut apart and stuck on. The facts of the trade: a print's
direction cannot be seen on every offcut, and what is not written on the paper is not known next month.
"""

from __future__ import annotations

from nesting.describe.papers import Grain, PrintDirection
from nesting.lengths import Unit
from nesting.plan import Plan
from nesting.reports.drawing import Box, Drawing, Group, Label, Rectangle, Shape, line
from nesting.reports.lettering import TIMES, joined, size_words, words_width
from nesting.reports.look import BLADE, HATCH, INK, SMALL, TEXT, WAY_UP
from nesting.reports.map_ink import direction_arrow, grain_strokes
from nesting.reports.map_subject import Side
from nesting.reports.page_frame import Heading, Numbering, PageSize, heading
from nesting.reports.phrases import several
from nesting.reports.stock_lists import Kept, to_keep
from nesting.reports.stop_signs import fitted

_COLUMNS = 2
_HEIGHTS = (1.5, 1.3)  # of a label; the lower one where that saves a page


def label_pages(plan: Plan, size: PageSize, numbering: Numbering | None = None) -> tuple[Drawing, ...]:
    """One label for every lot of equal offcuts, as the drawer counts them; no page where there is none."""
    numbering = numbering or Numbering()
    every = to_keep(plan)
    live = size.live
    _, top = heading(live, Heading("", (), ""))
    start = top + 0.2
    many = [_COLUMNS * int((live.y1 - start) / height) for height in _HEIGHTS]
    lower = -(-len(every) // many[1]) < -(-len(every) // many[0])
    per_page, height = many[lower], _HEIGHTS[lower]
    pages = []
    for index, first in enumerate(range(0, len(every), per_page)):
        below = ("for what goes back into the drawer, equal offcuts together; date and number are yours to write",)
        head, _ = heading(live, Heading("Labels", below, numbering.text(index)))
        shapes: list[Shape | Group] = [head]
        wide = live.width / _COLUMNS
        for place, kept in enumerate(every[first : first + per_page]):
            x, y = live.x0 + place % _COLUMNS * wide, start + place // _COLUMNS * height
            shapes.append(_label(kept, plan.project.unit, Box(x, y, x + wide, y + height)))
        title = f"Labels, {numbering.text(index)}"
        pages.append(Drawing(size.width, size.height, tuple(shapes), title, 140))
    return tuple(pages)


def _label(kept: Kept, unit: Unit, box: Box) -> Group:
    """Paper and size large, direction at the right, the date at the foot."""
    x, right, y = box.x0 + 0.14, box.x1 - 0.14, box.y0
    signs: list[Shape | Group] = []
    if kept.paper.direction is not PrintDirection.NONE:
        signs.append(direction_arrow(right - 0.14, y + 0.58, Side.TOP, kept.paper.direction))
        right -= 0.42
    if kept.paper.grain is not Grain.UNKNOWN:
        upright = kept.paper.grain is Grain.UP
        signs.append(Group("grain", (
            grain_strokes(right - 0.2, y + 0.4, 0.34, upright, 1.8),
            Label(("grain",), right - 0.2, y + 0.78, SMALL, False, WAY_UP, "middle"),
        )))  # fmt: skip
        right -= 0.5
    room = right - x
    size = joined((*size_words(kept.width, kept.height, unit), f" {unit.value}"))
    where = f"from {several('layout', kept.layouts)}" + (
        f"  ·  {direction_words(kept)}" if direction_words(kept) else ""
    )
    many = words_width((f"{TIMES} {kept.count}",), 16.0, True) + 0.18 if kept.count > 1 else 0.0
    said = fitted(Label(size, x, y + 0.74, 16.0), room - many)
    foot, number = box.y1 - (0.2 if box.height > 1.4 else 0.09), box.x1 - 1.05
    shapes: list[Shape | Group] = [
        Rectangle(box.x0, box.y0, box.width, box.height, None, HATCH, 0.6),
        fitted(Label((kept.paper.name,), x, y + 0.36, 17.0, True), room),
        said,
        *(
            []
            if kept.count == 1
            else [Label((f"{TIMES} {kept.count}",), said.box.x1 + 0.18, y + 0.74, 16.0, True, BLADE)]
        ),
        fitted(Label((where,), x, y + 1.0, SMALL), room),
        Label(("date",), x, foot, TEXT - 1),
        line(x + 0.42, foot + 0.02, number - 0.12, foot + 0.02, 0.8, INK),
        Label(("no.",), number, foot, TEXT - 1),
        line(number + 0.3, foot + 0.02, box.x1 - 0.14, foot + 0.02, 0.8, INK),
        *signs,
    ]
    return Group("label", tuple(shapes), title=f"{kept.paper.name}, offcut")


def direction_words(kept: Kept) -> str:
    """How the print lies, in words; empty where it has no direction."""
    said = {PrintDirection.ONE_WAY: "one-way print, up as written",
            PrintDirection.TWO_WAY: "two-way print, up and down"}  # fmt: skip
    return said.get(kept.paper.direction, "")
