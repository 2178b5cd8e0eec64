"""The keys of a family in a table [design.NAME]: read by their parameters, built, its panels put into the book.

In: a table that holds `family`. Out: bases with their paper, and the panels and groups that parts may name.
"""

from __future__ import annotations

from dataclasses import replace

from nesting.describe.designs import Base
from nesting.describe.families import FAMILIES, CannotBe, Family, Given, Parameter, Shape, Takes
from nesting.describe.families.family import Value
from nesting.describe.findings import Findings
from nesting.describe.folding import NotFlat, fold_shut
from nesting.describe.names import Names
from nesting.describe.panel_names import PanelNames, name_panels
from nesting.describe.paper_names import PaperNames
from nesting.describe.tables import Table
from nesting.describe.values import Said, length, positive_length, size, whole, words, yes_no
from nesting.errors import Fault
from nesting.quoting import quoted

MOST_STEPS = 20


def read_family(table: Table, book: PanelNames, names: Names, papers: PaperNames) -> tuple[str, tuple[Base, ...]]:
    """The family's name and its bases; nothing, and the mistakes noted, where it cannot be built."""
    family = table.take("family", _family)
    panels, turn = table.at("panels"), table.take("turn", yes_no)
    said_paper = table.at("base")
    if not table.has("base"):
        table.missing.append(("base", 'base = "cream"'))
    if family is None:
        book.sure = False
        table.known += [key for key in table.values if key != "parts"]
        return "", ()
    shape = _build(family, table)
    if shape is None:
        book.sure = False
        _take_names(book, panels, names, table.findings)
        return family.name, ()
    book.panels = {panel.number: panel for base in shape.bases for panel in base.panels}
    for word, numbers in shape.names:
        if names.give(word, table.said.inside("family", "").place, table.findings):
            book.groups[word] = numbers
    _take_names(book, panels, names, table.findings)
    sheets = _papers(said_paper, shape, papers, table.findings)
    return family.name, tuple(
        replace(base, paper=sheets.get(base.name, ""), place=table.place, may_turn=turn) for base in shape.bases
    )


def may_hold(family: str) -> str:
    """What a table of this family may hold, in words."""
    keys = [parameter.key for parameter in FAMILIES[family].takes]
    return f"a {family} may hold family, base, {', '.join(keys)}, panels, turn, centres, parts and costs."


def _family(said: Said, findings: Findings) -> Family | None:
    word = words(said, findings)
    if word is None:
        return None
    found = FAMILIES.get(" ".join(word.lower().split()))
    if found is None:
        todo = findings.hint(word, FAMILIES, f"choose one of {', '.join(FAMILIES)}.")
        findings.add(said.place, f"There is no family of cards {quoted(word)}.", todo)
    return found


def _take_names(book: PanelNames, panels: Said | None, names: Names, findings: Findings) -> None:
    if panels is not None:
        name_panels(book, panels, names, findings)


def _build(family: Family, table: Table) -> Shape | None:
    given = _given(family.takes, table)
    if given is None:
        return None
    try:
        shape = family.build(given)
    except CannotBe as wrong:
        place = table.said.inside(wrong.key, None).place if table.has(wrong.key) else table.place
        table.findings.add(place, wrong.what, wrong.todo)
        return None
    try:
        for base in shape.bases:
            fold_shut(base)
    except NotFlat as wrong:
        raise Fault(f"A {family.name} was built that cannot be shut: {wrong}") from None
    return shape


def _given(parameters: tuple[Parameter, ...], table: Table) -> Given | None:
    """All parameters, defaults filled in; None where one is missing or wrong."""
    values: dict[str, Value] = {}
    complete = True
    for parameter in parameters:
        if table.has(parameter.key):
            value = _value(parameter, table)
            complete = complete and value is not None
        else:
            table.at(parameter.key)
            value = parameter.usual(table.said.unit)
            if value is None and not parameter.optional:
                table.missing.append((parameter.key, parameter.example))
                complete = False
        if value is not None:
            values[parameter.key] = value
    return Given(values, table.said.unit) if complete else None


def _value(parameter: Parameter, table: Table) -> Value | None:
    key, one_length = parameter.key, length if parameter.may_be_nothing else positive_length
    match parameter.takes:
        case Takes.SIZE:
            return table.take(key, size)
        case Takes.LENGTH:
            return table.take(key, one_length)
        case Takes.COUNT:
            return table.take(key, whole(parameter.lowest, parameter.highest))
        case Takes.LENGTHS:
            lengths = table.list_of(key, one_length)
            said = table.values[key]
            return tuple(lengths) if len(lengths) == (len(said) if isinstance(said, list) else 1) else None
        case Takes.WORD:
            return table.take(key, lambda said, findings: _word(parameter, said, findings))
        case Takes.TABLES:
            return _tables(parameter, table)


def _word(parameter: Parameter, said: Said, findings: Findings) -> str | None:
    word = said.value.strip().lower() if isinstance(said.value, str) else ""
    if word in parameter.choices:
        return word
    choice = ", ".join(f"“{choice}”" for choice in parameter.choices)
    findings.add(said.place, f"{quoted(said.value)} is not one of {choice}.", "Write one of these words in quotes.")
    return None


def _tables(parameter: Parameter, table: Table) -> tuple[Given, ...] | None:
    said = table.at(parameter.key)
    assert said is not None
    entries = said.entries()
    if len(entries) > MOST_STEPS or not all(isinstance(entry.value, dict) for entry in entries):
        what = f"{quoted(said.value)} is no list of at most {MOST_STEPS} tables."
        table.findings.add(said.place, what, f"Write it like {parameter.example}.")
        return None
    found = []
    for entry in entries:
        inner = Table(entry, table.findings)
        found.append(_given(parameter.inner, inner))
        inner.close(f"an entry of “{parameter.key}” may hold {', '.join(key.key for key in parameter.inner)}.")
    complete = [given for given in found if given is not None]
    return tuple(complete) if len(complete) == len(found) else None


def _papers(said: Said | None, shape: Shape, papers: PaperNames, findings: Findings) -> dict[str, str]:
    """The paper of each base by the base's name: one for all, or a table."""
    known = [base.name for base in shape.bases]
    if said is None:
        return {}
    if not isinstance(said.value, dict):
        paper = papers.check(said, findings)
        return {} if paper is None else dict.fromkeys(known, paper)
    table = Table(said, findings)
    found = {name: table.need(name, papers.check, f'{_key(name)} = "cream"') for name in known}
    table.close(f"the bases of this card are {', '.join(known)}.")
    return {name: paper for name, paper in found.items() if paper is not None}


def _key(name: str) -> str:
    return f'"{name}"' if " " in name else name
