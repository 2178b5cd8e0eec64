"""The table: all cards of the batch, what to buy, what it costs, how long it takes; and every change made on the page.

In: requests. Out: pages and answers for the page's script. The fact it serves: somebody who plans a batch changes a
number, looks at the sum, and changes it back.
"""

from __future__ import annotations

import difflib
from collections.abc import Callable
from typing import Any

from werkzeug.wrappers import Response

from nesting.cost.sheet import cost_sheet
from nesting.describe.starter import starter_texts
from nesting.desk.card_views import front
from nesting.desk.desk import Look
from nesting.desk.edits import Edit, Files, applied, shown_fields
from nesting.desk.page import Page, marks, problem_data
from nesting.desk.shelf import ChangedOutside, Sheaf
from nesting.plan import PaperPlan
from nesting.questions.batch_curve import Curve
from nesting.reports import words
from nesting.reports.flat_card import flat_card
from nesting.reports.question_tables import wastes, why_good
from nesting.reports.shopping import purchase_words, shop_lists
from nesting.reports.waste_picture import waste_picture


def table(page: Page) -> Response:
    """The whole at a glance; without a project, how to begin one."""
    look = page.desk.look()
    if not look.sheaf.files:
        return page.html("welcome.html", look=look)
    files = Files(look.sheaf)
    _, batch = files.table("batch")
    counts = {str(name): str(count) for name, count in ((batch or {}).get("cards") or {}).items()}
    cards = [(name, counts.get(name, "0"), front(look, name)) for name in files.names("design")]
    return page.html(
        "table.html", look=look, cards=cards, marks=marks(look), fields=shown_fields("batch", batch),
        **plan_values(look),
    )  # fmt: skip


def table_plan(page: Page) -> Response:
    """Figures, papers and curve alone, for a page that is open."""
    look = page.desk.look()
    return page.part("table_plan.html", look, **plan_values(look))


def plan_values(look: Look) -> dict[str, Any]:
    """What the table shows of the plan: each paper as far as it is known, sums where all are."""
    state, project = look.state, look.project
    if project is None:
        return {"rows": [], "sums": None, "notes": [], "curve": None, "good": [], "sheet": None, "shops": ()}
    known = {} if state.plan is None else {one.paper.name: one for one in state.plan.papers}
    wanted = list(known) if state.current else [paper.name for paper in project.papers]
    rows: list[tuple[str, PaperPlan | None, bool]] = []
    for name in [*dict.fromkeys([*wanted, *state.fresh])]:
        if name in state.fresh or state.current:
            rows.append((name, state.fresh.get(name, known.get(name)), True))
        elif name in known:
            rows.append((name, known[name], False))
    plan = state.plan if state.current else None
    curve = state.curve if state.curve_of == state.number else None
    return {
        "rows": rows,
        "sums": plan,
        "sheet": None if plan is None else cost_sheet(plan, plan.project.costs),
        "notes": [] if plan is None else [*words.notes(plan), *purchase_words(plan)],
        "shops": () if plan is None else shop_lists(plan),
        "curve": None if curve is None or len(curve.points) < 2 else _picture(curve),
        "good": [] if curve is None else [why_good(one) for one in curve.good_sizes(3)],
    }


def _picture(curve: Curve) -> Any:
    return waste_picture(wastes(curve), curve.this, curve.title)


def state(page: Page) -> Response:
    """What an open page asks again and again."""
    look = page.desk.look()
    now = look.state
    return page.data({
        "turn": now.turn, "number": now.number, "busy": now.busy and look.project is not None, "stage": now.stage,
        "sentence": now.sentence, "stopped": now.stopped, "stoppable": now.stage in ("first", "full"),
        "fault": now.fault, "mark": look.sheaf.whole_mark, "undo": page.desk.shelf.last,
        "redo": page.desk.shelf.next, "problems": len(look.checked.problems) + len(now.problems),
    })  # fmt: skip


def stop(page: Page) -> Response:
    """End the search with the best so far."""
    page.desk.planner.stop()
    return page.data({}) if page.wants_data else page.on("/")


def check(page: Page) -> Response:
    """What the reader says of a change that is not saved, and the card it makes."""
    edit = page.edit().edit
    look, checked = page.desk.look(), page.desk.draft(edit)
    answer: dict[str, Any] = {
        "problems": problem_data(checked.problems), "drawing": None,
    }  # fmt: skip
    project = checked.read
    design = checked.design(edit.name) if edit.what == "design" else None
    if project is not None and design is not None:
        flat = flat_card(design, project.unit, checked.looks)
        answer["drawing"] = page.fragment("card_drawing.html", look, flat=flat)
    if project is not None and edit.what == "paper":
        answer["drawing"] = page.fragment("paper_drawing.html", look, paper=checked.paper(edit.name),
                                          its_look=checked.looks.get(edit.name), unit=project.unit)  # fmt: skip
    return page.data(answer)


def save(page: Page) -> Response:
    """Save a change, or show both sides where a file is no longer what the page showed."""
    sent = page.edit()
    if sent.only_right:
        before = set(page.desk.look().checked.problems)
        fresh = tuple(one for one in page.desk.draft(sent.edit).problems if one not in before)
        if fresh:
            return page.data({"fresh": problem_data(fresh)}, 422)
    try:
        saved = page.desk.save(sent.edit, sent.seen, over=sent.over)
    except ChangedOutside as changed:
        return page.data({"conflict": _both(page, sent.edit, changed.names)}, 409)
    look = page.desk.look()
    return page.data({
        "saved": list(saved), "seen": look.sheaf.marks,
        "mark": look.sheaf.whole_mark, "undo": page.desk.shelf.last, "redo": page.desk.shelf.next,
        "problems": problem_data(look.checked.problems),
    })  # fmt: skip


def _both(page: Page, edit: Edit, changed: tuple[str, ...]) -> str:
    """The files as they are now beside what the change would make of them."""
    look = page.desk.look()
    mine, _ = applied(look.sheaf, edit)
    sides = [(name, _lines(look.sheaf, mine, name)) for name in changed]
    return page.fragment("conflict.html", look, sides=sides)


def _lines(theirs: Sheaf, mine: Sheaf, name: str) -> list[tuple[str, str]]:
    """Every line with "+", "-" or " " for mine, theirs or both."""
    before, after = ((sheaf.text(name) or "").splitlines() for sheaf in (theirs, mine))
    return [(line[0], line[2:]) for line in difflib.ndiff(before, after) if line[0] in "+- "]


def undo(page: Page) -> Response:
    """Take the last save back."""
    return _stepped(page, page.desk.shelf.undo)


def redo(page: Page) -> Response:
    """Do it again."""
    return _stepped(page, page.desk.shelf.redo)


def _stepped(page: Page, step: Callable[[], str]) -> Response:
    done = step()
    if page.wants_data:
        return page.data({"words": done})
    return page.on("/")


def begin(page: Page) -> Response:
    """Lay down the small example where there is nothing yet."""
    if not page.desk.shelf.read().files:
        page.desk.shelf.save(Sheaf(starter_texts()), {}, "the small example")
    return page.on("/")


def cost(page: Page) -> Response:
    """What the cards cost, line by line."""
    look = page.desk.look()
    _, costs = Files(look.sheaf).table("costs")
    return page.html("cost.html", look=look, marks=marks(look), fields=shown_fields("costs", costs),
                     **plan_values(look))  # fmt: skip


def cost_plan(page: Page) -> Response:
    """The cost sheet alone."""
    look = page.desk.look()
    return page.part("cost_plan.html", look, **plan_values(look))


def use_drawer(page: Page) -> Response:
    """Count on what lies in the drawer, or not."""
    page.desk.use_drawer = page.request.form.get("drawer") == "yes"
    return page.on("/")


VIEWS = (
    ("/", "GET", table),
    ("/table/plan", "GET", table_plan),
    ("/state", "GET", state),
    ("/stop", "POST", stop),
    ("/check", "POST", check),
    ("/save", "POST", save),
    ("/undo", "POST", undo),
    ("/redo", "POST", redo),
    ("/begin", "POST", begin),
    ("/cost", "GET", cost),
    ("/cost/plan", "GET", cost_plan),
    ("/use-drawer", "POST", use_drawer),
)
