"""The tables [costs] and [design.NAME.costs]: adhesive, things on every card, sums spent once, work, margin.

In: tables and the parts of designs. Out: Costs. The fact of the trade: prices are known as they are paid, by the roll,
the tub and the pack, and must be brought down to the card.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from nesting.describe.costs import Adhesive, Costs, DesignCosts, Measure, NamedRate, NamedSum, Rate
from nesting.describe.designs import CardDesign, PartKind
from nesting.describe.findings import Findings
from nesting.describe.names import Names
from nesting.describe.tables import Table, as_items
from nesting.describe.values import Said, one_of, positive_length, price, size, whole
from nesting.lengths import LARGEST_TICKS, TICKS_PER_INCH, TICKS_PER_MM
from nesting.quoting import quoted

MAY_HOLD = (
    "costs may hold hour, minutes, minutes_once, tape, glue, foam, stuck_with, each_card, once, overheads, margin"
    " and price_step."
)
DESIGN_MAY_HOLD = "a design's costs may hold minutes, tape, glue, foam, each_card and once."
MOST_MINUTES = 6000
MOST_IN_A_PACK = 1_000_000
_LONG_UNITS = {"m": 1000 * TICKS_PER_MM, "yd": 36 * TICKS_PER_INCH, "ft": 12 * TICKS_PER_INCH}
_LONG = re.compile(r"\s*(\d{1,6}(?:[.,]\d{1,3})?)\s*(m|yd|ft)\s*")
# After a comma two decimals at most, so that 1,200 is never taken for 1.20.
_FINE_PRICE = re.compile(r"(?=[.,]?[0-9])([0-9]{0,9})(?:\.([0-9]{0,6})|,([0-9]{0,2}))?")
_PERCENT = re.compile(r"\s*(\d{1,3}(?:[.,]\d{1,2})?)\s*%\s*")
_ADHESIVES = tuple(Adhesive)


def read_costs(
    said: Said | None, own: Mapping[str, Said], designs: tuple[CardDesign, ...], findings: Findings
) -> Costs:
    """The table [costs] and the tables [design.NAME.costs] by design; what is wrong is noted and left out."""
    by_name = {design.name: design for design in designs}
    table = Table(said.about("costs"), findings) if said is not None else None
    costs = Costs() if table is None else _for_all(table)
    known = {kind for kind, _ in costs.adhesives}
    of_designs = tuple(
        _of_design(by_name[name], table_said, known, findings) for name, table_said in own.items() if name in by_name
    )
    return replace(costs, designs=of_designs)


def _for_all(table: Table) -> Costs:
    adhesives = tuple((kind, rate) for kind in _ADHESIVES if (rate := table.take(kind.value, _adhesive)) is not None)
    margin = table.take("margin", _share)
    if margin is not None and margin >= 1:
        table.refuse("margin", "With this margin no price would be high enough.", "Write less than 100 %.")
        margin = None
    costs = Costs(
        hour=table.take("hour", price) or 0,
        minutes=table.take("minutes", _minutes) or Fraction(0),
        minutes_once=table.take("minutes_once", _minutes) or Fraction(0),
        adhesives=adhesives,
        stuck_with=_stuck_with(table, adhesives),
        each_card=_each_card(table),
        once=_once(table),
        overheads=table.take("overheads", _share) or Fraction(0),
        margin=margin or Fraction(0),
        price_step=table.take("price_step", price) or 1,
    )
    if not costs.hour and not table.meant("hour") and (costs.minutes or costs.minutes_once):
        key = "minutes" if costs.minutes else "minutes_once"
        table.refuse(key, "Minutes are given, but not what an hour costs.", 'Add it, like hour = "15.00".')
    table.close(MAY_HOLD)
    return costs


def _stuck_with(table: Table, adhesives: tuple[tuple[Adhesive, Rate], ...]) -> Adhesive | None:
    """What holds pieces unless a design says otherwise; where one kind only has a price, that one."""
    chosen = table.take("stuck_with", one_of(Adhesive))
    if chosen is None:
        return adhesives[0][0] if len(adhesives) == 1 and not table.meant("stuck_with") else None
    if not table.has(chosen.value):
        what = f"Pieces are stuck with {chosen.value}, which has no price."
        table.refuse("stuck_with", what, f'Add {chosen.value} = {{ price = "4.50", length = "25 m" }}.')
    return chosen


def _of_design(design: CardDesign, said: Said, priced: set[Adhesive], findings: Findings) -> DesignCosts:
    table = Table(said, findings)
    if not isinstance(said.value, dict):
        todo = f"Write it under the heading [design.{design.name}.costs]."
        findings.add(said.place, f"{quoted(said.value)} is not a table.", todo)
    stuck: dict[str, Adhesive] = {}
    for kind in _ADHESIVES:
        there = table.at(kind.value)
        if there is None:
            continue
        if kind not in priced:
            findings.add(there.place, f"{kind.value.capitalize()} has no price.", "Say it in the table [costs].")
        for entry in there.entries():
            name = _part(entry, design, findings)
            if name in stuck:
                what = f"The part {quoted(name)} is stuck on twice."
                findings.add(entry.place, what, "Name it under one of tape, glue and foam.")
            elif name:
                stuck[name] = kind
    costs = DesignCosts(
        design=design.name,
        minutes=table.take("minutes", _minutes),
        stuck=tuple(stuck.items()),
        each_card=_each_card(table),
        once=_once(table),
    )
    table.close(DESIGN_MAY_HOLD)
    return costs


def _part(said: Said, design: CardDesign, findings: Findings) -> str:
    names = Names()
    for part in design.parts:
        if part.kind is not PartKind.WINDOW:
            names.give(part.name, part.place, Findings())
    name = names.meant(said.value) if isinstance(said.value, str) else ""
    if not name:
        todo = findings.hint(str(said.value), names, "name a part of this design that is stuck on.")
        findings.add(said.place, f"There is no part {quoted(said.value)} to stick on.", todo)
    return name


def _adhesive(said: Said, findings: Findings) -> Rate | None:
    """A price with the length of the roll, or with the size of what it covers."""
    table = Table(said, findings)
    if not isinstance(said.value, dict):
        todo = 'Write { price = "4.50", length = "25 m" } or { price = "6.00", covers = "100 x 200 cm" }.'
        findings.add(said.place, f"{quoted(said.value)} does not say how far it reaches.", todo)
        return None
    cents = table.need("price", fine_price, 'price = "4.50"')
    length = table.take("length", _long_length)
    covers = table.take("covers", size)
    if not (table.meant("length") or table.meant("covers")):
        findings.add(said.place, "It is not said how far it reaches.", 'Add length = "25 m" or covers = "10 x 20 cm".')
    elif table.has("length") and table.has("covers"):
        findings.add(said.place, "Both a length and an area are given.", "Keep one: tape has a length, glue covers.")
    table.close("it may hold price, and length or covers.")
    if cents is None or (length is None) == (covers is None):
        return None
    if length is not None:
        return Rate(cents, length, Measure.LENGTH)
    assert covers is not None  # one of the two is there
    return Rate(cents, covers[0].ticks * covers[1].ticks, Measure.AREA)


def _long_length(said: Said, findings: Findings) -> int | None:
    """Ticks of a length that may also be in m, yd or ft."""
    match = _LONG.fullmatch(said.value) if isinstance(said.value, str) else None
    if match is None:
        found = positive_length(said, findings)
        return None if found is None else found.ticks
    ticks = Fraction(match[1].replace(",", ".")) * _LONG_UNITS[match[2]]
    if ticks.denominator == 1 and 0 < ticks <= LARGEST_TICKS * 100:
        return int(ticks)
    findings.add(said.place, f"{quoted(said.value)} is not the length of a roll.", 'Write it like "25 m" or "12 yd".')
    return None


def fine_price(said: Said, findings: Findings) -> Fraction | None:
    """A price of 0 or more in exact cents (smallest coins); small things may cost parts of a cent ("0.035")."""
    value = said.value
    spelled = str(value).strip() if isinstance(value, str | int | Decimal) and not isinstance(value, bool) else ""
    match = _FINE_PRICE.fullmatch(spelled)
    if match is None:
        todo = "Write it like 0.95 or 12; after a point up to six decimals, like 0.035."
        findings.add(said.place, f"{quoted(value)} is not a price.", todo)
        return None
    return Fraction(f"{match[1] or 0}.{match[2] or match[3] or 0}") * said.currency.units


def _rate(said: Said, findings: Findings) -> Rate | None:
    """A price for one, or { price, count } for a pack."""
    if not isinstance(said.value, dict):
        cents = fine_price(said, findings)
        return None if cents is None else Rate(cents)
    table = Table(said, findings)
    cents = table.need("price", fine_price, 'price = "6.00"')
    count = table.need("count", whole(1, MOST_IN_A_PACK), "count = 50")
    table.close("a pack may hold price and count.")
    return None if cents is None or count is None else Rate(cents, count)


def _each_card(table: Table) -> tuple[NamedRate, ...]:
    said = table.at("each_card")
    found = [] if said is None else _named(said, "each_card = { envelope = 0.12 }", table.findings)
    rates = [(name, _rate(entry, table.findings)) for name, entry in found]
    return tuple(NamedRate(name, rate) for name, rate in rates if rate is not None)


def _once(table: Table) -> tuple[NamedSum, ...]:
    said = table.at("once")
    found = [] if said is None else _named(said, 'once = { "stall fee" = 12 }', table.findings)
    sums = [(name, price(entry, table.findings)) for name, entry in found]
    return tuple(NamedSum(name, cents) for name, cents in sums if cents is not None)


def _named(said: Said, example: str, findings: Findings) -> list[tuple[str, Said]]:
    """The entries of a table whose keys are the user's own words."""
    if not isinstance(said.value, dict):
        findings.add(said.place, f"{quoted(said.value)} is no table.", f"Write it like {example}.")
        return []
    names = Names()
    found = []
    for word, value in as_items(said):
        entry = said.inside(word, value)
        name = names.give(word, entry.place, findings)
        if name is not None:
            found.append((name, entry))
    return found


def _minutes(said: Said, findings: Findings) -> Fraction | None:
    value = said.value
    if isinstance(value, int | Decimal) and not isinstance(value, bool):
        number = Decimal(value)
        if number.is_finite() and 0 <= number <= MOST_MINUTES and number == round(number, 2):
            return Fraction(number)
    todo = f"Write a number of minutes from 0 to {MOST_MINUTES}, without quotes and to two decimals, like 6 or 2.5."
    findings.add(said.place, f"{quoted(value)} is not a number of minutes.", todo)
    return None


def _share(said: Said, findings: Findings) -> Fraction | None:
    """A share in percent: "15 %"."""
    match = _PERCENT.fullmatch(said.value) if isinstance(said.value, str) else None
    if match is None:
        findings.add(said.place, f"{quoted(said.value)} is not a share.", 'Write it in percent, like "15 %".')
        return None
    return Fraction(match[1].replace(",", ".")) / 100
