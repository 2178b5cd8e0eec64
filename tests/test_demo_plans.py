"""The demo projects are planned whole, checked from outside, and read as they are expected to."""

from __future__ import annotations

import io
import json
from importlib.metadata import version

import jsonschema
import pytest
from demos import DEMOS, NAMES, plan_of
from rich.console import Console

from nesting.cutting.passes import Order
from nesting.cutting.replay import replay
from nesting.cutting.sequence import order_cuts
from nesting.describe.papers import PrintDirection
from nesting.packing.check import check
from nesting.packing.layout import Outcome, PiecePart, cost_of, leaves
from nesting.packing.portfolio import rectpack_best
from nesting.pieces.supply import SourceKind
from nesting.reports.plan_data import plan_data, schema
from nesting.reports.plan_terminal import show_detail, show_plan

OLD_SOLVER = tuple(map(int, version("highspy").split(".")[:2])) < (1, 16)
pytestmark = pytest.mark.parametrize("name", NAMES)


def test_a_demo_is_planned_whole_and_stands_up_to_both_checks(name: str) -> None:
    plan = plan_of(name)
    assert plan.complete
    assert plan.papers
    for paper in plan.papers:
        packing = paper.packing
        assert check(packing.task, packing.answer) == ()
        assert replay(packing.task, paper.uses, paper.ways, paper.order) == ()


@pytest.mark.parametrize("order", list(Order))
def test_a_demo_can_be_cut_in_every_way_of_working(name: str, order: Order) -> None:
    """Sheets at hand and sheets to buy may have one layout, which then comes twice."""
    for paper in plan_of(name).papers:
        cut_order = order_cuts(paper.packing.task, paper.uses, paper.ways, order=order)
        assert cut_order.way is order
        assert replay(paper.packing.task, paper.uses, paper.ways, cut_order) == ()


def test_a_demo_cuts_every_piece_of_the_list(name: str) -> None:
    plan = plan_of(name)
    cut: dict[tuple[str, int], int] = {}
    for paper in plan.papers:
        for use in paper.uses:
            for leaf in leaves(use.root):
                if isinstance(leaf, PiecePart):
                    key = (paper.paper.name, leaf.kind)
                    cut[key] = cut.get(key, 0) + use.copies
    for paper in plan.papers:
        for kind, same in enumerate(paper.packing.kinds):
            assert cut[paper.paper.name, kind] == sum(piece.count for piece in same)
    assert sum(cut.values()) == sum(piece.count for piece in plan.pieces.pieces)


def test_no_print_with_a_direction_lies_on_its_side(name: str) -> None:
    for paper in plan_of(name).papers:
        said = {kind: same[0].may_turn for kind, same in enumerate(paper.packing.kinds)}
        directed = paper.paper.direction is not PrintDirection.NONE
        for use in paper.uses:
            for leaf in leaves(use.root):
                if isinstance(leaf, PiecePart) and leaf.turned:
                    assert said[leaf.kind] or not directed


def test_a_demo_is_never_worse_than_the_best_of_rectpack(name: str) -> None:
    for paper in plan_of(name).papers:
        task = paper.packing.task
        reference = rectpack_best(task)
        placed = [0] * len(task.pieces)
        for use in reference:
            for leaf in leaves(use.root):
                if isinstance(leaf, PiecePart):
                    placed[leaf.kind] += use.copies
        if all(count >= kind.need for count, kind in zip(placed, task.pieces, strict=True)):
            assert cost_of(task, paper.uses) <= cost_of(task, reference)


def test_what_is_said_to_be_proven_meets_its_bound(name: str) -> None:
    for paper in plan_of(name).papers:
        cost = cost_of(paper.packing.task, paper.uses)
        assert cost >= paper.bound.cost
        assert (paper.outcome is Outcome.PROVEN) == (cost == paper.bound.cost)


def test_the_json_of_a_demo_is_what_the_schema_says(name: str) -> None:
    data = json.loads(json.dumps(plan_data(plan_of(name))))
    jsonschema.Draft202012Validator(schema()).validate(data)
    cut_out = {kind.value for kind in SourceKind if kind.from_a_piece}
    assert data["totals"]["sheets"] == sum(
        layout["copies"]
        for paper in data["papers"]
        for layout in paper["layouts"]
        if paper["sources"][layout["source"]]["kind"] not in cut_out
    )


@pytest.mark.skipif(OLD_SOLVER, reason="written with HiGHS 1.16; older ones find other layouts that are as good")
def test_the_terminal_shows_what_is_expected(name: str, rewrite: bool) -> None:
    out = io.StringIO()
    console = Console(file=out, width=80, highlight=False)
    show_plan(console, plan_of(name))
    show_detail(console, plan_of(name))
    text = "\n".join(line.rstrip() for line in out.getvalue().splitlines()) + "\n"
    expected = DEMOS / name / "expected.txt"
    if rewrite:
        expected.write_text(text, "utf-8")
    assert max(len(line) for line in text.splitlines()) <= 80
    assert text == expected.read_text("utf-8")
