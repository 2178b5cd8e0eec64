"""The least cost of small tasks by an independent model: how often each rectangle is cut, and where.

In: a task in whole numbers with sides of a few dozen units. Out: the least cost of a plan, or None if there is none.
Every rectangle that cuts can give is a row, every cut of it at every position a whole number; what is cut or taken as
a piece must have been made (the model of Furini, Malaguti & Thomopulos 2016, INFORMS Journal on Computing 28, 736-751,
from memory). Solved by OR-tools' CP-SAT, which reckons in whole numbers. Shares nothing with the planner.
"""

from __future__ import annotations

from collections import defaultdict
from typing import Any

from nesting.packing.layout import CutRules, Outcome, PackingTask

Rectangle = tuple[int, int]


def least_cost(task: PackingTask, *, seconds: float = 60.0) -> tuple[Outcome, int]:
    """PROVEN and the least cost; SHORT and 0 where no plan exists; STOPPED and a lower bound when time runs out."""
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    most = sum(piece.need for piece in task.pieces)
    made: dict[Rectangle, list[Any]] = defaultdict(list)
    used: dict[Rectangle, list[Any]] = defaultdict(list)
    costs = []
    for number, sheet in enumerate(task.sheets):
        taken = model.new_int_var(0, most if sheet.limit is None else min(most, sheet.limit), f"sheet {number}")
        made[sheet.usable].append(taken)
        costs.append(sheet.cost * taken)
    for rectangle in _rectangles(task):
        for at, parts in _cuts(rectangle, task.rules):
            times = model.new_int_var(0, most, f"{rectangle} {at}")
            used[rectangle].append(times)
            for part in parts:
                made[part].append(times)
    for piece in task.pieces:
        sizes = {(piece.width, piece.height)}
        if all(one.may_turn for one in piece.allowed):
            sizes.add((piece.height, piece.width))
        lying = [model.new_int_var(0, piece.need, f"{size}") for size in sorted(sizes)]
        for size, count in zip(sorted(sizes), lying, strict=True):
            used[size].append(count)
        model.add(sum(lying) >= piece.need)
    for rectangle, uses in used.items():
        model.add(sum(uses) <= sum(made[rectangle]))
    model.minimize(sum(costs))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 1
    solver.parameters.max_deterministic_time = seconds
    status = solver.solve(model)
    if status == cp_model.OPTIMAL:
        return Outcome.PROVEN, round(solver.objective_value)
    if status == cp_model.INFEASIBLE:
        return Outcome.SHORT, 0
    return Outcome.STOPPED, round(solver.best_objective_bound)


def _rectangles(task: PackingTask) -> list[Rectangle]:
    """Everything that cuts can make out of the sheets."""
    found: set[Rectangle] = set()
    todo = [sheet.usable for sheet in task.sheets]
    while todo:
        rectangle = todo.pop()
        if rectangle not in found:
            found.add(rectangle)
            todo += [part for _, parts in _cuts(rectangle, task.rules) for part in parts]
    return sorted(found)


def _cuts(rectangle: Rectangle, rules: CutRules) -> list[tuple[str, list[Rectangle]]]:
    """Every cut that the trimmer can make, and what it gives; a blade that runs over the edge gives one part."""
    width, height = rectangle
    if min(width, height) < rules.narrowest_held:
        return []
    cuts = []
    for word, long, line in (("across", width, height), ("down", height, width)):
        if rules.longest_cut is not None and line > rules.longest_cut:
            continue
        for first in range(1, long):
            rest = long - first - rules.kerf
            sides = [first] if rest <= 0 else [first, rest]
            if rest > 0 and first > rest:
                continue  # the same two the other way round
            if rules.largest_setting is not None and min(first, max(rest, 0)) > rules.largest_setting:
                continue
            parts = [(side, height) if word == "across" else (width, side) for side in sides]
            cuts.append((f"{word} at {first}", parts))
    return cuts
