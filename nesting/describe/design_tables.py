"""The tables [design.NAME]: a base with its scores and panels, and the parts that are stuck on it.

In: tables and the names of papers. Out: CardDesigns. The fact of the trade: scores across are measured from the left
edge, scores down from the top edge of the flat base.
"""

from __future__ import annotations

from nesting.describe.designs import Base, CardDesign
from nesting.describe.findings import Findings, quoted
from nesting.describe.names import Names
from nesting.describe.panel_names import MOST_PANELS, PanelNames, grid, join_panels, name_panels
from nesting.describe.part_tables import PaperNames, read_parts
from nesting.describe.tables import Table
from nesting.describe.values import Said, positive_length, size, yes_no
from nesting.lengths import Length, write_length

MAY_HOLD = "a design may hold base, size, across, down, joined, panels, turn and parts."
ONLY_WITH_BASE = ("across", "down", "joined", "panels", "turn")


def read_design(name: str, said: Said, papers: PaperNames, findings: Findings) -> CardDesign:
    """One design; what is wrong in it is noted and left out."""
    table = Table(said, findings)
    names = Names()
    book = PanelNames()
    base = _base(table, book, names, papers)
    said_parts = table.at("parts")
    parts = () if said_parts is None else read_parts(said_parts, name, book, names, papers, findings)
    table.close(MAY_HOLD)
    if not (table.meant("base") or table.meant("size") or table.meant("parts")) or table.values == {"parts": []}:
        findings.add(said.place, "This design has no base and no parts.", "Give it a base and a size, or some parts.")
    return CardDesign(name=name, place=said.place, base=base, names=tuple(book.groups.items()), parts=parts)


def _base(table: Table, book: PanelNames, names: Names, papers: PaperNames) -> Base | None:
    if not (table.has("base") or table.has("size")):
        _refuse_without_base(table, book)
        return None
    paper = table.need("base", papers.check, 'base = "cream"')
    sides = table.need("size", size, 'size = "8 1/2 x 5 1/2"')
    across, down = table.at("across"), table.at("down")
    joined, panels = table.at("joined"), table.at("panels")
    turn = table.take("turn", yes_no)
    if sides is None:
        book.sure = False
    xs = _scores(across, None if sides is None else sides[0], "left", book, table.findings)
    ys = _scores(down, None if sides is None else sides[1], "top", book, table.findings)
    if (len(xs) + 1) * (len(ys) + 1) > MOST_PANELS:
        table.findings.add(table.place, f"The scores make more than {MOST_PANELS} panels.", "Check the scores.")
        book.sure = False
    elif sides is not None and book.sure:
        book.panels = grid(*sides, xs, ys)
        if joined is not None:
            join_panels(book, joined, table.findings)
    if panels is not None and (book.panels or not book.sure):
        name_panels(book, panels, names, table.findings)
    if sides is None:
        return None
    ordered = tuple(book.panels[number] for number in sorted(book.panels))
    return Base(paper or "", *sides, tuple(xs), tuple(ys), ordered, table.place, turn)


def _refuse_without_base(table: Table, book: PanelNames) -> None:
    for key in ("base", "size", *ONLY_WITH_BASE):
        table.at(key)
    given = [key for key in ONLY_WITH_BASE if table.has(key)]
    if table.meant("base") or table.meant("size"):
        book.sure = False
    elif given:
        book.sure = False
        todo = 'Add base = "cream" and size = "8 1/2 x 5 1/2".'
        table.refuse(given[0], f"“{given[0]}” belongs to a base, and the design has none.", todo)


def _scores(said: Said | None, side: Length | None, edge: str, book: PanelNames, findings: Findings) -> list[Length]:
    """Scores in order; each must lie inside the base, and no two in one place."""
    found: dict[Length, None] = {}
    for entry in [] if said is None else said.entries():
        score = positive_length(entry, findings)
        if score is None or (side is not None and not _inside(entry, score, side, edge, findings)):
            book.sure = False
        elif score in found:
            findings.add(entry.place, f"The score at {quoted(entry.value)} is there twice.", "Take one of them out.")
            book.sure = False
        else:
            found[score] = None
    return sorted(found)


def _inside(said: Said, score: Length, side: Length, edge: str, findings: Findings) -> bool:
    if score < side:
        return True
    limit = write_length(side, said.unit, with_unit=True)
    way = "wide" if edge == "left" else "high"
    what = f"The score at {quoted(said.value)} lies outside the base, which is {limit} {way}."
    findings.add(said.place, what, f"Measure scores from the {edge} edge of the flat base.")
    return False
