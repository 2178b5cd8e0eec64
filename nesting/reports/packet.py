"""The packet to hang beside the trimmer: cover, one paper's work after another, fold sheets, as one PDF.

In: a Plan and a paper size. Out: Drawings, one a page, and the PDF. The fact of the trade: at the table nobody
scrolls; each page says which paper, which stack, which edge to the stop, which stop, and what is left.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from nesting.describe.designs import CardDesign
from nesting.describe.papers import PrintDirection
from nesting.errors import NestingError, Place, Problem
from nesting.lengths import ZERO, write_size
from nesting.money import write_cents
from nesting.pieces.spots import base_windows, find_spots
from nesting.plan import PaperPlan, Plan
from nesting.reports import phrases
from nesting.reports.cover import CardFace, CoverSubject, PaperLine, Patch, cover_pages
from nesting.reports.drawing import Drawing
from nesting.reports.fold_sheet import FoldSubject, fold_pages
from nesting.reports.page_frame import Numbering, PageSize
from nesting.reports.plan_maps import map_subjects
from nesting.reports.sheet_page import SheetWork, sheet_pages
from nesting.reports.shopping import budget_words, extra_words, how_cheap, shop_lists
from nesting.reports.shopping_page import ShoppingSubject, shopping_pages

CAUTION = "Hands out of the blade's line; follow the makers' instructions."


def packet(plan: Plan, size: PageSize) -> tuple[Drawing, ...]:
    """All pages in order, numbered."""
    works = [_work(plan, paper) for paper in plan.papers]
    folds = _folds(plan)
    counts = [len(sheet_pages(work, size)) for work in works]
    fold_counts = [len(fold_pages(fold, size)) for fold in folds]
    shopping = _shopping(plan)
    cover_count = len(cover_pages(_cover(plan, [0] * len(works)), size))
    shop_count = len(shopping_pages(shopping, size))
    total = cover_count + shop_count + sum(counts) + sum(fold_counts)
    batch = plan.project.title
    first, starts = cover_count + shop_count + 1, []
    for count in (*counts, *fold_counts):
        starts.append(first)
        first += count
    pages = [*cover_pages(_cover(plan, starts), size, Numbering(batch, 1, total))]
    pages += shopping_pages(shopping, size, Numbering(batch, cover_count + 1, total))
    for work, start in zip(works, starts, strict=False):
        pages += sheet_pages(work, size, Numbering(batch, start, total))
    for fold, start in zip(folds, starts[len(works) :], strict=True):
        pages += fold_pages(fold, size, Numbering(batch, start, total))
    return tuple(pages)


def write_packet(plan: Plan, path: Path, size: PageSize) -> int:
    """Write the packet as a PDF and return its number of pages; raises NestingError where it cannot be written."""
    from nesting.reports.pages import save_pages

    pages = packet(plan, size)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        save_pages(pages, path, plan.project.title)
    except OSError as error:
        raise NestingError(
            [Problem(Place(str(path)), f"the packet could not be written: {error.strerror or error}.",
                     "Free some space or choose another place with --out.")]
        ) from error  # fmt: skip
    return len(pages)


def _work(plan: Plan, paper: PaperPlan) -> SheetWork:
    sizes = dict.fromkeys(
        write_size(source.sheet.width, source.sheet.height, plan.project.unit, with_unit=True)
        for source in (paper.packing.sources[use.sheet] for use in paper.uses)
    )
    kind = "plain" if paper.paper.direction is PrintDirection.NONE else f"{paper.paper.direction.value} print"
    below = f"{kind}  ·  {', '.join(sizes)}  ·  {phrases.plural(paper.sheets, 'sheet')}"
    return SheetWork(
        paper=paper.paper.name,
        below=(below,),
        layouts=map_subjects(plan.project, paper),
        passes=paper.order.passes,
        minutes=-(-paper.order.seconds // 60),
    )


def _shopping(plan: Plan) -> ShoppingSubject:
    said = (how_cheap(plan), extra_words(plan), budget_words(plan))
    return ShoppingSubject(
        plan.project.title, plan.project.currency, shop_lists(plan), plan.price or 0, tuple(one for one in said if one)
    )


def _folds(plan: Plan) -> list[FoldSubject]:
    """Every base of the batch that is scored, slit or cut into, with the windows that its panels get."""
    counts = {line.design: line.count for line in plan.project.batch}
    found = []
    for design in plan.project.designs:
        copies = counts.get(design.name, 0)
        names = tuple((numbers[0], name) for name, numbers in design.names if len(numbers) == 1)
        for base in design.bases if copies else ():
            cut = replace(base, windows=base.windows + base_windows(design, base, plan.project.unit))
            if cut.folds or cut.slits or cut.cut_away or cut.windows:
                found.append(FoldSubject(design.name, cut, copies * len(base.lies), plan.project.unit, names))
    return found


def _cover(plan: Plan, starts: list[int]) -> CoverSubject:
    sign = plan.project.currency
    counts = {line.design: line.count for line in plan.project.batch}
    cards = sum(counts.values())
    seconds = sum(paper.order.seconds for paper in plan.papers)
    figures = [(phrases.duration(seconds), "at the trimmer"), (str(plan.to_buy), "sheets to buy")]
    if plan.price is not None:
        figures.insert(0, (write_cents(plan.price, sign), "to buy"))
    made = f"  ·  {phrases.plural(cards, 'card')}" if cards else ""
    return CoverSubject(
        title=plan.project.title,
        below=(f"{phrases.plural(len(plan.papers), 'paper')}{made}",),
        unit=plan.project.unit,
        cards=tuple(
            face for design in plan.project.designs if (face := _face(plan, design, counts.get(design.name, 0)))
        ),
        figures=tuple(figures[:3]),
        papers=tuple(_line(plan, paper, start) for paper, start in zip(plan.papers, starts, strict=False)),
        total_cost="" if plan.price is None else write_cents(plan.price),
        total_minutes=str(-(-seconds // 60)),
        cost_head=f"cost, {sign}" if sign else "cost",
        packs=plan.purchase is not None,
        note=CAUTION,
    )


def _line(plan: Plan, paper: PaperPlan, start: int) -> PaperLine:
    """One paper; where shops sell packs, a sheet has no price of its own."""
    cost = "?" if paper.price is None else write_cents(paper.price)
    return PaperLine(
        name=paper.paper.name,
        kind="plain" if paper.paper.direction is PrintDirection.NONE else paper.paper.direction.value,
        direction=paper.paper.direction,
        buy=paper.to_buy,
        need=paper.sheets,
        on_shelf=paper.at_hand,
        cost=cost if plan.purchase is None else "",
        minutes=str(-(-paper.order.seconds // 60)),
        page=start or None,
    )


def _face(plan: Plan, design: CardDesign, make: int) -> CardFace | None:
    """The panel that carries the most, with what lies on it."""
    if not make or design.base is None:
        return None
    papers = {part.name: part.paper for part in design.parts}
    spots = [
        (spot, papers[name])
        for name, found in find_spots(design, plan.project.unit, []).items()
        for spot, _ in found
        if spot.panel and papers[name]
    ]
    panels = {panel.number: (base, panel) for base in design.bases for panel in base.panels}
    number = max(panels, key=lambda place: (sum(spot.panel == place for spot, _ in spots), place))
    base, panel = panels[number]
    patches = [Patch(ZERO, ZERO, panel.width, panel.height, base.paper)]
    patches += [
        Patch(spot.x - panel.x, spot.y - panel.y, spot.width, spot.height, paper)
        for spot, paper in spots
        if spot.panel == number
    ]
    return CardFace(design.name, make, panel.width, panel.height, tuple(patches))
