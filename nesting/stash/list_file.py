"""The drawer as a list for a spreadsheet, written and read with the same columns in any order.

In: items, or a CSV file. Out: CSV text (RFC 4180: commas, CRLF), or lots with all mistakes of the file at once. The
fact it serves: many a drawer is counted once, on paper or in a spreadsheet, before any program is asked.
"""

from __future__ import annotations

import csv
import hashlib
import io
import re
from collections.abc import Callable, Iterable, Iterator
from datetime import date
from pathlib import Path
from typing import TypeVar

from nesting.cells import guarded, unguarded
from nesting.describe.findings import Findings
from nesting.describe.names import Names
from nesting.describe.papers import Grain, PrintDirection, Rim, Sheet
from nesting.describe.text_file import read_text, shown_name
from nesting.errors import NestingError, Place
from nesting.lengths import ZERO, Length, Unit, read_length, write_length
from nesting.quoting import printable, quoted
from nesting.stash.drawer import Lot
from nesting.stash.items import MOST_SHEETS, Details, Item

COLUMNS = (
    "paper", "width", "height", "count", "print", "grain", "rim left", "rim top", "rim right", "rim bottom",
    "kept", "added", "label",
)  # fmt: skip
NEEDED = ("paper", "width", "height")
EXAMPLE = "paper,width,height,count,print,grain,kept,label"
LONGEST_WORDS = 200
MOST_MISTAKES = 1000
UNKNOWN = "unknown"
_COUNT = re.compile(r"[0-9]{1,9}")
T = TypeVar("T")


def write_list(items: Iterable[Item]) -> str:
    """One row an item, every length with its unit; reading it in gives the same drawer again."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(COLUMNS)
    for item in items:
        found, sheet, rim = item.details, item.details.sheet, item.details.sheet.rim
        width, height, *rims = (
            write_length(side, found.unit, with_unit=True)
            for side in (sheet.width, sheet.height, rim.left, rim.top, rim.right, rim.bottom)
        )
        direction = found.direction.value if found.direction else UNKNOWN
        writer.writerow(
            (guarded(found.paper), width, height, item.count, direction, found.grain.value, *rims,
             guarded(found.kept), item.added, guarded(found.label))
        )  # fmt: skip
    return out.getvalue()


def read_list(path: Path, unit: Unit) -> tuple[tuple[Lot, ...], str]:
    """The lots of a file, and a mark that is the same for the same list; bare numbers are in the unit given.

    Raises NestingError with all that is wrong in the file. Rows with a count of 0 are left out.
    """
    findings = Findings()
    name = shown_name(path)
    text = read_text(path, findings, from_spreadsheet=True)
    lots: list[Lot] = []
    if text is not None:
        try:
            lots = _lots(name, _rows(text), unit, findings)
        except csv.Error as wrong:
            findings.add(Place(name), f"This is not a list of cells ({wrong}).", f"Write it out as {EXAMPLE}.")
        if not lots and not findings.problems:
            findings.add(Place(name), "This list holds no sheets.", f"Begin it with a line {EXAMPLE}.")
    if findings.problems:
        raise NestingError(findings.in_order())
    mark = hashlib.sha256(repr(lots).encode("utf-8")).hexdigest()
    return tuple(lots), f"list {mark}"


def _rows(text: str) -> list[tuple[int, list[str]]]:
    """Line numbers and cells, by the separator under which the first row has the most known columns."""

    def split(sign: str) -> Iterator[tuple[int, list[str]]]:
        reader = csv.reader(io.StringIO(text, newline=""), delimiter=sign, skipinitialspace=True)
        line = 1
        for cells in reader:
            if any(cell.strip() for cell in cells):
                yield line, cells
            line = reader.line_num + 1

    def known(sign: str) -> int:
        return sum(_heading(cell) in COLUMNS for cell in next(split(sign), (0, []))[1])

    return list(split(max(",;\t", key=known)))


def _heading(cell: str) -> str:
    return " ".join(cell.casefold().split())


def _lots(name: str, rows: list[tuple[int, list[str]]], unit: Unit, findings: Findings) -> list[Lot]:
    if not rows:
        return []
    line, cells = rows[0]
    headings = [_heading(cell) for cell in cells]
    for number, heading in enumerate(headings):
        if heading and heading not in COLUMNS:
            todo = findings.hint(heading, COLUMNS, f"take it out; known are {', '.join(COLUMNS)}.")
            findings.add(Place(name, line), f"Nothing is known by the column {quoted(heading)}.", todo)
        elif heading and heading in headings[:number]:
            findings.add(Place(name, line), f"The column {quoted(heading)} is there twice.", "Keep one of the two.")
    for heading in NEEDED:
        if heading not in headings:
            findings.add(Place(name, line), f"The column “{heading}” is missing.", f"Begin with a line {EXAMPLE}.")
    if findings.problems:
        return []
    lots = []
    for number, row in rows[1:]:
        lot = _Row(name, number, headings, row, unit, findings).lot()
        if lot is not None and lot.count:
            lots.append(lot)
        if len(findings.problems) >= MOST_MISTAKES:
            findings.add(Place(name, number), "The rest was not read.", "Mend what is above first.")
            break
    return lots


class _Row:
    """One row while it is read; every cell that is wrong is noted."""

    def __init__(
        self, name: str, line: int, headings: list[str], cells: list[str], unit: Unit, findings: Findings
    ) -> None:
        self.place = Place(name, line)
        self.cells = dict(zip(headings, (cell.strip() for cell in cells), strict=False))
        self.unit = unit
        self.findings = findings
        if any(cell.strip() for cell in cells[len(headings) :]):
            what = f"The line has {len(cells)} cells, the first line has {len(headings)}."
            findings.add(self.place, what, "Put cells that hold a separator into quotes.")

    def lot(self) -> Lot | None:
        before = len(self.findings.problems)
        paper = Names().give(unguarded(self.cells.get("paper", "")), self._at("paper"), self.findings)
        width, height = self._side("width"), self._side("height")
        rim = Rim(*(self._length(f"rim {edge}") or ZERO for edge in ("left", "top", "right", "bottom")))
        direction = self._one_of("print", {kind.value: kind for kind in PrintDirection})
        grain = self._one_of("grain", {kind.value: kind for kind in Grain})
        count, added = self._count(), self._day()
        kept, label = self._words("kept"), self._words("label")
        if len(self.findings.problems) > before or paper is None or width is None or height is None:
            return None
        if rim.left + rim.right >= width or rim.top + rim.bottom >= height:
            self.findings.add(self.place, "The rim leaves nothing of this sheet.", "Check it, and its unit.")
            return None
        sheet = Sheet(width, height, rim)
        return Lot(Details(paper, sheet, self._unit(), direction, grain or Grain.UNKNOWN, kept, label), count, added)

    def _at(self, heading: str) -> Place:
        return Place(self.place.file, self.place.line, heading)

    def _unit(self) -> Unit:
        """The unit in which the width was said, so that it is shown so again."""
        word = re.sub(r"[^a-z\"]", "", self.cells["width"].lower())
        return {"mm": Unit.MILLIMETRE, "cm": Unit.CENTIMETRE, "": self.unit}.get(word, Unit.INCH)

    def _tried(self, heading: str, reader: Callable[[str], T]) -> T | None:
        try:
            return reader(self.cells[heading])
        except ValueError as wrong:
            self.findings.refuse(self._at(heading), str(wrong))
            return None

    def _length(self, heading: str) -> Length | None:
        return self._tried(heading, lambda word: read_length(word, self.unit)) if self.cells.get(heading) else None

    def _side(self, heading: str) -> Length | None:
        before = len(self.findings.problems)
        found = self._length(heading)
        if not found and len(self.findings.problems) == before:
            self.findings.add(self._at(heading), f"There is no {heading}.", "Write a length above 0, like 5 1/2 in.")
        return found

    def _count(self) -> int:
        word = self.cells.get("count") or "1"
        if _COUNT.fullmatch(word) and int(word) <= MOST_SHEETS:
            return int(word)
        what = f"{quoted(word)} is not a number of sheets."
        self.findings.add(self._at("count"), what, f"Write a whole number from 0 to {MOST_SHEETS}.")
        return 0

    def _one_of(self, heading: str, known: dict[str, T]) -> T | None:
        word = self.cells.get(heading, "").lower()
        if word and word != UNKNOWN and word not in known:
            choice = ", ".join(f"“{name}”" for name in dict.fromkeys((*known, UNKNOWN)))
            self.findings.add(self._at(heading), f"{quoted(word)} is not one of {choice}.", "Write one of these words.")
        return known.get(word)

    def _day(self) -> str:
        word = self.cells.get("added", "")
        if word:
            try:
                return date.fromisoformat(word).isoformat()
            except ValueError:
                self.findings.add(self._at("added"), f"{quoted(word)} is no day.", "Write it like 2024-05-31.")
        return ""

    def _words(self, heading: str) -> str:
        return free_words(unguarded(self.cells.get(heading, "")), self._at(heading), self.findings)


def free_words(text: str, place: Place, findings: Findings) -> str:
    """A note on one line, "" and the mistake noted where it cannot be printed."""
    if len(text) > LONGEST_WORDS:
        findings.add(place, f"{quoted(text)} has more than {LONGEST_WORDS} characters.", "Say it shorter.")
    elif not printable(text):
        findings.add(place, f"{quoted(text)} holds a control character or a line end.", "Type it anew.")
    else:
        return text.strip()
    return ""

