"""The winter window's twenty cards: what hidden centres and a free choice of prints save, each with its proof."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import jsonschema
from demos import plan_of

from nesting.describe.project import Project
from nesting.describe.project_file import read_project
from nesting.fit import fits_of
from nesting.lengths import inches
from nesting.packing.check import check
from nesting.packing.choose_papers import Choice
from nesting.packing.layout import Outcome
from nesting.packing.pack import sheets_alone
from nesting.packing.solve import Effort
from nesting.pieces.piece_list import grain_notes, piece_list
from nesting.pieces.supply import SourceKind
from nesting.plan import PaperPlan, Plan, make_plan
from nesting.reports import words
from nesting.reports.plan_data import plan_data, schema
from nesting.reports.words import notes

DEMO = Path(__file__).parent.parent / "demo_projects" / "winter_window"


def winter() -> Project:
    return read_project(DEMO)


def planned() -> Plan:
    return plan_of(DEMO.name)


def bought(plan: Plan) -> dict[str, int]:
    return {paper.paper.name: paper.to_buy for paper in plan.papers}


def outcomes(plan: Plan) -> set[Outcome]:
    chosen = {choice.answer.outcome for choice in plan.choices if isinstance(choice, Choice)}
    return {paper.outcome for paper in plan.papers} | chosen


def test_a_centre_saves_a_sheet_of_spruce_that_no_plan_without_it_can_save() -> None:
    project = winter()
    plan = planned()
    whole = make_plan(replace(project, centres=None), effort=Effort.QUICK)
    assert bought(plan)["spruce"] == 3
    assert bought(whole)["spruce"] == 4
    spruce = next(paper for paper in whole.papers if paper.paper.name == "spruce")
    assert (spruce.outcome, spruce.bound.sheets) == (Outcome.PROVEN, 4)
    hollow = next(paper for paper in plan.papers if paper.paper.name == "spruce")
    assert hollow.sheets_from(SourceKind.CENTRE) == 1
    assert outcomes(plan) == outcomes(whole) == {Outcome.PROVEN}


def test_the_plan_says_out_of_which_mats_the_centre_is_cut_and_where() -> None:
    """A frame of 4 3/4 under a layer of 4 1/2: its border of 1/8 and the rim of 1/4 make 3/8."""
    (said,) = (note for note in notes(planned()) if "Before gluing" in note)
    assert said == (
        "Before gluing, cut 1 centre of 4 x 4 in out of gate: frame or easel: front mat (4 3/4 x 4 3/4),"
        " 3/8 from the left and top edge, for small pieces of spruce."
    )


def with_counts(*counts: int) -> PaperPlan:
    project = winter()
    batch = tuple(replace(line, count=count) for line, count in zip(project.batch, counts, strict=True))
    plan = make_plan(replace(project, batch=batch))
    jsonschema.validate(plan_data(plan), schema())
    return next(paper for paper in plan.papers if paper.paper.name == "spruce")


def test_where_the_number_of_centres_is_left_open_the_sheets_are_proven_alone() -> None:
    """The knife work is a small cost, so the bound of the whole lies a little short; the sheets are what counts."""
    spruce = with_counts(13, 25, 14)
    bound = spruce.packing.sheets_bound
    assert spruce.outcome is Outcome.OPEN
    assert bound is not None
    assert spruce.sheets_proven
    assert (words.verdict(spruce), spruce.to_buy) == ("fewest sheets", 7)
    assert words.proof(spruce).startswith("No plan spends less on paper than this one with 7 sheets")
    free = sheets_alone(spruce.packing.task, spruce.packing.sources)
    answer = replace(spruce.packing.answer, uses=spruce.uses, outcome=Outcome.PROVEN)
    assert check(free, replace(answer, bound=bound)) == ()
    assert check(free, replace(answer, bound=replace(bound, cost=bound.cost + 1)))


def test_a_plan_that_cuts_no_centre_is_proven_where_none_spends_less_on_sheets() -> None:
    spruce = with_counts(2, 3, 3)
    assert (spruce.outcome, spruce.to_buy, spruce.sheets_from(SourceKind.CENTRE)) == (Outcome.PROVEN, 2, 0)


def test_a_free_choice_of_the_berries_saves_a_sheet() -> None:
    project = winter()
    fixed = replace(
        project,
        designs=tuple(
            replace(design, parts=tuple(replace(part, or_papers=()) for part in design.parts))
            for design in project.designs
        ),
    )
    free, bound = planned(), make_plan(fixed)
    berries = ("red berries", "blue berries")
    assert sum(bought(free)[name] for name in berries) == 4
    assert sum(bought(bound)[name] for name in berries) == 5
    assert outcomes(bound) == {Outcome.PROVEN}


def test_folds_follow_the_grain_and_the_closed_cards_are_what_was_asked_for() -> None:
    project = winter()
    assert not grain_notes(piece_list(project))
    sizes = {fit.design: (fit.card.width, fit.card.height) for fit in fits_of(project) if fit.card}
    assert sizes == {
        "gate": (inches(5), inches(5)), "stair": (inches("17/4"), inches("11/2")), "easel": (inches(5), inches(5)),
    }  # fmt: skip
