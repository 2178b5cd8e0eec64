"""Variants of one project: another paper, another sheet to buy it in, another design, said in a few words.

In: a Project and words like "pine = kraft", "pine = 12 x 12 or A4 at 0.55", "robin = wren". Out: two Variants to be
planned, or all that is wrong with the words. The fact of the trade: before anything is bought one asks what it would
be in the other paper, or cut from the larger sheet; and nobody writes the whole batch down twice for that.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from nesting.describe.designs import CardDesign
from nesting.describe.findings import Findings, same_word
from nesting.describe.papers import Paper, Sheet, SoldSheet
from nesting.describe.project import BatchLine, Project
from nesting.describe.shops import Offer
from nesting.describe.sizes import read_sheet
from nesting.errors import NestingError, Place
from nesting.lengths import write_size
from nesting.quoting import quoted

AS_PLANNED = "as it stands"
_OR = re.compile(r"\s+or\s+")
_AT = re.compile(r"(.+?)\s+at\s+(.+)")
_Change = Callable[[Project], Project]


@dataclass(frozen=True, slots=True)
class Variant:
    """A project with the words for what is different in it."""

    words: str
    project: Project


def variants(
    project: Project, *, papers: Sequence[str] = (), sheets: Sequence[str] = (), designs: Sequence[str] = ()
) -> tuple[Variant, Variant]:
    """The two sides: with one choice after "=" the project as it stands and the changed one, with two the two choices.

    Several words change the same two sides together. Raises NestingError with all that is wrong.
    """
    findings = Findings()
    sides: tuple[list[tuple[str, _Change]], list[tuple[str, _Change]]] = ([], [])
    rows = [("--paper", papers, _paper), ("--sheet", sheets, _sheet), ("--design", designs, _design)]
    for option, said, read in rows:
        for words in said:
            found = _choices(words, option, findings)
            changes = [read(project, found[0], choice, Place(subject=option), findings) for choice in found[1:]]
            if len(changes) == 1:
                sides[1].extend(change for change in changes if change)
            for side, change in zip(sides, changes if len(changes) == 2 else (), strict=False):
                side.extend([change] if change else [])
    if not (papers or sheets or designs):
        todo = 'Say it with --paper "pine = kraft", --sheet "pine = A4", --design "robin = wren", or --with FOLDER.'
        findings.add(Place(subject="compare"), "It is not said what is to be compared.", todo)
    if findings.problems:
        raise NestingError(findings.problems)
    return _variant(project, sides[0]), _variant(project, sides[1])


def _variant(project: Project, changes: Sequence[tuple[str, _Change]]) -> Variant:
    for _, change in changes:
        project = change(project)
    return Variant(", ".join(words for words, _ in changes) or AS_PLANNED, project)


def _choices(words: str, option: str, findings: Findings) -> list[str]:
    """The name before "=", and one or two choices after it; nothing where that is not so."""
    name, sign, rest = words.partition("=")
    choices = [choice.strip() for choice in _OR.split(f" {rest} ")]
    if not sign or not name.strip() or not all(choices) or len(choices) > 2:
        what = f"{quoted(words)} does not say what is to be compared."
        findings.add(Place(subject=option), what, "Write a name, “=”, and one choice or two: “a = b” or “a = b or c”.")
        return [""]
    return [name.strip(), *choices]


def _named(word: str, known: Sequence[str], what: str, place: Place, findings: Findings) -> str | None:
    found = next((name for name in known if same_word(name) == same_word(word)), None)
    if found is None:
        todo = findings.hint(word, known, f"choose from {', '.join(known)}." if known else "describe it first.")
        findings.add(place, f"There is no {what} {quoted(word)}.", todo)
    return found


# ------------------------------------------------------------------------------------------ another paper


def _paper(project: Project, word: str, choice: str, place: Place, findings: Findings) -> tuple[str, _Change] | None:
    known = [paper.name for paper in project.papers]
    name, other = (_named(one, known, "paper", place, findings) for one in (word, choice))
    if name is None or other is None:
        return None
    return other, lambda project: _with_paper(project, name, other)


def _with_paper(project: Project, name: str, other: str) -> Project:
    """Everything of one paper is cut from the other."""

    def of(paper: str) -> str:
        return other if paper == name else paper

    designs = tuple(_recovered(design, of) for design in project.designs)
    pieces = tuple(replace(piece, paper=of(piece.paper)) for piece in project.pieces)
    return replace(project, designs=designs, pieces=pieces)


def _recovered(design: CardDesign, of: Callable[[str], str]) -> CardDesign:
    bases = tuple(replace(base, paper=of(base.paper)) for base in design.bases)
    parts = tuple(
        replace(
            part,
            paper=of(part.paper),
            or_papers=tuple(dict.fromkeys(of(one) for one in part.or_papers if of(one) != of(part.paper))),
        )
        for part in design.parts
    )
    return replace(design, base=bases[0] if bases else None, more_bases=bases[1:], parts=parts)


# ------------------------------------------------------------------------------------------ another sheet


def _sheet(project: Project, word: str, choice: str, place: Place, findings: Findings) -> tuple[str, _Change] | None:
    """New sheets of a paper in one size only; its price is known, or is said as "A4 at 0.55"."""
    name = _named(word, [paper.name for paper in project.papers], "paper", place, findings)
    at = _AT.fullmatch(choice)
    size, price = (at[1], at[2]) if at else (choice, None)
    try:
        sides = read_sheet(size, project.unit)
        cents = None if price is None else project.currency.read(price)
    except ValueError as wrong:
        findings.refuse(place, str(wrong))
        return None
    if name is None:
        return None
    words = f"{name} {size}"
    sold = {sheet for sheet in _sold(project, name) if (sheet.width, sheet.height) == sides}
    if not sold and cents is None:
        there = [write_size(sheet.width, sheet.height, project.unit) for sheet in _sold(project, name)]
        what = f"{words} is not sold; {name} is sold as {', '.join(there) or 'no sheet'}."
        findings.add(place, what, f"Say what a sheet costs, like “{name} = {size} at {project.currency.amount(60)}”.")
        return None
    sheet = min(sold, key=repr) if sold else Sheet(*sides, project.paper(name).rim)
    return words, lambda project: _in_one_size(project, name, sold or {sheet}, SoldSheet(sheet, cents, place))


def _sold(project: Project, name: str) -> list[Sheet]:
    """The sheets of a paper that are sold, anywhere or in a shop."""
    own = [sold.sheet for sold in project.paper(name).sold]
    holds = [ware for shop in project.shops for offer in shop.sells for ware, _ in offer.holds]
    return list(dict.fromkeys([*own, *(ware.sheet for ware in holds if ware.paper == name)]))


def _in_one_size(project: Project, name: str, sheets: set[Sheet], said: SoldSheet) -> Project:
    """New sheets of that paper of these sizes only; where a price was said, at that price and from no shop."""

    def left(paper: Paper) -> Paper:
        if paper.name != name:
            return paper
        return replace(paper, sold=(said,) if said.price is not None else kept(paper))

    def kept(paper: Paper) -> tuple[SoldSheet, ...]:
        return tuple(sold for sold in paper.sold if sold.sheet in sheets)

    def stays(offer: Offer) -> bool:
        of_it = [ware.sheet in sheets and said.price is None for ware, _ in offer.holds if ware.paper == name]
        return all(of_it)

    shops = tuple(replace(shop, sells=tuple(filter(stays, shop.sells))) for shop in project.shops)
    return replace(project, papers=tuple(map(left, project.papers)), shops=shops)


# ------------------------------------------------------------------------------------------ another design


def _design(project: Project, word: str, choice: str, place: Place, findings: Findings) -> tuple[str, _Change] | None:
    known = [design.name for design in project.designs]
    name, other = (_named(one, known, "design", place, findings) for one in (word, choice))
    if name is None or other is None:
        return None
    if not any(line.count for line in project.batch if line.design == name):
        findings.add(place, f"The batch holds no {name}.", "Name a design of which cards are wanted.")
        return None
    return other, lambda project: _with_design(project, name, other)


def _with_design(project: Project, name: str, other: str) -> Project:
    """As many cards, of the other design."""
    counts: dict[str, BatchLine] = {}
    for line in project.batch:
        design = other if line.design == name else line.design
        before = counts[design].count if design in counts else 0
        counts[design] = replace(line, design=design, count=before + line.count)
    return replace(project, batch=tuple(counts.values()))
