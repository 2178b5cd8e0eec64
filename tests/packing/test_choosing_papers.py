"""Any of these papers: sheets are saved where one may choose, spread evenly where one says so, and stand-ins wait."""

from __future__ import annotations

from pathlib import Path

import pytest

from nesting.describe.project_file import read_project
from nesting.errors import NestingError
from nesting.packing.choose_papers import Choice
from nesting.packing.layout import Outcome, sheets_of
from nesting.plan import Plan, make_plan


def plan(folder: Path, papers: str, parts: str, cards: int = 1) -> Plan:
    text = f"{papers}\n[design.card]\nparts = [ {parts} ]\n[batch]\ncards = {{ card = {cards} }}\n"
    (folder / "all.toml").write_text(text)
    return make_plan(read_project(folder))


def counts(made: Plan, part: str) -> dict[str, int]:
    return {piece.paper: piece.need for piece in made.pieces.pieces if piece.part == part}


def sheets(made: Plan) -> dict[str, int]:
    return {paper.paper.name: paper.sheets for paper in made.papers}


TWO = '[paper.red]\nsheet = "12 x 12"\n[paper.blue]\nsheet = "12 x 12"\n'


def test_the_choice_of_a_print_saves_a_sheet(tmp_path: Path) -> None:
    """Red has 3 quarters of its own, blue 2; three mats of either: 8 quarters fill two sheets, with red alone three."""
    quarters = '{{ mat = "own {0}", paper = "{0}", size = "6 x 6", count = {1} }},'
    own = quarters.format("red", 3) + quarters.format("blue", 2)
    free = plan(tmp_path, TWO, own + '{ layer = "any", paper = ["red", "blue"], size = "6 x 6", count = 3 }')
    assert counts(free, "any") == {"red": 1, "blue": 2}
    assert sheets(free) == {"red": 1, "blue": 1}
    (choice,) = free.choices
    assert isinstance(choice, Choice)
    assert choice.papers == ("red", "blue")
    assert choice.answer.outcome is Outcome.PROVEN
    assert sheets_of(choice.answer.uses) == free.sheets == 2
    tied = plan(tmp_path, TWO, own + '{ layer = "any", paper = "red", size = "6 x 6", count = 3 }')
    assert tied.sheets == 3
    assert not tied.choices


def test_prints_are_spread_evenly_over_the_copies(tmp_path: Path) -> None:
    papers = TWO + '[paper.green]\nsheet = "12 x 12"\n'
    spread = '{ layer = "any", paper = ["red", "blue", "green"], size = "6 x 6", spread = true }'
    made = plan(tmp_path, papers, spread, cards=11)
    assert counts(made, "any") == {"red": 4, "blue": 4, "green": 3}
    assert not made.choices


def test_a_print_with_one_way_up_is_chosen_only_where_the_piece_stands_upright(tmp_path: Path) -> None:
    """Strips of 12 x 4 do not stand upright on a sheet of 4 x 12; only the plain one takes them, turned."""
    papers = '[paper.red]\nsheet = "4 x 12"\nprint = "one-way"\n[paper.blue]\nsheet = "4 x 12"\n'
    made = plan(tmp_path, papers, '{ strip = "any", paper = ["red", "blue"], size = "12 x 4", count = 3 }')
    assert counts(made, "any") == {"blue": 3}


def test_pieces_that_fit_none_of_their_papers_are_named(tmp_path: Path) -> None:
    with pytest.raises(NestingError, match="cannot be cut from red"):
        plan(tmp_path, TWO, '{ mat = "any", paper = ["red", "blue"], size = "13 x 6" }')


def test_what_is_at_hand_is_used_before_another_print_is_bought(tmp_path: Path) -> None:
    papers = '[paper.red]\nsheet = "12 x 12"\nprice = 1\n[paper.blue]\nat_hand = [{ sheet = "12 x 12", count = 1 }]\n'
    made = plan(tmp_path, papers, '{ mat = "any", paper = ["red", "blue"], size = "6 x 6", count = 6 }')
    assert counts(made, "any") == {"red": 2, "blue": 4}
    assert made.to_buy == 1


def test_a_stand_in_gives_what_a_paper_is_short_of_and_no_more(tmp_path: Path) -> None:
    papers = '[paper.red]\nstand_in = "blue"\nat_hand = ["12 x 12"]\n[paper.blue]\nsheet = "12 x 12"\n'
    mat = '{ mat = "m", paper = "red", size = "6 x 6" }'
    short = plan(tmp_path, papers, mat, cards=6)
    assert counts(short, "m") == {"red": 4, "blue": 2}
    assert short.complete
    assert counts(plan(tmp_path, papers, mat, cards=4), "m") == {"red": 4}
    unasked = plan(tmp_path, papers.replace('stand_in = "blue"\n', ""), mat, cards=6)
    assert counts(unasked, "m") == {"red": 6}
    assert not unasked.complete


def test_needs_and_spares_are_shared_out_and_none_is_lost(tmp_path: Path) -> None:
    text = f'{TWO}[design.card]\nparts = [{{ mat = "m", paper = ["red", "blue"], size = "5 x 5" }}]\n'
    (tmp_path / "all.toml").write_text(text + "[batch]\ncards = { card = 9 }\nspares = 2\n")
    made = make_plan(read_project(tmp_path))
    assert sum(piece.need for piece in made.pieces.pieces) == 9
    assert sum(piece.spare for piece in made.pieces.pieces) == 2
    assert all(not piece.or_papers for piece in made.pieces.pieces)
    assert made.sheets == 3


def test_ink_is_added_to_the_price_of_a_page(tmp_path: Path) -> None:
    paper = '[paper.red]\nsheet = "A4"\nprice = 0.05\nink = 0.18\nrim = "5 mm"\n'
    made = plan(tmp_path, paper, '{ mat = "m", paper = "red", size = "4 x 4" }', cards=3)
    assert (made.sheets, made.price) == (2, 46)


SELF = TWO.replace("[paper.blue]", 'stand_in = "red"\n[paper.blue]')
PINK = TWO.replace("[paper.blue]", 'stand_in = "pink"\n[paper.blue]')


@pytest.mark.parametrize(
    ("papers", "part", "said"),
    [
        (TWO, 'paper = [], size = "1 x 1"', "The list of papers is empty"),
        (TWO, 'paper = ["red", "bleu"], size = "1 x 1"', "Did you mean “blue”"),
        (TWO, 'paper = "red", size = "1 x 1", spread = true', "One paper cannot be spread"),
        (SELF, 'paper = "red", size = "1 x 1"', "for itself"),
        (PINK, 'paper = "red", size = "1 x 1"', "no paper “pink”"),
    ],
)
def test_mistakes_in_a_choice_are_sentences(tmp_path: Path, papers: str, part: str, said: str) -> None:
    with pytest.raises(NestingError, match=said):
        plan(tmp_path, papers, f'{{ mat = "m", {part} }}')
