"""The packet to hang beside the trimmer: cover, shopping list, sheets, fold sheets, kits, labels, costs, cautions.

In: a Plan and a paper size. Out: Drawings, one a page. The fact of the trade: at the table nobody
scrolls; each page says which paper, which stack, which edge to the stop, which stop, and what is left.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from nesting.describe.papers import PrintDirection
from nesting.lengths import write_size
from nesting.plan import PaperPlan, Plan
from nesting.reports import phrases
from nesting.reports.base_svg import opened
from nesting.reports.card_faces import card_face
from nesting.reports.cautions import SHORT
from nesting.reports.cover import CoverSubject, PaperLine, cover_pages
from nesting.reports.drawing import Drawing
from nesting.reports.fold_sheet import FoldSubject, fold_pages
from nesting.reports.labels import label_pages
from nesting.reports.page_frame import Numbering, PageSize
from nesting.reports.pass_places import pass_places
from nesting.reports.plan_maps import map_subjects
from nesting.reports.sheet_page import SheetWork, sheet_pages
from nesting.reports.shopping_page import shopping_pages
from nesting.reports.text_pages import caution_pages, cost_pages, kit_pages

Part = Callable[[Numbering | None], tuple[Drawing, ...]]


def packet(plan: Plan, size: PageSize) -> tuple[Drawing, ...]:
    """All pages in order, numbered: every part is laid out once to be counted, and once more with its numbers."""
    works = [_work(plan, paper) for paper in plan.papers]
    parts: list[Part] = [partial(shopping_pages, plan, size)]
    parts += [partial(sheet_pages, work, size) for work in works]
    parts += [partial(fold_pages, fold, size) for fold in folds(plan)]
    parts += [partial(make, plan, size) for make in (kit_pages, label_pages, cost_pages, caution_pages)]
    counts = [len(part(None)) for part in parts]
    cover_count = len(cover_pages(_cover(plan, [0] * len(works)), size))
    total = cover_count + sum(counts)
    starts = [cover_count + 1 + sum(counts[:n]) for n in range(len(parts))]
    batch = plan.project.title
    pages = [*cover_pages(_cover(plan, starts[1 : 1 + len(works)]), size, Numbering(batch, 1, total))]
    for part, start in zip(parts, starts, strict=True):
        pages += part(Numbering(batch, start, total))
    return tuple(pages)


def _work(plan: Plan, paper: PaperPlan) -> SheetWork:
    sizes = dict.fromkeys(
        write_size(source.sheet.width, source.sheet.height, plan.project.unit, with_unit=True)
        for source in (paper.packing.sources[use.sheet] for use in paper.uses)
    )
    kind = "plain" if paper.paper.direction is PrintDirection.NONE else f"{paper.paper.direction.value} print"
    below = f"{kind}  ·  {', '.join(sizes)}  ·  {phrases.plural(paper.sheets, 'sheet')}"
    first = [n for n, use in enumerate(paper.uses, start=1) if paper.packing.sources[use.sheet].kind.from_a_piece]
    if first:
        below += f"  ·  knife first: {phrases.several('layout', first)}"
    return SheetWork(
        paper=paper.paper.name,
        below=(below,),
        layouts=map_subjects(plan.project, paper),
        passes=paper.order.passes,
        minutes=-(-paper.order.seconds // 60),
        places=tuple(frozenset(place.layout for place in places) for places in pass_places(paper)),
    )


def folds(plan: Plan) -> list[FoldSubject]:
    """Every base of the batch that is scored, slit or cut into, with the windows that its panels get."""
    counts = {line.design: line.count for line in plan.project.batch}
    found = []
    for design in plan.project.designs:
        copies = counts.get(design.name, 0)
        names = tuple((numbers[0], name) for name, numbers in design.names if len(numbers) == 1)
        for base in design.bases if copies else ():
            cut = opened(design, base, plan.project.unit)
            if cut.folds or cut.slits or cut.cut_away or cut.windows:
                found.append(FoldSubject(design.name, cut, copies * len(base.lies), plan.project.unit, names))
    return found


def _cover(plan: Plan, starts: list[int]) -> CoverSubject:
    money = plan.project.currency
    counts = {line.design: line.count for line in plan.project.batch}
    cards = sum(counts.values())
    seconds = sum(paper.order.seconds for paper in plan.papers)
    figures = [(phrases.duration(seconds), "at the trimmer"), (str(plan.to_buy), "sheets to buy")]
    if plan.price is not None:
        figures.insert(0, (money.write(plan.price), "to buy"))
    made = f"  ·  {phrases.plural(cards, 'card')}" if cards else ""
    return CoverSubject(
        title=plan.project.title,
        below=(f"{phrases.plural(len(plan.papers), 'paper')}{made}",),
        unit=plan.project.unit,
        cards=tuple(
            face
            for design in plan.project.designs
            if (face := card_face(plan.project, design, counts.get(design.name, 0)))
        ),
        figures=tuple(figures[:3]),
        papers=tuple(_line(plan, paper, start) for paper, start in zip(plan.papers, starts, strict=False)),
        total_cost="" if plan.price is None else money.amount(plan.price),
        total_minutes=str(-(-seconds // 60)),
        cost_head=f"cost, {money.sign}" if money.sign else "cost",
        packs=plan.purchase is not None,
        note=SHORT,
    )


def _line(plan: Plan, paper: PaperPlan, start: int) -> PaperLine:
    """One paper; where shops sell packs, a sheet has no price of its own."""
    cost = "?" if paper.price is None else plan.project.currency.amount(paper.price)
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
