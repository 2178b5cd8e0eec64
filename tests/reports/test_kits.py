"""Kits hold every piece once; where passes work is shown on the maps once for every cut."""

from __future__ import annotations

import itertools
from collections import Counter
from dataclasses import replace

import pytest
from demos import NAMES, plan_of
from piece_counts import astray, random_plans

from nesting.lengths import mm
from nesting.packing.layout import PiecePart, leaves
from nesting.plan import Plan, make_plan
from nesting.reports.kits import kits
from nesting.reports.pass_places import pass_places


@pytest.mark.parametrize("name", NAMES)
def test_every_piece_that_is_cut_is_on_one_map_and_in_one_kit_or_spare(name: str) -> None:
    assert astray(plan_of(name)) == []
    assert kits(plan_of(name)).missing == ()


def test_every_piece_of_any_plan_is_on_one_map_and_in_one_kit_or_spare() -> None:
    assert [astray(plan) for plan in itertools.islice(random_plans(), 8)] == [[]] * 8


def test_a_piece_that_is_in_no_kit_is_astray() -> None:
    plan = plan_of("class_kit_list")
    assert astray(replace(plan, pieces=replace(plan.pieces, pieces=plan.pieces.pieces[1:]))) != []


@pytest.mark.parametrize("name", NAMES)
def test_every_card_of_the_batch_has_one_kit_with_all_its_parts(name: str) -> None:
    plan = plan_of(name)
    dealt = kits(plan)
    for line in plan.project.batch:
        mine = [kit for kit in dealt.kits if kit.design == line.design]
        assert [n for kit in mine for n in range(kit.first, kit.last + 1)] == list(range(1, line.count + 1))
        design = plan.project.design(line.design)
        wanted = {base.name for base in design.bases} | {p.name for p in design.parts if p.paper or p.or_papers}
        for kit in mine:
            assert {part.piece.part for part in kit.parts} == wanted
            for part in kit.parts:
                assert part.count == part.piece.per_card


@pytest.mark.parametrize("name", NAMES)
def test_a_letter_in_a_kit_is_the_letter_on_the_map(name: str) -> None:
    plan = plan_of(name)
    shown = {
        (paper.paper.name, leaf.part.name, *sorted((leaf.part.width, leaf.part.height)))
        for paper in plan.papers for leaf in paper.order.parts if leaf.part.kind is not None
    }  # fmt: skip
    for kit in kits(plan).kits:
        for part in kit.parts:
            size = sorted((part.piece.width.ticks, part.piece.height.ticks))
            assert (part.piece.paper, part.letter, *size) in shown


def test_what_the_paper_does_not_suffice_for_is_missing_and_in_no_kit() -> None:
    plan = plan_of("harvest_stall")
    paper = plan.papers[0]
    uses = paper.uses[1:]
    gone = sum(paper.uses[0].copies for leaf in leaves(paper.uses[0].root) if isinstance(leaf, PiecePart))
    short = replace(paper, packing=replace(paper.packing, answer=replace(paper.packing.answer, uses=uses)))
    dealt = kits(replace(plan, papers=(short, *plan.papers[1:])))
    before = kits(plan)
    missing = sum(part.count for part in dealt.missing)
    spares = sum(part.count for part in before.spares) - sum(part.count for part in dealt.spares)
    assert missing > 0
    assert missing + spares == gone


@pytest.mark.parametrize("name", NAMES)
def test_every_cut_of_the_maps_is_made_in_one_pass(name: str) -> None:
    every_cut_once(plan_of(name))


def test_every_cut_is_made_in_one_pass_also_where_the_blade_takes_paper_away() -> None:
    project = plan_of("class_kit_list").project
    every_cut_once(make_plan(replace(project, trimmer=replace(project.trimmer, kerf=mm("0.3")))))


def every_cut_once(plan: Plan) -> None:
    for paper in plan.papers:
        places = pass_places(paper)
        made = Counter(cut for line in places for place in line for cut in place.cuts)
        assert made == Counter(paper.order.cuts)
        for line, mine in zip(paper.order.passes, places, strict=True):
            assert sum(paper.uses[place.layout].copies for place in mine) == sum(line.stacks)
            assert {(place.width, place.height) for place in mine} == {(line.part.width, line.part.height)}
            assert all(len(place.cuts) == line.cuts for place in mine)
