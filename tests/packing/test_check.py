"""The checker must catch layouts broken on purpose, and must pass the true ones."""

from dataclasses import replace

import pytest

from nesting.packing.check import check
from nesting.packing.check_bound import verify_bound
from nesting.packing.layout import (
    Allowed,
    Answer,
    Axis,
    Block,
    Bound,
    CutPart,
    CutRules,
    FreePart,
    MarginPart,
    Margins,
    Outcome,
    PackingTask,
    Part,
    PieceKind,
    PiecePart,
    Reason,
    SheetKind,
    Use,
)

A, D = Axis.ACROSS, Axis.DOWN
TASK = PackingTask((PieceKind(4, 6, 2), PieceKind(2, 3, 1)), (SheetKind(10, 6),))
STRIP = CutPart(2, 6, D, (PiecePart(2, 3, 1), FreePart(2, 3)))
GOOD = CutPart(10, 6, A, (PiecePart(4, 6, 0), PiecePart(4, 6, 0), STRIP))


def answer(root: Part, *missing: int, copies: int = 1, outcome: Outcome = Outcome.PROVEN, cost: int = 1) -> Answer:
    return Answer((Use(0, root, copies),), missing or (0, 0), outcome, Bound(cost, cost, Reason.AREA))


def faults(root: Part, task: PackingTask = TASK, *missing: int) -> str:
    return " ".join(check(task, answer(root, *missing)))


def test_a_true_answer_has_nothing_wrong() -> None:
    assert check(TASK, answer(GOOD)) == ()


def test_an_overlap_of_the_last_pair_is_caught() -> None:
    root = CutPart(10, 6, A, (PiecePart(4, 6, 0), PiecePart(4, 6, 0), CutPart(3, 6, D, STRIP.parts)))
    assert "do not add up to 10" in faults(root)


def test_a_cut_that_does_not_reach_the_edge_is_caught() -> None:
    root = CutPart(10, 6, A, (PiecePart(4, 6, 0), PiecePart(4, 6, 0), PiecePart(2, 3, 1)))
    assert "does not reach from edge to edge" in faults(root)


def test_a_piece_turned_against_its_print_is_caught() -> None:
    task = PackingTask((PieceKind(6, 10, 1, (Allowed(0, may_turn=False),)),), (SheetKind(10, 6),))
    assert "turned against its print" in faults(PiecePart(10, 6, 0, turned=True), task, 0)
    free = replace(task, pieces=(replace(task.pieces[0], allowed=(Allowed(0),)),))
    assert faults(PiecePart(10, 6, 0, turned=True), free, 0) == ""


def test_a_piece_too_few_and_a_piece_too_many_are_caught() -> None:
    short = replace(TASK, pieces=(PieceKind(4, 6, 3), TASK.pieces[1]))
    over = replace(TASK, pieces=(PieceKind(4, 6, 1), TASK.pieces[1]))
    assert "needed 3 times, cut 2 times" in faults(GOOD, short)
    assert "needed 1 times, cut 2 times" in faults(GOOD, over)
    assert check(short, answer(GOOD, 1, 0, outcome=Outcome.SHORT)) == ()


def test_a_missing_piece_is_not_called_proven() -> None:
    short = replace(TASK, pieces=(PieceKind(4, 6, 3), TASK.pieces[1]))
    assert "Pieces are missing" in faults(GOOD, short, 1, 0)


def test_a_piece_of_the_wrong_size_or_paper_is_caught() -> None:
    task = PackingTask((PieceKind(4, 5, 2), PieceKind(2, 3, 1, (Allowed(1),))), (SheetKind(10, 6),))
    assert "is not piece kind 0 of 4 x 5" in faults(GOOD, task)
    assert "may not be cut from paper 0" in faults(GOOD, task)


def test_more_sheets_than_there_are_is_caught() -> None:
    task = PackingTask((PieceKind(4, 6, 4), PieceKind(2, 3, 2)), (SheetKind(10, 6, limit=1),))
    wrong = check(task, answer(GOOD, copies=2, cost=2))
    assert any("is taken 2 times, and there are 1" in sentence for sentence in wrong)


def test_two_cuts_nested_along_one_axis_are_caught() -> None:
    rest = CutPart(6, 6, A, (PiecePart(4, 6, 0), STRIP))
    assert "they are one cut part" in faults(CutPart(10, 6, A, (PiecePart(4, 6, 0), rest)))


def test_the_whole_sheet_must_be_there() -> None:
    assert "is not the whole sheet" in faults(CutPart(8, 6, A, GOOD.parts[:2]))


def test_kerf_is_part_of_every_sum() -> None:
    task = PackingTask((PieceKind(4, 6, 2),), (SheetKind(10, 6),), CutRules(kerf=1))
    exact = CutPart(10, 6, A, (PiecePart(4, 6, 0), PiecePart(4, 6, 0), FreePart(0, 6)))
    assert faults(exact, task, 0) == ""
    over_the_edge = replace(task, sheets=(SheetKind(9, 6),))
    assert faults(CutPart(9, 6, A, exact.parts[:2]), over_the_edge, 0) == ""
    nothing_left = CutPart(9, 6, A, exact.parts)
    assert faults(nothing_left, over_the_edge, 0) == ""
    assert "do not add up" in faults(CutPart(10, 6, A, exact.parts[:2]), task, 0)
    assert "do not add up" in faults(CutPart(8, 6, A, exact.parts), replace(task, sheets=(SheetKind(8, 6),)), 0)


MARGINS = PackingTask((PieceKind(4, 6, 2),), (SheetKind(10, 8, margins=Margins(1, 2, 1, 0)),))
INNER = CutPart(8, 6, A, (PiecePart(4, 6, 0), PiecePart(4, 6, 0)))
SIDES = CutPart(10, 6, A, (MarginPart(1, 6), INNER, MarginPart(1, 6)))


def test_margins_come_off_first() -> None:
    assert faults(CutPart(10, 8, D, (MarginPart(10, 2), SIDES)), MARGINS, 0) == ""


def test_a_piece_or_an_offcut_in_a_margin_is_caught() -> None:
    in_margin = CutPart(10, 6, A, (PiecePart(4, 6, 0), PiecePart(4, 6, 0), FreePart(2, 6)))
    assert "inside the margins" in faults(CutPart(10, 8, D, (MarginPart(10, 2), in_margin)), MARGINS, 0)
    assert "inside the margins" in faults(CutPart(10, 8, D, (FreePart(10, 2), SIDES)), MARGINS, 0)
    shifted = CutPart(10, 6, A, (MarginPart(2, 6), INNER))
    assert "called margin and lies outside" in faults(CutPart(10, 8, D, (MarginPart(10, 2), shifted)), MARGINS, 0)


def test_a_margin_inside_the_layout_is_caught() -> None:
    task = PackingTask((PieceKind(4, 6, 2),), (SheetKind(10, 6),))
    root = CutPart(10, 6, A, (PiecePart(4, 6, 0), PiecePart(4, 6, 0), MarginPart(2, 6)))
    assert "margin" in faults(root, task, 0)


@pytest.mark.parametrize(
    ("rules", "sentence"),
    [
        (CutRules(longest_cut=5), "needs a cut of 6, longer than 5"),
        (CutRules(largest_setting=3), "two of them lie beyond the stop at 3"),
        (CutRules(narrowest_held=3), "while only 2 wide, under 3"),
        (CutRules(most_turns=0), "reached after 1 turns, more than 0"),
    ],
)
def test_the_limits_of_the_trimmer_are_kept(rules: CutRules, sentence: str) -> None:
    assert sentence in faults(GOOD, replace(TASK, rules=rules))


def test_what_is_left_before_the_last_cut_must_be_wide_enough_to_hold() -> None:
    task = PackingTask((PieceKind(2, 6, 5),), (SheetKind(10, 6),), CutRules(narrowest_held=5))
    root = CutPart(10, 6, A, tuple(PiecePart(2, 6, 0) for _ in range(5)))
    assert "while only 4 wide, under 5" in faults(root, task, 0)


def test_the_inner_cuts_of_a_block_count_for_every_rule() -> None:
    block = PieceKind(9, 4, 1, block=Block(A, (4, 5)))
    task = PackingTask((block,), (SheetKind(9, 6),))
    root = CutPart(9, 6, D, (PiecePart(9, 4, 0), FreePart(9, 2)))
    assert faults(root, task, 0) == ""
    assert "more than 0" in faults(root, replace(task, rules=CutRules(most_turns=0)), 0)
    assert "beyond the stop" in faults(root, replace(task, rules=CutRules(largest_setting=3)), 0)
    assert "needs a cut of 9" in faults(root, replace(task, rules=CutRules(longest_cut=8)), 0)
    bad = replace(task, pieces=(replace(block, block=Block(A, (4, 4))),))
    assert "do not add up to 9" in faults(root, bad, 0)


def test_a_claim_of_proof_must_meet_the_bound() -> None:
    task = replace(TASK, sheets=(SheetKind(10, 6), SheetKind(20, 12)))
    lame = Answer((Use(1, CutPart(20, 12, A, (CutPart(10, 12, D, (GOOD, FreePart(10, 6))), FreePart(10, 12))), 1),),
                  (0, 0), Outcome.PROVEN, Bound(0, 0, Reason.AREA))  # fmt: skip
    assert any("called proven best" in sentence for sentence in check(task, lame))
    assert check(task, replace(lame, outcome=Outcome.OPEN)) == ()


def test_a_bound_that_claims_too_much_is_caught() -> None:
    claim = answer(GOOD)
    dear = replace(TASK, sheets=(SheetKind(10, 6, cost=7),))
    assert check(dear, replace(claim, bound=Bound(7, 1, Reason.AREA))) == ()
    cheaper = replace(TASK, sheets=(SheetKind(10, 6, cost=7), SheetKind(10, 6, cost=5)))
    assert any("The bound claims 7" in text for text in check(cheaper, replace(claim, bound=Bound(7, 1, Reason.AREA))))


def test_prices_prove_what_area_cannot() -> None:
    """Three pieces of 6 x 6 in sheets of 10 x 10: no two fit in one sheet; area alone says two sheets."""
    task = PackingTask((PieceKind(6, 6, 3),), (SheetKind(10, 10),))
    assert verify_bound(task, Bound(0, 0, Reason.AREA)).sheets == 2
    assert verify_bound(task, Bound(0, 0, Reason.PRICES, (1,), 1)).sheets == 3


def test_prices_of_nothing_prove_nothing() -> None:
    task = PackingTask((PieceKind(6, 6, 3),), (SheetKind(10, 10),))
    assert verify_bound(task, Bound(3, 3, Reason.PRICES, (), 1)).cost == 0
    assert verify_bound(task, Bound(3, 3, Reason.PRICES, (-1,), 1)).cost == 0


def test_cheap_sheets_that_are_few_are_counted_first() -> None:
    """Nine quarter sheets: one sheet at hand for nothing, one for 2, the rest for 5 each: 0 + 2 + 5."""
    sheets = (SheetKind(10, 10, cost=5), SheetKind(10, 10, cost=0, limit=1), SheetKind(10, 10, cost=2, limit=1))
    task = PackingTask((PieceKind(5, 5, 9),), sheets)
    proof = verify_bound(task, Bound(0, 0, Reason.PRICES, (1,), 1))
    assert (proof.cost, proof.sheets) == (7, 3)
