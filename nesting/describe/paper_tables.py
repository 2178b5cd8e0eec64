"""The tables [paper.NAME]: one stock each, the sheets it is sold in and those at hand.

In: tables. Out: Papers. The fact of the trade: the same stock comes in several sizes, lies in the drawer as
offcuts, and is not always usable to its edge.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction

from nesting.describe.findings import Findings
from nesting.describe.paper_names import PaperNames
from nesting.describe.papers import Grain, HeldSheet, Paper, PrintDirection, Rim, Sheet, SoldSheet
from nesting.describe.printed_at_home import printed_on, read_printed
from nesting.describe.tables import Table
from nesting.describe.values import Said, length, one_of, positive_length, price, size, weight, whole, words, yes_no
from nesting.lengths import TICKS_PER_INCH, ZERO, Length, mm
from nesting.quoting import quoted

MAY_HOLD = (
    "a paper may hold note, weight, thickness, print, grain, sheet, price, sold, at_hand, rim, ink, image,"
    " scale, stand_in and centres."
)
MOST_SHEETS = 1_000_000
THICKEST = mm(10)  # of one sheet: thicker than any board that a trimmer cuts


def read_paper(
    name: str, said: Said, known: PaperNames, findings: Findings, *, in_a_shop: bool = False
) -> Paper:
    """One paper; what is wrong in it is noted and left out. in_a_shop: a shop's table names it."""
    table = Table(said, findings)
    note = table.take("note", words)
    grams = table.take("weight", weight)
    thick = table.take("thickness", _thickness)
    direction = table.take("print", one_of(PrintDirection))
    grain = table.take("grain", one_of(Grain))
    rim = table.take("rim", rim_of) or Rim()
    centres = table.take("centres", yes_no)
    instead = table.take("stand_in", known.check)
    if instead == name:
        table.refuse("stand_in", "A paper cannot stand in for itself.", "Name another paper, or take it out.")
    sold = _sold(table, rim)
    ink = table.take("ink", price) or 0
    if not in_a_shop:
        sold, ink = _with_ink(table, sold, ink), 0
    at_hand = _at_hand(table, rim, sold)
    printed = read_printed(table)
    if printed is not None:
        sold = tuple(replace(one, sheet=printed_on(one.sheet, printed), page=one.sheet) for one in sold)
        at_hand = tuple(replace(one, sheet=printed_on(one.sheet, printed)) for one in at_hand)
    table.close(MAY_HOLD)
    if not in_a_shop and not any(table.meant(key) for key in ("sheet", "sold", "at_hand", "price")):
        todo = 'Add the sheet it is sold in, like sheet = "12 x 12", or what is at hand, like at_hand = ["5 x 7"].'
        findings.add(said.place, "Of this paper no sheet is sold and none is at hand.", todo)
    return Paper(
        name=name,
        place=said.place,
        note=note or "",
        weight=grams,
        thickness=thick,
        centres=centres is not False,
        stand_in=instead or "",
        direction=direction or PrintDirection.NONE,
        grain=grain or Grain.UNKNOWN,
        sold=sold,
        at_hand=at_hand,
        printed=printed,
        rim=rim,
        ink=ink,
    )


def _with_ink(table: Table, sold: tuple[SoldSheet, ...], ink: int) -> tuple[SoldSheet, ...]:
    """Paper printed at home: what the ink for one page costs is added to the price of each sheet that has one."""
    if ink and sold and all(sheet.price is None for sheet in sold):
        table.refuse("ink", "The ink has a price, the paper has none.", "Add what a blank sheet costs, like price = 0.")
    return tuple(sheet if sheet.price is None else replace(sheet, price=sheet.price + ink) for sheet in sold)


def _thickness(said: Said, findings: Findings) -> Length | None:
    """How thick one sheet is: "0.25 mm", or in thousandths of an inch, "10 pt"; to the nearest tick."""
    points = re.fullmatch(r"\s*(\d{1,3}(?:\.\d)?)\s*(?:pt|mil)\s*", str(said.value))
    found = Length(round(Fraction(points[1]) / 1000 * TICKS_PER_INCH)) if points else positive_length(said, findings)
    if found is not None and not ZERO < found < THICKEST:
        findings.add(said.place, f"{quoted(said.value)} is not the thickness of a paper.", "Check its unit.")
        return None
    return found


def rim_of(said: Said, findings: Findings) -> Rim | None:
    """One length all round, or a table of lengths by edge."""
    if not isinstance(said.value, dict):
        all_round = length(said, findings)
        return None if all_round is None else Rim(all_round, all_round, all_round, all_round)
    table = Table(said, findings)
    left, top, right, bottom = (table.take(edge, length) or ZERO for edge in ("left", "top", "right", "bottom"))
    table.close("a rim may hold left, top, right and bottom.")
    return Rim(left, top, right, bottom)


def _sold(table: Table, rim: Rim) -> tuple[SoldSheet, ...]:
    """The sizes sold: `sheet` and `price` for one, `sold` for several."""
    if table.has("sheet") and table.has("sold"):
        table.refuse("sheet", "“sheet” stands beside “sold”.", "Move the sheet into the list “sold”.")
    if table.has("price") and not table.meant("sheet"):
        place = "inside each entry of “sold”" if table.has("sold") else "beside a “sheet”"
        table.refuse("price", "The price belongs to no sheet.", f"Write it {place}.")
    cents = table.take("price", price)
    entry = table.at("sheet")
    sheets = []
    if entry is not None:
        sides = size(entry, table.findings)
        sheet = None if sides is None else with_rim(Sheet(*sides, rim), entry, table.findings)
        sheets = [] if sheet is None else [SoldSheet(sheet, cents, entry.place)]
    sheets += table.list_of("sold", _sold_entry(rim))
    _refuse_twins([(sold.sheet, sold) for sold in sheets], table)
    return tuple(sheets)


def _refuse_twins(sheets: list[tuple[Sheet, SoldSheet]], table: Table) -> None:
    seen: set[Sheet] = set()
    for sheet, sold in sheets:
        if sheet in seen:
            table.findings.add(sold.place, "The same sheet is sold twice.", "Keep one of the two, with its price.")
        seen.add(sheet)


def _sold_entry(rim: Rim) -> Callable[[Said, Findings], SoldSheet | None]:
    def read(said: Said, findings: Findings) -> SoldSheet | None:
        table = _entry(said, findings)
        sheet = _sheet(table, rim)
        cents = table.take("price", price)
        table.close("an entry of “sold” may hold sheet, price and rim.")
        return None if sheet is None else SoldSheet(sheet, cents, said.place)

    return read


def _at_hand(table: Table, rim: Rim, sold: tuple[SoldSheet, ...]) -> tuple[HeldSheet, ...]:
    """What lies in the drawer: a number of the one sheet sold, or a list of sheets and offcuts."""
    said = table.at("at_hand")
    if said is None:
        return ()
    if isinstance(said.value, list):
        found = [_held_entry(entry, rim, table.findings) for entry in said.entries()]
        return tuple(held for held in found if held is not None and held.count)
    if isinstance(said.value, str | dict):
        held = _held_entry(said, rim, table.findings)
        return () if held is None or not held.count else (held,)
    count = whole(0, MOST_SHEETS)(said, table.findings)
    if count is None or not (table.has("sheet") or table.has("sold")):
        if count is not None and not (table.meant("sheet") or table.meant("sold")):
            what = f"{quoted(count)} sheets are at hand, but of which size?"
            table.findings.add(said.place, what, 'Add the sheet, or write at_hand = [{ sheet = "5 x 7", count = 2 }].')
        return ()
    entries = table.values.get("sold")
    if isinstance(entries, list) and len(entries) > 1:
        what = f"{quoted(count)} sheets are at hand, but of which of the sizes sold?"
        table.findings.add(said.place, what, 'Write at_hand = [{ sheet = "12 x 12", count = 2 }].')
        return ()
    return (HeldSheet(sold[0].sheet, count, said.place),) if count and sold else ()


def _held_entry(said: Said, rim: Rim, findings: Findings) -> HeldSheet | None:
    table = _entry(said, findings)
    sheet = _sheet(table, rim)
    count = table.take("count", whole(0, MOST_SHEETS))
    table.close("an entry of “at_hand” may hold sheet, count and rim.")
    if table.has("count") and count is None:
        return None
    return None if sheet is None else HeldSheet(sheet, 1 if count is None else count, said.place)


def _entry(said: Said, findings: Findings) -> Table:
    """An entry of a list of sheets; the size alone stands for a table that holds only the sheet."""
    if isinstance(said.value, dict):
        return Table(said, findings)
    short = Said({"sheet": said.value}, said.file, said.unit, said.path, said.subject)
    return Table(short, findings)


def _sheet(table: Table, rim: Rim) -> Sheet | None:
    sides = table.need("sheet", size, 'sheet = "12 x 12"')
    own_rim = table.take("rim", rim_of)
    return None if sides is None else with_rim(Sheet(*sides, own_rim or rim), table.said, table.findings)


def with_rim(sheet: Sheet, said: Said, findings: Findings) -> Sheet | None:
    """The sheet, if its rim leaves something to use."""
    if all(side > ZERO for side in sheet.usable):
        return sheet
    findings.add(said.place, "The rim leaves nothing of this sheet.", "Make the rim narrower, or check its unit.")
    return None
