"""Hidden centres of mats and cut-outs of windows: how large, how many, and when they save a sheet."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from nesting.describe.papers import HeldSheet
from nesting.describe.project import Project
from nesting.describe.project_file import read_project
from nesting.errors import NestingError, Place
from nesting.lengths import inches, mm
from nesting.packing.layout import Outcome, Reason
from nesting.pieces.hidden_centres import hidden_centres
from nesting.pieces.piece_list import piece_list
from nesting.pieces.supply import Source, SourceKind
from nesting.plan import PaperPlan, make_plan
from nesting.reports.words import notes

MAT = '{ mat = "m", on = "front", paper = "pine", smaller_by = "1/8" },'
LAYER = '{ layer = "art", on = "m", paper = "print", smaller_by = "1/8" },'


def project(
    folder: Path, parts: str, *, batch: str = "centres = true", design: str = "", pine: str = "", cards: int = 4
) -> Project:
    (folder / "all.toml").write_text(
        f"""
        [design.card]
        family = "half fold"
        base = "white"
        size = "6 x 6"
        {design}
        parts = [ {parts.replace(chr(10), " ")} ]
        [paper.white]
        sheet = "12 x 12"
        [paper.pine]
        sheet = "12 x 12"
        {pine}
        [paper.print]
        sheet = "12 x 12"
        print = "one-way"
        [batch]
        cards = {{ card = {cards} }}
        {batch}
        """
    )
    return read_project(folder)


def centres(folder: Path, parts: str, **said: str | int) -> tuple[Source, ...]:
    return hidden_centres(project(folder, parts, **said))  # type: ignore[arg-type]


def test_a_centre_is_the_layer_less_the_rim_all_round(tmp_path: Path) -> None:
    """Mat 5 7/8, layer 5 3/4, rim 1/4: a centre of 5 1/4, one for each mat, ten cents each unless said."""
    (source,) = centres(tmp_path, MAT + LAYER)
    assert (source.kind, source.paper) == (SourceKind.CENTRE, "pine")
    assert (source.sheet.width, source.sheet.height) == (inches("21/4"), inches("21/4"))
    assert (source.limit, source.price) == (4, 10)


def test_rim_and_price_are_the_users(tmp_path: Path) -> None:
    (source,) = centres(tmp_path, MAT + LAYER, batch='centres = { rim = "1/2", price = 0.25 }')
    assert (source.sheet.width, source.price) == (inches("19/4"), 25)
    (metric,) = centres(tmp_path, MAT + LAYER, batch='centres = { rim = "10 mm" }')
    assert metric.sheet.width == inches("23/4") - mm(20)


@pytest.mark.parametrize(
    "said",
    [{"batch": ""}, {"batch": "centres = false"}, {"design": "centres = false"}, {"pine": "centres = false"}],
)
def test_where_centres_are_not_wanted_there_are_none(tmp_path: Path, said: dict[str, str | int]) -> None:
    assert centres(tmp_path, MAT + LAYER, **said) == ()


@pytest.mark.parametrize(
    ("parts", "why"),
    [
        (MAT, "nothing covers it"),
        (MAT + '{ strip = "s", on = "m", paper = "print", size = "5 x 4" }', "a strip is no layer"),
        (MAT + LAYER + '{ window = "w", on = "m", size = "2 x 2" }', "the mat has a window"),
        (MAT + LAYER + '{ window = "w", on = "art", size = "2 x 2" }', "one looks through the layer"),
        (MAT + LAYER.replace("smaller_by", 'raised_by = "1/16", smaller_by'), "foam needs ground"),
        (MAT + LAYER.replace("paper", "count = 2, paper").replace('"1/8"', '"3"'), "two beside each other"),
        (MAT + LAYER.replace('"1/8"', '"5 1/4"'), "too small to keep"),
        (MAT + LAYER.replace('"1/8"', '"5 1/2"'), "nothing is left"),
    ],
)
def test_a_mat_stays_whole_where_its_middle_is_needed(tmp_path: Path, parts: str, why: str) -> None:
    assert centres(tmp_path, parts) == (), why


def test_of_a_print_that_may_lie_any_way_the_centres_way_up_is_not_known(tmp_path: Path) -> None:
    turning = MAT.replace("paper", "turn = true, paper")
    assert centres(tmp_path, turning + LAYER, pine='print = "one-way"') == ()
    assert len(centres(tmp_path, MAT + LAYER, pine='print = "one-way"')) == 1


def test_the_cut_out_of_a_window_serves_as_paper_and_costs_nothing_more(tmp_path: Path) -> None:
    window = '{ window = "w", on = "m", size = "2 x 3", reuse = true, at = "1 x 1" },'
    (source,) = centres(tmp_path, MAT + window, batch="", cards=3)
    assert (source.kind, source.paper, source.price, source.limit) == (SourceKind.CUT_OUT, "pine", 0, 3)
    assert (source.sheet.width, source.sheet.height) == (inches(2), inches(3))
    assert centres(tmp_path, MAT + window.replace(", reuse = true", ""), batch="") == ()
    (base,) = centres(tmp_path, '{ window = "w", on = "back", size = "3 x 3", reuse = true }', batch="")
    assert base.paper == "white"


EIGHTHS = st.integers(1, 24).map(lambda eighths: f'"{Fraction(eighths, 8)} in"')


@given(EIGHTHS, EIGHTHS, EIGHTHS, st.integers(1, 9))
@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
def test_a_centre_never_reaches_out_from_under_its_layer_and_never_more_are_offered_than_mats(
    tmp_path: Path, mat: str, layer: str, rim: str, cards: int
) -> None:
    parts = f"""
      {{ mat = "m", on = ["front", "inside right"], paper = "pine", smaller_by = {mat} }},
      {{ mat = "n", on = "m", paper = "pine", smaller_by = {layer} }},
      {{ layer = "art", on = "n", paper = "print", smaller_by = "1/8" }},
    """
    try:
        made = project(tmp_path, parts, batch=f"centres = {{ rim = {rim} }}", cards=cards)
        pieces = {piece.part: piece for piece in piece_list(made).pieces}
    except NestingError:
        return
    offered = hidden_centres(made)
    assert sum(source.limit or 0 for source in offered) <= pieces["m"].need + pieces["n"].need
    for source in offered:
        limits = [pieces[cover].width - source.sheet.width for cover in ("n", "art")]
        assert any(2 * inches(Fraction(rim.strip('"').split()[0])) == limit for limit in limits)
        assert source.sheet.width < max(pieces["n"].width, pieces["art"].width)


def of_pine(made: Project) -> PaperPlan:
    return next(paper for paper in make_plan(made).papers if paper.paper.name == "pine")


def test_centres_save_a_sheet_that_cannot_be_saved_without_them(tmp_path: Path) -> None:
    """Four mats of 5 7/8 and four strips of 4 x 2 have 170 in2, a sheet 144: without centres two sheets, by area."""
    parts = MAT + LAYER + '{ piece = "label", paper = "pine", size = "4 x 2" },'
    without = of_pine(project(tmp_path, parts, batch=""))
    assert (without.to_buy, without.outcome) == (2, Outcome.PROVEN)
    assert without.bound.sheets == 2
    assert without.bound.reason in set(Reason)
    within = of_pine(project(tmp_path, parts))
    assert within.to_buy == 1
    assert within.sheets_from(SourceKind.CENTRE) == 2  # two labels from each of 5 1/4 x 5 1/4
    assert not within.missing


def test_where_mats_are_missing_no_centre_is_counted_on(tmp_path: Path) -> None:
    """One sheet at hand holds four of six mats: the two labels may not come out of mats that are never cut."""
    parts = MAT + LAYER + '{ piece = "label", paper = "pine", size = "4 x 2" },'
    made = project(tmp_path, parts, cards=6)
    pine = made.paper("pine")
    held = HeldSheet(pine.sold[0].sheet, 1, Place())
    short = of_pine(replace(made, papers=tuple(
        replace(paper, sold=(), at_hand=(held,)) if paper is pine else paper for paper in made.papers)))  # fmt: skip
    assert short.missing
    assert short.sheets_from(SourceKind.CENTRE) == 0


def test_a_centre_dearer_than_a_sheet_is_left_alone(tmp_path: Path) -> None:
    parts = MAT + LAYER + '{ piece = "label", paper = "pine", size = "4 x 2" },'
    dear = of_pine(project(tmp_path, parts, batch="centres = { price = 5 }", pine="price = 0.80"))
    assert (dear.to_buy, dear.sheets_from(SourceKind.CENTRE)) == (2, 0)
    cheap = of_pine(project(tmp_path, parts, batch="centres = { price = 0.3 }", pine="price = 0.80"))
    assert (cheap.to_buy, cheap.sheets_from(SourceKind.CENTRE)) == (1, 2)


def test_the_cut_out_of_a_window_is_kept_where_the_plan_uses_it(tmp_path: Path) -> None:
    parts = (
        '{ mat = "wall", on = "front", paper = "pine", size = "5 x 6" },'
        '{ window = "pane", on = "wall", size = "3 x 4", reuse = true, at = "1/2 x 3/4" },'
        '{ piece = "seal", paper = "pine", size = "3 x 4" },'
    )
    made = make_plan(project(tmp_path, parts))
    assert [note for note in notes(made) if "Keep" in note] == [
        "Keep 4 cut-outs of 3 x 4 in from the window in card: wall, for small pieces of pine."
    ]
