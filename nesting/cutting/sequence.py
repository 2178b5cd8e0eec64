"""The order of cuts of one paper: layouts go in, lines of instruction come out.

In: the packer's task and the uses of one paper, and the ways of work. Out: a CutOrder. The fact of the trade: a
setting is dear, a pass is cheap, and piles of half-cut parts on the table are where mistakes are made.
"""

from __future__ import annotations

from collections.abc import Callable

from nesting.cutting.parts import Parts, letters
from nesting.cutting.passes import CutOrder, Order, WaysOfWork
from nesting.cutting.play import Names, Run, Sheets, Table
from nesting.packing.layout import PackingTask, Use

WORK = 200_000  # states looked at before the search says what it has


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
    parts = Parts(task, ways, letters(task, uses))
    sheets = tuple(Sheets(layout, parts.add_layout(use), use.copies) for layout, use in enumerate(uses))
    table = Table(parts, Names(parts), ways)
    for sheet in sheets:
        table.bring(sheet)
        if order is not Order.BY_SETTING:
            _cut_all(table)
    _cut_all(table)
    return _finish(table, ways)


def _cut_all(table: Table) -> None:
    while table.piles or table.waiting:
        gains: dict[int, int] = {}
        for number, places in [*table.piles.items(), *table.waiting.items()]:
            for setting in table.parts.settings(number):
                gains[setting] = gains.get(setting, 0) + len(places)
        setting = max(gains, key=lambda size: (gains[size], size))
        able = [n for n in sorted({*table.piles, *table.waiting}) if table.parts.cut(n, setting) is not None]
        table.play(Run(setting, tuple(able)))


def _finish(table: Table, ways: WaysOfWork) -> CutOrder:
    passes = tuple(table.passes)
    turns = sum(line.turned for line in passes)
    strokes = sum(line.strokes for line in passes)
    stacks = sum(len(line.stacks) for line in passes)
    seconds = (
        table.number * ways.seconds_per_setting
        + strokes * ways.seconds_per_stroke
        + turns * ways.seconds_per_turn
        + stacks * ways.seconds_per_stack
    )
    return CutOrder(
        passes=passes,
        cuts=tuple(sorted(table.cuts, key=lambda c: (c.layout, c.number, c.stage, c.x0, c.y0, c.x1, c.y1))),
        parts=tuple(sorted(table.leaves, key=lambda leaf: (leaf.layout, leaf.y, leaf.x))),
        settings=table.number,
        fewest=0,
        piles=table.most_piles,
        turns=turns,
        seconds=seconds,
    )
