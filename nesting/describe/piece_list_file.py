"""A plain piece list as a spreadsheet exports it: paper, width, height, quantity, label, in any order of columns.

In: a CSV file and the names of papers. Out: LoosePieces. The fact it serves: many a list of rectangles exists
already, with semicolons or tabs, decimal commas, byte order marks and blank lines.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from nesting.cells import unguarded
from nesting.describe.findings import Findings
from nesting.describe.names import LONGEST_NAME
from nesting.describe.paper_names import PaperNames
from nesting.describe.project import LoosePiece
from nesting.describe.text_file import read_text, shown_name
from nesting.errors import Place
from nesting.lengths import Length, Unit, read_length
from nesting.quoting import SHOWN, printable, quoted

COLUMNS = {
    "paper": ("paper", "material", "colour", "color", "stock"),
    "width": ("width",),
    "height": ("height",),
    "quantity": ("quantity", "count", "qty", "copies"),
    "label": ("label", "name", "description"),
    "turn": ("turn",),
}
NEEDED = ("paper", "width", "height", "quantity")
EXAMPLE = "paper,width,height,quantity,label"
MOST_PIECES = 1_000_000
MOST_MISTAKES = 1000
MOST_LINES = 50_000
_UNIT_IN_HEADER = re.compile(r"(.*?)\s*[(\[]\s*(in|inch|inches|mm|cm)\s*[)\]]")
_QUANTITY = re.compile(r"([0-9]{1,9})(?:[.,]0{1,2})?")
_YES_NO = {"yes": True, "y": True, "true": True, "no": False, "n": False, "false": False, "": None}
Row = tuple[int, list[str]]


@dataclass(frozen=True)
class _Header:
    """Which column holds what, and the units that its words give to widths and heights."""

    columns: dict[str, int]
    units: dict[str, Unit]
    cells: int


class _List:
    """One file while it is read."""

    def __init__(self, name: str, papers: PaperNames, unit: Unit, findings: Findings) -> None:
        self.name = name
        self.papers = papers
        self.unit = unit
        self.findings = findings
        self.unknown: dict[str, list[Place]] = {}

    def rows(self, rows: list[Row], header: _Header) -> list[LoosePiece]:
        """The pieces of all rows; a quantity of 0 leaves a row out."""
        pieces = []
        before = len(self.findings.problems)
        for line, cells in rows:
            piece = self._piece(line, cells, header)
            if piece is not None and piece.count:
                pieces.append(piece)
            if len(self.findings.problems) - before >= MOST_MISTAKES:
                what = f"The list has {MOST_MISTAKES} mistakes up to here; the rest was not read."
                self.findings.add(Place(self.name, line), what, f"Check that it is a list of {EXAMPLE}.")
                break
        self._report_unknown_papers()
        return pieces

    def _piece(self, line: int, cells: list[str], header: _Header) -> LoosePiece | None:
        said = {key: unguarded(cells[i].strip()) if i < len(cells) else "" for key, i in header.columns.items()}
        label = said.get("label", "")
        place = Place(self.name, line, f"piece {quoted(label)}" if label else "")
        if any(cell.strip() for cell in cells[header.cells :]):
            what = f"The line has {len(cells)} cells, the header has {header.cells}."
            self.findings.add(place, what, "Put cells that hold a comma into quotes, or separate cells by semicolons.")
            return None
        if not printable(label) or len(label) > LONGEST_NAME:
            what = f"The label {quoted(label)} is too long or holds a control character."
            self.findings.add(place, what, f"Write at most {LONGEST_NAME} characters on one line.")
        paper = self._paper(said["paper"], place)
        width = self._length("width", said["width"], header, place)
        height = self._length("height", said["height"], header, place)
        count = self._quantity(said["quantity"], place)
        turn = said.get("turn", "").lower()
        if turn not in _YES_NO:
            self.findings.add(place, f"{quoted(turn)} does not say whether it may turn.", "Write yes, no or nothing.")
        if paper is None or width is None or height is None or count is None:
            return None
        return LoosePiece(paper, width, height, count, label, place, _YES_NO.get(turn))

    def _paper(self, word: str, place: Place) -> str | None:
        known = self.papers.names.meant(word)
        if not word:
            self.findings.add(place, "The paper is missing.", "Write the name of a paper.")
        elif not known and self.papers.all_read:
            self.unknown.setdefault(word, []).append(place)
        return known or None

    def _report_unknown_papers(self) -> None:
        unknown = list(self.unknown.items())
        if len(unknown) > MOST_MISTAKES:
            what = f"The list names {len(unknown)} papers that there are not; the first {MOST_MISTAKES} are told."
            self.findings.add(Place(self.name), what, "Check the column of papers.")
        for word, places in unknown[:MOST_MISTAKES]:
            lines = f" ({len(places)} lines name it)" if len(places) > 1 else ""
            todo = self.findings.hint(
                word, self.papers.names, "describe it under a heading [paper.NAME] in a .toml file."
            )
            self.findings.add(places[0], f"There is no paper {quoted(word)}{lines}.", todo)

    def _length(self, side: str, word: str, header: _Header, place: Place) -> Length | None:
        if not word:
            self.findings.add(place, f"The {side} is missing.", "Write a length, like 5 1/2 or 140 mm.")
            return None
        if len(word) > SHOWN or not printable(word):
            self.findings.add(place, f"The {side} {quoted(word)} is not a length.", "Write it like 5 1/2 or 140 mm.")
            return None
        try:
            length = read_length(word, header.units.get(side, self.unit))
        except ValueError as wrong:
            self.findings.refuse(place, f"The {side} {wrong}")
            return None
        if not length:
            self.findings.add(place, f"The {side} {quoted(word)} is nothing.", "Write a length above 0.")
            return None
        return length

    def _quantity(self, word: str, place: Place) -> int | None:
        match = _QUANTITY.fullmatch(word)
        if match and int(match[1]) <= MOST_PIECES:
            return int(match[1])
        what = (
            f"The quantity {quoted(word)} is not a whole number up to 1 000 000."
            if word
            else "The quantity is missing."
        )
        self.findings.add(place, what, "Write a whole number, like 12.")
        return None


def read_piece_list(path: Path, unit: Unit, papers: PaperNames, findings: Findings) -> list[LoosePiece]:
    """The pieces of one file; what is wrong is noted and left out. Bare numbers are in the unit given."""
    name = shown_name(path)
    text = read_text(path, findings, from_spreadsheet=True)
    if text is None:
        return []
    try:
        rows = _best_split(text)
    except csv.Error as wrong:
        findings.add(Place(name), f"This is not a list of cells ({wrong}).", f"Export it again, as {EXAMPLE}.")
        return []
    if not rows:
        findings.add(Place(name), "This piece list is empty.", f"Begin it with a line {EXAMPLE}.")
        return []
    if len(rows) > MOST_LINES:
        what = f"This piece list has {len(rows)} lines, and {MOST_LINES} are the most that is read."
        findings.add(Place(name), what, "Put equal pieces on one line, with their number as the quantity.")
        return []
    header = _header(name, rows[0], findings)
    if header is None:
        return []
    if len(rows) == 1:
        findings.add(
            Place(name, rows[0][0]), "This piece list has a header and no pieces.", "Add a line for each piece."
        )
    return _List(name, papers, unit, findings).rows(rows[1:], header)


def _best_split(text: str) -> list[Row]:
    """The rows by the separator under which the header has the most known columns."""
    announced = re.match(r"\s*sep=(.)\r?\n", text, re.IGNORECASE)
    signs = announced[1] if announced else "\t;,"

    def known(sign: str) -> int:
        first = next(_split(text, sign), (0, []))
        return sum(1 for cell in first[1] if _meaning(cell)[0])

    return list(_split(text, max(signs, key=known), skip_first=bool(announced)))


def _split(text: str, sign: str, *, skip_first: bool = False) -> Iterator[Row]:
    """Line number and cells of every row that holds something."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=sign, skipinitialspace=True)
    line = 1
    for cells in reader:
        if any(cell.strip() for cell in cells) and not (skip_first and line == 1):
            yield line, cells
        line = reader.line_num + 1


def _meaning(cell: str) -> tuple[str, Unit | None]:
    """What a column of that heading holds ("" if nothing known), and the unit it names."""
    words = " ".join(cell.casefold().split())
    match = _UNIT_IN_HEADER.fullmatch(words)
    unit = None
    if match:
        words, unit = match[1], Unit("in" if match[2].startswith("in") else match[2])
    return next((key for key, headings in COLUMNS.items() if words in headings), ""), unit


def _header(name: str, row: Row, findings: Findings) -> _Header | None:
    """The columns of the first row; None, and mistakes noted, where one that is needed is missing or is there twice."""
    line, cells = row
    place = Place(name, line)
    columns: dict[str, int] = {}
    units: dict[str, Unit] = {}
    good = True
    for i, cell in enumerate(cells):
        key, unit = _meaning(cell)
        if key in columns:
            what = f"The columns {quoted(cells[columns[key]])} and {quoted(cell)} both say the {key}."
            findings.add(place, what, "Rename one of them, or take it out.")
            good = False
        elif key:
            columns[key] = i
        if unit is not None:
            units[key] = unit
    if not columns:
        findings.add(place, "The first line names no known column.", f"Begin the list with a line {EXAMPLE}.")
        return None
    missing = [key for key in NEEDED if key not in columns]
    for key in missing:
        close = findings.nearest(key, [cell for i, cell in enumerate(cells) if i not in columns.values()])
        todo = f"Rename {quoted(close)} to {key}." if close else f"The first line may read {EXAMPLE}."
        findings.add(place, f"There is no column {quoted(key)}.", todo)
    return _Header(columns, units, len(cells)) if good and not missing else None
