"""The order of cuts of one paper: layouts go in, lines of instruction come out.

In: the packer's task and the uses of one paper, and the ways of work. Out: a CutOrder. The fact of the trade: a
setting is dear, a pass is cheap, and piles of half-cut parts on the table are where mistakes are made.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from nesting.cutting.few_piles import PileSearch
from nesting.cutting.fewest import fewest_settings
from nesting.cutting.left_over import settle_left_over
from nesting.cutting.needs import PartNeeds
from nesting.cutting.parts import Parts, letters
from nesting.cutting.passes import CutOrder, Order, WaysOfWork
from nesting.cutting.play import Names, Run, Sheets, Table
from nesting.cutting.polish import fewer_turns
from nesting.packing.layout import PackingTask, Use

WORK = 16_000  # a measure of the search before it says what it has: two seconds at most on a common machine


def order_cuts(
    task: PackingTask,
    uses: tuple[Use, ...],
    ways: WaysOfWork,
    *,
    order: Order = Order.BY_SETTING,
    work: int = WORK,
    stop: Callable[[], bool] | None = None,
) -> CutOrder:
    """The order of cuts for the uses of one paper; layout number = place in `uses`.

    work: a limit on the search that counts states, so that the same input gives the same order everywhere.
    stop: asked now and then; True ends the search early with the best order so far.
    """
    if order is Order.SHEET_BY_SHEET:
        ways = replace(ways, deep=1)
    parts, sheets = _laid_out(task, uses, ways)
    settle_left_over(parts, sheets, ways)
    names = Names(parts)
    groups = [sheets] if order is Order.BY_SETTING else [(sheet,) for sheet in sheets]
    table = Table(parts, names, ways)
    bound = 0
    for group in groups:
        runs, bound = _order_group(parts, group, ways, work // len(groups), stop)
        for sheet in group:
            table.bring(sheet)
        for run in runs:
            table.play(run)
    if len(groups) > 1 or parts.settled:
        bound = _bound_of_all(*_laid_out(task, uses, ways), work, stop)
    settings = table.number
    if order is Order.SHEET_BY_SHEET:
        settings = sum(uses[layout].copies for layout, _ in {(cut.layout, cut.number) for cut in table.cuts})
    return _finish(table, order, settings, bound)


def _laid_out(task: PackingTask, uses: tuple[Use, ...], ways: WaysOfWork) -> tuple[Parts, tuple[Sheets, ...]]:
    """The sheets on the table, and a register of their parts in which nothing is settled."""
    parts = Parts(task, ways, letters(task, uses))
    return parts, tuple(Sheets(layout, parts.add_layout(use), use.copies) for layout, use in enumerate(uses))


def _roots(parts: Parts, sheets: tuple[Sheets, ...]) -> frozenset[int]:
    return frozenset(sheet.part for sheet in sheets if parts.is_block(sheet.part))


def _order_group(
    parts: Parts, sheets: tuple[Sheets, ...], ways: WaysOfWork, work: int, stop: Callable[[], bool] | None
) -> tuple[tuple[Run, ...], int]:
    """Runs for these sheets, and the settings that no order can do without."""
    roots = _roots(parts, sheets)
    needs = PartNeeds(parts, sorted(roots))
    fewest = fewest_settings(needs.needs, len(needs.sizes), needs.of_all(sorted(roots)), work, stop)
    cap = max(1, ways.most_piles)
    while True:
        search = PileSearch(parts, needs, cap, work // 4, stop)
        found = search.follow(roots, tuple(needs.sizes[size] for size in fewest.sizes))
        if found is None or _piles(parts, sheets, ways, found) > cap:
            found = search.best(roots, fewest.bound) or _one_by_one(search, roots)
        if found is not None:
            return fewer_turns(parts, sheets, ways, found, cap, work), fewest.bound
        cap += 1


def _one_by_one(search: PileSearch, roots: frozenset[int]) -> tuple[Run, ...] | None:
    """Each sheet cut to its end before the next is begun."""
    runs: list[Run] = []
    for root in sorted(roots):
        found = search.best(frozenset((root,)), 0)
        if found is None:
            return None
        runs += found
    return tuple(runs)


def _piles(parts: Parts, sheets: tuple[Sheets, ...], ways: WaysOfWork, runs: tuple[Run, ...]) -> int:
    table = Table(parts, Names(parts), ways)
    for sheet in sheets:
        table.bring(sheet)
    for run in runs:
        table.play(run)
    return table.most_piles


def _bound_of_all(
    parts: Parts, sheets: tuple[Sheets, ...], work: int, stop: Callable[[], bool] | None
) -> int:
    roots = _roots(parts, sheets)
    needs = PartNeeds(parts, sorted(roots))
    return fewest_settings(needs.needs, len(needs.sizes), needs.of_all(sorted(roots)), work, stop).bound


def _finish(table: Table, way: Order, settings: int, bound: int) -> CutOrder:
    ways = table.ways
    passes = tuple(table.passes)
    turns = sum(line.turned for line in passes)
    strokes = sum(line.strokes for line in passes)
    stacks = sum(len(line.stacks) for line in passes)
    seconds = (
        settings * ways.seconds_per_setting
        + strokes * ways.seconds_per_stroke
        + turns * ways.seconds_per_turn
        + stacks * ways.seconds_per_stack
    )
    return CutOrder(
        passes=passes,
        cuts=tuple(sorted(table.cuts, key=lambda c: (c.layout, c.number, c.stage, c.x0, c.y0, c.x1, c.y1))),
        parts=tuple(sorted(table.leaves, key=lambda leaf: (leaf.layout, leaf.y, leaf.x))),
        settings=settings,
        fewest=bound,
        piles=table.most_piles,
        turns=turns,
        seconds=seconds,
        way=way,
    )
