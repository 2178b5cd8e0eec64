"""The order of cuts of one paper: layouts go in, lines of instruction come out.

In: the packer's task and the uses of one paper, and the ways of work. Out: a CutOrder. The fact of the trade: a
setting is dear, a pass is cheap, and piles of half-cut parts on the table are where mistakes are made.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import replace

from nesting.cutting.bounds import fewest_as_sure, fewest_doubtful, fewest_of_all, lay_out, roots_of
from nesting.cutting.few_piles import PileSearch
from nesting.cutting.fewest import fewest_settings
from nesting.cutting.left_over import settle_left_over
from nesting.cutting.needs import PartNeeds
from nesting.cutting.parts import Parts
from nesting.cutting.passes import CutOrder, Order, WaysOfWork, What
from nesting.cutting.play import Names, Run, Sheets, Table
from nesting.cutting.polish import fewer_turns
from nesting.packing.layout import PackingTask, Use

WORK = 16_000  # a measure of the search before it says what it has: two seconds at most on a common machine
STATES = 9  # under a cap on piles so many states are looked at for each of the work, over all registers of parts
FAR = 8  # settings over the bound from which on no bound of orders as sure is worth its work


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
    free, sheets = lay_out(task, uses, ways)
    fewest, doubts = fewest_of_all(free, sheets, work // 4, stop), fewest_doubtful(free, sheets)
    found: list[CutOrder] = []
    registers = list(_registers(task, uses, ways))
    for parts in registers:
        found.append(_ordered(parts, sheets, order, work // len(registers), STATES * work // len(registers), stop))
        if found[-1].settings == fewest and measured_after(uses, found[-1]) <= doubts:
            break
    best = min(found, key=lambda each: each.seconds + seconds_to_true(uses, each, ways))
    as_sure = fewest
    if fewest < best.settings <= fewest + FAR:
        share = work // (best.settings - fewest)  # what is far from proven is not proven by more work either
        as_sure = max(fewest, fewest_as_sure(free, sheets, measured_after(uses, best), share, stop))
    return replace(best, fewest=fewest, fewest_as_sure=as_sure)


def _registers(task: PackingTask, uses: tuple[Use, ...], ways: WaysOfWork) -> Iterator[Parts]:
    """The parts, with what is left over settled in several ways, from much to little."""
    tried = []
    for worth, several in ((0, False), (0, True), (ways.seconds_per_setting, True)):
        parts, sheets = lay_out(task, uses, ways)
        settle_left_over(parts, sheets, worth, several=several)
        if parts.settled not in tried:
            tried.append(parts.settled)
            yield parts


def _ordered(
    parts: Parts, sheets: tuple[Sheets, ...], order: Order, work: int, states: int, stop: Callable[[], bool] | None
) -> CutOrder:
    """An order that leaves over what is settled, without bounds; `states`: a limit on the search under a cap."""
    groups = [sheets] if order is Order.BY_SETTING else [(sheet,) for sheet in sheets]
    table = Table(parts, Names(parts), parts.ways)
    for group in groups:
        runs = _order_group(parts, group, work // len(groups), states // len(groups), stop)
        for sheet in group:
            table.bring(sheet)
        for run in runs:
            table.play(run)
    settings = table.number
    if order is Order.SHEET_BY_SHEET:
        copies = {sheet.layout: sheet.copies for sheet in sheets}
        settings = sum(copies[layout] for layout, _ in {(cut.layout, cut.number) for cut in table.cuts})
    return _written(table, order, settings)


def seconds_to_true(uses: tuple[Use, ...], order: CutOrder, ways: WaysOfWork) -> int:
    """Seconds to measure and true the pieces in which errors add up, over all copies."""
    return sum(ways.seconds_to_true(count) for count in _doubtful(uses, order).values())


def measured_after(uses: tuple[Use, ...], order: CutOrder) -> int:
    """Pieces in which the errors of two settings or more add up, over all copies."""
    return _doubtful(uses, order).total()


def _doubtful(uses: tuple[Use, ...], order: CutOrder) -> Counter[int | None]:
    """The same by their kinds."""
    found = Counter[int | None]()
    for leaf in order.parts:
        if leaf.part.what is What.PIECE and leaf.error_steps > 1:
            found[leaf.part.kind] += uses[leaf.layout].copies
    return found


def _order_group(
    parts: Parts, sheets: tuple[Sheets, ...], work: int, states: int, stop: Callable[[], bool] | None
) -> tuple[Run, ...]:
    """Runs for these sheets: the fewest of all where they leave few piles, else the fewest that were found."""
    roots = roots_of(parts, sheets)
    needs = PartNeeds(parts, sorted(roots))
    cap = max(1, parts.ways.most_piles)
    while True:
        search = PileSearch(parts, needs, cap, states, stop)
        found: tuple[Run, ...] | None = None
        for share in (work // 32, work):  # an order that leaves too many piles is no better for more work
            fewest = fewest_settings(needs.needs, len(needs.sizes), needs.of_all(sorted(roots)), share, stop)
            followed = search.follow(roots, tuple(needs.sizes[size] for size in fewest.sizes))
            found = followed or found
            if followed is None:
                break
        if found is None:
            found = search.best(roots, fewest.bound) or _one_by_one(search, roots)
        if found is not None:
            return fewer_turns(parts, sheets, parts.ways, found, cap, work)
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


def _written(table: Table, way: Order, settings: int) -> CutOrder:
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
        fewest=0,
        fewest_as_sure=0,
        piles=table.most_piles,
        turns=turns,
        seconds=seconds,
        way=way,
    )
