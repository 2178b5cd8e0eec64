"""The foot of a sheet page: every piece with how many there must be, its size and its owner; and the key.

In: the layouts of one paper. Out: shapes. The facts of the trade: pieces are counted before the paper is put away,
and where a map has room for a letter only, its size is looked up here.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from nesting.cutting.passes import What
from nesting.describe.papers import PrintDirection
from nesting.lengths import Length, Unit
from nesting.reports.drawing import Box, Group, Label, Polygon, Rectangle, Shape, line
from nesting.reports.lettering import TIMES, size_words
from nesting.reports.look import FLOOR, INK, LIST_LETTER, RULE, SMALL, TEXT, WAY_UP
from nesting.reports.map_discs import numbered_disc
from nesting.reports.map_ink import keep_fill, scrap_fill
from nesting.reports.map_subject import MapSubject
from nesting.reports.stop_signs import fitted, part_list, tick_box

KEY_HEIGHT = 0.36
_ROW = 0.78
_FEW = 12  # letters in rows of six; more in rows of eight
_UNIT_WORD = {Unit.INCH: "inches", Unit.MILLIMETRE: "mm", Unit.CENTIMETRE: "cm"}


@dataclass(frozen=True, slots=True)
class Total:
    """One piece of a paper: its letter, how many in all, its size in ticks, whom it is for."""

    letter: str
    count: int
    width: int
    height: int
    owner: str


def totals(layouts: Sequence[MapSubject]) -> list[Total]:
    """All pieces of all layouts, copies counted."""
    counts: dict[tuple[str, int, int], int] = {}
    owners: dict[str, str] = {}
    for layout in layouts:
        owners.update(layout.owners)
        for letter, width, height, count in part_list(layout.parts):
            key = (letter, width, height)
            counts[key] = counts.get(key, 0) + count * layout.copies
    ordered = sorted(counts, key=lambda k: (len(k[0]), k))
    return [Total(key[0], counts[key], key[1], key[2], owners.get(key[0], "")) for key in ordered]


def totals_height(count: int) -> float:
    """Height of the strip for so many pieces."""
    return -(-count // _columns(count)) * _ROW + 0.04 if count else 0.0


def _columns(count: int) -> int:
    return min(max(count, 3), 6) if count <= _FEW else 8


def totals_strip(box: Box, shown: Sequence[Total], boxed: frozenset[Total], unit: Unit) -> Group:
    """A cell for each piece; a box to tick for those in `boxed`."""
    columns = _columns(len(shown))
    step = (box.width + 0.12) / columns
    cells: list[Group] = []
    for n, total in enumerate(shown):
        x, y = box.x0 + (n % columns) * step, box.y0 + 0.02 + (n // columns) * _ROW
        wide = step - 0.12
        letter = Label((total.letter,), x, y + 0.25, LIST_LETTER, True)
        shapes: list[Shape] = [letter]
        room = wide - (letter.box.width + 0.08) - (0.26 if total in boxed else 0.0)
        shapes.append(fitted(Label((str(total.count),), letter.box.x1 + 0.08, y + 0.25, LIST_LETTER), room))
        if total in boxed:
            shapes += tick_box(x + wide - 0.22, y + 0.07, 0.21)
        size = size_words(Length(total.width), Length(total.height), unit)
        shapes.append(fitted(Label(size, x, y + 0.5, TEXT), wide))
        if total.owner:
            shapes.append(fitted(Label((total.owner,), x, y + 0.69, SMALL), wide))
        if n % columns:
            shapes.append(line(x - 0.06, y + 0.06, x - 0.06, y + 0.72, 0.5, RULE))
        title = f"{total.letter}: {total.count}"
        cells.append(Group("total", tuple(shapes), f"total-{n + 1}", title, (("letter", total.letter),)))
    return Group("totals", tuple(cells))


def percent(share: Fraction) -> str:
    """A share in whole percent; what is there at all is never written as 0 %."""
    if 0 < share < Fraction(1, 200):
        return "under 1 %"
    return f"{int(share * 100 + Fraction(1, 2))} %"


def key_line(box: Box, layouts: Sequence[MapSubject]) -> Group:
    """What the signs mean, and how much of the paper is kept and lost."""
    middle = box.y0 + box.height / 2 + 0.02
    base = middle + 0.05
    shapes: list[Shape] = list(numbered_disc(box.x0 + 0.1, middle, 1, 0.1))
    x = _word("pass, in this order", box.x0 + 0.27, base, shapes)
    for what, word in ((What.KEEP, "keep"), (What.SCRAP, "scrap")):
        share = free_share(layouts, what)
        if share:
            swatch = Box(x, middle - 0.085, x + 0.3, middle + 0.085)
            shapes += keep_fill(swatch) if what is What.KEEP else scrap_fill(swatch)
            shapes.append(Rectangle(swatch.x0, swatch.y0, swatch.width, swatch.height, None, INK, 0.9))
            x = _word(f"{word} {percent(share)}", x + 0.38, base, shapes)
    direction = layouts[0].direction
    if direction is not PrintDirection.NONE:
        half = 0.07
        tip, foot = middle - 0.05, middle + 0.05
        shapes.append(Polygon(((x + half, tip), (x, foot), (x + 2 * half, foot)), WAY_UP))
        x = _word("print up" if direction is PrintDirection.ONE_WAY else "either end up", x + 0.22, base, shapes)
    unit = Label((f"sizes: across {TIMES} up, {_UNIT_WORD[layouts[0].unit]}",), box.x1, base, SMALL, anchor="end")
    shapes.append(fitted(unit, box.x1 - x, FLOOR - 2))
    return Group("key-line", tuple(shapes))


def _word(text: str, x: float, base: float, shapes: list[Shape]) -> float:
    label = Label((text,), x, base, SMALL)
    shapes.append(label)
    return label.box.x1 + 0.18


def free_share(layouts: Sequence[MapSubject], what: What) -> Fraction:
    """The share of all sheets' area that is of this kind."""
    total = sum(layout.copies * layout.width * layout.height for layout in layouts)
    some = sum(
        layout.copies * part.width * part.height
        for layout in layouts
        for part in layout.parts
        if part.part.what is what
    )
    return Fraction(some, total)
