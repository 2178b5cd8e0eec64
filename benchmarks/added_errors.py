"""In how many pieces errors must add up, whatever the layouts: a bound beside what is planned, for made-up batches.

python benchmarks/added_errors.py [--smoke] [--batches N] [--copies N] [--rounds N] [--save]. In: the batches of
`cut_order.py`. Out: per batch the pieces in which two or more errors add up in the order that is planned, and a number
that no layouts of as many sheets can be below, all trees of straight cuts counted, with trims of a sixteenth and more.
A part carries per side: paper to spare (every cut of it leaves waste over), a trusted edge, one error, two or more.
What a sheet can be worth at a price a piece, less one for each doubtful piece, is found exactly in whole numbers, and
sheets x that worth taken from the value of all pieces is the bound (Lagrange; Farley 1990 does the same for sheets).
"""

from __future__ import annotations

import argparse
from typing import TypeAlias

import numpy as np
import numpy.typing as npt
from craft_layouts import SIXTEENTH
from cut_order import Batch, plan_batches, unsure
from results import add_row, table
from scipy.optimize import linprog

from nesting.cutting.doubt import doubtful
from nesting.cutting.parts import Parts, letters
from nesting.cutting.passes import WaysOfWork
from nesting.cutting.sequence import order_cuts
from nesting.packing.layout import Use
from nesting.packing.trees import counts_of

SPARE, EDGE, ONE, MORE = range(4)
LEFT_OVER = np.array([SPARE, ONE, MORE, MORE])  # what is left over after a cut carries one error more
SCALE = 1_000_000
Values: TypeAlias = npt.NDArray[np.int64]
Column = tuple[tuple[int, ...], int]  # pieces of each kind, doubtful ones


class Sheet:
    """What any part of a sheet can be worth: values[errors across, errors down, width, height]."""

    def __init__(self, batch: Batch) -> None:
        sheet = batch.task.sheets[0]
        self.width, self.height = sheet.width // SIXTEENTH, sheet.height // SIXTEENTH
        self.items: list[tuple[int, int, int]] = []
        for kind, piece in enumerate(batch.task.pieces):
            wide, high = piece.width // SIXTEENTH, piece.height // SIXTEENTH
            self.items.append((wide, high, kind))
            if piece.allowed[0].may_turn and wide != high:
                self.items.append((high, wide, kind))
        self.wide = _firsts([wide for wide, _, _ in self.items], self.width)
        self.high = _firsts([high for _, high, _ in self.items], self.height)

    def fill(self, prices: list[int]) -> int:
        """The most that a sheet is worth: its pieces at these prices, less SCALE for every doubtful one."""
        self.values = values = np.zeros((4, 4, self.width + 1, self.height + 1), dtype=np.int64)
        self._pieces(prices)
        for wide in range(1, self.width + 1):
            np.maximum(values[:, :, wide], values[SPARE, :, wide - 1], out=values[:, :, wide])
            for first in self.wide[self.wide < wide].tolist():
                rest = values[LEFT_OVER, :, wide - first]
                np.maximum(values[:, :, wide], values[ONE, :, first] + rest, out=values[:, :, wide])
            column = values[:, :, wide]
            for high in range(1, self.height + 1):
                np.maximum(column[:, :, high], column[:, SPARE, high - 1, None], out=column[:, :, high])
                firsts = self.high[self.high < high]
                if len(firsts):
                    rest = column[:, LEFT_OVER][:, :, high - firsts]
                    both = (column[:, ONE, firsts][:, None] + rest).max(axis=2)
                    np.maximum(column[:, :, high], both, out=column[:, :, high])
        return int(values[EDGE, EDGE, self.width, self.height])

    def _pieces(self, prices: list[int]) -> None:
        for wide, high, kind in self.items:
            for across in range(4):
                for down in range(4):
                    for more_wide in (0, 1):
                        for more_high in (0, 1):
                            doubt = (across == MORE and not more_wide) or (down == MORE and not more_high)
                            x = slice(wide + 1, None) if more_wide else slice(wide, wide + 1)
                            y = slice(high + 1, None) if more_high else slice(high, high + 1)
                            part = self.values[across, down, x, y]
                            np.maximum(part, prices[kind] - SCALE * doubt, out=part)

    def column(self, prices: list[int]) -> Column:
        """A layout that is worth the most: its pieces, and how many of them are doubtful."""
        counts, doubts = [0] * len(prices), 0
        todo = [(EDGE, EDGE, self.width, self.height)]
        while todo:
            across, down, wide, high = todo.pop()
            value = int(self.values[across, down, wide, high])
            if value <= 0:
                continue
            single = self._single(prices, across, down, wide, high, value)
            if single is not None:
                counts[single[0]] += 1
                doubts += single[1]
            else:
                todo += self._split(across, down, wide, high, value)
        return tuple(counts), doubts

    def _single(
        self, prices: list[int], across: int, down: int, wide: int, high: int, value: int
    ) -> tuple[int, bool] | None:
        for w, h, kind in self.items:
            if w <= wide and h <= high:
                doubt = (across == MORE and w == wide) or (down == MORE and h == high)
                if prices[kind] - SCALE * doubt == value:
                    return kind, doubt
        return None

    def _split(self, across: int, down: int, wide: int, high: int, value: int) -> list[tuple[int, int, int, int]]:
        values = self.values
        if wide > 1 and values[SPARE, down, wide - 1, high] == value:
            return [(SPARE, down, wide - 1, high)]
        if high > 1 and values[across, SPARE, wide, high - 1] == value:
            return [(across, SPARE, wide, high - 1)]
        left = int(LEFT_OVER[across])
        for first in self.wide[self.wide < wide].tolist():
            if values[ONE, down, first, high] + values[left, down, wide - first, high] == value:
                return [(ONE, down, first, high), (left, down, wide - first, high)]
        left = int(LEFT_OVER[down])
        for first in self.high[self.high < high].tolist():
            if values[across, ONE, wide, first] + values[across, left, wide, high - first] == value:
                return [(across, ONE, wide, first), (across, left, wide, high - first)]
        raise AssertionError("a value that no cut gives")


def _firsts(sizes: list[int], most: int) -> npt.NDArray[np.int64]:
    """What may be cut off under the stop: sums of sizes, and a trim more, which leaves that part paper to spare."""
    sums = {0}
    for total in range(1, most + 1):
        if any(total - size in sums for size in sizes):
            sums.add(total)
    sums.discard(0)
    return np.array(sorted(sums | {total + 1 for total in sums if total < most}), dtype=np.int64)


def bound(batch: Batch, rounds: int) -> tuple[int, int]:
    """The fewest doubtful pieces that any layouts of as many sheets could do with, at least; and the rounds it took."""
    task, needs = batch.task, [piece.need for piece in batch.task.pieces]
    sheets = sum(use.copies for use in batch.chosen)
    parts = Parts(task, WaysOfWork(), letters(task, (*batch.given, *batch.chosen)))
    columns: list[Column] = []
    for use in (*batch.given, *batch.chosen):
        root = parts.add_layout(Use(use.sheet, use.root, 1))
        columns.append((counts_of(use.root, len(needs)), doubtful(parts, root)))
    sheet, best = Sheet(batch), 0
    for number in range(1, rounds + 1):
        solved = linprog(
            [doubts for _, doubts in columns],
            A_ub=-np.array([counts for counts, _ in columns]).T,
            b_ub=-np.array(needs),
            A_eq=np.ones((1, len(columns))),
            b_eq=[sheets],
        )
        prices = [max(0, round(-float(price) * SCALE)) for price in solved.ineqlin.marginals]
        worth = sheet.fill(prices)
        total = sum(need * price for need, price in zip(needs, prices, strict=True)) - sheets * worth
        best = max(best, -(-total // SCALE))
        found = sheet.column(prices)
        if found in columns or best >= -(-float(solved.fun) // 1):
            return best, number
        columns.append(found)
    return best, rounds


def main() -> None:
    ask = argparse.ArgumentParser(description=__doc__)
    ask.add_argument("--smoke", action="store_true", help="one batch, two rounds")
    ask.add_argument("--batches", type=int, default=50)
    ask.add_argument("--copies", type=int, default=20)
    ask.add_argument("--rounds", type=int, default=40)
    ask.add_argument("--save", action="store_true", help="add the row to benchmarks/results/added_errors.csv")
    asked = ask.parse_args()
    count, rounds = (1, 2) if asked.smoke else (asked.batches, asked.rounds)
    ways = WaysOfWork(deep=4)
    planned = least = pieces = 0
    for number, batch in enumerate(plan_batches(count, asked.copies)):
        two, every = unsure(order_cuts(batch.task, batch.chosen, ways), batch.chosen)
        forced, took = bound(batch, rounds)
        if forced > two:
            raise SystemExit(f"Batch {number}: {two} doubtful pieces, fewer than the bound of {forced}.")
        planned, least, pieces = planned + two, least + forced, pieces + every
        print(f"batch {number}: {two} of {every} pieces, at least {forced} ({took} rounds)", flush=True)
    row = {
        "batches": count,
        "copies": asked.copies,
        "pieces": pieces,
        "2+ errors %": f"{100 * planned / pieces:.1f}",
        "at least %": f"{100 * least / pieces:.1f}",
    }
    print("\n" + table([row]))
    if asked.save:
        add_row("added_errors", row)


if __name__ == "__main__":
    main()
