"""How many sheets of each layout: a linear program, and the same in whole numbers; all that is asked of HiGHS.

In: needs, tiers of cost per source, columns (what one sheet of a layout gives). Out: how often each column is used, and
what the last piece of each kind costs. The fact of the trade: the same layouts, repeated, make most of a batch. What
the solver says is never believed: sums are added up again in whole numbers by those who use them. The only module that
imports highspy.
"""

from __future__ import annotations

import functools
import os
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from math import floor, gcd

import highspy
import numpy as np

from nesting.packing.points import Whole
from nesting.packing.trees import Node

Tier = tuple[int, int | None]  # cost of a sheet, how many there are


@dataclass(frozen=True, slots=True)
class Column:
    """A layout of a source: how many pieces of each kind one sheet gives, and the cut tree that gives them."""

    source: int
    counts: tuple[int, ...]
    node: Node


@dataclass(frozen=True, slots=True)
class Prices:
    """One solution of the linear program: total cost, price per piece kind and per source's sheet, uses per column."""

    cost: float
    pieces: tuple[float, ...]
    sheets: tuple[float, ...]
    uses: tuple[float, ...]
    missing: float


class Master:
    """The linear program, which grows by columns and starts each time from where it was."""

    def __init__(self, needs: Sequence[int], tiers: Sequence[Sequence[Tier]], missing: Sequence[float]) -> None:
        """missing[i]: what it costs to leave a piece of kind i out, more than any piece is worth."""
        self.needs, self.kinds = list(needs), len(needs)
        self.columns: list[Column] = []
        self._model = _model(needs, tiers, missing, whole=False)
        self._fixed = len(needs) + sum(len(some) for some in tiers)

    def add(self, column: Column, cost: float = 0.0) -> None:
        """Let a column be used; `cost`: of each use, the sheet apart."""
        self.columns.append(column)
        _add_column(self._model, self.kinds, column, cost=cost)

    def add_all(self, sources: Whole, counts: Whole) -> None:
        """Let many columns be used at once: the source of each, and what it gives as a row; `columns` lacks them."""
        many = len(counts)
        table = np.zeros((many, self._model.getNumRow()))
        table[:, : self.kinds] = counts
        table[np.arange(many), self.kinds + sources] = -1.0
        rows, places = np.nonzero(table)
        starts = np.searchsorted(rows, np.arange(many)).astype(np.int32)
        none, infinity = np.zeros(many), np.full(many, highspy.kHighsInf)
        self._model.addCols(many, none, none, infinity, len(rows), starts, places.astype(np.int32), table[rows, places])

    def solve(self) -> Prices:
        """Solve the linear program as it stands."""
        self._model.run()
        solution = self._model.getSolution()
        values, duals = solution.col_value, solution.row_dual
        cost = self._model.getInfo().objective_function_value
        return Prices(
            cost,
            tuple(max(0.0, price) for price in duals[: self.kinds]),
            tuple(max(0.0, price) for price in duals[self.kinds :]),
            tuple(max(0.0, value) for value in values[self._fixed :]),
            sum(values[: self.kinds]),
        )


def central_prices(
    needs: Sequence[int], tiers: Sequence[Sequence[Tier]], missing: Sequence[float], columns: Sequence[Column],
    cost: float, most: float,
) -> tuple[list[float], list[float]]:  # fmt: skip
    """Prices per piece kind and per source's sheet that show the cost `cost` for the needs, at which columns lose much.

    What columns lose against their sheets' prices, each counted up to `most`, is the greatest sum there is; both empty
    where there are no such prices. (In the middle of all best prices a column loses nothing only if some best solution
    uses it: Goldman & Tucker 1956, in Linear Inequalities and Related Systems, 53-97.)
    """
    model, infinity = _new_model(), highspy.kHighsInf
    little = _little(tiers)
    kinds, worth = len(needs), [(kind, float(need)) for kind, need in enumerate(needs)]
    for greatest in missing:
        model.addCol(0.0, 0.0, float(greatest), 0, *_entries([]))
    for _ in tiers:
        model.addCol(0.0, 0.0, infinity, 0, *_entries([]))
    for source, (price, limit) in ((source, tier) for source, some in enumerate(tiers) for tier in some):
        gain = model.getNumCol()  # what a sheet of this tier is worth beyond its price
        model.addCol(0.0, 0.0, 0.0 if limit is None else infinity, 0, *_entries([]))
        model.addRow(-infinity, price + little, 2, *_entries([(kinds + source, 1.0), (gain, -1.0)]))
        worth += [] if limit is None else [(gain, -float(limit))]
    model.addRow(cost, infinity, len(worth), *_entries(worth))
    for column in columns:
        loss = model.getNumCol()
        model.addCol(-1.0, 0.0, most, 0, *_entries([]))
        given = [(kind, float(count)) for kind, count in enumerate(column.counts) if count]
        entries = [*given, (loss, 1.0), (kinds + column.source, -1.0)]
        model.addRow(-infinity, 0.0, len(entries), *_entries(entries))
    model.run()
    if model.getModelStatus() != highspy.HighsModelStatus.kOptimal:
        return [], []
    values = [max(0.0, value) for value in model.getSolution().col_value[: kinds + len(tiers)]]
    return values[:kinds], values[kinds:]


def whole_numbers(
    needs: Sequence[int], tiers: Sequence[Sequence[Tier]], columns: Sequence[Column], missing: Sequence[float],
    *, least: float, nodes: int, under: int | None = None,
) -> list[int]:  # fmt: skip
    """The best whole numbers of uses found within `nodes` nodes of the search; it ends early at a cost of `least`.

    under: only what costs less than this is looked for; all zeros where nothing was found.

    A new model each time: one that was turned from fractions into whole numbers has been seen to report wrong sums.
    Needs may be left short where `missing` allows; whoever uses the numbers adds them up.
    """
    model = _model(needs, tiers, missing, whole=True)
    for column in columns:
        _add_column(model, len(needs), column, whole=True)
    unit = gcd(*(cost for some in tiers for cost, _ in some)) or 1
    model.setOptionValue("mip_rel_gap", 0.0)
    model.setOptionValue("mip_abs_gap", 0.999 * unit)
    model.setOptionValue("mip_max_nodes", nodes)
    model.setOptionValue("objective_target", least + 1e-6)
    if under is not None:
        model.setOptionValue("objective_bound", under - 0.5 * unit)
    model.run()
    values = model.getSolution().col_value
    start = len(needs) + sum(len(some) for some in tiers)
    return [max(0, floor(value + 0.5)) for value in values[start:]] or [0] * len(columns)


def least_whole(
    costs: Sequence[int], rows: Sequence[tuple[dict[int, float], float]], most: Sequence[int | None], *, nodes: int,
    start: Sequence[int] = (),
) -> list[int]:  # fmt: skip
    """Whole numbers from 0 to `most` of least cost that fulfil all rows (factors by column, at least so much).

    As far as `nodes` nodes of the search find them; empty where none were found. start: some that are known to do.
    """
    model = _new_model()
    model.setOptionValue("mip_rel_gap", 0.0)
    model.setOptionValue("mip_max_nodes", nodes)
    none: tuple[np.ndarray, np.ndarray] = (np.array([], dtype=np.int32), np.array([], dtype=np.float64))
    for number, (cost, limit) in enumerate(zip(costs, most, strict=True)):
        model.addCol(float(cost), 0.0, highspy.kHighsInf if limit is None else float(limit), 0, *none)
        model.changeColIntegrality(number, highspy.HighsVarType.kInteger)
    for factors, least in rows:
        model.addRow(least, highspy.kHighsInf, len(factors), *_entries(list(factors.items())))
    if start:
        _begin_at(model, start)
    model.run()
    return [max(0, floor(value + 0.5)) for value in model.getSolution().col_value]


def few_layouts(
    needs: Sequence[int], sheets: Sequence[int], columns: Sequence[Column], most: Sequence[int],
    each: Sequence[int], things: Sequence[Sequence[int]], prices: Sequence[int], start: Sequence[int], nodes: int,
) -> list[int]:  # fmt: skip
    """Uses of columns that cover the needs from exactly so many sheets of each source with the least effort found.

    most: how often each column may be used. each: what a copy costs. things: what comes with a column, however often it
    is used; each thing that occurs costs its price once. start: uses that are known to do.
    """
    model = _new_model()
    infinity, whole, count = highspy.kHighsInf, highspy.HighsVarType.kInteger, len(columns)
    for cost, times in zip(each, most, strict=True):
        model.addCol(float(cost), 0.0, float(times), 0, *_entries([]))
    for _ in columns:
        model.addCol(0.0, 0.0, 1.0, 0, *_entries([]))
    for price in prices:
        model.addCol(float(price), 0.0, 1.0, 0, *_entries([]))
    for number in range(2 * count):
        model.changeColIntegrality(number, whole)

    def row(least: float, greatest: float, entries: Sequence[tuple[int, float]]) -> None:
        model.addRow(least, greatest, len(entries), *_entries(entries))

    for kind, need in enumerate(needs):
        row(float(need), infinity, [(n, float(c.counts[kind])) for n, c in enumerate(columns) if c.counts[kind]])
    for source, taken in enumerate(sheets):
        row(float(taken), float(taken), [(n, 1.0) for n, column in enumerate(columns) if column.source == source])
    values = [float(times) for times in start] + [float(times > 0) for times in start] + [0.0] * len(prices)
    for number, (times, some) in enumerate(zip(most, things, strict=True)):
        row(-infinity, 0.0, [(number, 1.0), (count + number, -float(times))])
        for thing in some:
            row(-infinity, 0.0, [(count + number, 1.0), (2 * count + thing, -1.0)])
            if start[number]:
                values[2 * count + thing] = 1.0
    _begin_at(model, values)
    model.setOptionValue("mip_max_nodes", nodes)
    model.run()
    return [max(0, floor(value + 0.5)) for value in model.getSolution().col_value[:count]] or list(start)


@functools.cache
def _greet_unseen() -> None:
    """Make a first model with standard output turned away: HiGHS greets once, before it can be told not to."""
    sys.stdout.flush()
    seen = os.dup(1)
    unseen = os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(unseen, 1)
        highspy.Highs()
    finally:
        os.dup2(seen, 1)
        os.close(seen)
        os.close(unseen)


def _new_model() -> highspy.Highs:
    _greet_unseen()
    model = highspy.Highs()
    model.setOptionValue("output_flag", False)
    model.setOptionValue("threads", 1)
    model.setOptionValue("random_seed", 1)
    return model


def _begin_at(model: highspy.Highs, values: Sequence[float]) -> None:
    """Let the search for whole numbers begin with a solution that is known."""
    solution = highspy.HighsSolution()
    solution.col_value = [float(value) for value in values]
    model.setSolution(solution)


def _model(
    needs: Sequence[int], tiers: Sequence[Sequence[Tier]], missing: Sequence[float], *, whole: bool
) -> highspy.Highs:
    """Rows: the need of each piece kind, then for each source: sheets taken are at least sheets used.

    Columns: missing pieces of each kind, then sheets of each tier; layouts come later.
    """
    model = _new_model()
    infinity = highspy.kHighsInf
    none: tuple[np.ndarray, np.ndarray] = (np.array([], dtype=np.int32), np.array([], dtype=np.float64))
    for need in needs:
        model.addRow(float(need), infinity, 0, *none)
    for _ in tiers:
        model.addRow(0.0, infinity, 0, *none)
    kinds, little = len(needs), _little(tiers)
    for kind, cost in enumerate(missing):
        model.addCol(cost, 0.0, float(needs[kind]), 1, *_entries([(kind, 1.0)]))
    for source, some in enumerate(tiers):
        for cost, limit in some:
            most = infinity if limit is None else float(limit)
            model.addCol(cost + little, 0.0, most, 1, *_entries([(kinds + source, 1.0)]))
    if whole:
        for number in range(kinds + sum(len(some) for some in tiers)):
            model.changeColIntegrality(number, highspy.HighsVarType.kInteger)
    return model


def _little(tiers: Sequence[Sequence[Tier]]) -> float:
    """What every sheet costs beyond its price, so that of plans of one cost that of fewer sheets is chosen."""
    return 1e-7 * max([1, *(cost for some in tiers for cost, _ in some)])


def _add_column(model: highspy.Highs, kinds: int, column: Column, *, whole: bool = False, cost: float = 0.0) -> None:
    entries = [(kind, float(count)) for kind, count in enumerate(column.counts) if count]
    number = model.getNumCol()
    model.addCol(cost, 0.0, highspy.kHighsInf, len(entries) + 1, *_entries([*entries, (kinds + column.source, -1.0)]))
    if whole:
        model.changeColIntegrality(number, highspy.HighsVarType.kInteger)


def _entries(entries: Sequence[tuple[int, float]]) -> tuple[np.ndarray, np.ndarray]:
    return np.array([row for row, _ in entries], dtype=np.int32), np.array([value for _, value in entries])
