"""Sheet pages as data: every layout and every pass once, in order, inside the margins, nothing on top of another."""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction
from itertools import combinations

import pytest
from map_subjects import orchard, pine, random_subject

from nesting.cutting.passes import Comes, Edge, Pass, TablePart, What
from nesting.lengths import TICKS_PER_INCH, Unit
from nesting.reports.drawing import Box, Drawing, Group, Label, Rectangle, every_group, every_shape, extent
from nesting.reports.map_subject import MapSubject
from nesting.reports.page_frame import A4, LETTER, Numbering, PageSize
from nesting.reports.pass_rows import Line, in_pages, rows
from nesting.reports.sheet_page import SheetWork, sheet_pages
from nesting.reports.sheet_totals import percent, totals
from nesting.reports.svg import svg_text


def _work(*subjects: MapSubject, shared: bool = False) -> SheetWork:
    """A paper with these layouts; their numbers run on from one to the next, or are shared."""
    layouts: list[MapSubject] = []
    passes: list[Pass] = []
    by = 0
    for n, subject in enumerate(subjects):
        cuts = tuple(replace(cut, layout=n, number=cut.number + by) for cut in subject.cuts)
        parts = tuple(
            replace(p, part=replace(p.part, name=f"{chr(97 + n)}{p.part.name}" if p.part.name else ""))
            for p in subject.parts
        )
        mine = tuple(replace(each, number=each.number + by) for each in subject.passes)
        layouts.append(replace(subject, title=f"Layout {n + 1}", cuts=cuts, parts=parts, passes=mine))
        passes += [each for each in mine if each.number not in {p.number for p in passes}]
        by = 0 if shared else max((cut.number for cut in cuts), default=by)
    return SheetWork("russet apples", ("one-way print",), tuple(layouts), tuple(passes), 13)


WORKS = {
    "two layouts": _work(orchard(), pine()),
    "one layout": _work(pine()),
    "no cuts": _work(replace(orchard(), cuts=(), passes=(), parts=orchard().parts[:1])),
    "shared settings": _work(orchard(), pine(), orchard(), pine(), pine(), orchard(), pine(), shared=True),
    "many passes": _work(random_subject(5)),
    "crowded": _work(random_subject(302)),
    "mixed": _work(orchard(), random_subject(4), random_subject(12), random_subject(21)),
}


@pytest.mark.parametrize("size", [LETTER, A4], ids=["letter", "A4"])
@pytest.mark.parametrize("name", WORKS)
def test_every_layout_and_every_pass_is_on_the_pages_and_inside_the_margins(name: str, size: PageSize) -> None:
    work = WORKS[name]
    pages = sheet_pages(work, size, Numbering("Winter Orchard", 5, 7))
    stops = [group.get("stop") for page in pages for group in every_group(page.shapes, "pass")]
    assert stops == [str(each.number) for each in work.passes]
    maps = {group.get("layout") for page in pages for group in every_group(page.shapes, "map")}
    assert maps == {str(n + 1) for n in range(len(work.layouts))}
    for page in pages:
        assert (page.width, page.height) == (size.width, size.height)
        assert size.live.holds(extent(page.shapes), slack=0.06), name
        _nothing_collides(page)


def _nothing_collides(page: Drawing) -> None:
    """The boxes of maps, rows, bars, totals and heading are apart."""
    boxes: list[tuple[str, Box]] = []
    for kind in ("heading", "map", "pass", "bar", "heads", "totals", "key-line"):
        for group in every_group(page.shapes, kind):
            if group.shapes:
                boxes.append((kind, extent(group.shapes).inset(0.03)))
    for (one, a), (other, b) in combinations(boxes, 2):
        assert not a.meets(b), (one, other)
    labels = [
        s.box.inset(0.01) for g in every_group(page.shapes) if g.kind in ("pass", "total") for s in g.shapes
        if isinstance(s, Label)
    ]  # fmt: skip
    for a, b in combinations(labels, 2):
        assert not a.meets(b)


def test_two_layouts_with_their_own_numbers_share_a_page_each_beside_its_passes() -> None:
    (page,) = sheet_pages(WORKS["two layouts"], LETTER)
    maps = [extent(g.shapes) for g in every_group(page.shapes, "map")]
    rows_ = [(g.get("stop"), extent(g.shapes)) for g in every_group(page.shapes, "pass")]
    first = [box for stop, box in rows_ if int(stop) <= 4]
    assert all(box.y1 < maps[1].y0 for box in first)
    assert all(box.y0 > maps[0].y1 - 0.5 for stop, box in rows_ if int(stop) > 4)


def test_a_map_stands_on_every_page_that_its_passes_run_over() -> None:
    pages = sheet_pages(WORKS["many passes"], LETTER)
    assert len(pages) > 1
    assert all(any(every_group(page.shapes, "map")) for page in pages)


def test_a_crowded_map_has_a_page_of_its_own_and_is_pointed_to() -> None:
    pages = sheet_pages(WORKS["crowded"], LETTER, Numbering("", 3))
    alone = [n for n, page in enumerate(pages) if any(every_group(page.shapes, "map"))]
    assert len(alone) == 1
    words = [s.text for page in pages for s in every_shape(page.shapes) if isinstance(s, Label)]
    assert words.count(f"Layout 1: see the map on page {3 + alone[0]}") == len(pages) - 1


def test_totals_count_the_copies_and_are_ticked_once() -> None:
    work = WORKS["shared settings"]
    pages = sheet_pages(work, LETTER)
    assert [(t.letter, t.count) for t in totals([orchard()])] == [("A", 16), ("B", 16), ("C", 16)]
    boxes: dict[str, int] = {}
    for page in pages:
        for cell in every_group(page.shapes, "total"):
            ticks = sum(isinstance(shape, Rectangle) for shape in cell.shapes)
            boxes[cell.get("letter")] = boxes.get(cell.get("letter"), 0) + ticks
    assert set(boxes.values()) == {1}


def test_the_page_says_which_page_it_is_and_how_much_work() -> None:
    (page,) = sheet_pages(WORKS["one layout"], LETTER, Numbering("Winter Orchard", 5, 7))
    words = [s.text for s in every_shape(page.shapes) if isinstance(s, Label)]
    strokes = sum(each.strokes for each in WORKS["one layout"].passes)
    assert "Winter Orchard  ·  page 5 of 7" in words
    assert f"{strokes} cuts  ·  about 13 minutes" in words


@pytest.mark.parametrize(("share", "text"), [
    (Fraction(0), "0 %"), (Fraction(1, 1000), "under 1 %"), (Fraction(1, 200), "1 %"), (Fraction(249, 1000), "25 %"),
])  # fmt: skip
def test_shares_are_whole_percent_and_what_is_there_is_never_nothing(share: Fraction, text: str) -> None:
    assert percent(share) == text


def _line(stacks: tuple[int, ...], comes: tuple[Comes, ...], setting: int = TICKS_PER_INCH) -> Line:
    part = TablePart(What.PART, 10, 10, "A B C D E F G")
    each = Pass(1, setting, Edge.LEFT, part, stacks, 2, comes, setting_mark=setting, spacer=True)
    return Line(each, Edge.LEFT, part.name, False, frozenset({0}))


@pytest.mark.parametrize("stacks", [(1,), (3,) * 4, (3,) * 8, (2,) * 30, (4, 4, 1)])
def test_a_row_has_one_box_for_every_stack_and_stays_in_its_height(stacks: tuple[int, ...]) -> None:
    came = tuple(Comes(TablePart(What.PART, n, n, f"A B {n}"), sum(stacks)) for n in range(1, 6))
    bar, row = rows([_line(stacks, came, setting=11 * TICKS_PER_INCH + 13 * TICKS_PER_INCH // 16)], Unit.INCH)
    assert bar.bar
    drawn = row.draw(1.0, 1.0)
    box = extent(drawn.shapes)
    assert box.y0 >= 1.0 - 0.02
    assert box.y1 <= 1.0 + row.height + 0.02
    assert box.x1 <= 1.0 + 3.74 + 0.02
    ticks = [s for s in drawn.shapes if isinstance(s, Rectangle) and s.weight == 1.1]
    assert len(ticks) == len(stacks)


def test_a_bar_is_never_the_last_row_of_a_page() -> None:
    line = _line((1,), ())
    made = rows([line, *(replace(line, edge=edge) for edge in (Edge.TOP, Edge.LEFT) * 6)], Unit.INCH)
    for height in (1.5, 2.0, 2.2, 2.4, 3.0):
        pages = in_pages(made, [height])
        assert [row for page in pages for row in page if not row.bar] == [row for row in made if not row.bar]
        assert all(page[0].bar for page in pages)
        assert not any(page[-1].bar for page in pages)


def test_pieces_are_told_by_their_letter_and_strips_by_what_they_hold() -> None:
    came = (
        Comes(TablePart(What.PIECE, 1, 1, "A"), 8), Comes(TablePart(What.PART, 1, 2, "B C"), 4),
        Comes(TablePart(What.PART, 1, 3, "B C"), 4), Comes(TablePart(What.KEEP, 1, 1), 4),
        Comes(TablePart(What.SCRAP, 1, 1), 4),
    )  # fmt: skip
    _, row = rows([_line((2, 2), came)], Unit.INCH)
    words = " ".join(s.text for s in every_shape((row.draw(0, 0),)) if isinstance(s, Label))
    assert "2 cuts: 2 A, 2 strips B C, KEEP, scrap" in words
    assert "mark 1 use a spacer" in words


def test_no_two_things_of_a_page_have_the_same_id() -> None:
    for work in WORKS.values():
        for page in sheet_pages(work, LETTER):
            ids = re.findall(r'\bid="([^"]+)"', svg_text(page, "p1-"))
            assert len(ids) == len(set(ids))
            assert all(name.startswith("p1-") for name in ids)


def test_a_group_of_the_page_can_be_found_by_its_stop() -> None:
    (page,) = sheet_pages(WORKS["one layout"], A4)
    kinds = {g.kind for g in every_group(page.shapes) if isinstance(g, Group) and g.get("stop") == "4"}
    assert kinds >= {"cut", "disc", "pass"}
