"""The packet's pages of words: rows that run over pages; and with them kits, cost sheet and cautions.

In: a Plan. Out: Drawings of pages. The facts of the trade: kits are laid out card by card with a box to tick, and
what a blade or a hot tool can do is said where it is used.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from nesting.cost.sheet import cost_sheet
from nesting.cost.values import CostSheet
from nesting.lengths import Unit
from nesting.plan import Plan
from nesting.reports import words
from nesting.reports.cautions import CAUTIONS, FIRST
from nesting.reports.cost_rows import cost_notes, cost_rows, design_names, to_pay
from nesting.reports.drawing import Drawing, Group, Label, Rectangle, Shape, line
from nesting.reports.kits import Kit, KitPart, kits
from nesting.reports.lettering import CAP_HEIGHT, TIMES, Words, size_words, text_width
from nesting.reports.look import BAR, BLADE, HEADS, LIVE_WIDTH, POINT, ROW_RULE, RULE, SMALL, TEXT
from nesting.reports.page_frame import Heading, Numbering, PageSize, heading
from nesting.reports.pass_rows import Row, in_pages
from nesting.reports.stop_signs import fitted, tick_box

Pages = tuple[Drawing, ...]
_NOWHERE: frozenset[int] = frozenset()
_BOX = 0.2
_SHORT_LINE = 0.215
_CLOSER = (1.0, 0.95, 0.9, 0.86)  # shares of its height that a row may take
_TRIES = 40
_MOST_DESIGNS = 4  # columns of the cost sheet beside each other


@dataclass(frozen=True, slots=True)
class Cell:
    """Words in one column: where they begin or (anchor "end") end, and how wide they may be."""

    words: Words
    x: float
    width: float
    anchor: str = "start"
    size: float = TEXT
    bold: bool = False
    colour: str = "#1A1A1A"


def text_pages(title: str, below: Words, rows: Sequence[Row], size: PageSize, numbering: Numbering | None) -> Pages:
    """Rows dealt out over pages with their heading."""
    numbering = numbering or Numbering()
    _, top = heading(size.live, Heading(title, below, ""))
    start = top + 0.16
    drawings = []
    for index, part in enumerate(_few_pages(rows, size.live.y1 - start)):
        head, _ = heading(size.live, Heading(title, below, numbering.text(index)))
        y, shapes = start, []
        for row in part:
            shapes.append(row.draw(size.live.x0, y))
            y += row.height
        drawings.append(Drawing(size.width, size.height, (head, *shapes), f"{title}, {numbering.text(index)}", 140))
    return tuple(drawings)


def _few_pages(rows: Sequence[Row], room: float) -> list[list[Row]]:
    """Rows on pages so high: a little closer where that saves a page, and groups run on by no less than three rows."""
    sets = [[_closer(row, share) for row in rows] for share in _CLOSER]
    counts = [len(in_pages(each, [room])) for each in sets]
    chosen = sets[counts.index(min(counts))]
    own = {id(row) for row in chosen}
    heights = [room] * min(counts)
    pages = in_pages(chosen, heights)
    for _ in range(_TRIES):
        short = next((n for n, page in enumerate(pages[1:]) if _runs_on_by(page, own) in (1, 2)), None)
        if short is None:
            break
        heights[short] -= _SHORT_LINE  # of the page before, so that more runs on
        other = in_pages(chosen, heights)
        if len(other) > len(pages):
            break
        pages = other
    return pages


def _runs_on_by(page: Sequence[Row], own: set[int]) -> int:
    """How many rows of a group that began before stand at the head of a page, below its bar said again."""
    if id(page[0]) in own:
        return 0
    return next((n for n, row in enumerate(page[1:]) if row.bar), len(page) - 1)


def _closer(row: Row, share: float) -> Row:
    """A row of a share of its height, what is on it in the middle of that."""
    up = row.height * (1 - share) / 2
    again = None if row.again is None else _closer(row.again, share)
    return replace(row, height=row.height * share, draw=lambda x, y: row.draw(x, y - up), again=again)


def table_row(kind: str, cells: Sequence[Cell], height: float = 0.34, box: bool = False, rule: bool = True) -> Row:
    """Cells side by side on one line, with a box to tick before them and a rule below."""

    def draw(x: float, y: float) -> Group:
        shapes: list[Shape] = []
        if box:
            shapes += tick_box(x, y + (height - _BOX) / 2, _BOX)
        for cell in cells:
            base = y + height / 2 + cell.size * CAP_HEIGHT / 2 * POINT
            label = Label(cell.words, x + cell.x, base, cell.size, cell.bold, cell.colour, cell.anchor)
            shapes.append(fitted(label, cell.width))
        if rule:
            shapes.append(line(x, y + height, x + LIVE_WIDTH, y + height, ROW_RULE, RULE))
        return Group(kind, tuple(shapes))

    return Row(height, _NOWHERE, draw)


def bar(text: str, right: str = "") -> Row:
    """A grey bar that begins a group; it is said again where the group runs on."""

    def draw(x: float, y: float) -> Group:
        base = y + 0.14 + 12.5 * CAP_HEIGHT / 2 * POINT
        shapes: list[Shape] = [Rectangle(x, y, LIVE_WIDTH, 0.28, BAR)]
        note = Label((right,), x + LIVE_WIDTH - 0.08, base, SMALL, anchor="end")
        shapes.append(fitted(Label((text,), x + 0.08, base, 12.5, True), LIVE_WIDTH - 0.3 - note.box.width))
        return Group("bar", (*shapes, *([note] if right else [])), title=text)

    row = Row(0.34, _NOWHERE, draw, bar=True)
    return replace(row, again=row)


def spaced(rows: list[Row], height: float) -> list[Row]:
    """The same rows with air below the last, so that air alone never begins a page."""
    return [*rows[:-1], replace(rows[-1], height=rows[-1].height + height)]


def wrapped(text: str, size: float, width: float) -> list[str]:
    """A sentence on as many lines as it takes."""
    lines = [""]
    for word in text.split():
        longer = f"{lines[-1]} {word}".strip()
        if lines[-1] and text_width(longer, size) > width:
            lines.append(word)
        else:
            lines[-1] = longer
    return lines


def sentence_rows(texts: Sequence[str], mark: str = "") -> list[Row]:
    """Paragraphs, each begun by a mark."""
    rows: list[Row] = []
    left = 0.22 if mark else 0.0
    for text in texts:
        for n, each in enumerate(wrapped(text, TEXT, LIVE_WIDTH - left - 0.05)):
            cells = [Cell((each,), left, LIVE_WIDTH - left)]
            if mark and not n:
                cells.append(Cell((mark,), 0.06, 0.12, bold=True, colour=BLADE))
            rows.append(table_row("text", cells, _SHORT_LINE, rule=False))
        rows = spaced(rows, 0.07)
    return rows


def heads(cells: Sequence[Cell], last: bool = True) -> Row:
    """Heads of columns; a rule below their last line."""
    small = [Cell(c.words, c.x, c.width, c.anchor, SMALL, False, HEADS) for c in cells]
    return table_row("heads", small, 0.26 if last else 0.17, rule=last)


# ------------------------------------------------------------------------------------------ kits


def kit_pages(plan: Plan, size: PageSize, numbering: Numbering | None = None) -> Pages:
    """For every card what it is put together from, with a box for each card; then the spares."""
    found = kits(plan)
    rows: list[Row] = []
    for kit in found.kits:
        rows.append(bar(kit_title(kit), "on the maps: the letter" if not rows else ""))
        if kit.design and kit.cards > 1:
            rows.append(_card_boxes(kit))
        rows += spaced([_kit_row(part, plan.project.unit, box=kit.cards == 1) for part in kit.parts], 0.2)
    for title, parts in (("spares", found.spares), ("missing: the paper does not suffice", found.missing)):
        if parts:
            rows.append(bar(title))
            rows += spaced([_kit_row(part, plan.project.unit, box=True, whose=True) for part in parts], 0.2)
    return text_pages("Kits", ("every piece is in one kit or among the spares",), rows, size, numbering)


def kit_title(kit: Kit) -> str:
    """Such as "pumpkin patch: 8 kits, each", "stair, cards 1 to 4: 4 kits, each"."""
    if not kit.design:
        return "pieces of the list"
    which = "" if kit.first == 1 else f", cards {kit.first} to {kit.last}" if kit.cards > 1 else f", card {kit.first}"
    return f"{kit.design}{which}: {'1 kit' if kit.cards == 1 else f'{kit.cards} kits, each'}"


def kit_name(part: KitPart, whose: bool = False) -> str:
    """What a part is and where it goes, with its design where that is not said above it."""
    piece = part.piece
    name = piece.title if whose else f"{piece.part}, {piece.where}" if piece.where else piece.part
    notes = []
    if piece.shapes > 1:
        notes.append(f"{piece.shapes} from each blank")
    if piece.block:
        notes.append(f"one print in {len(piece.block)} panels")
    return f"{name} ({'; '.join(notes)})" if notes else name


def _card_boxes(kit: Kit) -> Row:
    """A numbered box for every card."""
    step, side = 0.29, 0.24
    per_row = int((LIVE_WIDTH - 0.75) / step)
    rows = -(-kit.cards // per_row)

    def draw(x: float, y: float) -> Group:
        shapes: list[Shape] = [Label(("made",), x + 0.08, y + 0.22, SMALL, False, HEADS)]
        for n in range(kit.cards):
            at = x + 0.72 + (n % per_row) * step
            shapes += tick_box(at, y + 0.06 + (n // per_row) * step, side, str(kit.first + n))
        return Group("cards", tuple(shapes))

    return Row(0.08 + rows * step, _NOWHERE, draw)


def _kit_row(part: KitPart, unit: Unit, box: bool, whose: bool = False) -> Row:
    piece = part.piece
    return table_row("kit-part", [
        Cell((f"{part.count} {TIMES}",), 0.82, 0.55, "end", TEXT + 1, True),
        Cell((kit_name(part, whose),), 0.95, 3.1),
        Cell(size_words(piece.width, piece.height, unit), 4.2, 1.35),
        Cell((piece.paper,), 5.65, 1.35), Cell((part.letter,), LIVE_WIDTH, 0.42, "end", TEXT + 1, True, BLADE),
    ], 0.3, box=box)  # fmt: skip


# ------------------------------------------------------------------------------------------ cost sheet


def cost_pages(plan: Plan, size: PageSize, numbering: Numbering | None = None) -> Pages:
    """What the cards cost, line by line; what paper is worth that is no card's; and how good the plan is."""
    sheet = cost_sheet(plan, plan.project.costs)
    rows: list[Row] = []
    for first in range(0, max(len(sheet.designs), 1), _MOST_DESIGNS):
        rows += spaced(_cost_table(sheet, first), 0.25)
    rows = [*spaced(rows + sentence_rows([*to_pay(sheet), *cost_notes(sheet)]), 0.15), bar("how good the plan is")]
    for paper in plan.papers:
        name = Cell((paper.paper.name,), 0.0, 2.5, bold=True)
        row = table_row("proof", [name, Cell((words.verdict(paper),), LIVE_WIDTH, 4.5, "end")], 0.28, rule=False)
        rows.append(replace(row, bar=True))  # never apart from its sentence
        rows += sentence_rows([words.proof(paper)])
    below = plan.project.title + (f", in {sheet.currency.sign}" if sheet.currency.sign else "")
    return text_pages("Cost sheet", (below,), rows, size, numbering)


def _cost_table(sheet: CostSheet, first: int) -> list[Row]:
    """The lines for up to four designs beside each other, and for all."""
    shown = range(first, min(first + _MOST_DESIGNS, len(sheet.designs)))
    step = 0.98
    rights = [LIVE_WIDTH - step * (len(shown) - n) for n in range(len(shown))]

    def row(kind: str, name: str, texts: Sequence[str], all_: str, bold: bool = False) -> Row:
        cells = [Cell((text,), x, step - 0.12, "end", bold=bold) for text, x in zip(texts, rights, strict=True)]
        room = LIVE_WIDTH - step * (len(shown) + 1)
        return table_row(kind, [Cell((name,), 0.0, room, bold=bold), *cells,
                           Cell((all_,), LIVE_WIDTH, step - 0.12, "end", bold=bold)], 0.29)  # fmt: skip

    names = [wrapped(name, SMALL, step - 0.14) for name in design_names(sheet)[first : shown.stop]]
    deep = max(map(len, names), default=1)
    rows: list[Row] = []
    for n in range(deep):
        texts = [([""] * (deep - len(name)) + name)[n] for name in names]
        head = heads([Cell((text,), x, step - 0.12, "end") for text, x in zip(
            [*texts, "all" if n + 1 == deep else ""], [*rights, LIVE_WIDTH], strict=True)], n + 1 == deep)  # fmt: skip
        rows.append(head)
    for each in cost_rows(sheet):
        rows.append(row(each.kind, each.name, each.texts[first : shown.stop], each.together, each.bold))
    return rows


# ------------------------------------------------------------------------------------------ cautions


def caution_pages(plan: Plan, size: PageSize, numbering: Numbering | None = None) -> Pages:
    """What to mind with blades and hot tools, and what to mind in this batch."""
    rows = spaced(sentence_rows([FIRST]), 0.05)
    for title, sentences in CAUTIONS:
        rows += [bar(title), *spaced(sentence_rows(sentences, "•"), 0.08)]
    mine = words.notes(plan)
    for paper in plan.papers:
        mine += [f"{paper.paper.name}: {note}" for note in words.cut_notes(paper, plan.project.unit)]
    if mine:
        rows += [bar("in this batch"), *sentence_rows(mine, "•")]
    return text_pages("Cautions", ("before the first cut",), rows, size, numbering)
