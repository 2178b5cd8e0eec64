"""The cover and the picture of waste as data: cards to one scale, every paper once, steps where the shares are."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.describe.papers import PrintDirection
from nesting.lengths import Length, Unit, inches
from nesting.reports.cover import CardFace, CoverSubject, PaperLine, Patch, cover_pages
from nesting.reports.drawing import Drawing, Label, Rectangle, Strokes, every_group, every_shape, extent
from nesting.reports.page_frame import A4, LETTER, Numbering, PageSize
from nesting.reports.swatches import swatch
from nesting.reports.waste_picture import BatchWaste, finding, waste_picture

ZERO = Length(0)


def _card(name: str, width: int | str, height: int | str) -> CardFace:
    whole = Patch(ZERO, ZERO, inches(width), inches(height), "pine")
    mat = Patch(inches("1/2"), inches("1/4"), inches(2), inches(3), "russet apples")
    return CardFace(name, 16, inches(width), inches(height), (whole, mat))


def _paper(name: str, direction: PrintDirection, buy: int) -> PaperLine:
    return PaperLine(name, direction.value, direction, buy, buy + 1, 1, "5.70", "24", 2)


COVER = CoverSubject(
    "Winter Orchard", ("stall batch",), Unit.INCH,
    (_card("Pear Tree", "17/4", "11/2"), _card("Orchard Gate", 5, 5), _card("Wassail", "11/2", "17/4")),
    (("$ 22.40", "to buy"), ("94 ¢", "paper per card"), ("1 h 50", "at the trimmer")),
    (_paper("pine", PrintDirection.NONE, 6), _paper("russet apples", PrintDirection.ONE_WAY, 0),
     _paper("ticking", PrintDirection.TWO_WAY, 2)),
    "22.40", "110", "cost, $", "sheets 12 x 12 in",
)  # fmt: skip


def _words(drawing: Drawing) -> list[str]:
    return [s.text for s in every_shape(drawing.shapes) if isinstance(s, Label)]


def _no_words_meet(drawing: Drawing) -> None:
    boxes = [(s.text, s.box.inset(0.005)) for s in every_shape(drawing.shapes) if isinstance(s, Label)]
    for (one, a), (other, b) in combinations(boxes, 2):
        assert not a.meets(b), (one, other)


@pytest.mark.parametrize("size", [LETTER, A4], ids=["letter", "A4"])
def test_the_cover_shows_every_card_to_one_scale_and_every_paper(size: PageSize) -> None:
    (page,) = cover_pages(COVER, size, Numbering("Winter Orchard", 1, 7))
    sizes = []
    for group in every_group(page.shapes, "card"):
        whole = next(s for s in group.shapes if isinstance(s, Rectangle))
        sizes.append((whole.width, whole.height))
    scale = sizes[0][0] / 4.25
    assert [side for size in sizes for side in size] == pytest.approx(
        [side * scale for side in (4.25, 5.5, 5.0, 5.0, 5.5, 4.25)]
    )
    assert f"cards drawn at 1/{round(1 / scale)} size" in _words(page)
    assert [g.get("paper") for g in every_group(page.shapes, "paper")] == ["pine", "russet apples", "ticking"]
    assert {"page 1 of 7", "8", "11", "22.40", "sheets"} <= set(_words(page))
    assert size.live.holds(extent(page.shapes), slack=0.05)
    _no_words_meet(page)


def test_only_a_paper_that_is_bought_has_a_box_to_tick() -> None:
    (page,) = cover_pages(COVER, LETTER)
    ticks = {
        g.get("paper"): sum(isinstance(s, Rectangle) and s.weight == 1.1 for s in g.shapes)
        for g in every_group(page.shapes, "paper")
    }
    assert ticks == {"pine": 1, "russet apples": 0, "ticking": 1}


@pytest.mark.parametrize(("cards", "papers"), [(0, 1), (1, 2), (5, 9), (12, 40), (30, 3)])
def test_any_number_of_cards_and_papers_finds_its_pages(cards: int, papers: int) -> None:
    subject = replace(
        COVER,
        cards=tuple(_card(f"card {n}", 4, 5) for n in range(cards)),
        papers=tuple(_paper(f"paper {n}", PrintDirection.NONE, 1) for n in range(papers)),
    )
    pages = cover_pages(subject, LETTER)
    assert sum(len(list(every_group(page.shapes, "card"))) for page in pages) == cards
    assert [g.get("paper") for p in pages for g in every_group(p.shapes, "paper")] == [
        f"paper {n}" for n in range(papers)
    ]
    for page in pages:
        assert LETTER.live.holds(extent(page.shapes), slack=0.05)
        _no_words_meet(page)


def test_papers_are_tinted_by_the_word_for_their_colour_and_never_by_a_guess() -> None:
    assert swatch("Rust", PrintDirection.NONE).ground == "#C26A3D"
    assert swatch("moonlit velvet", PrintDirection.NONE).ground == "#E4E1DA"
    prints = [swatch(f"print {n}", PrintDirection.ONE_WAY, n) for n in range(3)]
    assert len({look.mark for look in prints}) == 3


WASTE = [
    BatchWaste(7 * n, Fraction(keep, 100), Fraction(6, 100))
    for n, keep in enumerate((30, 21, 21, 16, 17, 18, 16), start=1)
]


def test_the_steps_stand_where_the_shares_are() -> None:
    picture = waste_picture(WASTE, 28, "same mix")
    groups = list(every_group(picture.shapes, "batch"))
    assert [g.get("cards") for g in groups] == [str(batch.cards) for batch in WASTE]
    bottom = max(extent(g.shapes).y1 for g in groups)
    heights = [bottom - extent(g.shapes).y0 for g in groups]
    for batch, height in zip(WASTE, heights, strict=True):
        assert height / heights[0] == pytest.approx(float(batch.left / WASTE[0].left), abs=0.01)
    line = next(s for s in every_shape(picture.shapes) if isinstance(s, Strokes) and s.weight == 2.8)
    level = [segment for segment in line.segments if segment[1] == segment[3]]
    assert len(level) == len(WASTE)


def test_the_title_states_what_the_shares_say() -> None:
    assert finding(WASTE) == "From 28 cards on, less than a quarter is left over"
    assert finding(WASTE[3:]) == "Less than a quarter is left over"
    rising = [BatchWaste(n, Fraction(40 + 5 * n, 100), Fraction(0)) for n in range(1, 6)]
    assert finding(rising) == "1 card leaves least: 45 %"


@given(
    st.lists(st.tuples(st.integers(0, 600), st.integers(0, 300)), min_size=1, max_size=40), st.integers(0, 39)
)
@settings(max_examples=40, deadline=None)
def test_no_figure_meets_another_and_all_stay_on_the_page(shares: list[tuple[int, int]], this: int) -> None:
    batches = [
        BatchWaste(5 * n, Fraction(keep, 1000), Fraction(scrap, 1000)) for n, (keep, scrap) in enumerate(shares, 1)
    ]
    picture = waste_picture(batches, 5 * (this % len(batches) + 1), "same mix")
    _no_words_meet(picture)
    box = extent(picture.shapes)
    assert box.x0 >= 0
    assert box.y0 >= 0
    assert box.x1 <= picture.width
    assert box.y1 <= picture.height
    title = finding(batches)
    if title.startswith("From "):
        start = int(title.split()[1])
        word = title.split("less than ")[1].split(" is")[0]
        limit = {"a tenth": 0.1, "a fifth": 0.2, "a quarter": 0.25, "a third": 1 / 3, "half": 0.5}[word]
        assert all(batch.left < limit for batch in batches if batch.cards >= start)
        assert any(batch.left >= limit for batch in batches if batch.cards < start)
