"""The forest gives the same answers plain and compiled, and never loses or doubles a piece."""

from __future__ import annotations

from math import log
from typing import Any

import pytest
from random_tasks import random_task

from nesting.packing import engine
from nesting.packing.engine import is_compiled, plain_forest
from nesting.packing.forest import FREE_CODE, PIECE_CODE
from nesting.packing.ground import LOGS, POWERS, Ground, ground
from nesting.packing.layout import Allowed, CutRules, PackingTask, PieceKind, SheetKind
from nesting.packing.trees import Node, items_of


def planted(land: Ground, forest: Any, items: list[int], slots: int, seed: int) -> Any:
    """A forest of a class with the first sheets open."""
    costs = [sheet.cost for sheet in land.task.sheets]
    grown = forest(land.kinds, items, land.allow, land.papers, land.sheets, costs, land.limits, land.rules, slots,
                   POWERS, LOGS, seed)  # fmt: skip
    for slot in range(slots - 2):
        kind = slot % len(land.sheets)
        if slot // len(land.sheets) < land.limits[kind]:
            grown.open(slot, kind)
    return grown


def usable(seed: int, scale: int = 1) -> tuple[Ground, list[int]]:
    task = random_task(seed, need=5)
    rules = task.rules
    if scale > 1:
        task = PackingTask(
            tuple(PieceKind(p.width * scale, p.height * scale, p.need, p.allowed) for p in task.pieces),
            tuple(SheetKind(s.width * scale, s.height * scale, s.paper, s.cost, s.limit) for s in task.sheets),
            CutRules(rules.kerf, None, None, rules.narrowest_held * scale, rules.most_turns),
        )
    return ground(task), [kind for kind, piece in enumerate(task.pieces) for _ in range(piece.need)]


def life(forest: Any, slots: int, *, keen: bool, weights: list[float] | None = None) -> tuple[Any, ...]:
    """What a search leaves behind: trees, the items outside, what they count for, rounds done."""
    if weights is not None:
        forest.weigh(weights)
    forest.greedy(1, 2)
    forest.heat(0.01)
    forest.aim(9, slots - 2)
    if keen:
        forest.seek_free()
    done = forest.search(120, 0.99)
    if keen:
        forest.restore_best()
    trees = [forest.tree(slot) if forest.kind_in(slot) >= 0 else None for slot in range(slots)]
    return trees, forest.outside(), forest.left_out(), done


@pytest.mark.skipif(not is_compiled(), reason="the plain forest is in use: nothing to compare")
@pytest.mark.parametrize("keen", [False, True])
@pytest.mark.parametrize("scale", [1, 81_280])
@pytest.mark.parametrize("seed", range(10))
def test_plain_and_compiled_agree_to_the_last_piece(seed: int, scale: int, keen: bool) -> None:
    land, items = usable(seed, scale)
    plain, compiled = (
        life(planted(land, forest, items, 6, seed), 6, keen=keen) for forest in (plain_forest(), engine.FOREST)
    )
    assert plain == compiled


@pytest.mark.skipif(not is_compiled(), reason="the plain forest is in use: nothing to compare")
@pytest.mark.parametrize("seed", range(10))
def test_plain_and_compiled_agree_where_items_count_for_more_than_their_area(seed: int) -> None:
    land, items = usable(seed)
    weights = [1 / (1 + (7 * item) % 5) for item in range(len(items))]
    plain, compiled = (
        life(planted(land, forest, items, 6, seed), 6, keen=False, weights=weights)
        for forest in (plain_forest(), engine.FOREST)
    )
    assert plain == compiled


def test_what_counts_for_more_is_placed_and_what_counts_for_less_is_left_out() -> None:
    """Either the large piece or two small ones fit; area speaks for the large one, the weights for the small ones."""
    land = ground(PackingTask((PieceKind(8, 10, 1), PieceKind(3, 10, 1), PieceKind(4, 10, 1)), (SheetKind(10, 10),)))
    for weights, items, count in ((None, [1, 2], 0.7), ([0.1, 0.5, 0.4], [0], 0.1)):
        forest = land.forest([0, 1, 2], 1)
        forest.open(0, 0)
        if weights is not None:
            forest.weigh(weights)
        forest.greedy(1, 2)
        forest.heat(0.01)
        forest.search(200, 0.98)
        assert sorted(forest.outside()) == items
        assert forest.left_out() == pytest.approx(count)


def test_few_and_many_outside_are_put_in_order_alike() -> None:
    """Many are read off a ranking of all items, few are sorted: the largest comes first. Three are too long to fit."""
    sizes = [(1 + 7 * item % 19, 1 + 5 * item % 23) for item in range(97)] + [(40, 1), (40, 3), (40, 2)]
    upright = (Allowed(0, may_turn=False),)
    land = ground(PackingTask(tuple(PieceKind(*size, 1, upright) for size in sizes), (SheetKind(30, 3000),)))
    forest = land.forest(list(range(100)), 1)
    forest.greedy(1, 2)  # without a sheet all stay outside
    areas = [sizes[kind][0] * sizes[kind][1] for kind in forest.outside()]
    assert len(areas) == 100
    assert areas == sorted(areas, reverse=True)
    forest.open(0, 0)
    forest.greedy(5, 2)  # by height
    forest.greedy(1, 2)
    assert forest.outside() == [98, 99, 97]


@pytest.mark.parametrize("seed", range(6))
def test_each_ranking_sorts_the_items_by_a_size_then_by_kind_then_by_place(seed: int) -> None:
    """Against sorting all items one by one; the rankings are read off the kinds."""
    land, items = usable(seed)
    items += items[::2]  # items of one kind need not stand together
    sizes = [land.kinds[kind][:2] for kind in items]
    measures = [
        [(w * h, 0) for w, h in sizes],
        [(max(size), min(size)) for size in sizes],
        [(min(size), max(size)) for size in sizes],
        sizes,
        [(h, w) for w, h in sizes],
        [(w + h, w * h) for w, h in sizes],
    ]
    ranked = list(planted(land, plain_forest(), items, 2, 0).ranked)
    for number, measure in enumerate(measures):
        keys = [(-one, -two, kind, item) for item, ((one, two), kind) in enumerate(zip(measure, items, strict=True))]
        first, in_order = number * len(items), [item for *_, item in sorted(keys)]
        assert ranked[first : first + len(items)] == in_order


def wrong_in(node: Node, above: int | None = None) -> list[str]:
    """What breaks the rules of a tree: sums, one free child at most, two children at least, alternating axes."""
    code, width, height, inside = node
    if code in (FREE_CODE, PIECE_CODE):
        return []
    across = code == 3
    found = []
    if sum(child[1] if across else child[2] for child in inside) != (width if across else height):
        found.append("the parts do not add up")
    if any((child[2] if across else child[1]) != (height if across else width) for child in inside):
        found.append("a part does not reach from edge to edge")
    if len(inside) < 2:
        found.append("a cut with one part")
    if sum(child[0] == FREE_CODE for child in inside) > 1:
        found.append("two free parts beside each other")
    if above == code:
        found.append("the same axis twice")
    return found + [text for child in inside for text in wrong_in(child, code)]


@pytest.mark.parametrize("seed", range(12))
def test_no_piece_is_lost_and_every_tree_stays_a_tree(seed: int) -> None:
    land, items = usable(seed)
    forest = planted(land, engine.FOREST, items, 6, seed)
    for _ in range(20):
        forest.heat(0.02)
        forest.aim(20, 6)
        forest.search(25, 0.99)
        trees = [forest.tree(slot) for slot in range(6) if forest.kind_in(slot) >= 0]
        inside = [item for tree in trees for item in items_of(tree)]
        assert sorted(inside + forest.outside()) == list(range(len(items)))
        assert [text for tree in trees for text in wrong_in(tree)] == []
        for kind in range(len(land.sheets)):
            assert sum(forest.kind_in(slot) == kind for slot in range(6)) <= land.limits[kind]


def test_a_broken_tree_is_seen_as_broken() -> None:
    piece = (PIECE_CODE, 2, 2, 0)
    assert wrong_in((3, 5, 2, (piece, piece))) == ["the parts do not add up"]
    assert wrong_in((3, 4, 3, (piece, piece))) == ["a part does not reach from edge to edge"]
    assert "the same axis twice" in wrong_in((3, 6, 2, (piece, (3, 4, 2, (piece, piece)))))


def test_an_item_taken_out_leaves_no_trace() -> None:
    land = ground(PackingTask((PieceKind(3, 4, 5),), (SheetKind(10, 9),)))
    forest = land.forest([0] * 5, 1)
    forest.open(0, 0)
    forest.greedy(1, 2)
    assert forest.tree(0) != (FREE_CODE, 10, 9, 0)
    forest.close(0)
    forest.open(0, 0)
    assert forest.tree(0) == (FREE_CODE, 10, 9, 0)
    assert sorted(forest.outside()) == [0, 1, 2, 3, 4]


def test_what_is_planted_is_what_is_read_back() -> None:
    land, items = usable(3)
    first = planted(land, engine.FOREST, items, 6, 1)
    first.greedy(2, 0)
    kinds = [first.kind_in(slot) for slot in range(6)]
    trees = [first.tree(slot) if kind >= 0 else None for slot, kind in enumerate(kinds)]
    second = land.forest(items, 6)
    for slot, (kind, tree) in enumerate(zip(kinds, trees, strict=True)):
        if kind >= 0:
            second.plant(slot, kind, tree)
    assert [second.tree(slot) if kind >= 0 else None for slot, kind in enumerate(kinds)] == trees
    assert sorted(second.outside()) == sorted(first.outside())


def test_the_table_of_logarithms_is_the_same_on_every_machine() -> None:
    for step, entry in enumerate(LOGS):
        exact = -log((2 * step + 1) / (2 * len(LOGS))) * 1048576
        assert abs(exact - entry * 1048576) < 0.5 - 1e-6, "too near a tie for another machine's logarithm"


def test_the_tables_of_powers_are_powers() -> None:
    rows = len(POWERS) // 3
    for number, power in enumerate((1.25, 1.5, 2.0)):
        for step in range(0, rows, 50):
            assert POWERS[number * rows + step] == pytest.approx((step / 1024) ** power, rel=1e-12)
