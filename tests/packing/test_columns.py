"""Layouts made to measure: the fractional optimum, its bound, and whole sheets from it."""

from nesting.packing.bounds import by_area
from nesting.packing.columns import PRECISION, Columns, without_surplus
from nesting.packing.layout import Allowed, PackingTask, PieceKind, SheetKind, sheets_of
from nesting.packing.master import Column, whole_numbers
from nesting.packing.rounding import Sheets, layouts_of, left_over, settled
from nesting.packing.stock import stock
from nesting.packing.trees import counts_of, free_node, items_of


def generated(task: PackingTask) -> Columns:
    columns = Columns(stock(task), PRECISION // max(sheet.cost for sheet in task.sheets))
    columns.run()
    return columns


ROLLS = ((45, 97), (36, 610), (31, 395), (14, 211))
CHVATAL = PackingTask(
    tuple(PieceKind(width, 1, need, (Allowed(0, may_turn=False),)) for width, need in ROLLS), (SheetKind(100, 1),)
)


def test_the_linear_program_of_a_textbook() -> None:
    """Chvátal, Linear Programming, 1983: rolls of 100, 452.25 in fractions, 453 whole (from neos-guide.org)."""
    columns = generated(CHVATAL)
    assert columns.prices is not None
    assert abs(columns.prices.cost - 452.25) < 1e-3
    assert columns.proof.cost == 453


def test_the_bound_never_passes_the_linear_program() -> None:
    pieces = (PieceKind(5, 7, 40), PieceKind(3, 4, 77), PieceKind(9, 2, 31))
    task = PackingTask(pieces, (SheetKind(24, 24, cost=7), SheetKind(17, 11, cost=3)))
    columns = generated(task)
    assert columns.prices is not None
    assert columns.proof.cost >= columns.prices.cost - 1e-3
    assert by_area(columns.stock, columns.needs).cost <= columns.proof.cost <= columns.prices.cost + 7


def test_surplus_joins_the_free_paper() -> None:
    columns = generated(CHVATAL)
    layout = layouts_of(columns)[0]
    assert without_surplus(layout.node, [0, 0, 0, 0]) == free_node(100, 1)
    kept = without_surplus(layout.node, [9, 0, 0, 0])
    assert set(items_of(kept)) <= {0}


def test_nothing_is_cut_beyond_need() -> None:
    ready = stock(CHVATAL)
    columns = generated(CHVATAL)
    many = [Sheets(0, layout.node, 700) for layout in layouts_of(columns)]
    uses = settled(ready, many)
    cut = [sum(use.copies * counts_of(use.root, 4)[kind] for use in uses) for kind in range(4)]
    assert cut == [97, 610, 395, 211]
    assert not any(piece.need for piece in left_over(CHVATAL, uses).pieces)
    assert sheets_of(uses) < 700 * len(many)


def test_cheap_sheets_are_taken_first_and_never_more_than_there_are() -> None:
    sheets = (SheetKind(2, 2, cost=5), SheetKind(2, 2, cost=1, limit=2), SheetKind(2, 2, cost=3, limit=1))
    ready = stock(PackingTask((PieceKind(2, 2, 6),), sheets))
    uses = settled(ready, [Sheets(0, (2, 2, 2, 0), 6)])
    assert {use.sheet: use.copies for use in uses} == {1: 2, 2: 1, 0: 3}


def test_whole_numbers_leave_out_what_paper_does_not_give() -> None:
    columns = [Column(0, (2, 0), free_node(1, 1)), Column(0, (0, 3), free_node(1, 1))]
    tiers = [[(1, 2)]]
    assert whole_numbers([4, 3], tiers, columns, [10.0, 1.0], least=0, nodes=100) == [2, 0]
    assert whole_numbers([4, 3], tiers, columns, [1.0, 10.0], least=0, nodes=100) == [1, 1]
