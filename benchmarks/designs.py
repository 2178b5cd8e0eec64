"""How few lines each family of cards takes, and what hidden centres and a free choice of papers save in the demos.

    python benchmarks/designs.py [--write] [--smoke]

Each demo is planned as it stands, with mats left whole, and with every piece cut from the first of its papers. Where a
demo asks for no centres, a fourth plan allows them by the usual rule. --write puts the tables into this folder's
README.md; --smoke plans one demo only and fails when a family's card is not read.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from dataclasses import replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

from results import table

from nesting.describe.families import FAMILIES, Family
from nesting.describe.project import CentreRule, Project
from nesting.describe.project_file import read_project
from nesting.packing.layout import Outcome
from nesting.pieces.supply import SourceKind
from nesting.plan import Plan, make_plan

DEMOS = Path(__file__).parent.parent / "demo_projects"
README = Path(__file__).parent / "README.md"
BEGIN, END = "<!-- designs: begin -->", "<!-- designs: end -->"


def lines_of(family: Family) -> list[str]:
    """The shortest card of a family: its heading, family and paper, and every key that must be there."""
    needed = [key.example for key in family.takes if key.default is None and not key.optional]
    if any(key.key == "flat" for key in family.takes):
        needed.insert(0, next(key.example for key in family.takes if key.key == "size"))
    return ["[design.card]", f'family = "{family.name}"', 'base = "cream"', *needed]


def families() -> list[dict[str, object]]:
    """A row for each family; raises NestingError where its shortest card is not read."""
    rows: list[dict[str, object]] = []
    for family in FAMILIES.values():
        lines = lines_of(family)
        with tempfile.TemporaryDirectory() as folder:
            rest = '\n[paper.cream]\nsheet = "24 x 36"\n[batch]\ncards = { card = 1 }\n'
            (Path(folder) / "all.toml").write_text("\n".join(lines) + rest, "utf-8")
            (design,) = read_project(Path(folder)).designs
        rows.append({
            "family": family.name, "lines": len(lines), "bases": len(design.bases),
            "panels": sum(len(base.panels) for base in design.bases),
            "folds": sum(len(base.folds) for base in design.bases),
        })  # fmt: skip
    return rows


def without_choice(project: Project) -> Project:
    """Every piece from the first of its papers."""
    designs = tuple(
        replace(design, parts=tuple(replace(part, or_papers=(), spread=False) for part in design.parts))
        for design in project.designs
    )
    return replace(project, designs=designs)


def told(plan: Plan) -> str:
    """Sheets taken in all, those to buy, centres and cut-outs used, papers that are proven best."""
    cut_out = sum(paper.sheets_from(SourceKind.CENTRE, SourceKind.CUT_OUT) for paper in plan.papers)
    proven = sum(paper.outcome is Outcome.PROVEN for paper in plan.papers)
    centres = f", {cut_out} cut out" if cut_out else ""
    return f"{plan.sheets} ({plan.to_buy} bought{centres}; {proven} of {len(plan.papers)} proven)"


def demo_row(name: str) -> dict[str, object]:
    """One demo, planned in each way that differs for it."""
    project = read_project(DEMOS / name)
    choice = any(part.or_papers for design in project.designs for part in design.parts)
    allowed = project if project.centres is not None else replace(project, centres=CentreRule())
    return {
        "demo": name,
        "as it stands": told(make_plan(project)),
        "mats left whole": told(make_plan(replace(project, centres=None)))
        if project.centres is not None
        else "the same",
        "centres allowed": "as it stands" if allowed is project else told(make_plan(allowed)),
        "no free choice": told(make_plan(without_choice(project))) if choice else "none to choose",
    }


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    asked.add_argument("--write", action="store_true")
    asked.add_argument("--smoke", action="store_true")
    said = asked.parse_args()
    names = sorted(path.name for path in DEMOS.iterdir() if path.is_dir())
    rows = families()
    text = f"{len(rows)} families; the shortest card of each.\n\n{table(rows)}\n\n"
    text += table([demo_row(name) for name in (["folding_theatre"] if said.smoke else names)])
    print(text)
    if said.write:
        page = README.read_text("utf-8")
        before, _, rest = page.partition(BEGIN)
        README.write_text(f"{before}{BEGIN}\n{text}\n{END}{rest.partition(END)[2]}", "utf-8")


if __name__ == "__main__":
    main()
