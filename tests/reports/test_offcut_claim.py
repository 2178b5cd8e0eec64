"""That an offcut is the largest is written into plan.json, read back, and refused where it was changed by hand."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from demos import plan_of

from nesting.errors import NestingError
from nesting.packing.trees import largest_free_of
from nesting.reports import words
from nesting.reports.plan_folder import write_plan
from nesting.reports.plan_read import read_plan


def test_the_claim_comes_back_and_a_false_one_is_refused(tmp_path: Path) -> None:
    plan = plan_of("winter_window")
    project = plan.project
    write_plan(plan, tmp_path, maps=False)
    again = read_plan(tmp_path, project)
    claims = [paper.packing.answer.offcut for paper in plan.papers]
    assert claims == [paper.packing.answer.offcut for paper in again.papers]
    largest = [
        number for number, paper in enumerate(plan.papers)
        if (claim := claims[number]) is not None and claim.area == largest_free_of(paper.uses)
    ]  # fmt: skip
    assert largest
    for number in largest:
        assert words.offcut(again.papers[number]) == "No plan that takes as little paper leaves a larger offcut."
    path = tmp_path / "plan.json"
    data = json.loads(path.read_text("utf-8"))
    data["papers"][largest[0]]["offcut_bound"]["area"] -= 1
    path.write_text(json.dumps(data), "utf-8")
    with pytest.raises(NestingError, match="is not ruled out"):
        read_plan(tmp_path, project)
