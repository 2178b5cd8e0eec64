"""One paper's pages of the packet: its maps at the left, its passes at the right, what must be there at the end.

In: SheetWork, all layouts and passes of one paper. Out: Drawings of pages, any number of them. The fact of the
trade: the page hangs beside the trimmer and is read from top to bottom, one paper at a time, so a number is found
once on the page and the map that shows it lies beside it.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from nesting.cutting.passes import Pass, What
from nesting.describe.papers import Grain
from nesting.lengths import Unit
from nesting.reports.drawing import Box, Drawing, Group, Label, Shape, line
from nesting.reports.lettering import TIMES, Words
from nesting.reports.look import BLADE, HATCH, LAYOUT_TITLE, LIST_WIDTH, PAGE_RULE, TEXT, WAY_UP
from nesting.reports.map_draw import draw_map, grain_upright
from nesting.reports.map_ink import grain_strokes
from nesting.reports.map_subject import MapSubject, shown_edge, turned_maps
from nesting.reports.page_frame import HEADER, Heading, Numbering, PageSize, heading
from nesting.reports.pass_rows import HEADS_HEIGHT, Line, Row, heads, in_pages, rows
from nesting.reports.sheet_totals import KEY_HEIGHT, Total, key_line, totals, totals_height, totals_strip
from nesting.reports.stop_signs import fitted

_GAP = 0.12  # between bands
_TITLE_HEIGHT = 0.22
_LIST_GAP = 0.02
_COLUMN_GAP = 0.24
_NOTE = 0.24
_LEAST_MAP = 2.9  # height of a room for a map below a list


@dataclass(frozen=True, slots=True)
class SheetWork:
    """All the work on one paper.

    below: what is said under its name. minutes: at the trimmer, None where unknown. places: for every pass the
    layouts whose parts it cuts; where that is not told, those that have a cut of its number.
    """

    paper: str
    below: Words
    layouts: tuple[MapSubject, ...]
    passes: tuple[Pass, ...]
    minutes: int | None = None
    places: tuple[frozenset[int], ...] = ()

    @property
    def unit(self) -> Unit:
        """What sizes are written in."""
        return self.layouts[0].unit

    @property
    def strokes(self) -> int:
        """Strokes of the blade in all."""
        return sum(each.strokes for each in self.passes)


@dataclass(slots=True)
class _Page:
    """What one page will hold: maps in their rooms, and rows of the list with the y they begin at."""

    maps: list[tuple[int, Box]] = field(default_factory=list)
    lists: list[tuple[float, float, list[Row]]] = field(default_factory=list)  # x, y, rows
    wide: float = LIST_WIDTH  # of a list
    rules: list[float] = field(default_factory=list)
    absent: list[int] = field(default_factory=list)  # maps that the list is about, but that need a page of their own
    notes_at: float = 0.0  # y of the first line that says where they are


def sheet_pages(work: SheetWork, size: PageSize, numbering: Numbering | None = None) -> tuple[Drawing, ...]:
    """The pages of one paper, in order; their number does not depend on the numbering."""
    numbering = numbering or Numbering()
    lines, turned = shown_lines(work)
    every = totals(work.layouts)
    pages = _plan(work, lines, size, every)
    last_seen = {total: n for n, page in enumerate(pages) for total in _shown(work, page, every)}
    drawings = []
    for index, page in enumerate(pages):
        boxed = frozenset(total for total, n in last_seen.items() if n == index)
        foot = _foot(work, size.live, _shown(work, page, every), boxed)
        elsewhere = [
            (n, numbering.first + min(m for m, there in enumerate(pages) if n in {k for k, _ in there.maps}))
            for n in page.absent if n not in {m for m, _ in page.maps}
        ]  # fmt: skip
        body = [*_maps(work, page, turned), *_notes(work, size.live, page, elsewhere), *_lists(work, size.live, page)]
        top, _ = heading(size.live, Heading(work.paper, work.below, numbering.text(index), _effort(work)))
        title = f"{work.paper}, {numbering.text(index)}"
        drawings.append(Drawing(size.width, size.height, (top, *body, *foot), title, 140))
    return tuple(drawings)


def shown_lines(work: SheetWork) -> tuple[list[Line], tuple[bool, ...]]:
    """The passes as the list shows them, and which maps are turned by a quarter."""
    turned = turned_maps(work.layouts)
    return _lines(work, turned), turned


def _lines(work: SheetWork, turned: tuple[bool, ...]) -> list[Line]:
    """The passes as the list shows them, each with the maps that show its parts."""
    numbers = [frozenset(cut.number for cut in layout.cuts) for layout in work.layouts]
    guessed = [frozenset(n for n, mine in enumerate(numbers) if each.number in mine) for each in work.passes]
    lines = []
    for each, layouts in zip(work.passes, work.places or guessed, strict=True):
        flip = bool(layouts) and turned[min(layouts)]
        whole = [
            n for n in sorted(layouts)
            if (work.layouts[n].width, work.layouts[n].height) == (each.part.width, each.part.height)
        ]  # fmt: skip
        whole = [n for n in whole if _named(work.layouts[n], each.part.name)] or whole
        called = each.part.name or "scrap"
        where = _sheets(layouts, work) if work.places else ""
        if whole:
            one = f"sheet {whole[0] + 1}" if len(work.layouts) > 1 and len(whole) == 1 else "sheet"
            called, where = where or one, ""
        lines.append(Line(each, shown_edge(each.edge, flip), called, bool(whole), layouts, where))
    return lines


def _sheets(layouts: frozenset[int], work: SheetWork) -> str:
    """The sheets of which layouts, such as "sheet 2, 3"; "" where that need not be said."""
    if len(layouts) in (0, len(work.layouts)):
        return ""
    return f"sheet {', '.join(str(n + 1) for n in sorted(layouts))}"


def _named(layout: MapSubject, name: str) -> bool:
    """Whether a part of that name holds just the letters of this layout."""
    letters = {part.part.name for part in layout.parts if part.part.what is What.PIECE}
    return letters == {word for word in name.split() if not word.startswith("(")}


def _band(size: PageSize, most_totals: int) -> Box:
    """What is left of a page for maps and lists, with so many totals below."""
    live = size.live
    return Box(live.x0, live.y0 + HEADER + _GAP, live.x1, live.y1 - KEY_HEIGHT - totals_height(most_totals) - _GAP)


# ------------------------------------------------------------------------------------------ what goes where


def _plan(work: SheetWork, lines: list[Line], size: PageSize, every: list[Total]) -> list[_Page]:
    """Pages whose totals fit below their maps."""
    room = 1
    made = rows(lines, work.unit)
    while True:
        band = _band(size, room)
        pages = _blocks(work, made, band) or _apart(work, lines, band) or _flow(work, made, band)
        most = max(len(_shown(work, page, every)) for page in pages)
        if totals_height(most) <= totals_height(room):
            return pages
        room = most


def _blocks(work: SheetWork, made: list[Row], band: Box) -> list[_Page] | None:
    """Two layouts a page, each with its own passes beside it; None where passes are shared or too many."""
    order = [next(iter(row.layouts)) for row in made if len(row.layouts) == 1]
    if len(order) != len(made) or order != sorted(order) or len(work.layouts) < 2:
        return None
    half = (band.height - 2 * _GAP) / 2
    for n in range(len(work.layouts)):
        if sum(row.height for row in made if n in row.layouts) > half - HEADS_HEIGHT:
            return None
    pages = []
    for first in range(0, len(work.layouts), 2):
        page = _Page()
        for place, n in enumerate(range(first, min(first + 2, len(work.layouts)))):
            top = band.y0 + place * (half + 2 * _GAP)
            page.maps.append((n, Box(band.x0, top, _map_right(band), top + half)))
            page.lists.append((band.x1 - LIST_WIDTH, top, [row for row in made if n in row.layouts]))
            if place:
                page.rules.append(top - _GAP)
        pages.append(page)
    return pages if not any(_crowded(work, n, room) for page in pages for n, room in page.maps) else None


def _apart(work: SheetWork, lines: list[Line], band: Box) -> list[_Page] | None:
    """Crowded maps on pages of their own, then the list in two columns; None where any map can lie beside it."""
    beside = Box(band.x0, band.y0, _map_right(band), band.y1)
    if not all(_crowded(work, n, beside) for n in range(len(work.layouts))):
        return None
    pages = [_Page(maps=[(n, band)]) for n in range(len(work.layouts))]
    wide = (band.width - _COLUMN_GAP) / 2
    note = _NOTE * _note_lines([*range(len(work.layouts))]) + 0.1
    columns = in_pages(rows(lines, work.unit, wide), [band.height - HEADS_HEIGHT - note])
    for first in range(0, len(columns), 2):
        page = _Page(wide=wide, notes_at=band.y0 + 0.17)
        for place, part in enumerate(columns[first : first + 2]):
            page.lists.append((band.x0 + place * (wide + _COLUMN_GAP), band.y0 + note, part))
        page.absent = sorted({n for _, _, part in page.lists for row in part for n in row.layouts})
        pages.append(page)
    return pages


def _flow(work: SheetWork, made: list[Row], band: Box) -> list[_Page]:
    """The list runs down the right side of as many pages as it needs; the maps it is about lie beside it."""
    shown: set[int] = set()
    pages: list[_Page] = []
    one = Box(band.x0, band.y0, _map_right(band), band.y1)
    large = {n for n in range(len(work.layouts)) if _crowded(work, n, one)}
    for part in in_pages(made, [band.height - HEADS_HEIGHT]):
        about = sorted({n for row in part for n in row.layouts} - large)
        about.sort(key=lambda n: (-sum(n in row.layouts for row in part), n in shown, n))
        page = _Page([], [(band.x1 - LIST_WIDTH, band.y0, part)])
        page.absent = sorted({n for row in part for n in row.layouts})
        column = one
        for _ in range(2):  # notes where the other maps are take room, which may leave room for fewer maps
            page.maps = _beside(work, about[:2], column)
            page.absent = sorted({n for row in part for n in row.layouts} - {n for n, _ in page.maps})
            column = Box(one.x0, one.y0, one.x1, one.y1 - _NOTE * _note_lines(page.absent))
        page.notes_at = (column.y1 if page.maps else one.y0) + 0.17
        shown |= {n for n, _ in page.maps}
        pages.append(page)
    left = [n for n in range(len(work.layouts)) if n not in shown and n not in large]
    left = _below_lists(work, pages, left, band)
    dense = {n for n in left if any(_crowded(work, n, room) for _, room in _grid([n], band).maps)}
    left = [n for n in left if n not in dense]
    pages += [_grid(left[first : first + 4], band) for first in range(0, len(left), 4)]
    alone = {n: _Page(maps=[(n, band)]) for n in sorted(large | dense)}
    return [*(alone[n] for n in sorted(large)), *pages, *(alone[n] for n in sorted(dense))]


def _beside(work: SheetWork, wanted: list[int], column: Box) -> list[tuple[int, Box]]:
    """Rooms for two maps, one below the other, or for the first alone where either is crowded in half a column."""
    high = (column.height - _GAP) / 2
    halves = [
        Box(column.x0, column.y0, column.x1, column.y0 + high),
        Box(column.x0, column.y1 - high, column.x1, column.y1),
    ]
    pair = list(zip(sorted(wanted), halves, strict=False))
    if len(pair) == 2 and not any(_crowded(work, n, room) for n, room in pair):
        return pair
    return [(n, column) for n in wanted[:1]]


def _below_lists(work: SheetWork, pages: list[_Page], numbers: list[int], band: Box) -> list[int]:
    """Put maps below lists that leave room; those that found none are handed back."""
    left = list(numbers)
    for page in pages:
        for _, y, part in page.lists:
            end = y + HEADS_HEIGHT + sum(row.height for row in part) + 2 * _GAP
            room = Box(band.x1 - LIST_WIDTH, end, band.x1, band.y1)
            if left and room.height >= _LEAST_MAP and not _crowded(work, left[0], room):
                page.maps.append((left.pop(0), room))
    return left


def _grid(numbers: list[int], band: Box) -> _Page:
    """Up to four maps on a page without a list."""
    wide, high = (band.width - 0.3) / 2, (band.height - _GAP) / 2
    page = _Page()
    for place, n in enumerate(numbers):
        x, y = band.x0 + (place % 2) * (wide + 0.3), band.y0 + (place // 2) * (high + _GAP)
        page.maps.append((n, Box(x, y, x + wide, y + high)))
    return page


def _map_right(band: Box) -> float:
    return band.x1 - LIST_WIDTH - _LIST_GAP


def _crowded(work: SheetWork, n: int, room: Box) -> bool:
    return draw_map(work.layouts[n], _below_title(room)).crowded


def _below_title(room: Box) -> Box:
    return Box(room.x0, room.y0 + _TITLE_HEIGHT, room.x1, room.y1)


def _shown(work: SheetWork, page: _Page, every: list[Total]) -> list[Total]:
    """Totals of the pieces on a page's maps."""
    names = {part.part.name for n, _ in page.maps for part in work.layouts[n].parts}
    return [total for total in every if total.letter in names]


# ------------------------------------------------------------------------------------------ one page


def _effort(work: SheetWork) -> str:
    cuts = f"{work.strokes} cut{'' if work.strokes == 1 else 's'}"
    time = f"  ·  about {work.minutes} minute{'' if work.minutes == 1 else 's'}" if work.minutes else ""
    return cuts + time


def _maps(work: SheetWork, page: _Page, turned: tuple[bool, ...]) -> list[Shape | Group]:
    return [
        shape for n, room in page.maps for shape in _map_with_title(work.layouts[n], room, turned[n], n)
    ]  # fmt: skip


def _note_lines(absent: list[int]) -> int:
    """Lines for notes, two on each."""
    return -(-len(absent) // 2)


def _notes(work: SheetWork, live: Box, page: _Page, elsewhere: list[tuple[int, int]]) -> list[Shape | Group]:
    """Where the map of a layout is, when it is not on the page of its passes."""
    notes = [f"{work.layouts[n].title}: see page {there}" for n, there in elsewhere]
    texts = [f"{work.layouts[n].title}: see the map on page {there}" for n, there in elsewhere]
    if len(notes) > 1:
        texts = ["  ·  ".join(notes[first : first + 2]) for first in range(0, len(notes), 2)]
    room = live.width - LIST_WIDTH - 0.2
    return [
        fitted(Label((text,), live.x0, page.notes_at + _NOTE * place, TEXT), room)
        for place, text in enumerate(texts)
    ]


def _lists(work: SheetWork, live: Box, page: _Page) -> list[Shape | Group]:
    shapes: list[Shape | Group] = [line(live.x0, y, live.x1, y, 0.9) for y in page.rules]
    for x, y, part in page.lists:
        shapes.append(heads(x, y, any(len(each.stacks) > 1 for each in work.passes), page.wide))
        y += HEADS_HEIGHT
        for row in part:
            shapes.append(row.draw(x, y))
            y += row.height
    return shapes


def _foot(work: SheetWork, live: Box, shown: list[Total], boxed: frozenset[Total]) -> list[Shape | Group]:
    key = live.y1 - KEY_HEIGHT
    top = key - totals_height(len(shown))
    return [
        line(live.x0, top, live.x1, top, PAGE_RULE),
        totals_strip(Box(live.x0, top, live.x1, key), shown, boxed, work.unit),
        line(live.x0, key, live.x1, key, 0.7, HATCH),
        key_line(Box(live.x0, key, live.x1, live.y1), work.layouts),
    ]


def _map_with_title(layout: MapSubject, room: Box, turned: bool, n: int) -> list[Shape | Group]:
    copies = "copy" if layout.copies == 1 else "copies"
    base = room.y0 + 0.17
    name = Label((layout.title,), room.x0, base, LAYOUT_TITLE, True)
    more = Label((f"{TIMES} {layout.copies} {copies}",), name.box.x1 + 0.16, base, LAYOUT_TITLE, True, BLADE)
    ink = draw_map(layout, _below_title(room), turned)
    shapes: list[Shape | Group] = [name, more]
    right = max(ink.view.sheet.x1, more.box.x1 + 0.75)
    if layout.grain is not Grain.UNKNOWN and right <= room.x1 + 0.05:
        word = Label(("grain",), right, base, TEXT, False, WAY_UP, "end")
        strokes = grain_strokes(word.box.x0 - 0.13, base - 0.06, 0.2, grain_upright(layout, ink.turned))
        shapes += [fitted(word, 1.0), Group("grain", (strokes,), title="direction of the grain")]
    data = (("layout", str(n + 1)),)
    return [*shapes, Group("map", ink.shapes, f"map-{n + 1}", f"{layout.paper}, {layout.title}", data)]
