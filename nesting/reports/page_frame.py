"""What all printed pages share: their sizes, the heading, the rules, boxes, and rows of words that are fitted.

In: words. Out: shapes in inches. The fact of the trade: letter and A4 printers are both at work, so every page is
laid out on a live width of 7.5 in that both have, and A4's extra height is air.
"""

from __future__ import annotations

from dataclasses import dataclass

from nesting.reports.drawing import Box, Group, Label, Shape, line
from nesting.reports.lettering import ASCENT, Words
from nesting.reports.look import INK, LIVE_WIDTH, PAGE_RULE, PAGE_TITLE, POINT, TEXT
from nesting.reports.stop_signs import fitted

HEADER = 0.68


@dataclass(frozen=True, slots=True)
class PageSize:
    """A sheet of the printer's, upright, with equal margins at the sides; inches."""

    name: str
    width: float
    height: float
    margin: float

    @property
    def live(self) -> Box:
        """Where everything is printed: 7.5 in wide on every size."""
        side = (self.width - LIVE_WIDTH) / 2
        return Box(side, self.margin, side + LIVE_WIDTH, self.height - self.margin)


LETTER = PageSize("letter", 8.5, 11.0, 0.5)  # ASME Y14.1, size A
A4 = PageSize("A4", 210 / 25.4, 297 / 25.4, 0.45)  # ISO 216


@dataclass(frozen=True, slots=True)
class Heading:
    """A page's heading: title and what is said below it; at the right the batch and page, and a line in bold."""

    title: str
    below: Words
    right: str
    right_below: str = ""


@dataclass(frozen=True, slots=True)
class Numbering:
    """The batch's name, the number of the first of these pages, and of how many in all (0: not said)."""

    batch: str = ""
    first: int = 1
    total: int = 0

    def text(self, index: int) -> str:
        """Such as "Winter Orchard · page 5 of 7" for page number `index` (0 up) of these."""
        page = f"page {self.first + index} of {self.total}" if self.total else f"page {self.first + index}"
        return f"{self.batch}  ·  {page}" if self.batch else page


def heading(live: Box, words: Heading, title_size: float = PAGE_TITLE) -> tuple[Group, float]:
    """The heading at the top of the live box, with its rule; and y below the rule."""
    top = live.y0
    right = Label((words.right,), live.x1, top + 0.23, TEXT, anchor="end")
    right = fitted(right, LIVE_WIDTH * 0.55)
    room = right.box.x0 - live.x0 - 0.25
    base = top + max(0.26, title_size * ASCENT * POINT)
    shapes: list[Shape] = [fitted(Label((words.title,), live.x0, base, title_size, True), room, 11.0), right]
    room = LIVE_WIDTH
    if words.right_below:
        lower = Label((words.right_below,), live.x1, top + 0.56, TEXT, True, anchor="end")
        lower = fitted(lower, LIVE_WIDTH * 0.6)
        shapes.append(lower)
        room = lower.box.x0 - live.x0 - 0.2
    if words.below:
        shapes.append(fitted(Label(words.below, live.x0, top + 0.56, TEXT + 0.5), room))
    y = top + HEADER
    shapes.append(line(live.x0, y, live.x1, y, PAGE_RULE, INK))
    return Group("heading", tuple(shapes)), y
