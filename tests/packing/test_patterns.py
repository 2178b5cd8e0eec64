"""The most a sheet can be worth: against every cut at every position, published optima, and the independent checker."""

import random
from collections.abc import Callable
from dataclasses import replace

import pytest
from tiny import most_worth, most_worth_ruled, ruled_job, tiny_job

from nesting.packing import check as checker
from nesting.packing.check_worth import sheet_worths
from nesting.packing.coarse import Coarse
from nesting.packing.layout import (
    Allowed,
    Axis,
    Block,
    CutRules,
    Margins,
    PackingTask,
    PieceKind,
    SheetKind,
)
from nesting.packing.patterns import Patterns, fits, patterns
from nesting.packing.points import reachable, side
from nesting.packing.stock import stock
from nesting.packing.trees import counts_of


def table(task: PackingTask, prices: list[int], needs: list[int] | None = None) -> Patterns:
    ready = stock(task)
    found = patterns(ready.sources[:1], ready.limits, needs or [99] * len(task.pieces), most=2000)
    assert found is not None
    found.fill(prices)
    return found


def worth(task: PackingTask, prices: list[int]) -> int:
    found = table(task, prices)
    return found.worth(found.sources[0])


@pytest.mark.parametrize("block", range(10))
def test_the_value_is_that_of_every_cut_at_every_position(block: int) -> None:
    for seed in range(block * 30, block * 30 + 30):
        task = tiny_job(seed)
        ready = stock(task)
        prices = [random.Random(seed).randint(1, 9) * piece.width * piece.height for piece in task.pieces]
        for source in ready.sources:
            found = patterns([source], ready.limits, [99] * len(prices), most=2000)
            assert found is not None
            found.fill(prices)
            kerf = task.rules.kerf
            assert found.worth(source) == most_worth(task, source.width - kerf, source.height - kerf, tuple(prices))


def ruled_task(seed: int) -> PackingTask:
    """A sheet, up to five kinds of pieces, and some of everything a trimmer cannot do."""
    r = random.Random(seed)
    kerf = r.choice([0, 0, 1])
    pieces = []
    for _ in range(r.randint(1, 5)):
        width, height = r.randint(3, 12), r.randint(3, 12)
        first = r.randint(1, width - 1 - kerf)
        block = Block(Axis.ACROSS, (first, width - kerf - first)) if r.random() < 0.2 else None
        pieces.append(PieceKind(width, height, r.randint(1, 30), (Allowed(0, r.random() < 0.6),), block))
    rules = CutRules(kerf, r.choice([None, r.randint(8, 24)]), r.choice([None, r.randint(3, 12)]), r.choice([0, 2, 3]),
                     r.choice([None, 0, 1, 2, 3]))  # fmt: skip
    margins = Margins(*(r.choice([0, 0, 1, 2]) for _ in range(4)))
    return PackingTask(tuple(pieces), (SheetKind(r.randint(8, 24), r.randint(8, 24), margins=margins),), rules)


def long_task(seed: int) -> PackingTask:
    """A sheet whose sides are mostly longer than the longest cut."""
    r = random.Random(seed)
    pieces = tuple(
        PieceKind(r.randint(3, 11), r.randint(3, 11), 30, (Allowed(0, r.random() < 0.6),))
        for _ in range(r.randint(2, 5))
    )
    sheet = SheetKind(r.randint(12, 20), r.randint(12, 20))
    kerf, longest = r.choice([0, 0, 1]), r.randint(8, max(sheet.width, sheet.height) - 1)
    rules = CutRules(kerf, longest, r.choice([None, None, r.randint(5, 12)]), r.choice([0, 0, 0, 2, 4]),
                     r.choice([None, None, 2]))  # fmt: skip
    return PackingTask(pieces, (sheet,), rules)


def simple_task(seed: int) -> PackingTask:
    """A ruled task on a sheet up to 16 x 16, without blocks and margins."""
    task = ruled_task(seed)
    pieces = tuple(replace(piece, block=None, need=30) for piece in task.pieces)
    sheet = SheetKind(min(16, task.sheets[0].width), min(16, task.sheets[0].height))
    return replace(task, pieces=pieces, sheets=(sheet,))


def rich_task(seed: int) -> PackingTask:
    """One sheet with margins, up to four kinds of pieces with blocks among them, and all limits of a trimmer."""
    task = ruled_job(seed, (8, 16))
    pieces = tuple(replace(piece, need=30) for piece in task.pieces)
    return replace(task, pieces=pieces, sheets=task.sheets[:1])


# Found among many: a part just beyond the longest cut hides one within it; a strip as wide as what lies in it.
@pytest.mark.parametrize(
    ("made", "seed"),
    [*((long_task, seed) for seed in (35, 190, *range(20))), *((simple_task, seed) for seed in range(100, 170)),
     *((rich_task, seed) for seed in range(120))],
)  # fmt: skip
def test_within_a_trimmers_limits_too_the_value_is_that_of_every_cut(
    made: Callable[[int], PackingTask], seed: int
) -> None:
    """Finder and checker find by themselves what trying every cut finds."""
    task, chance = made(seed), random.Random(seed)
    (sheet,) = task.sheets
    prices = [chance.randint(1, 5) * piece.width * piece.height for piece in task.pieces]
    best = most_worth_ruled(task, sheet, tuple(prices))
    assert (worth(task, prices) if stock(task).sources else 0) == best
    assert sheet_worths(task, prices) == [best]


@pytest.mark.parametrize("block", range(10))
def test_under_all_rules_the_layout_is_true_and_worth_what_the_checker_finds(block: int) -> None:
    for seed in range(block * 40, block * 40 + 40):
        task = ruled_task(seed)
        needs = [piece.need for piece in task.pieces]
        prices = [random.Random(seed).randint(1, 5) * piece.width * piece.height for piece in task.pieces]
        ready = stock(task)
        for source in ready.sources:
            found = patterns([source], ready.limits, needs, most=2000)
            assert found is not None
            found.fill(prices)
            assert found.worth(source) == sheet_worths(task, prices)[0]
            for down_first in (False, True):
                use = ready.use(0, found.node(source, down_first=down_first))
                assert use is not None
                walk = checker._Walk(task, task.sheets[0], "Layout")
                walk.whole(use.root)
                gives = counts_of(use.root, len(needs))
                assert sum(n * price for n, price in zip(gives, prices, strict=True)) == found.worth(source)
                assert not walk.wrong or found.worth(source) == 0


def test_one_table_prices_all_sizes_of_a_paper() -> None:
    sheets = (SheetKind(24, 24), SheetKind(20, 16), SheetKind(12, 9))
    ready = stock(PackingTask((PieceKind(5, 7, 9), PieceKind(3, 4, 9)), sheets))
    together = patterns(ready.sources, ready.limits, [99, 99], most=2000)
    assert together is not None
    together.fill([35, 12])
    for source in ready.sources:
        alone = patterns([source], ready.limits, [99, 99], most=2000)
        assert alone is not None
        alone.fill([35, 12])
        assert alone.worth(source) == together.worth(source)


def test_sums_of_sizes_are_all_there_and_no_others() -> None:
    assert reachable(20, [(6, 2), (7, 9)]).tolist() == [0, 6, 7, 12, 13, 14, 19, 20]


def test_millimetres_and_inches_together_need_few_states() -> None:
    """Seven sizes, some in sixteenths of an inch and some in millimetres, on 12 in: 24 384 steps of 0.0125 mm."""
    sizes = [81280 * 23 // 8, 81280 * 7 // 4, 81280 * 55 // 16, 3200 * 47, 3200 * 62, 3200 * 33, 3200 * 90]
    states = side([12 * 81280], [(size, 20) for size in sizes])
    assert states is not None
    assert len(states.sizes) < 400


def test_a_piece_fits_only_under_all_the_rules() -> None:
    sheet = SheetKind(10, 20)
    assert fits(PackingTask((PieceKind(20, 10, 1),), (sheet,)), 0)
    assert not fits(PackingTask((PieceKind(20, 10, 1, (Allowed(0, may_turn=False),)),), (sheet,)), 0)
    assert not fits(PackingTask((PieceKind(11, 11, 1),), (sheet,)), 0)
    small = PieceKind(9, 9, 1)
    assert fits(PackingTask((small,), (sheet,), CutRules(longest_cut=10)), 0)
    assert not fits(PackingTask((small,), (sheet,), CutRules(longest_cut=9)), 0)
    assert not fits(PackingTask((small,), (sheet,), CutRules(most_turns=0)), 0)
    assert not fits(PackingTask((PieceKind(10, 19, 1),), (SheetKind(10, 20, margins=Margins(1)),)), 0)
    assert not fits(PackingTask((PieceKind(10, 19, 1, (Allowed(1),)),), (sheet,)), 0)


@pytest.mark.parametrize("block", range(10))
def test_a_piece_fits_where_some_cuts_lead_to_it(block: int) -> None:
    """Also a strip too narrow to be cut again, and one that more cuts than two lead to."""
    narrow = PackingTask((PieceKind(5, 1, 1),), (SheetKind(10, 4),), CutRules(narrowest_held=3))
    short = PackingTask((PieceKind(2, 3, 1),), (SheetKind(9, 4),), CutRules(longest_cut=4, narrowest_held=3))
    for task in (narrow, short, *(ruled_job(seed) for seed in range(block * 60, block * 60 + 60))):
        for kind in range(len(task.pieces)):
            prices = tuple(int(k == kind) for k in range(len(task.pieces)))
            assert fits(task, kind) == any(most_worth_ruled(task, sheet, prices) for sheet in task.sheets)


def test_a_square_block_may_turn_so_that_no_turn_of_the_sheet_is_needed() -> None:
    block = PieceKind(10, 10, 30, block=Block(Axis.ACROSS, (3, 3, 4)))
    small = PieceKind(4, 4, 30, (Allowed(0, may_turn=False),), Block(Axis.DOWN, (2, 2)))
    task = PackingTask((block, small), (SheetKind(14, 16),), CutRules(most_turns=1))
    assert worth(task, [500, 32]) == most_worth_ruled(task, task.sheets[0], (500, 32)) == 628
    assert sheet_worths(task, [500, 32]) == [628]
    ready = stock(task)
    use = ready.use(0, table(task, [500, 32]).node(ready.sources[0]))
    walk = checker._Walk(task, task.sheets[0], "Layout")
    assert use is not None
    walk.whole(use.root)
    assert walk.wrong == []
    assert dict(walk.placed) == {0: 1, 1: 4}


def test_no_turn_means_strips_only() -> None:
    """Two turns are needed for four 4 x 3 beside one 2 x 6 below each other; none gives strips as high as the sheet."""
    task = PackingTask((PieceKind(4, 3, 9, (Allowed(0, may_turn=False),)),), (SheetKind(8, 6),))
    by_turns = [worth(PackingTask(task.pieces, task.sheets, CutRules(most_turns=turns)), [12]) for turns in (0, 1)]
    assert by_turns == [0, 48]


@pytest.mark.parametrize("seed", range(40))
def test_rounded_sizes_are_never_worth_less_above_and_always_cut_below(seed: int) -> None:
    task = ruled_task(seed)
    task = PackingTask(task.pieces, task.sheets, CutRules(task.rules.kerf))
    needs = [piece.need for piece in task.pieces]
    prices = [piece.width * piece.height for piece in task.pieces]
    ready = stock(task)
    for source in ready.sources:
        exact = patterns([source], ready.limits, needs, most=2000)
        coarse = Coarse(source, ready.limits, needs)
        assert exact is not None
        exact.fill(prices)
        coarse.fill(prices)
        assert coarse.reached(source) <= exact.worth(source) <= coarse.worth(source)
        use = ready.use(0, coarse.node(source))
        assert use is not None
        walk = checker._Walk(task, task.sheets[0], "Layout")
        walk.whole(use.root)
        gives = counts_of(use.root, len(needs))
        assert sum(price * n for price, n in zip(prices, gives, strict=True)) == coarse.reached(source)
        assert not walk.wrong or coarse.reached(source) == 0
