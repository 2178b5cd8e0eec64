"""Each rule of the checker at its edge: what just keeps it stands, what just breaks it is caught for that reason."""

from __future__ import annotations

from dataclasses import replace

import pytest

from nesting.packing.check import check
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
FOUR, HALF = PiecePart(4, 6, 0), PiecePart(2, 6, 1)
ROOT = CutPart(10, 6, A, (FOUR, FOUR, HALF))
NOTHING = Bound(0, 0, Reason.AREA)


def task_of(*needs: int, sheet: SheetKind | None = None, rules: CutRules | None = None) -> PackingTask:
    """Pieces of 4 x 6 and 2 x 6, none of them turned, and sheets of 10 x 6 if nothing else is said."""
    fixed = (Allowed(0, may_turn=False),)
    pieces = tuple(PieceKind(*size, need, fixed) for size, need in zip(((4, 6), (2, 6)), needs, strict=True))
    return PackingTask(pieces, (sheet or SheetKind(10, 6),), rules or CutRules())


TASK = task_of(2, 1)


def answered(
    root: Part, *, copies: int = 1, sheet: int = 0, missing: tuple[int, ...] = (0, 0), outcome: Outcome = Outcome.OPEN,
    bound: Bound = NOTHING,
) -> Answer:  # fmt: skip
    return Answer((Use(sheet, root, copies),), missing, outcome, bound)


def wrong(answer: Answer, task: PackingTask = TASK) -> str:
    return " ".join(check(task, answer))


# ------------------------------------------------------------------------------------- counts and claims


def test_every_copy_of_a_layout_gives_its_pieces() -> None:
    assert wrong(answered(ROOT, copies=3), task_of(6, 3)) == ""
    assert "needed 2 times, cut 6 times" in wrong(answered(ROOT, copies=3))


@pytest.mark.parametrize("copies", [0, -1])
def test_a_layout_is_used_at_least_once(copies: int) -> None:
    told = answered(ROOT, copies=copies, missing=(2 - 2 * copies, 1 - copies), outcome=Outcome.SHORT)
    assert f"is used {copies} times" in wrong(told)


def test_no_more_is_missing_than_nothing() -> None:
    """One piece too many is not made good by saying that one less than none is missing."""
    assert "cut 2 times, -1 said missing" in wrong(answered(ROOT, missing=(-1, 0)), task_of(1, 1))


@pytest.mark.parametrize("missing", [(0,), (0, 0, 0)])
def test_what_is_missing_is_said_of_every_kind(missing: tuple[int, ...]) -> None:
    assert "say what is missing, for 2 kinds" in wrong(answered(ROOT, missing=missing))


@pytest.mark.parametrize("sheet", [-1, 1])
def test_sheets_that_do_not_exist_are_caught(sheet: int) -> None:
    assert f"names sheet kind {sheet}, which does not exist" in wrong(answered(ROOT, sheet=sheet))


@pytest.mark.parametrize("kind", [-1, 2])
def test_pieces_that_do_not_exist_are_caught(kind: int) -> None:
    root = CutPart(10, 6, A, (FOUR, FOUR, PiecePart(2, 6, kind)))
    assert f"is of piece kind {kind}, which does not exist" in wrong(answered(root, missing=(0, 1)))


def test_paper_is_short_where_a_piece_is_missing_and_only_there() -> None:
    assert "no piece is missing" in wrong(answered(ROOT, outcome=Outcome.SHORT))
    for outcome in Outcome:
        told = wrong(answered(ROOT, missing=(1, 0), outcome=outcome), task_of(3, 1))
        assert ("Pieces are missing" in told) is (outcome not in (Outcome.SHORT, Outcome.STOPPED))


@pytest.mark.parametrize("bound", [Bound(2, 1, Reason.AREA), Bound(1, 2, Reason.AREA)])
def test_a_bound_above_the_plan_is_caught(bound: Bound) -> None:
    assert "is above the plan (1, 1)" in wrong(answered(ROOT, bound=bound))


def test_a_bound_may_claim_no_sheet_more_than_its_reason_gives() -> None:
    """Two sheets are taken where one would do: two of them cannot be the bound, though their cost is nothing."""
    loose = task_of(2, 2, sheet=SheetKind(10, 6, cost=0))
    half = CutPart(10, 6, A, (FOUR, HALF, FreePart(4, 6)))
    assert wrong(answered(half, copies=2, bound=NOTHING), loose) == ""
    assert wrong(answered(half, copies=2, bound=Bound(0, 1, Reason.AREA)), task_of(2, 2)) == ""
    assert "gives 0, 1" in wrong(
        answered(CutPart(20, 6, A, (FOUR, HALF, FreePart(14, 6))), copies=2, bound=Bound(0, 2, Reason.AREA)),
        task_of(2, 2, sheet=SheetKind(20, 6, cost=0)),
    )


# ------------------------------------------------------------------------------------- cuts


def test_a_sheet_is_taken_for_something() -> None:
    assert "holds no piece" in wrong(answered(FreePart(10, 6), missing=(2, 1), outcome=Outcome.SHORT))


def test_a_cut_makes_two_parts() -> None:
    whole = task_of(1, 1, sheet=SheetKind(4, 6))
    assert "is cut into 1 part(s)" in wrong(answered(CutPart(4, 6, A, (FOUR,)), missing=(0, 1)), whole)


@pytest.mark.parametrize(
    "parts",
    [(FreePart(0, 6), FOUR, FOUR, HALF), (FOUR, FreePart(0, 6), FOUR, HALF), (FOUR, FOUR, HALF, FreePart(0, 6))],
)
def test_a_part_has_an_extent(parts: tuple[Part, ...]) -> None:
    """Only where a blade takes its own width away may nothing be left behind a last cut."""
    assert "into a part of no extent" in wrong(answered(CutPart(10, 6, A, parts)))


def test_a_part_is_not_less_than_nothing() -> None:
    root = CutPart(10, 6, A, (FOUR, FOUR, FreePart(-2, 6), FOUR))
    assert "into a part of no extent" in wrong(answered(root), task_of(3, 0))


# ------------------------------------------------------------------------------------- margins

FRAMED = SheetKind(12, 10, margins=Margins(1, 2, 1, 2))


def framed(*, left: int = 1, top: int = 2, right: int = 1, bottom: int = 2) -> str:
    """A sheet with these strips cut off as margins, and one piece in what is left."""
    width, height = 12 - left - right, 10 - top - bottom
    inside = CutPart(width, height, A, (PiecePart(4, height, 0), FreePart(width - 4, height)))
    row = CutPart(12, height, A, (MarginPart(left, height), inside, MarginPart(right, height)))
    root = CutPart(12, 10, D, (MarginPart(12, top), row, MarginPart(12, bottom)))
    piece = PieceKind(4, height, 1, (Allowed(0, may_turn=False),))
    return wrong(answered(root, missing=(0,)), PackingTask((piece,), (FRAMED,)))


def test_margins_are_just_as_wide_as_the_sheets() -> None:
    assert framed() == ""


@pytest.mark.parametrize("more", [{"left": 2}, {"top": 3}, {"right": 2}, {"bottom": 3}])
def test_usable_paper_is_no_margin(more: dict[str, int]) -> None:
    assert "is called margin and lies outside the margins" in framed(**more)


@pytest.mark.parametrize("less", [{"left": 0}, {"top": 1}, {"right": 0}, {"bottom": 1}])
def test_no_margin_is_left_on_what_is_used(less: dict[str, int]) -> None:
    assert "is not what lies inside the margins" in framed(**less)


@pytest.mark.parametrize(("strip", "inside", "good"), [(1, 7, True), (2, 6, False)])
def test_the_blade_runs_inside_a_margin(strip: int, inside: int, good: bool) -> None:
    """A margin of 2 and a kerf of 1 on a sheet 9 wide: what is used begins at 2, not where the blade came out at 3."""
    sheet, piece = SheetKind(9, 6, margins=Margins(left=2)), PieceKind(inside, 6, 1)
    root = CutPart(9, 6, A, (MarginPart(strip, 6), PiecePart(inside, 6, 0)))
    said = wrong(answered(root, missing=(0,)), PackingTask((piece,), (sheet,), CutRules(kerf=1)))
    assert ("is not what lies inside the margins" not in said) == good


def test_one_part_is_left_inside_the_margins() -> None:
    sheet = SheetKind(10, 6, margins=Margins(1, 0, 1, 0))
    root = CutPart(10, 6, A, (MarginPart(1, 6), FOUR, FOUR, MarginPart(1, 6)))
    assert "must leave one part inside them" in wrong(answered(root), task_of(2, 0, sheet=sheet))


def test_margins_are_cut_off_in_four_cuts_at_most() -> None:
    """Five, of which one takes nothing off, are one too many; without it all is well."""
    sheet = SheetKind(6, 8, margins=Margins(1, 1, 1, 1))

    def margins(inner: Part) -> Part:
        row = CutPart(6, 6, A, (MarginPart(1, 6), CutPart(5, 6, A, (inner, MarginPart(1, 6)))))
        return CutPart(6, 8, D, (MarginPart(6, 1), CutPart(6, 7, D, (row, MarginPart(6, 1)))))

    assert wrong(answered(margins(FOUR), missing=(0, 0)), task_of(1, 0, sheet=sheet)) == ""
    fifth = CutPart(4, 6, D, (MarginPart(4, 0), FOUR))
    assert "must leave one part inside them" in wrong(answered(margins(fifth)), task_of(1, 0, sheet=sheet))


def test_turns_among_the_margins_count() -> None:
    sheet = SheetKind(10, 8, margins=Margins(0, 2, 2, 0))
    root = CutPart(10, 8, D, (MarginPart(10, 2), CutPart(10, 6, A, (CutPart(8, 6, A, (FOUR, FOUR)), MarginPart(2, 6)))))
    for most in (1, 2):
        assert wrong(answered(root), task_of(2, 0, sheet=sheet, rules=CutRules(most_turns=most))) == ""
    told = wrong(answered(root), task_of(2, 0, sheet=sheet, rules=CutRules(most_turns=0)))
    assert "reached after 1 turns, more than 0" in told


# ------------------------------------------------------------------------------------- blocks


def test_the_blade_takes_its_width_inside_a_block_too() -> None:
    block = PieceKind(9, 6, 1, block=Block(A, (4, 4)))
    task = PackingTask((block,), (SheetKind(9, 6),), CutRules(kerf=1))
    assert wrong(answered(PiecePart(9, 6, 0), missing=(0,)), task) == ""
    assert "do not add up to 9" in wrong(answered(PiecePart(9, 6, 0), missing=(0,)), replace(task, rules=CutRules()))


def test_a_turned_block_is_cut_the_other_way() -> None:
    task = PackingTask((PieceKind(9, 6, 1, block=Block(A, (4, 5))),), (SheetKind(6, 9),))
    turned = answered(PiecePart(6, 9, 0, turned=True), missing=(0,))
    assert wrong(turned, task) == ""
    assert "needs a cut of 6" in wrong(turned, replace(task, rules=CutRules(longest_cut=5)))
