"""From the drawer into a project, and from a plan that was cut back into the drawer.

In: a Project and items, or a Plan. Out: the project with what is at hand, or one entry of the ledger that takes out
what was used and puts in the offcuts. The fact of the trade: offcuts come off the sheet as it lay, so they keep
its print direction and its grain.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from dataclasses import replace

from nesting.describe.papers import HeldSheet, Paper, Sheet
from nesting.describe.project import Project
from nesting.describe.shops import Ware
from nesting.errors import NestingError, Place, Problem
from nesting.lengths import Length, write_size
from nesting.plan import Plan, RestOf, held_sheets
from nesting.stash.drawer import Lot, Stash
from nesting.stash.items import Change, Details, Item


def with_drawer(project: Project, items: Iterable[Item]) -> Project:
    """The project with the drawer's items added to what its own files say is at hand."""
    there = tuple(items)
    papers = tuple(replace(paper, at_hand=paper.at_hand + _held(paper, there)) for paper in project.papers)
    return replace(project, papers=papers)


def _held(paper: Paper, items: Iterable[Item]) -> tuple[HeldSheet, ...]:
    place = Place(subject="the drawer")
    return tuple(HeldSheet(item.details.sheet, item.count, place) for item in items if _serves(item, paper))


def _serves(item: Item, paper: Paper) -> bool:
    """Of this paper, and not known to be printed another way."""
    return item.count > 0 and item.details.is_of(paper.name) and item.details.direction in (None, paper.direction)


def record_plan(stash: Stash, plan: Plan, *, again: bool = False) -> tuple[int, ...]:
    """A plan was cut: one step, once only unless `again`. Gives the numbers of the items of what is put in.

    What the project's own files list is used up before the drawer. A plan for the rest of an earlier one records that
    one too, unless that is recorded already; then what lay on the table lies in the drawer. Raises NestingError where
    the drawer no longer holds what the plan takes, and where this plan was recorded already; then nothing is changed.
    """
    mark = mark_of(plan)
    if not again:
        stash.refuse_cut_twice(mark)  # said before what is missing, which it would explain
    used = used_items(plan, stash)
    lots = (*offcut_lots(plan), *unused_lots(plan))
    if plan.rest_of is not None and not stash.is_recorded(plan.rest_of.mark):
        mark, lots = f"{plan.rest_of.mark}\n{mark}", (*lots, *_table_lots(plan, plan.rest_of))
    return stash.record_cut(mark, used, lots, plan.project.title, again=again)


def used_items(plan: Plan, stash: Stash) -> tuple[Change, ...]:
    """How many of which items the plan takes, lowest numbers first; NestingError with all that is not there."""
    changes: list[Change] = []
    problems: list[Problem] = []
    items = sorted(stash.items(), key=lambda item: item.number)
    papers = {paper.name: paper for paper in plan.project.papers}
    former = plan.rest_of if plan.rest_of is not None and stash.is_recorded(plan.rest_of.mark) else None
    used_up = dict(former.taken) if former is not None else {}
    for ware, count in _taken(plan, stash).items():
        paper = papers[ware.paper]
        listed = sum(h.count for h in paper.at_hand if h.place.file and h.sheet == ware.sheet) - used_up.get(ware, 0)
        listed = max(0, listed)
        rest = max(0, count - listed)
        for item in items:
            if rest and item.details.sheet == ware.sheet and _serves(item, paper):
                part = min(rest, item.count)
                changes.append(Change(item.number, part))
                rest -= part
        if rest:
            size = write_size(ware.sheet.width, ware.sheet.height, plan.project.unit, with_unit=True)
            what = f"The plan takes {rest} more of {size} than there are."
            todo = "Plan again from the drawer as it is now, or put back what was taken out."
            problems.append(Problem(Place(subject=paper.name), what, todo))
    if problems:
        raise NestingError(problems)
    return tuple(changes)


def _taken(plan: Plan, stash: Stash) -> dict[Ware, int]:
    """Sheets and offcuts taken from what is at hand; what comes from the table was taken by the plan before."""
    taken = held_sheets(plan)
    if plan.rest_of is not None and not stash.is_recorded(plan.rest_of.mark):
        for ware, count in plan.rest_of.table:
            taken[ware] = max(0, taken.get(ware, 0) - count)
        for ware, count in plan.rest_of.taken:
            taken[ware] = taken.get(ware, 0) + count
    return taken


def _table_lots(plan: Plan, rest: RestOf) -> tuple[Lot, ...]:
    """What is left on the table, as far as it is worth keeping."""
    used = held_sheets(plan)
    short, long = sorted(plan.project.trimmer.keep_from)
    kept = []
    for ware, count in rest.table:
        sides = sorted(ware.sheet.usable)
        left = count - min(count, used.get(ware, 0))
        if left and sides[0] >= short and sides[1] >= long:
            kept.append((ware, left))
    return _lots(plan, kept)


def offcut_lots(plan: Plan) -> tuple[Lot, ...]:
    """The offcuts worth keeping, to be put in."""
    return tuple(
        Lot(
            Details(
                paper=paper.paper.name,
                sheet=Sheet(Length(offcut.width), Length(offcut.height)),
                unit=plan.project.unit,
                direction=paper.paper.direction,
                grain=paper.paper.grain,
            ),
            offcut.count,
        )
        for paper in plan.papers
        for offcut in paper.offcuts
    )


def unused_lots(plan: Plan) -> tuple[Lot, ...]:
    """The sheets that packs brought beyond need, to be put in."""
    return _lots(plan, plan.purchase.extra if plan.purchase is not None else ())


def _lots(plan: Plan, wares: Iterable[tuple[Ware, int]]) -> tuple[Lot, ...]:
    """So many sheets of each ware as lots; of papers that the project still names."""
    papers = {paper.name: paper for paper in plan.project.papers}
    return tuple(
        Lot(
            Details(
                paper=ware.paper,
                sheet=ware.sheet,
                unit=plan.project.unit,
                direction=papers[ware.paper].direction,
                grain=papers[ware.paper].grain,
            ),
            count,
        )
        for ware, count in wares
        if ware.paper in papers
    )


def mark_of(plan: Plan) -> str:
    """A mark that is the same for the same plan: title, cards, papers, sources and layouts."""
    cards = [(line.design, line.count) for line in plan.project.batch]
    cut = [(paper.paper.name, paper.packing.sources, paper.uses) for paper in plan.papers]
    words = repr((plan.project.title, cards, cut))
    return f"plan {hashlib.sha256(words.encode('utf-8', 'backslashreplace')).hexdigest()}"
