"""The main fold lies along the grain where the sheet allows it; where it does not, a sentence says so.

Published: fold along the grain (printers' and paper makers' guides); score from 150, 170 or 200 g/m2, sources differ.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from nesting.describe.project import Project
from nesting.describe.project_file import read_project
from nesting.errors import NestingError
from nesting.lengths import inches
from nesting.packing.layout import Allowed
from nesting.packing.pack import pack
from nesting.pieces import piece_list as pieces
from nesting.pieces.piece_list import Piece, piece_list
from nesting.pieces.supply import supply


def project(folder: Path, paper: str, design: str = 'size = "4 1/4 x 5 1/2"', batch: str = "") -> Project:
    (folder / "all.toml").write_text(
        f'[paper.cream]\n{paper}\n[design.card]\nfamily = "half fold"\nbase = "cream"\n{design}\n'
        f"[batch]\ncards = {{ card = 4 }}\n{batch}\n"
    )
    return read_project(folder)


def grain_notes(found: Project) -> tuple[tuple[str, str], ...]:
    return pieces.grain_notes(piece_list(found))


def base(found: Project) -> Piece:
    return piece_list(found).pieces[0]


LETTER = 'sheet = "8 1/2 x 11"\n'


@pytest.mark.parametrize(
    ("grain", "fold", "turned"),
    [("up", "side", False), ("across", "side", True), ("up", "top", True), ("across", "top", False)],
)
def test_the_base_lies_so_that_its_fold_runs_along_the_grain(
    tmp_path: Path, grain: str, fold: str, turned: bool
) -> None:
    """A side fold runs down the flat base, a top fold across it."""
    found = project(
        tmp_path, f'sheet = "12 x 12"\nweight = "216 gsm"\ngrain = "{grain}"',
        f'size = "4 1/4 x 5 1/2"\nfold = "{fold}"',
    )  # fmt: skip
    piece = base(found)
    assert (piece.may_turn, piece.must_turn) == (False, turned)
    assert not grain_notes(found)
    kind = pack(found, piece_list(found), supply(found)).papers[0].task.pieces[0]
    assert kind.allowed == (Allowed(0, False),)
    size = (piece.width.ticks, piece.height.ticks)
    assert (kind.width, kind.height) == (size[::-1] if turned else size)


def test_two_half_letter_bases_side_by_side_cross_the_grain_of_a_letter_sheet(tmp_path: Path) -> None:
    """8 1/2 x 5 1/2 flat: both lie across a sheet whose grain runs up, and only so does the fold follow it."""
    found = project(tmp_path, LETTER + 'grain = "up"\nweight = "65 lb cover"')
    assert base(found).must_turn is False
    assert base(found).width == inches("8.5")


def test_where_no_sheet_takes_it_the_other_way_there_is_a_warning(tmp_path: Path) -> None:
    found = project(tmp_path, LETTER + 'grain = "up"', 'size = "5 1/2 x 8 1/2"\nfold = "side"')
    assert (base(found).may_turn, base(found).must_turn) == (True, False)
    ((design, words),) = grain_notes(found)
    assert design == "card"
    assert "runs across the grain of cream, since no sheet of cream takes it the other way" in words


def test_thin_paper_folds_either_way_and_the_limit_is_the_users(tmp_path: Path) -> None:
    thin = LETTER + 'grain = "across"\nweight = "120 gsm"'
    assert base(project(tmp_path, thin)).may_turn
    assert base(project(tmp_path, thin, 'size = "4 x 5"', 'grain_from = "110 gsm"')).must_turn
    heavy = LETTER + 'grain = "across"\nweight = "150 gsm"'
    assert base(project(tmp_path, heavy, 'size = "4 x 5"')).must_turn


def test_what_the_maker_says_goes_before_the_grain(tmp_path: Path) -> None:
    paper = 'sheet = "12 x 12"\ngrain = "across"'
    turning = project(tmp_path, paper, 'size = "4 x 5"\nturn = true')
    assert base(turning).may_turn
    assert not grain_notes(turning)
    fixed = project(tmp_path, paper, 'size = "4 x 5"\nturn = false')
    assert not base(fixed).may_turn
    assert "said that it must not turn" in grain_notes(fixed)[0][1]
    printed = project(tmp_path, paper + '\nprint = "one-way"', 'size = "4 x 5"')
    assert "print of cream must stand upright" in grain_notes(printed)[0][1]


def test_a_flat_card_and_an_unknown_grain_are_left_alone(tmp_path: Path) -> None:
    assert base(project(tmp_path, 'sheet = "12 x 12"')).may_turn
    text = '[paper.cream]\nsheet = "12 x 12"\ngrain = "up"\n[design.card]\nfamily = "flat card"\nbase = "cream"\n'
    (tmp_path / "all.toml").write_text(text + 'size = "4 x 6"\n[batch]\ncards = { card = 1 }\n')
    assert base(read_project(tmp_path)).may_turn


def test_where_the_grain_is_required_a_fold_across_it_is_refused_and_lighter_paper_is_only_warned_about(
    tmp_path: Path,
) -> None:
    heavy = LETTER + 'grain = "up"\nweight = "270 gsm"'
    size, required = 'size = "5 1/2 x 8 1/2"', 'grain_required_from = "250 gsm"'
    with pytest.raises(NestingError) as caught:
        base(project(tmp_path, heavy, size, required))
    assert "no sheet of cream takes it the other way" in str(caught.value)
    assert "At this weight the grain is required" in str(caught.value)
    assert grain_notes(project(tmp_path, heavy, size, 'grain_required_from = "280 gsm"'))
    along = base(project(tmp_path, heavy.replace("up", "across"), size, required))
    assert (along.may_turn, along.must_turn) == (False, True)  # 11 x 8 1/2 stands on its side on letter


def test_a_required_grain_turns_a_base_that_was_said_to_be_free(tmp_path: Path) -> None:
    paper = 'sheet = "12 x 12"\ngrain = "across"\nweight = "270 gsm"'
    design = 'size = "4 x 5"\nturn = true'
    assert base(project(tmp_path, paper, design)).may_turn
    assert base(project(tmp_path, paper, design, 'grain_required_from = "250 gsm"')).must_turn


def test_a_sheet_that_only_a_shop_sells_lets_the_base_turn_as_any_other(tmp_path: Path) -> None:
    shop = '[shop.Heron]\nsells = [{ paper = "cream", sheet = "8 1/2 x 11", price = 1 }]'
    top = 'size = "5 1/2 x 4 1/4"\nfold = "top"'
    found = project(tmp_path, 'weight = "250 gsm"\ngrain = "up"', top, shop)
    assert base(found).must_turn
    assert grain_notes(found) == ()
