"""Plans of made-up projects, and what they cut, counted from the trees of their layouts alone."""

from __future__ import annotations

import functools
import itertools
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

from nesting.cutting.passes import What
from nesting.describe.project_file import read_project
from nesting.errors import NestingError
from nesting.packing.layout import PiecePart, leaves
from nesting.packing.solve import Effort
from nesting.plan import Plan, make_plan
from nesting.reports.kits import kits
from nesting.reports.plan_maps import map_subjects

sys.path.insert(0, str(Path(__file__).parents[2] / "benchmarks"))

from random_projects import project_files

Cut = Counter[tuple[str, int, int]]  # paper, shorter side, longer side


def cut_by_size(plan: Plan) -> Cut:
    """What the layouts give, counted from the trees."""
    found: Cut = Counter()
    for paper in plan.papers:
        for use in paper.uses:
            for leaf in leaves(use.root):
                if isinstance(leaf, PiecePart):
                    size = sorted((leaf.width, leaf.height))
                    found[paper.paper.name, size[0], size[1]] += use.copies
    return found


def astray(plan: Plan) -> list[str]:
    """What is not on exactly one map, or not in exactly one kit or among the spares."""
    dealt = kits(plan)
    in_kits, on_maps = Cut(), Cut()
    for part, times in [(part, kit.cards) for kit in dealt.kits for part in kit.parts] + [(p, 1) for p in dealt.spares]:
        size = sorted((part.piece.width.ticks, part.piece.height.ticks))
        in_kits[part.piece.paper, size[0], size[1]] += part.count * times
    for paper in plan.papers:
        for subject in map_subjects(plan.project, paper):
            for shown in subject.parts:
                if shown.part.what is What.PIECE:
                    size = sorted((shown.width, shown.height))
                    on_maps[paper.paper.name, size[0], size[1]] += subject.copies
    cut = cut_by_size(plan)
    return [
        f"{found[each]} {where} of {cut[each]} cut: {each}"
        for where, found in (("in kits", in_kits), ("on maps", on_maps))
        for each in sorted({*found, *cut}) if found[each] != cut[each]
    ]


def random_plans(first: int = 0) -> Iterator[Plan]:
    """The plan of every made-up project that is one."""
    for seed in itertools.count(first):
        with tempfile.TemporaryDirectory() as name:
            for file, text in project_files(seed).items():
                (Path(name) / file).write_bytes(text.encode())
            try:
                yield make_plan(read_project(Path(name)), effort=Effort.QUICK)
            except NestingError:
                continue  # no card at all, says the reader; that has tests of its own


@functools.cache
def random_plan(number: int) -> Plan:
    """Plan number so-and-so of them."""
    return next(itertools.islice(random_plans(100 * number), 1))
