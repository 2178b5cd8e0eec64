"""How few sheets are needed: whole sheets, cheap ones first, never more than some plan needs."""

import random
from itertools import product

from nesting.packing import check_bound as checker
from nesting.packing.bounds import by_area, by_prices, cover
from nesting.packing.layout import Allowed, Margins, PackingTask, PieceKind, SheetKind
from nesting.packing.stock import apart, stock


def by_hand(need: int, rows: list[tuple[int, int, int | None]]) -> int:
    counts = [range(1 + (-(-need // worth) if limit is None else limit)) for worth, _, limit in rows]
    costs = [
        sum(n * cost for n, (_, cost, _) in zip(some, rows, strict=True))
        for some in product(*counts)
        if sum(n * worth for n, (worth, _, _) in zip(some, rows, strict=True)) >= need
    ]
    return min(costs, default=0)


def test_the_cheapest_sheets_are_found_as_by_hand() -> None:
    for seed in range(400):
        r = random.Random(seed)
        rows: list[tuple[int, int, int | None]] = [
            (r.randint(3, 30), r.choice([0, 1, 2, 5, 7, 12]), r.choice([None, 0, 1, 3])) for _ in range(r.randint(1, 4))
        ]
        need = r.randint(1, 60)
        assert cover(need, rows) == by_hand(need, rows) == checker._cheapest(need, rows)


def test_half_a_sheet_cannot_be_bought() -> None:
    assert cover(101, [(100, 7, None)]) == 14
    assert cover(101, [(100, 7, 1)]) == 0
    assert cover(0, [(100, 7, None)]) == 0


def test_costs_are_rounded_to_what_they_can_add_up_to() -> None:
    """Worth 10 for 6 or 15 for 10: 25 are worth 16 at least, as 6 + 10, where fractions would say 15."""
    assert cover(25, [(10, 6, None), (15, 10, None)]) == 16


def test_many_sheets_of_many_kinds_are_counted_in_reason() -> None:
    rows: list[tuple[int, int, int | None]] = [(10**9 + 7 * k, 10**6 + k * k, None) for k in range(1, 9)]
    found = cover(10**14, rows)
    best = min(cost / worth for worth, cost, _ in rows)
    assert best * 10**14 - 1 <= found <= best * 10**14 + 2 * 10**6


def test_area_counts_only_what_is_inside_the_margins() -> None:
    sheets = (SheetKind(10, 10), SheetKind(12, 12, cost=3, margins=Margins(1, 1, 1, 1)))
    task = PackingTask((PieceKind(5, 10, 4),), sheets)
    assert by_area(stock(task), [4]).cost == 2
    alone = PackingTask(task.pieces, task.sheets[1:])
    assert (by_area(stock(alone), [4]).cost, by_area(stock(alone), [4]).sheets) == (6, 2)


def test_prices_beat_area() -> None:
    task = PackingTask((PieceKind(6, 6, 3),), (SheetKind(10, 10),))
    assert by_area(stock(task), [3]).cost == 2
    assert by_prices(stock(task), [3], [1], [1]).cost == 3


def test_papers_that_share_no_piece_are_taken_apart() -> None:
    papers = ((0,), (1,), (2, 0), (3,))
    pieces = tuple(PieceKind(1, 1, 1, tuple(Allowed(paper) for paper in some)) for some in papers)
    sheets = tuple(SheetKind(9, 9, paper) for paper in (1, 2, 0, 5))
    assert apart(PackingTask(pieces, sheets)) == [([0, 2], [1, 2]), ([1], [0]), ([3], [])]
