"""Rectangles come apart by straight cuts, or are refused."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from random_tasks import unproven

from nesting.packing.check import check
from nesting.packing.forest import FREE_CODE
from nesting.packing.ground import ground
from nesting.packing.layout import Allowed, Axis, CutRules, PackingTask, PieceKind, SheetKind
from nesting.packing.separate import Placed, separate
from nesting.packing.trees import cut_node, free_node, items_of, largest_free, node_of, without_margins

PINWHEEL: list[Placed] = [(0, 0, 2, 1, 0), (2, 0, 1, 2, 1), (1, 2, 2, 1, 2), (0, 1, 1, 2, 3), (1, 1, 1, 1, 4)]


@pytest.mark.parametrize("axis", list(Axis))
def test_a_pinwheel_is_refused(axis: Axis) -> None:
    assert separate(PINWHEEL, 3, 3, axis) is None


@pytest.mark.parametrize("axis", list(Axis))
def test_a_pinwheel_without_one_vane_comes_apart(axis: Axis) -> None:
    node = separate(PINWHEEL[1:], 3, 3, axis)
    assert node is not None
    assert sorted(items_of(node)) == [1, 2, 3, 4]


def test_a_pinwheel_hidden_in_a_corner_is_refused() -> None:
    moved = [(x + 7, y + 4, width, height, item) for x, y, width, height, item in PINWHEEL]
    assert separate([(0, 0, 7, 7, 5), *moved], 10, 7) is None


def test_an_overlap_is_refused() -> None:
    assert separate([(0, 0, 3, 3, 0), (1, 1, 3, 3, 1)], 5, 5) is None


def test_free_paper_on_both_sides_becomes_one_offcut() -> None:
    node = separate([(4, 0, 2, 3, 0)], 10, 3)
    assert node == cut_node(Axis.ACROSS, 10, 3, [(2, 2, 3, 0)])
    assert node[3][-1] == free_node(8, 3)


def _cut_up(draw: st.DrawFn, x: int, y: int, width: int, height: int, depth: int) -> list[Placed]:
    """Rectangles of a part that is cut at random and thus can be cut apart."""
    if depth == 0 or width * height < 4 or draw(st.integers(0, 3)) == 0:
        return [(x, y, width, height, 0)] if draw(st.booleans()) else []
    if draw(st.booleans()) and width > 1:
        at = draw(st.integers(1, width - 1))
        return _cut_up(draw, x, y, at, height, depth - 1) + _cut_up(draw, x + at, y, width - at, height, depth - 1)
    if height == 1:
        return [(x, y, width, height, 0)]
    at = draw(st.integers(1, height - 1))
    return _cut_up(draw, x, y, width, at, depth - 1) + _cut_up(draw, x, y + at, width, height - at, depth - 1)


@st.composite
def cut_up(draw: st.DrawFn) -> list[Placed]:
    """Rectangles in a part of 30 x 20 that come apart, in any order."""
    return draw(st.permutations(_cut_up(draw, 0, 0, 30, 20, 5)))


@given(cut_up(), st.sampled_from(list(Axis)), st.integers(0, 3))
@settings(max_examples=150, deadline=None)
def test_what_was_cut_apart_comes_apart_again(placed: list[Placed], axis: Axis, kerf: int) -> None:
    numbered = [(x, y, width, height, number) for number, (x, y, width, height, _) in enumerate(placed)]
    node = separate(numbered, 30, 20, axis)
    assert node is not None
    assert sorted(items_of(node)) == list(range(len(placed)))
    wide = [(x * 9, y * 9, width * 9, height * 9, number) for x, y, width, height, number in numbered]
    kinds = tuple(PieceKind(w - kerf, h - kerf, 1, (Allowed(0, may_turn=False),)) for _, _, w, h, _ in wide)
    if kinds:
        task = PackingTask(kinds, (SheetKind(270 - kerf, 180 - kerf),), CutRules(kerf=kerf))
        tree = separate(wide, 270, 180, axis)
        assert tree is not None
        use = ground(task).use(0, tree)
        assert use is not None
        assert check(task, unproven(task, (use,))) == ()
        again = node_of(without_margins(use.root), kerf, 270, 180)
        assert sorted(items_of(again)) == list(range(len(placed)))
        assert largest_free(use.root) <= 270 * 180 - sum(kind.width * kind.height for kind in kinds)
    else:
        assert node[0] == FREE_CODE
