"""The cutting view: one pass at a time, large, for a screen that stands beside the trimmer.

In: requests. Out: pages that need no script. The fact it serves: both hands are full, so a page asks one thing: is this
pass done? What to lay, what to set, what comes off stand in the order of the hand.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from werkzeug.exceptions import NotFound
from werkzeug.wrappers import Response

from nesting.cutting.passes import Comes, Pass, What
from nesting.describe.project import Project
from nesting.desk.cutting import Round
from nesting.desk.page import Page, link
from nesting.errors import NestingError, Place, Problem
from nesting.packing.layout import CutPart, Part
from nesting.plan import PaperPlan
from nesting.questions.recut import kinds_by_letter
from nesting.reports.cautions import SHORT
from nesting.reports.drawing import Box, Drawing, Group, Shape
from nesting.reports.lettering import TIMES
from nesting.reports.map_draw import draw_map
from nesting.reports.map_subject import MapSubject
from nesting.reports.pass_rows import Line
from nesting.reports.plan_maps import map_subjects
from nesting.reports.sheet_page import SheetWork, shown_lines
from nesting.reports.stop_signs import stop_square
from nesting.stash.planning import mark_of

_ROOM = Box(0.0, 0.0, 4.6, 4.6)


@dataclass(frozen=True, slots=True)
class Told:
    """One pass in words. new_stop: the stop is moved; other_edge: the work is turned or taken up anew."""

    each: Pass
    line: Line
    number: int
    of: int
    edge: str
    sign: Drawing
    maps: tuple[tuple[MapSubject, Drawing], ...]
    comes: tuple[str, ...]
    new_stop: bool
    turned: bool


def cut(page: Page) -> Response:
    """All papers and how far each is."""
    look = page.desk.look()
    project = _project(page)
    work = page.desk.cutting.now(project) if project else None
    other = bool(work and look.ready and mark_of(look.ready) != page.desk.cutting.mark())
    return page.html(
        "cut.html",
        look=look,
        work=work,
        other=other,
        caution=SHORT,
        enough="enough" in page.request.args,
    )


def ready(page: Page) -> Response:
    """Whether the plan is ready, for a page that waits for it."""
    return page.part("ready.html", page.desk.look(), on="/cut")


def begin(page: Page) -> Response:
    """Lay the plan as it is now beside the trimmer."""
    plan = page.desk.look().ready
    if plan is None:
        raise NestingError([Problem(Place(), "The plan is not ready yet.", "Wait until it is, then begin.")])
    page.desk.refuse_links(page.desk.cutting.folder)
    page.desk.cutting.begin(plan)
    return page.on("/cut")


def step(page: Page, name: str) -> Response:
    """The next pass of a paper."""
    work, paper = _work(page, name)
    done = work.lines_done(paper)
    told = None if work.finished(paper) else _told(work, paper, done)
    return page.html(
        "step.html", work=work, paper=paper, told=told, done=done, pieces=_pieces(work, paper),
        unit=work.plan.project.unit,
        caution=SHORT, next_paper=_next_paper(work, name),
    )  # fmt: skip


def done(page: Page, name: str) -> Response:
    """A pass is cut."""
    _, paper = _work(page, name)
    line = _number(page, "line")
    if line < len(paper.order.passes):
        page.desk.cutting.step(name, line)
    return page.on(link("cut", name))


def back(page: Page, name: str) -> Response:
    """The last pass was not cut after all; pieces that are not there cannot stay spoiled."""
    work, paper = _work(page, name)
    page.desk.cutting.step_back(name, _number(page, "line"))
    work, paper = _work(page, name)
    for letter, left in work.cut_so_far(paper).items():
        if left < 0:
            page.desk.cutting.spoil(name, letter, max(0, work.spoiled_of(paper)[letter] + left))
    return page.on(link("cut", name))


def spoil(page: Page, name: str) -> Response:
    """So many pieces of a letter are spoiled."""
    work, paper = _work(page, name)
    letter, by = page.request.form.get("letter", ""), _number(page, "by")
    before = work.spoiled_of(paper).get(letter, 0)
    there = work.cut_so_far(paper)
    if letter in there:
        page.desk.cutting.spoil(name, letter, max(0, min(before + by, before + there[letter])))
    return page.on(f"{link('cut', name)}#spoiled")


def rest(page: Page) -> Response:
    """Plan the rest from what lies on the table."""
    project = _sure(_project(page))
    work = page.desk.cutting.now(project)
    if work is None:
        raise NotFound
    far = work.plan
    papers = tuple(work.so_far(paper) for paper in far.papers)
    found = page.desk.planner.recut(replace(far, papers=papers), work.spoiled)
    if found.plan is None:
        return page.on("/cut?enough=yes")
    page.desk.cutting.go_on(found)
    return page.on("/cut")


def forget(page: Page) -> Response:
    """Clear the bench."""
    page.desk.cutting.forget()
    return page.on("/cut")


# ------------------------------------------------------------------------------------------ what is told


def _told(work: Round, paper: PaperPlan, number: int) -> Told:
    project = work.plan.project
    subjects = map_subjects(project, paper)
    lines, turned = shown_lines(SheetWork(paper.paper.name, ("",), subjects, paper.order.passes))
    line, each = lines[number], paper.order.passes[number]
    before = paper.order.passes[number - 1] if number else None
    shapes: tuple[Shape, ...] = stop_square(Box(0.1, 0.1, 0.7, 0.7), line.edge)
    maps = []
    for n in _layouts_with(paper, each, line):
        ink = draw_map(subjects[n], _ROOM, turned[n])
        shapes_now = tuple(_lit(shape, each.number) for shape in ink.shapes)
        maps.append((subjects[n], _cropped(shapes_now, ink.box, f"{paper.paper.name}, {subjects[n].title}")))
    return Told(
        each, line, number + 1, len(lines), line.edge.value, Drawing(0.8, 0.8, shapes, f"{line.edge.value} edge"),
        tuple(maps), tuple(_comes(came) for came in each.comes),
        new_stop=before is None or before.number != each.number, turned=each.turned,
    )  # fmt: skip


def _layouts_with(paper: PaperPlan, each: Pass, line: Line) -> list[int]:
    """The layouts that the part which is laid to the stop comes from."""
    wanted = (each.part.width, each.part.height)
    there = [n for n in sorted(line.layouts) if wanted in _sizes(paper.uses[n].root)]
    return there or sorted(line.layouts)


def _sizes(part: Part) -> set[tuple[int, int]]:
    """Width and height of a part and of all that is cut from it."""
    inside = (_sizes(child) for child in part.parts) if isinstance(part, CutPart) else ()
    return {(part.width, part.height)}.union(*inside)


def _cropped(shapes: tuple[Shape | Group, ...], box: Box, title: str) -> Drawing:
    return Drawing(box.x1 + 0.05, box.y1 + 0.05, shapes, title)


def _lit(shape: Shape | Group, number: int) -> Shape | Group:
    """Cuts and discs of this stop setting stand out; those before and after it step back."""
    if not isinstance(shape, Group) or not shape.get("stop"):
        return shape
    when = int(shape.get("stop"))
    return replace(shape, kind=f"{shape.kind} {'now' if when == number else 'gone' if when < number else 'later'}")


def _comes(came: Comes) -> str:
    match came.part.what:
        case What.PIECE:
            return f"{came.count} {TIMES} {came.part.name}"
        case What.PART:
            return f"{came.count} strip{'' if came.count == 1 else 's'} {came.part.name}"
        case What.KEEP:
            return f"{came.count} to KEEP"
        case _:
            return "scrap"


def _pieces(work: Round, paper: PaperPlan) -> list[tuple[str, str, int, int, int, int]]:
    """Letter, whom it is for, width, height, how many lie there, how many are spoiled."""
    counts, spoiled = work.cut_so_far(paper), work.spoiled_of(paper)
    found = []
    for letter, kind in kinds_in_order(paper):
        asked = paper.packing.task.pieces[kind]
        owners = ", ".join(dict.fromkeys(piece.title for piece in paper.packing.kinds[kind]))
        found.append((letter, owners, asked.width, asked.height, counts.get(letter, 0), spoiled.get(letter, 0)))
    return found


def kinds_in_order(paper: PaperPlan) -> list[tuple[str, int]]:
    """Letters with their kinds, A before AA."""
    return sorted(kinds_by_letter(paper).items(), key=lambda pair: (len(pair[0]), pair[0]))


def _next_paper(work: Round, name: str) -> str:
    return next((one.paper.name for one in work.plan.papers if one.paper.name != name and not work.finished(one)), "")


# ------------------------------------------------------------------------------------------ what is asked


def _project(page: Page) -> Project | None:
    return page.desk.look().checked.read


def _sure(project: Project | None) -> Project:
    if project is None:
        what = "The project's files have mistakes."
        raise NestingError([Problem(Place(), what, "Mend them first; the cutting goes on where it was.")])
    return project


def _work(page: Page, name: str) -> tuple[Round, PaperPlan]:
    work = page.desk.cutting.now(_sure(_project(page)))
    paper = work.paper(name) if work else None
    if work is None or paper is None:
        raise NotFound
    return work, paper


def _number(page: Page, key: str) -> int:
    try:
        return int(page.request.form.get(key, ""))
    except ValueError:
        return 0


VIEWS = (
    ("/cut", "GET", cut),
    ("/cut-ready", "GET", ready),
    ("/cut-begin", "POST", begin),
    ("/cut-rest", "POST", rest),
    ("/cut-forget", "POST", forget),
    ("/cut/<path:name>", "GET", step),
    ("/cut-done/<path:name>", "POST", done),
    ("/cut-back/<path:name>", "POST", back),
    ("/cut-spoil/<path:name>", "POST", spoil),
)
