"""How good the orders of cuts are: settings, proofs, piles, added errors and minutes, for 50 made-up card batches.

python benchmarks/cut_order.py [--smoke] [--batches N] [--save]. Figures of a first trial stand beside ours; its batches
and layouts were others, so the comparison is one of size, not of places behind the point. Every order is replayed.
Depth first: each layout on its own, every strip finished before the next size is cut. Sheet by sheet: the same for
each single sheet.
"""

from __future__ import annotations

import argparse
import time
from dataclasses import dataclass, replace

from craft_layouts import card_batch
from results import add_row, table

from nesting.cutting.choose import quicker
from nesting.cutting.parts import Parts, letters
from nesting.cutting.passes import CutOrder, WaysOfWork, What
from nesting.cutting.replay import replay
from nesting.cutting.sequence import order_cuts
from nesting.packing.layout import PackingTask, Use
from nesting.packing.solve import Effort, solve

NO_CAP = 10_000
FIRST_TRIAL = {  # copies, cap: mean settings, depth first, sheet by sheet
    (1, None): ("14.1", "26", "28"),
    (20, None): ("16.0", "64", "349"),
    (100, None): ("16.1", "74", "1670"),
    (20, 8): ("23", "64", "349"),
    (20, 10): ("20", "64", "349"),
}


@dataclass(frozen=True, slots=True)
class Batch:
    """One planned batch: the packer's own layouts, and those chosen for quick cutting."""

    task: PackingTask
    given: tuple[Use, ...]
    chosen: tuple[Use, ...]


def plan_batches(count: int, copies: int) -> list[Batch]:
    batches = []
    for seed in range(count):
        task = card_batch(seed, 4 + seed % 9, copies)
        answer = solve(task, effort=Effort.QUICK)
        ways = WaysOfWork(deep=4)
        batches.append(Batch(task, answer.uses, quicker(task, answer.uses, answer.pool, ways, work=2_000).uses))
    return batches


def depth_first(task: PackingTask, uses: tuple[Use, ...]) -> tuple[int, int]:
    """Settings when each layout is cut on its own and each strip is finished first; and for each single sheet."""
    parts = Parts(task, WaysOfWork(), letters(task, uses))
    stacked = single = 0
    before = 0
    for use in uses:
        settings = _one_by_one(parts, parts.add_layout(use))
        changes = [size for place, size in enumerate(settings) if not place or settings[place - 1] != size]
        single += len(changes) * use.copies
        stacked += len(changes) - bool(changes and changes[0] == before)
        before = changes[-1] if changes else before
    return stacked, single


def _one_by_one(parts: Parts, number: int) -> list[int]:
    if not parts.is_block(number):
        return []
    setting = parts.settings(number)[0]
    cutting = parts.cut(number, setting)
    assert cutting is not None
    came = dict.fromkeys(cutting.off)
    settings = [setting, *(size for part in came for size in _one_by_one(parts, part))]
    return settings if cutting.left is None else settings + _one_by_one(parts, cutting.left)


def unsure(order: CutOrder, uses: tuple[Use, ...]) -> tuple[int, int]:
    """Pieces with two or more added errors of the stop, and all pieces."""
    pieces = [leaf for leaf in order.parts if leaf.part.what is What.PIECE]
    return (
        sum(uses[leaf.layout].copies for leaf in pieces if leaf.error_steps >= 2),
        sum(uses[leaf.layout].copies for leaf in pieces),
    )


def measure(batches: list[Batch], copies: int, cap: int | None, chosen: bool) -> dict[str, object]:
    ways = WaysOfWork(deep=4, most_piles=cap or NO_CAP)
    orders, seconds, deep_first, sheets, doubtful, pieces = [], [], 0, 0, 0, 0
    for batch in batches:
        uses = batch.chosen if chosen else batch.given
        began = time.process_time()
        order = order_cuts(batch.task, uses, ways)
        seconds.append(time.process_time() - began)
        wrong = replay(batch.task, uses, ways, order)
        if wrong:
            raise SystemExit(f"An order failed its replay: {wrong[0]}")
        orders.append(order)
        stacked, single = depth_first(batch.task, uses)
        deep_first, sheets = deep_first + stacked, sheets + single
        two, all_pieces = unsure(order, uses)
        doubtful, pieces = doubtful + two, pieces + all_pieces
    count = len(batches)
    names = "settings", "fewest", "fewest_as_sure", "turns"
    mean = {name: sum(getattr(order, name) for order in orders) / count for name in names}
    theirs = FIRST_TRIAL[copies, cap]
    return {
        "copies": copies,
        "cap": cap or "none",
        "layouts": "chosen" if chosen else "given",
        "settings": f"{mean['settings']:.1f}",
        "first trial settings": theirs[0],
        "bound": f"{mean['fewest']:.1f}",
        "proven %": round(100 * sum(order.proven for order in orders) / count),
        "bound as sure": f"{mean['fewest_as_sure']:.1f}",
        "proven as sure %": round(100 * sum(order.proven_as_sure for order in orders) / count),
        "depth first": f"{deep_first / count:.0f}",
        "first trial depth first": theirs[1],
        "sheet by sheet": f"{sheets / count:.0f}",
        "first trial sheet by sheet": theirs[2],
        "turns": f"{mean['turns']:.1f}",
        "strokes": f"{sum(order.strokes for order in orders) / count:.0f}",
        "minutes": f"{sum(order.seconds for order in orders) / count / 60:.1f}",
        "2+ errors %": f"{100 * doubtful / max(1, pieces):.1f}",
        "mean s": f"{sum(seconds) / count:.2f}",
        "most s": f"{max(seconds):.2f}",
    }


def large(layouts: int) -> dict[str, object]:
    """Thirty sizes in forty layouts: several batches on one table."""
    task = card_batch(900, 30, 30)
    answer = solve(task, effort=Effort.QUICK)
    known = dict.fromkeys((use.sheet, use.root) for use in (*answer.uses, *answer.pool))
    uses = tuple(Use(sheet, root, 1) for sheet, root in list(known)[:layouts])
    ways = replace(WaysOfWork(deep=4), most_piles=NO_CAP)
    began = time.process_time()
    order = order_cuts(task, uses, ways)
    took = time.process_time() - began
    wrong = replay(task, uses, ways, order)
    if wrong:
        raise SystemExit(f"An order failed its replay: {wrong[0]}")
    return {
        "sizes": 30, "layouts": len(uses), "settings": order.settings, "bound": order.fewest,
        "seconds": f"{took:.1f}", "first trial seconds": "28 to 34",
    }  # fmt: skip


def main() -> None:
    ask = argparse.ArgumentParser(description=__doc__)
    ask.add_argument("--smoke", action="store_true", help="one batch, some seconds")
    ask.add_argument("--batches", type=int, default=50)
    ask.add_argument("--save", action="store_true", help="add the rows to benchmarks/results/cut_order.csv")
    asked = ask.parse_args()
    count = 1 if asked.smoke else asked.batches
    rows = []
    for copies in (1, 20) if asked.smoke else (1, 20, 100):
        batches = plan_batches(count, copies)
        for cap in (None, 8, 10) if copies == 20 else (None,):
            for chosen in (False, True):
                rows.append(measure(batches, copies, cap, chosen))
                print(rows[-1], flush=True)
    print("\n" + table(rows))
    big = large(6 if asked.smoke else 40)
    print("\n" + table([big]))
    if asked.save:
        for row in rows:
            add_row("cut_order", {"batches": count, **row})
        add_row("cut_order_large", big)


if __name__ == "__main__":
    main()
