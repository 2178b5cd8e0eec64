"""Layouts with few doubtful pieces: worked examples, and a plain recursion over all cuts that no layout can beat."""

from __future__ import annotations

import random
from collections import Counter
from functools import cache

from nesting.cutting.doubt import Doubt, doubtful
from nesting.cutting.parts import Parts
from nesting.cutting.passes import WaysOfWork
from nesting.cutting.sure_layouts import Costs, SureLayouts
from nesting.packing.layout import Allowed, CutPart, CutRules, PackingTask, Part, PieceKind, SheetKind, Use, leaves
from nesting.packing.layout import PiecePart as Piece
from nesting.packing.stock import stock

SPARE, EDGE, ONE, MORE = range(4)
LEFT_OVER = SPARE, ONE, MORE, MORE


def _task(sheet: tuple[int, int], pieces: list[tuple[int, int]], *, turn: bool = False, kerf: int = 0) -> PackingTask:
    kinds = tuple(PieceKind(wide, high, 9, (Allowed(0, turn),)) for wide, high in pieces)
    return PackingTask(kinds, (SheetKind(*sheet),), CutRules(kerf=kerf))


def _found(task: PackingTask, prices: list[int], costs: Costs, trim: int = 2) -> list[Use]:
    ready = stock(task)
    uses = [ready.use(0, node) for node in SureLayouts(ready.sources[0], trim).best(prices, costs)]
    assert None not in uses
    return [use for use in uses if use is not None]


def _strokes(part: Part) -> int:
    return len(part.parts) - 1 + sum(map(_strokes, part.parts)) if isinstance(part, CutPart) else 0


def _counted(task: PackingTask, use: Use, edge: int = 0) -> tuple[int, int, int]:
    """Pieces, doubtful pieces, strokes."""
    parts = Parts(task, WaysOfWork(least_trim=1), dict.fromkeys(range(len(task.pieces)), ""))
    held = [leaf for leaf in leaves(use.root) if isinstance(leaf, Piece)]
    return len(held), doubtful(parts, parts.add_layout(use), edge), _strokes(use.root)


def _doubts(task: PackingTask, use: Use) -> Counter[int]:
    """Doubtful pieces of each kind."""
    parts = Parts(task, WaysOfWork(least_trim=1), dict.fromkeys(range(len(task.pieces)), ""))
    return Doubt(parts).kinds(parts.add_layout(use), (0, 0))


def test_a_sheet_cut_once_has_two_good_halves_unless_its_edges_are_not_trusted() -> None:
    task = _task((20, 10), [(10, 10)])
    for use in _found(task, [100], Costs(1, [10])):
        assert _counted(task, use) == (2, 0, 1)
    for use in _found(task, [100], Costs(1, [10], bare=True)):
        assert _counted(task, use, 1) == (2, 1, 1)


def test_a_full_row_has_one_piece_in_doubt_and_is_left_off_where_that_costs_more_than_the_piece() -> None:
    task = _task((30, 10), [(10, 10)])
    assert {_counted(task, use) for use in _found(task, [100], Costs(1, [10]))} == {(3, 1, 2)}
    assert {_counted(task, use)[:2] for use in _found(task, [100], Costs(1, [200]))} == {(2, 0)}
    roomy = _task((31, 10), [(10, 10)])
    assert {_counted(roomy, use) for use in _found(roomy, [100], Costs(1, [10]))} == {(3, 0, 3)}


def test_a_strip_is_a_trim_wider_where_that_saves_its_pieces_from_doubt() -> None:
    """Two strips of 10 leave 4 over: the strips have no room below, a trim beside each piece costs nothing."""
    task = _task((24, 30), [(10, 10)])
    best = max(_found(task, [100], Costs(0, [10])), key=lambda use: 100 * _counted(task, use)[0])
    pieces, doubts, _ = _counted(task, best)
    assert pieces == 6
    assert doubts <= 2


def test_kerf_and_turned_pieces() -> None:
    task = _task((21, 7), [(7, 10)], turn=True, kerf=1)
    for use in _found(task, [100], Costs(1, [10])):
        assert _counted(task, use) == (2, 0, 1)


def test_no_layout_is_worth_more_than_all_cuts_allow_and_most_are_worth_that() -> None:
    equal = tried = 0
    for seed in range(40):
        draw = random.Random(f"sure {seed}")
        sheet = draw.randint(8, 14), draw.randint(8, 14)
        sizes = [(draw.randint(2, 7), draw.randint(2, 7)) for _ in range(draw.randint(1, 4))]
        task = _task(sheet, sizes, turn=seed % 2 == 0)
        prices = [draw.randint(5, 12) * wide * high for wide, high in sizes]
        costs = Costs(draw.randint(0, 9), [draw.choice((0, 20, 60)) for _ in sizes])
        values = []
        for use in _found(task, prices, costs, trim=1):
            value = sum(prices[leaf.kind] for leaf in leaves(use.root) if isinstance(leaf, Piece))
            doubts = sum(number * costs.doubts[kind] for kind, number in _doubts(task, use).items())
            values.append(value - doubts - costs.stroke * _strokes(use.root))
        most = _most(task, prices, costs)
        assert max(values) <= most
        equal += max(values) == most
        tried += 1
    assert equal > tried // 2


def _most(task: PackingTask, prices: list[int], costs: Costs) -> int:
    """What the sheet can be worth with any cuts and trims of 1 and more; SPARE: paper is left over beside the part."""
    items = [
        (wide, high, prices[kind], costs.doubts[kind])
        for kind, piece in enumerate(task.pieces)
        for wide, high in {(piece.width, piece.height), (piece.height, piece.width)}
        if (wide, high) == (piece.width, piece.height) or piece.allowed[0].may_turn
    ]

    @cache
    def worth(across: int, down: int, wide: int, high: int) -> int:
        best = 0
        for w, h, price, doubt in items:
            if w == wide and h == high:
                best = max(best, price - doubt * (MORE in (across, down)))
        for first in range(1, wide):
            kept = worth(SPARE, down, wide - first, high) - costs.stroke * (across != SPARE)
            both = worth(ONE, down, first, high) + worth(LEFT_OVER[across], down, wide - first, high) - costs.stroke
            best = max(best, kept, both)
        for first in range(1, high):
            kept = worth(across, SPARE, wide, high - first) - costs.stroke * (down != SPARE)
            both = worth(across, ONE, wide, first) + worth(across, LEFT_OVER[down], wide, high - first) - costs.stroke
            best = max(best, kept, both)
        return best

    return worth(EDGE, EDGE, *task.sheets[0].usable)
