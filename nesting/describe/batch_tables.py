"""The tables [batch] and [trimmer]: how many cards of which design, spares, and what the trimmer can do.

In: tables and the names of designs. Out: a Batch and a Trimmer. The facts of the trade: mistakes happen, so a batch
needs spares; and a trimmer has a longest cut and a narrowest strip that it can hold.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import pairwise

from nesting.describe.findings import Findings
from nesting.describe.names import Names, composed
from nesting.describe.project import BatchLine, CentreRule, Habits, SpareRule, Spares, Trimmer
from nesting.describe.tables import Table, as_items
from nesting.describe.values import Said, length, positive_length, price, size, weight, whole, words, yes_no
from nesting.lengths import ZERO, Unit, inches, mm
from nesting.money import UNNAMED, Currency
from nesting.quoting import quoted

MOST_CARDS = 1_000_000
MOST_SPARES = 10_000
LARGEST_KERF = inches("1/2")
MOST_PILES = 100
MOST_SECONDS = 3600


@dataclass(frozen=True)
class Batch:
    """What is to be made: cards by design, and the spares."""

    title: str = ""
    currency: Currency = UNNAMED
    lines: tuple[BatchLine, ...] = ()
    spares: Spares = field(default_factory=Spares)
    grain_from: Fraction = Fraction(150)
    grain_required_from: Fraction | None = None
    centres: CentreRule | None = None
    budget: int | None = None


def read_batch(said: Said, designs: Names, all_read: bool, findings: Findings) -> Batch:
    """The table [batch]; what is wrong in it is noted and left out."""
    table = Table(said.about("batch"), findings)
    title = table.take("title", words)
    table.take("currency", _sign)
    table.take("decimals", _decimals)
    spares = table.take("spares", _spares)
    cards = table.at("cards")
    lines = () if cards is None else _cards(cards, designs, all_read, findings)
    grain_from = table.take("grain_from", weight)
    grain_required_from = table.take("grain_required_from", weight)
    centres = table.take("centres", _centres)
    budget = table.take("budget", price)
    table.close(
        "a batch may hold title, currency, decimals, cards, spares, budget, grain_from, grain_required_from and"
        " centres."
    )
    return Batch(
        title=title or "",
        currency=currency_of(said),
        lines=lines,
        spares=spares or Spares(),
        grain_from=Fraction(150) if grain_from is None else grain_from,
        grain_required_from=grain_required_from,
        centres=centres,
        budget=budget,
    )


def currency_of(batch: Said) -> Currency:
    """What the whole project counts in, before anything else is read; mistakes are told by `read_batch`."""
    table = Table(batch, Findings())
    sign, decimals = table.take("currency", _sign), table.take("decimals", _decimals)
    return Currency(sign or UNNAMED.sign, UNNAMED.decimals if decimals is None else decimals)


def _sign(said: Said, findings: Findings) -> str | None:
    """What is written before prices; no digit and no point, so that it is never taken for a part of one."""
    sign = words(said, findings)
    if sign is not None and (len(sign) > 8 or any(letter in "0123456789.,+-" for letter in sign)):
        what = f"{quoted(sign)} is no sign of a currency."
        findings.add(said.place, what, "Write at most 8 characters and no digit, point or dash, like $ or EUR.")
        return None
    return sign


def _decimals(said: Said, findings: Findings) -> int | None:
    if said.value in (0, 2) and isinstance(said.value, int) and not isinstance(said.value, bool):
        return said.value
    todo = "Write 2 where prices have cents (usual), or 0 where they have none."
    findings.add(said.place, f"{quoted(said.value)} is no number of decimals that prices have.", todo)
    return None


def _centres(said: Said, findings: Findings) -> CentreRule | None:
    """True for the usual rule, false for none, or a table of rim and price."""
    usual = CentreRule() if said.unit is Unit.INCH else CentreRule(rim=mm(6))
    if not isinstance(said.value, dict):
        return usual if yes_no(said, findings) else None
    table = Table(said, findings)
    rim, cents = table.take("rim", positive_length), table.take("price", price)
    table.close("centres may hold rim and price.")
    return CentreRule(rim or usual.rim, usual.price if cents is None else cents)


def _cards(said: Said, designs: Names, all_read: bool, findings: Findings) -> tuple[BatchLine, ...]:
    if not isinstance(said.value, dict):
        todo = "Write it like cards = { robin = 12, wren = 8 }."
        findings.add(said.place, f"{quoted(said.value)} does not say how many cards of which design.", todo)
        return ()
    lines = []
    for word, value in as_items(said):
        entry = said.inside(word, value)
        count = whole(0, MOST_CARDS)(entry, findings)
        name = composed(word)
        if name in designs:
            lines.append(BatchLine(name, count or 0, entry.place))
        elif all_read:
            todo = findings.hint(word, designs, "describe it under a heading [design.NAME].")
            findings.add(said.place, f"There is no design {quoted(word)}.", todo)
    return tuple(lines)


def _spares(said: Said, findings: Findings) -> Spares | None:
    """A number of each kind, or "1 in 10"."""
    value = said.value
    if isinstance(value, str):
        text = value.strip().lower()
        share = re.fullmatch(r"(?:1|one)\s+in\s+([1-9][0-9]{0,4})", text)
        if share:
            return Spares(SpareRule.SHARE, int(share[1]))
        if text == "none":
            return Spares()
    elif isinstance(value, int) and not isinstance(value, bool) and 0 <= value <= MOST_SPARES:
        return Spares(SpareRule.EACH, value) if value else Spares()
    findings.add(
        said.place, f"{quoted(value)} does not say how many spares.", 'Write spares = "1 in 10", or a number like 2.'
    )
    return None


def default_trimmer(unit: Unit) -> Trimmer:
    """A trimmer of which nothing was said: no limits, a ruler and a drawer in the project's own unit."""
    return Trimmer() if unit is Unit.INCH else Trimmer(ruler_step=mm(1), keep_from=(mm(25), mm(75)))


def read_trimmer(said: Said, unit: Unit, findings: Findings) -> Trimmer:
    """The table [trimmer]; what is wrong in it is noted and left out."""
    table = Table(said.about("trimmer"), findings)
    usual = default_trimmer(unit)
    kerf = table.take("kerf", length) or ZERO
    if kerf > LARGEST_KERF:
        table.refuse("kerf", f"A blade that removes {quoted(table.values['kerf'])} is no trimmer.", "Check the unit.")
    keep = table.take("keep", size)
    deep = table.at("deep")
    trimmer = Trimmer(
        longest_cut=table.take("longest_cut", positive_length),
        largest_setting=table.take("largest_setting", positive_length),
        narrowest_held=table.take("narrowest", length) or ZERO,
        kerf=kerf,
        ruler_step=table.take("ruler", positive_length) or usual.ruler_step,
        deep=() if deep is None else _deep(deep, findings),
        keep_from=usual.keep_from if keep is None else (min(keep), max(keep)),
        habits=_habits(table, findings),
    )
    table.close(
        "a trimmer may hold longest_cut, largest_setting, narrowest, kerf, ruler, keep, deep, piles, errors,"
        " square_first, halve_rows and seconds."
    )
    return trimmer


def _habits(trimmer: Table, findings: Findings) -> Habits:
    """How the user works: what stands in [trimmer] itself, and the table of seconds."""
    usual = Habits()
    said = trimmer.at("seconds")
    seconds: dict[str, int] = {}
    if said is not None:
        table = Table(said.about("trimmer, seconds"), findings)
        for name in ("stroke", "setting", "turn", "stack", "measure", "offcut"):
            taken = table.take(name, whole(0, MOST_SECONDS))
            if taken is not None:
                seconds[name] = taken
        table.close("seconds may hold stroke, setting, turn, stack, measure and offcut.")
    piles = trimmer.take("piles", whole(1, MOST_PILES))
    errors = trimmer.take("errors", whole(1, MOST_PILES))
    return Habits(
        piles=usual.piles if piles is None else piles,
        errors=usual.errors if errors is None else errors,
        square_first=trimmer.take("square_first", yes_no) or False,
        halve_rows=trimmer.take("halve_rows", yes_no) or False,
        **seconds,
    )


def _deep(said: Said, findings: Findings) -> tuple[tuple[int, int], ...]:
    """Sheets per pass up to each weight, lightest first; a weight between two grams counts as the heavier."""
    if not isinstance(said.value, dict):
        findings.add(
            said.place, f"{quoted(said.value)} is no table.", 'Write it like deep = { "120 gsm" = 5, "200 gsm" = 2 }.'
        )
        return ()
    found: dict[int, int] = {}
    for word, value in as_items(said):
        entry = said.inside(word, value)
        grams = weight(Said(word, said.file, said.unit, entry.path, said.subject), findings)
        sheets = whole(1, 100)(entry, findings)
        if grams is None or sheets is None:
            continue
        up_to = -(-grams.numerator // grams.denominator)
        if up_to in found:
            findings.add(entry.place, f"The weight {quoted(word)} is there twice.", "Keep one of the two.")
        found[up_to] = sheets
    steps = sorted(found.items())
    for (light, few), (heavy, many) in pairwise(steps):
        if many > few:
            what = f"Of {heavy} gsm more sheets are cut in a pass than of {light} gsm."
            findings.add(said.place, what, "Swap the two numbers.")
    return tuple(steps)
