"""From parts of sheets to whole sheets: round down, plan what is left anew, and so on until nothing is left.

In: a task and the column generation that solved it in fractions. Out: complete plans. The fact of the trade: the rest
of a batch is a small batch, and is planned like one. (Residual heuristics: Wäscher & Gau 1996, OR Spektrum 18, 131-144;
layouts are made anew for what is left, so that the last sheets are made to measure as well.)
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import count

from nesting.packing.columns import Columns, without_surplus
from nesting.packing.layout import PackingTask, SheetKind, Use
from nesting.packing.master import Column, whole_numbers
from nesting.packing.stock import Stock, stock
from nesting.packing.trees import Node, counts_of, gathered, items_of, node_of, without_margins


@dataclass(frozen=True, slots=True)
class Sheets:
    """Some sheets of one source, all cut like `node`."""

    source: int
    node: Node
    copies: int


@dataclass(frozen=True, slots=True)
class Layout:
    """A layout found on the way: one of the sheet kinds it can be cut from, its cut tree, what one sheet gives."""

    sheet: int
    node: Node
    counts: tuple[int, ...]


def left_over(task: PackingTask, uses: Iterable[Use]) -> PackingTask:
    """The task that remains when some sheets are cut: fewer needs, fewer sheets."""
    needs = [piece.need for piece in task.pieces]
    limits = [sheet.limit for sheet in task.sheets]
    for use in uses:
        for kind, each in enumerate(counts_of(use.root, len(needs))):
            needs[kind] = max(0, needs[kind] - each * use.copies)
        limit = limits[use.sheet]
        limits[use.sheet] = None if limit is None else limit - use.copies
    pieces = tuple(replace(piece, need=need) for piece, need in zip(task.pieces, needs, strict=True))
    return replace(task, pieces=pieces, sheets=tuple(map(_limited, task.sheets, limits)))


def _limited(sheet: SheetKind, limit: int | None) -> SheetKind:
    return replace(sheet, limit=limit)


def settled(ready: Stock, sheets: Sequence[Sheets]) -> tuple[Use, ...]:
    """Sheets as uses: the cheapest kinds of each source first, nothing cut that is not needed, no empty sheet.

    Surplus is taken from the emptiest sheets. Sheets beyond what there is are left out.
    """
    area = [piece.width * piece.height for piece in ready.task.pieces]
    surplus = [-piece.need for piece in ready.task.pieces]
    for some in sheets:
        for kind in items_of(some.node):
            surplus[kind] += some.copies
    surplus = [max(0, more) for more in surplus]
    kept: list[Sheets] = []
    for some in sorted(sheets, key=lambda some: sum(area[kind] for kind in items_of(some.node))):
        kept += _without_surplus(some, surplus)
    left = {kind: sheet.limit for kind, sheet in enumerate(ready.task.sheets)}
    uses = []
    for some in reversed(kept):
        copies = some.copies
        for kind in ready.sources[some.source].kinds:
            limit = left[kind]
            taken = copies if limit is None else min(copies, limit)
            use = ready.use(kind, some.node, taken)
            if taken and use is not None:
                uses.append(use)
                copies -= taken
                left[kind] = None if limit is None else limit - taken
    return gathered(uses)


def _without_surplus(some: Sheets, surplus: list[int]) -> Iterable[Sheets]:
    """The same sheets without what is surplus, which is counted down; as few different ones as can be."""
    counts = [0] * len(surplus)
    for kind in items_of(some.node):
        counts[kind] += 1
    copies = some.copies
    while copies:
        extra = [min(each, more) for each, more in zip(counts, surplus, strict=True)]
        if not any(extra):
            yield replace(some, copies=copies)
            return
        times = min([copies, *(more // some_ for more, some_ in zip(surplus, extra, strict=True) if some_)])
        room = [each - some_ for each, some_ in zip(counts, extra, strict=True)]
        if any(room):
            yield Sheets(some.source, without_surplus(some.node, room), times)
        surplus[:] = [more - times * some_ for more, some_ in zip(surplus, extra, strict=True)]
        copies -= times


def dive(
    task: PackingTask, columns: Columns, *, keep: int = 0,
    finish: Callable[[list[Use], PackingTask, Columns], bool], stop: Callable[[], bool] | None = None,
) -> tuple[tuple[Use, ...], list[Layout]]:  # fmt: skip
    """A plan by rounding down and planning the rest anew, and all layouts that were found on the way.

    keep: so many sheets of each layout are left to the rest in the first step. finish: looks at the sheets so far, the
    rest and a column generation for it, and may say that it is done. The plan is not complete when it is, or when
    paper is short.
    """
    rest = task
    done: list[Use] = []
    found: list[Layout] = []
    while any(piece.need for piece in rest.pieces):
        taken = _rounded(columns, keep)
        keep = 0
        uses = settled(columns.stock, taken)
        if not uses:
            break
        done += uses
        rest = left_over(rest, uses)
        columns = renewed(rest, columns)
        if finish(done, rest, columns) or (stop is not None and stop()) or not columns.stock.sources:
            break
        columns.run(stop=stop)
        found += layouts_of(columns)
    return gathered(done), found


def _rounded(columns: Columns, keep: int) -> list[Sheets]:
    """Whole sheets of the fractional plan; where there are none, one sheet of the layout that comes nearest to one."""
    if columns.prices is None:
        return []
    left = list(columns.needs)
    taken = []
    order = sorted(zip(columns.prices.uses, count(), strict=False), key=lambda pair: (-pair[0], pair[1]))
    for times, number in order:
        column = columns.master.columns[number]
        useful = max(-(-need // each) for need, each in zip(left, column.counts, strict=True) if each)
        copies = min(int(times + 1e-6) - keep, useful)
        if copies > 0:
            taken.append(Sheets(column.source, column.node, copies))
            left = [max(0, need - copies * each) for need, each in zip(left, column.counts, strict=True)]
    if not taken and order and order[0][0] > 1e-6:
        column = columns.master.columns[order[0][1]]
        taken = [Sheets(column.source, column.node, 1)]
    return taken


def renewed(rest: PackingTask, columns: Columns) -> Columns:
    """Column generation for a rest, started with the layouts in use."""
    fresh = Columns(stock(rest), columns.scale)
    where = fresh.stock.source_of
    for layout in layouts_of(columns, used_only=True):
        if layout.sheet in where:
            fresh.add(where[layout.sheet], layout.node)
    return fresh


def layouts_of(columns: Columns, *, used_only: bool = False) -> list[Layout]:
    """The layouts of a column generation, those in use first."""
    known = columns.master.columns
    values = columns.prices.uses if columns.prices is not None else ()
    used = [number for number, value in enumerate(values) if value > 1e-9]
    rest = [] if used_only else sorted(set(range(len(known))) - set(used))
    kinds = [source.kinds[0] for source in columns.stock.sources]
    return [Layout(kinds[known[n].source], known[n].node, known[n].counts) for n in [*used, *rest]]


def layouts_in(ready: Stock, uses: Iterable[Use]) -> list[Layout]:
    """The layouts of a plan."""
    size = {kind: (source.width, source.height) for source in ready.sources for kind in source.kinds}
    kerf, kinds = ready.task.rules.kerf, len(ready.task.pieces)
    return [
        Layout(use.sheet, node_of(without_margins(use.root), kerf, *size[use.sheet]), counts_of(use.root, kinds))
        for use in uses
    ]


def choose(
    ready: Stock, pool: Iterable[Layout], missing: Sequence[float], *, least: int, nodes: int,
    under: int | None = None,
) -> tuple[Use, ...]:  # fmt: skip
    """The best plan from a pool of layouts, as far as `nodes` nodes of the search find it; under: it must cost less."""
    where = ready.source_of
    columns: dict[tuple[int, tuple[int, ...]], Column] = {}
    for layout in pool:
        if layout.sheet in where:
            number = where[layout.sheet]
            columns.setdefault((number, layout.counts), Column(number, layout.counts, layout.node))
    chosen = list(columns.values())
    needs = [piece.need for piece in ready.task.pieces]
    tiers = [ready.tiers(source) for source in ready.sources]
    times = whole_numbers(needs, tiers, chosen, missing, least=least, nodes=nodes, under=under)
    return settled(ready, [Sheets(c.source, c.node, n) for c, n in zip(chosen, times, strict=True) if n])
