"""The cover of the packet: the cards as small flat pictures, three figures, and every paper with what to buy.

In: a CoverSubject. Out: Drawings of pages. The facts of the trade: the cover goes to the shop, so what to buy comes
first in each line; and one page number leads from a paper to its sheet page.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from nesting.describe.papers import PrintDirection
from nesting.lengths import Length, Unit
from nesting.reports.drawing import Box, Drawing, Group, Label, Polygon, Shape, line
from nesting.reports.lettering import Stacked, Words, size_words
from nesting.reports.look import HEADS, INK, LIVE_WIDTH, PAGE_RULE, RULE, SMALL, STOP, TEXT, WAY_UP
from nesting.reports.page_frame import Heading, Numbering, PageSize, heading
from nesting.reports.stop_signs import fitted, tick_box
from nesting.reports.swatches import Swatch, swatch, swatch_shapes

_TITLE = 30.0
_ROW, _HEADS, _TOTAL, _FOOT = 0.5, 0.3, 0.42, 0.3
_FIGURES = 0.9
_COVER_CARDS, _PAGE_CARDS = 12, 20
_WORDS = 0.78  # below a card
_LEAST_CARD = 0.75  # height of a card's cell; a longer list of papers runs on to a second page instead
_SCALES = tuple(Fraction(1, n) for n in (2, 3, 4, 5, 6, 8, 10, 12, 16))
_BUY, _SWATCH, _NAME, _KIND = 0.62, 1.02, 1.54, 3.22
_RIGHTS = (("need", 4.5), ("on shelf", 5.27), ("cost", 6.05), ("minutes", 6.87), ("page", LIVE_WIDTH))


@dataclass(frozen=True, slots=True)
class Patch:
    """A rectangle of a card as it stands closed, from its top left corner, and the paper it is of."""

    x: Length
    y: Length
    width: Length
    height: Length
    paper: str


@dataclass(frozen=True, slots=True)
class CardFace:
    """One card design: finished size, how many to make, and what is seen of it, from the lowest patch up."""

    name: str
    make: int
    width: Length
    height: Length
    patches: tuple[Patch, ...]


@dataclass(frozen=True, slots=True)
class PaperLine:
    """One paper: what to buy, need and have on the shelf in sheets, cost and minutes as written, its first page."""

    name: str
    kind: str
    direction: PrintDirection
    buy: int
    need: int
    on_shelf: int
    cost: str = ""
    minutes: str = ""
    page: int | None = None


@dataclass(frozen=True, slots=True)
class CoverSubject:
    """The whole batch. figures: up to three, each what is printed large and what it is. total: the last line's.

    packs: what to buy stands on a shopping list of its own, and new sheets here are only counted.
    """

    title: str
    below: Words
    unit: Unit
    cards: tuple[CardFace, ...]
    figures: tuple[tuple[str, str], ...]
    papers: tuple[PaperLine, ...]
    total_cost: str = ""
    total_minutes: str = ""
    cost_head: str = "cost"
    note: str = ""
    packs: bool = False


def cover_pages(subject: CoverSubject, size: PageSize, numbering: Numbering | None = None) -> tuple[Drawing, ...]:
    """The cover, and a further page wherever its list of papers runs on."""
    numbering = numbering or Numbering()
    live = size.live
    looks = _looks(subject)
    pages: list[list[Shape | Group]] = [[]]
    _, y = heading(live, Heading("", (), ""))
    first = y + 0.14
    below = _FIGURES * bool(subject.figures) + _HEADS + _ROW * len(subject.papers) + _TOTAL + _FOOT
    room = live.y1 - first - below
    y = _cards(subject, subject.cards[:_COVER_CARDS], looks, live, first, pages[0], room) if subject.cards else y
    y = _figures(subject, live, y, pages[0]) if subject.figures else y
    pages[-1].append(_heads(subject, live.x0, y))
    y += _HEADS
    for place, paper in enumerate(subject.papers):
        last = place + 1 == len(subject.papers)
        if y + _ROW + (_TOTAL if last else 0.0) > live.y1 - _FOOT:
            _, y = heading(live, Heading("", (), ""))
            pages.append([_heads(subject, live.x0, y)])
            y += _HEADS
        pages[-1].append(_paper(paper, looks[paper.name], live.x0, y, last, tick=not subject.packs))
        y += _ROW
    pages[-1].append(_total(subject, live.x0, y))
    if subject.note:
        pages[-1].append(fitted(Label((subject.note,), live.x0, live.y1 - 0.06, SMALL), LIVE_WIDTH * 0.7))
    for start in range(_COVER_CARDS, len(subject.cards), _PAGE_CARDS):
        pages.append([])
        _cards(subject, subject.cards[start : start + _PAGE_CARDS], looks, live, first, pages[-1])
    drawings = []
    for index, shapes in enumerate(pages):
        page = numbering.text(index).split("  ·  ")[-1]
        head, _ = heading(live, Heading(subject.title, subject.below, "", page), _TITLE)
        drawings.append(Drawing(size.width, size.height, (head, *shapes), f"{subject.title}: cover", 140))
    return tuple(drawings)


def _looks(subject: CoverSubject) -> dict[str, Swatch]:
    prints = [paper for paper in subject.papers if paper.direction is not PrintDirection.NONE]
    places = {paper.name: n for n, paper in enumerate(prints)}
    return {p.name: swatch(p.name, p.direction, places.get(p.name, 0)) for p in subject.papers}


# ------------------------------------------------------------------------------------------ the cards


def _cards(
    subject: CoverSubject, cards: Sequence[CardFace], looks: Mapping[str, Swatch], live: Box, y: float,
    shapes: list[Shape | Group], room: float = 0.0,
) -> float:  # fmt: skip
    """Cards in rows, those of a page to one scale; and y below them. They shrink to `room` where that is enough."""
    count = len(cards)
    columns = min(count, 3) if count <= 6 else 4
    rows = -(-count // columns)
    step = (live.width + 0.25) / max(columns, 3)
    high = {1: 2.75, 2: 1.5}.get(rows, 0.8)
    beside = room / rows - _WORDS - 0.1
    if _LEAST_CARD <= beside < high:
        high = beside
    scale = _scale(cards, step - 0.25, high)
    high = max(float(_inch(card.height) * scale) for card in cards)
    for n, card in enumerate(cards):
        x, top = live.x0 + (n % columns) * step, y + (n // columns) * (high + _WORDS + 0.1)
        shapes.append(_card(card, looks, subject.unit, x, top, scale, step - 0.25, high, n))
    y += rows * (high + _WORDS + 0.1)
    words: Words = ("cards drawn at ", Stacked(1, scale.denominator), " size")
    shapes.append(Label(words, live.x1, live.y1 - 0.06, SMALL, anchor="end"))
    shapes.append(line(live.x0, y, live.x1, y, PAGE_RULE))
    return y


def _scale(cards: Sequence[CardFace], wide: float, high: float) -> Fraction:
    """The largest scale at which all cards fit into their cells."""
    for scale in _SCALES:
        if all(_inch(c.width) * scale <= wide and _inch(c.height) * scale <= high for c in cards):
            return scale
    return _SCALES[-1]


def _inch(length: Length) -> Fraction:
    return length.in_unit(Unit.INCH)


def _card(
    card: CardFace, looks: Mapping[str, Swatch], unit: Unit, x: float, y: float, scale: Fraction, wide: float,
    high: float, number: int,
) -> Group:  # fmt: skip
    """One card on the floor of its cell, with its name, how many to make, its size and its papers."""

    def inches(length: Length) -> float:
        return float(_inch(length) * scale)

    shapes: list[Shape] = []
    foot = y + high
    top = foot - inches(card.height)
    for patch in card.patches:
        left, above = x + inches(patch.x), top + inches(patch.y)
        box = Box(left, above, left + inches(patch.width), above + inches(patch.height))
        look = looks.get(patch.paper) or swatch(patch.paper, PrintDirection.NONE)
        shapes += swatch_shapes(look, box, 1.0)
    shapes.append(fitted(Label((card.name,), x, foot + 0.29, 16.0, True), wide))
    make = Label((f"make {card.make}",), x, foot + 0.54, TEXT + 1.5)
    size = Label(size_words(card.width, card.height, unit), x + wide, foot + 0.54, TEXT, anchor="end")
    shapes += [make, fitted(size, wide - make.box.width - 0.1, 6.0)]
    papers = ", ".join(dict.fromkeys(patch.paper for patch in card.patches))
    shapes.append(fitted(Label((papers,), x, foot + 0.74, SMALL), wide))
    return Group("card", tuple(shapes), f"card-{number + 1}", f"{card.name}, make {card.make}")


# ------------------------------------------------------------------------------------------ figures and papers


def _figures(subject: CoverSubject, live: Box, y: float, shapes: list[Shape | Group]) -> float:
    step = live.width / max(len(subject.figures), 1)
    for n, (large, small) in enumerate(subject.figures):
        x = live.x0 + n * step + (0.16 if n else 0.0)
        labels = (fitted(Label((large,), x, y + 0.45, 27.0, True), step - 0.25),
                  fitted(Label((small,), x, y + 0.72, TEXT), step - 0.25))  # fmt: skip
        shapes.append(Group("figure", labels))
        if n:
            shapes.append(line(live.x0 + n * step, y + 0.1, live.x0 + n * step, y + _FIGURES - 0.14, 0.7, RULE))
    y += _FIGURES
    shapes.append(line(live.x0, y, live.x1, y, PAGE_RULE))
    return y


def _heads(subject: CoverSubject, x: float, y: float) -> Group:
    base, cost = y + 0.2, subject.cost_head
    first = "new" if subject.packs else "buy"
    words = [(first, x + _BUY, "middle"), ("paper", x + _SWATCH, "start"), ("kind", x + _KIND, "start")]
    words += [(cost if word == "cost" else word, x + at, "end") for word, at in _RIGHTS]
    return Group("heads", tuple(Label((word,), at, base, SMALL, False, HEADS, side) for word, at, side in words))


def _paper(paper: PaperLine, look: Swatch, x: float, y: float, last: bool, *, tick: bool) -> Group:
    middle = y + _ROW / 2
    base = middle + 0.06
    shapes: list[Shape] = []
    if paper.buy and tick:
        shapes += tick_box(x, middle - 0.12, 0.24)
    shapes.append(Label((str(paper.buy),), x + _BUY, middle + 0.1, STOP, True, anchor="middle"))
    shapes += swatch_shapes(look, Box(x + _SWATCH, middle - 0.16, x + _SWATCH + 0.42, middle + 0.16))
    shapes.append(fitted(Label((paper.name,), x + _NAME, base, TEXT + 1.5, True), _KIND - _NAME - 0.1))
    kind = fitted(Label((paper.kind,), x + _KIND, base, TEXT - 0.5), 0.72 if _mark(paper, 0, 0) else 0.95)
    shapes += [kind, *_mark(paper, kind.box.x1 + 0.12, middle)]
    texts = (str(paper.need), str(paper.on_shelf), paper.cost, paper.minutes, str(paper.page or ""))
    for (word, at), text in zip(_RIGHTS, texts, strict=True):
        if text:
            shapes.append(fitted(Label((text,), x + at, base, TEXT, word == "page", anchor="end"), 0.72))
    weight, colour = (1.2, INK) if last else (0.5, RULE)
    shapes.append(line(x, y + _ROW, x + LIVE_WIDTH, y + _ROW, weight, colour))
    return Group("paper", tuple(shapes), title=f"{paper.name}: buy {paper.buy}", data=(("paper", paper.name),))


def _mark(paper: PaperLine, x: float, y: float) -> list[Shape]:
    """The sign for the direction of a print."""
    if paper.direction is PrintDirection.NONE:
        return []
    up = Polygon(((x + 0.06, y - 0.1), (x + 0.12, y - 0.01), (x, y - 0.01)), WAY_UP)
    if paper.direction is PrintDirection.ONE_WAY:
        return [Polygon(((x + 0.07, y - 0.05), (x + 0.14, y + 0.05), (x, y + 0.05)), WAY_UP)]
    return [up, Polygon(((x + 0.06, y + 0.1), (x + 0.12, y + 0.01), (x, y + 0.01)), WAY_UP)]


def _total(subject: CoverSubject, x: float, y: float) -> Group:
    base = y + 0.3
    sums = (str(sum(p.need for p in subject.papers)), str(sum(p.on_shelf for p in subject.papers)))
    shapes: list[Shape] = [
        Label((str(sum(p.buy for p in subject.papers)),), x + _BUY, base, STOP, True, anchor="middle"),
        Label(("sheets",), x + _SWATCH, base, TEXT + 0.5, True),
    ]
    for (_, at), text in zip(_RIGHTS, (*sums, subject.total_cost, subject.total_minutes, ""), strict=True):
        if text:
            shapes.append(fitted(Label((text,), x + at, base, TEXT, True, anchor="end"), 0.74))
    return Group("total", tuple(shapes))
