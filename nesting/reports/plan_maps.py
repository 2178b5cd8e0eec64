"""The sheet maps of a plan: each layout with its cuts, its parts and whom they are for.

In: a Project and the plan of one paper. Out: one Drawing per layout, in the order of the layouts.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

from nesting.describe.project import Project
from nesting.plan import PaperPlan, Plan
from nesting.reports.drawing import Drawing
from nesting.reports.file_names import stem
from nesting.reports.map_subject import MapSubject
from nesting.reports.sheet_map import sheet_map


def paper_maps(project: Project, plan: PaperPlan) -> tuple[Drawing, ...]:
    """One map per layout of the paper."""
    return tuple(sheet_map(subject) for subject in map_subjects(project, plan))


def map_subjects(project: Project, plan: PaperPlan) -> tuple[MapSubject, ...]:
    """What the maps show, layout by layout; a map's passes are those whose setting it has a cut of."""
    owners = tuple(
        (letter, ", ".join(dict.fromkeys(piece.title for piece in plan.packing.kinds[kind])))
        for kind, letter in plan.letters.items()
    )
    subjects = []
    for number, use in enumerate(plan.uses):
        cuts = tuple(cut for cut in plan.order.cuts if cut.layout == number)
        settings = {cut.number for cut in cuts}
        subjects.append(
            MapSubject(
                title=f"Layout {number + 1}",
                paper=plan.paper.name,
                copies=use.copies,
                width=use.root.width,
                height=use.root.height,
                unit=project.unit,
                cuts=cuts,
                parts=tuple(part for part in plan.order.parts if part.layout == number),
                direction=plan.paper.direction,
                grain=plan.paper.grain,
                passes=tuple(line for line in plan.order.passes if line.number in settings),
                owners=owners,
            )
        )
    return tuple(subjects)


def map_names(plan: Plan) -> tuple[str, ...]:
    """The file names of all maps, each as a picture of dots and one of lines, in the order of the plan."""
    taken: set[str] = set()
    starts = [stem(paper.paper.name, taken) for paper in plan.papers]
    return tuple(
        f"{start}-layout-{number}.{suffix}"
        for start, paper in zip(starts, plan.papers, strict=True)
        for number in range(1, len(paper.uses) + 1)
        for suffix in ("png", "svg")
    )


def write_maps(plan: Plan, folder: Path, say: Callable[[str], None] = lambda sentence: None) -> None:
    """Draw all maps into a folder; raises OSError where it cannot be written."""
    from nesting.reports.pages import save_all

    names = iter(map_names(plan))

    def maps() -> Iterator[tuple[Drawing, Path]]:
        for paper in plan.papers:
            say(f"drawing the maps of {paper.paper.name}")
            for drawing in paper_maps(plan.project, paper):
                yield drawing, folder / next(names)
                yield drawing, folder / next(names)

    save_all(maps())
