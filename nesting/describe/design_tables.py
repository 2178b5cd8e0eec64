"""The tables [design.NAME]: a base with its scores and panels, and the parts that are stuck on it.

In: tables and the names of papers. Out: CardDesigns. The fact of the trade: scores across are measured from the left
edge, scores down from the top edge of the flat base.
"""

from __future__ import annotations

from collections.abc import Iterable

from nesting.describe.designs import Area, Base, CardDesign, Line
from nesting.describe.families.reading import may_hold, read_family
from nesting.describe.findings import Findings
from nesting.describe.free_form import folds_between
from nesting.describe.names import Names
from nesting.describe.panel_names import MOST_PANELS, PanelNames, cut_away, grid, join_panels, name_panels
from nesting.describe.paper_names import PaperNames
from nesting.describe.part_tables import read_parts
from nesting.describe.score_tables import read_scores, read_slits
from nesting.describe.tables import Table
from nesting.describe.values import Said, size, yes_no
from nesting.lengths import Length

MAY_HOLD = (
    "a design may hold base, size, across, down, slits, joined, cut_away, panels, turn, centres, parts and costs,"
    " or begin with a family."
)
ONLY_WITH_BASE = ("across", "down", "slits", "joined", "cut_away", "panels", "turn")


def read_design(name: str, said: Said, papers: PaperNames, findings: Findings) -> CardDesign:
    """One design; what is wrong in it is noted and left out."""
    table = Table(said, findings)
    names = Names()
    book = PanelNames()
    family = ""
    bases: tuple[Base, ...] = ()
    if table.has("family"):
        family, bases = read_family(table, book, names, papers)
    else:
        base = _base(table, book, names, papers)
        bases = () if base is None else (base,)
    centres = table.take("centres", yes_no)
    said_parts = table.at("parts")
    table.at("costs")  # read with the table [costs]
    parts = () if said_parts is None else read_parts(said_parts, name, book, names, papers, findings)
    table.close(may_hold(family) if family else MAY_HOLD)
    begun = any(table.meant(key) for key in ("family", "base", "size", "parts"))
    if not begun or table.values == {"parts": []}:
        findings.add(said.place, "This design has no base and no parts.", "Give it a base and a size, or some parts.")
    return CardDesign(
        name=name,
        place=said.place,
        base=bases[0] if bases else None,
        names=tuple(book.groups.items()),
        parts=parts,
        family=family,
        more_bases=bases[1:],
        centres=centres is not False,
    )


def _base(table: Table, book: PanelNames, names: Names, papers: PaperNames) -> Base | None:
    if not (table.has("base") or table.has("size")):
        _refuse_without_base(table, book)
        return None
    paper = table.need("base", papers.check, 'base = "cream"')
    sides = table.need("size", size, 'size = "8 1/2 x 5 1/2"')
    across, down, slit = table.at("across"), table.at("down"), table.at("slits")
    joined, away, panels = table.at("joined"), table.at("cut_away"), table.at("panels")
    turn = table.take("turn", yes_no)
    if sides is None:
        book.sure = False
    xs = read_scores(across, None if sides is None else sides[0], "left", book, table.findings)
    ys = read_scores(down, None if sides is None else sides[1], "top", book, table.findings)
    slits = read_slits(slit, sides, book, table.findings)
    if sides is not None:
        _cut_apart(table, book, sides, _lines(xs, slits, sides[0], True), _lines(ys, slits, sides[1], False))
    gone = []
    if book.panels and joined is not None:
        join_panels(book, joined, table.findings)
    if book.panels and away is not None:
        gone = cut_away(book, away, table.findings)
    if panels is not None and (book.panels or not book.sure):
        name_panels(book, panels, names, table.findings)
    if len(book.panels) > 1:
        book.groups.setdefault("all", tuple(sorted(book.panels)))
    if sides is None:
        return None
    ordered = tuple(book.panels[number] for number in sorted(book.panels))
    return Base(
        paper=paper or "",
        width=sides[0],
        height=sides[1],
        scores_across=tuple(xs),
        scores_down=tuple(ys),
        panels=ordered,
        place=table.place,
        may_turn=turn,
        folds=folds_between(ordered, xs, ys, slits),
        slits=tuple(slits),
        cut_away=tuple(Area(panel.x, panel.y, panel.width, panel.height) for panel in gone),
    )


def _lines(scores: Iterable[Length], slits: list[Line], side: Length, across: bool) -> list[Length]:
    """Where the base is divided: at scores, and at slits and their ends."""
    marks = {mark for slit in slits for mark in ((slit.x1, slit.x2) if across else (slit.y1, slit.y2))}
    return sorted({*scores, *(mark for mark in marks if mark and mark < side)})


def _cut_apart(
    table: Table, book: PanelNames, sides: tuple[Length, Length], xs: list[Length], ys: list[Length]
) -> None:
    if (len(xs) + 1) * (len(ys) + 1) > MOST_PANELS:
        table.findings.add(table.place, f"The scores make more than {MOST_PANELS} panels.", "Check the scores.")
        book.sure = False
    elif book.sure:
        book.panels = grid(*sides, xs, ys)


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
