"""Thousands of orders are played back and stand; orders broken on purpose are caught, each for its reason."""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from cut_plans import random_plan

from nesting.cutting.passes import Comes, CutOrder, Edge, Order, WaysOfWork
from nesting.cutting.replay import replay
from nesting.cutting.sequence import order_cuts
from nesting.packing.layout import PackingTask, Use
from nesting.packing.solve import Effort, solve

sys.path.insert(0, str(Path(__file__).parents[2] / "benchmarks"))

from craft_layouts import card_batch

KINDS = {
    "plain": {},
    "with kerf": {"kerf": 1},
    "with margins": {"margins": True},
    "with margins and kerf": {"margins": True, "kerf": 2},
    "with blocks": {"blocks": True},
    "with everything": {"blocks": True, "margins": True, "kerf": 1, "size": 40},
    "larger": {"sheets": 6, "depth": 5, "size": 40},
}
WAYS = (
    WaysOfWork(deep=3, ruler_step=2, most_piles=8),
    WaysOfWork(deep=1, ruler_step=3, most_piles=2, narrowest_held=4, keep_from=(3, 5)),
    WaysOfWork(deep=20, ruler_step=1, most_piles=99, square_first=True, halve_rows=True, most_error_steps=1),
)


@pytest.mark.parametrize("kind", KINDS)
def test_orders_of_random_plans_end_with_exactly_the_pieces_of_the_layouts(kind: str) -> None:
    for seed in range(100 if kind == "larger" else 300):
        task, uses = random_plan(seed, **KINDS[kind])  # type: ignore[arg-type]
        ways = WAYS[seed % len(WAYS)]
        way = list(Order)[seed // len(WAYS) % len(Order)]
        order = order_cuts(task, uses, ways, order=way, work=20)
        assert replay(task, uses, ways, order) == (), f"seed {seed}"


def test_orders_of_craft_batches_are_played_back_where_equal_strips_come_off_parts_that_look_alike() -> None:
    """In the layouts of batch 32 two parts look alike after one stroke, and one of them has a second one to come."""
    for seed in (7, 15, 32):
        task = card_batch(seed, 4 + seed % 9, 20)
        uses, ways = solve(task, effort=Effort.QUICK).uses, WaysOfWork(deep=4)
        assert replay(task, uses, ways, order_cuts(task, uses, ways, work=500)) == (), f"seed {seed}"


def _first_long(order: CutOrder) -> int:
    return next(place for place, line in enumerate(order.passes) if place and line.cuts > 1)


def _line(order: CutOrder, place: int, **change: object) -> CutOrder:
    lines = list(order.passes)
    lines[place] = replace(lines[place], **change)  # type: ignore[arg-type]
    return replace(order, passes=tuple(lines))


def _swap(order: CutOrder) -> CutOrder:
    lines = order.passes
    return replace(order, passes=(lines[-1], *lines[1:-1], lines[0]))


def _one_less(order: CutOrder) -> CutOrder:
    comes = order.passes[0].comes
    return _line(order, 0, comes=(Comes(comes[0].part, comes[0].count + 1), *comes[1:]))


def _shifted(order: CutOrder) -> CutOrder:
    cut = order.cuts[0]
    return replace(order, cuts=(replace(cut, x0=cut.x0 + 1, x1=cut.x1 + 1), *order.cuts[1:]))


def _part_shifted(order: CutOrder) -> CutOrder:
    part = order.parts[0]
    return replace(order, parts=(replace(part, x=part.x + 1), *order.parts[1:]))


def _renumbered(order: CutOrder) -> CutOrder:
    return replace(order, cuts=(*order.cuts[:-1], replace(order.cuts[-1], number=1)))


def _restaged(order: CutOrder) -> CutOrder:
    return replace(order, cuts=(replace(order.cuts[0], stage=order.cuts[0].stage + 1), *order.cuts[1:]))


def _surer(order: CutOrder) -> CutOrder:
    place = next(i for i, part in enumerate(order.parts) if part.part.kind is not None and part.error_steps > 1)
    part = replace(order.parts[place], error_steps=1)
    return replace(order, parts=(*order.parts[:place], part, *order.parts[place + 1 :]))


def _other_edge(order: CutOrder) -> CutOrder:
    other = {Edge.LEFT: Edge.RIGHT, Edge.RIGHT: Edge.LEFT, Edge.TOP: Edge.BOTTOM, Edge.BOTTOM: Edge.TOP}
    return _line(order, 0, edge=other[order.passes[0].edge])


BROKEN: dict[str, Callable[[CutOrder], CutOrder]] = {
    "the last line comes first": _swap,
    "a line is left out": lambda o: replace(o, passes=o.passes[:-1]),
    "a line is told twice": lambda o: replace(o, passes=(*o.passes, o.passes[-1])),
    "a setting is wrong": lambda o: _line(o, 0, setting=o.passes[0].setting + 1),
    "a number is skipped": lambda o: _line(o, -1, number=o.passes[-1].number + 1),
    "a stack is too deep": lambda o: _line(o, 0, stacks=(sum(o.passes[0].stacks) + 9,)),
    "a sheet is missing from a stack": lambda o: _line(o, 0, stacks=(*o.passes[0].stacks[:-1], 0)),
    "one stroke is forgotten": lambda o: _line(o, _first_long(o), cuts=o.passes[_first_long(o)].cuts - 1),
    "one stroke too many": lambda o: _line(o, 0, cuts=o.passes[0].cuts + 1),
    "one piece too many comes off": _one_less,
    "the wrong edge is at the stop": _other_edge,
    "a turn is not said": lambda o: _line(
        o, next(i for i, line in enumerate(o.passes) if line.turned), turned=False
    ),
    "a mark of the ruler is made up": lambda o: _line(o, 0, setting_mark=o.passes[0].setting + 100),
    "a spacer is named for nothing": lambda o: _line(o, 0, spacer=True),
    "a cut is moved on the map": _shifted,
    "a part is moved on the map": _part_shifted,
    "a cut is missing on the map": lambda o: replace(o, cuts=o.cuts[1:]),
    "a part is missing on the map": lambda o: replace(o, parts=o.parts[1:]),
    "a part is on the map twice": lambda o: replace(o, parts=(*o.parts, o.parts[0])),
    "a cut has the number of another": _renumbered,
    "a cut is of another stage": _restaged,
    "errors are played down": _surer,
    "settings are counted short": lambda o: replace(o, settings=o.settings - 1, fewest=0),
    "the bound is over the settings": lambda o: replace(o, fewest=o.settings + 1),
    "piles are counted short": lambda o: replace(o, piles=o.piles - 1),
    "turns are counted short": lambda o: replace(o, turns=o.turns - 1),
    "time is counted short": lambda o: replace(o, seconds=o.seconds - 1),
}


@pytest.fixture(scope="module")
def whole() -> tuple[PackingTask, tuple[Use, ...], WaysOfWork, CutOrder]:
    ways = WaysOfWork(deep=3, ruler_step=1, most_piles=6)
    task, uses = random_plan(11, sheets=6, depth=4, size=40)
    order = order_cuts(task, uses, ways)
    assert replay(task, uses, ways, order) == ()
    assert len(order.passes) > 8
    return task, uses, ways, order


@pytest.mark.parametrize("fault", BROKEN)
def test_an_order_broken_on_purpose_is_caught(
    fault: str, whole: tuple[PackingTask, tuple[Use, ...], WaysOfWork, CutOrder]
) -> None:
    task, uses, ways, order = whole
    broken = BROKEN[fault](order)
    assert broken != order
    assert replay(task, uses, ways, broken) != ()
