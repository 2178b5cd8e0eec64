"""A card and a paper, each with its form, its drawing, and what the plan does with it.

In: requests. Out: pages. The fact it serves: a card is described from the base up, and looked at after every number.
"""

from __future__ import annotations

from typing import Any

from werkzeug.exceptions import NotFound
from werkzeug.wrappers import Response

from nesting.describe.designs import CardDesign
from nesting.describe.families import FAMILIES
from nesting.desk.desk import Look
from nesting.desk.edits import Files, shown_fields, shown_rows
from nesting.desk.fields import KINDS, PAPER, RULES
from nesting.desk.page import Page, marks
from nesting.plan import PaperPlan
from nesting.reports import words
from nesting.reports.drawing import Drawing
from nesting.reports.flat_card import card_front, flat_card
from nesting.reports.plan_maps import map_subjects
from nesting.reports.sheet_map import sheet_map


def cards(page: Page) -> Response:
    """All cards, and how to begin another."""
    look = page.desk.look()
    files = Files(look.sheaf)
    shown = [(name, front(look, name)) for name in files.names("design")]
    families = [(family.name, family.words) for family in FAMILIES.values()]
    return page.html(
        "cards.html", look=look, cards=shown, families=families, papers=files.names("paper"), marks=marks(look)
    )


def front(look: Look, name: str) -> Drawing | None:
    """A card from its front, None where it cannot be read or has no base."""
    design, project = look.checked.design(name), look.checked.read
    return card_front(design, project.unit, look.checked.looks) if project and design else None


def card(page: Page, name: str) -> Response:
    """One card: form and drawing."""
    look = page.desk.look()
    files = Files(look.sheaf)
    file, table = files.table("design", name)
    if table is None:
        raise NotFound
    design, project = look.checked.design(name), look.checked.read
    flat = flat_card(design, project.unit, look.checked.looks) if design and project else None
    return page.html(
        "card.html", look=look, name=name, file=file, marks=marks(look), flat=flat, table=table,
        fields=shown_fields("design", table), rows=shown_rows(table), kinds=KINDS, rules=RULES,
        papers=files.names("paper"), places=_places(design, table), family=str(table.get("family", "")),
    )  # fmt: skip


def _places(design: CardDesign | None, table: Any) -> list[str]:
    """What a part may lie on: panels by number and name, other parts."""
    found = [row["name"] for row in shown_rows(table)]
    if design is not None:
        numbers = [str(panel.number) for base in design.bases for panel in base.panels]
        found = [*(name for name, _ in design.names), *numbers, *found]
    return list(dict.fromkeys([*found, "below"]))


def papers(page: Page) -> Response:
    """All papers, and how to add another."""
    look = page.desk.look()
    names = Files(look.sheaf).names("paper")
    by_name = {one.paper.name: one for one in look.state.plan.papers} if look.state.plan else {}
    return page.html("papers.html", look=look, papers=names, by_name=by_name, marks=marks(look), fields=PAPER[:4])


def paper(page: Page, name: str) -> Response:
    """One paper: form, sheet, and how it is cut."""
    look = page.desk.look()
    files = Files(look.sheaf)
    file, table = files.table("paper", name)
    if table is None:
        raise NotFound
    project = look.checked.read
    return page.html(
        "paper.html", look=look, name=name, file=file, marks=marks(look), fields=shown_fields("paper", table),
        paper=look.checked.paper(name), its_look=look.checked.looks.get(name), papers=files.names("paper"),
        unit=project.unit if project else None, **_cutting(look, name),
    )  # fmt: skip


def paper_plan(page: Page, name: str) -> Response:
    """How a paper is cut, alone."""
    look = page.desk.look()
    return page.part("paper_plan.html", look, name=name, **_cutting(look, name))


def _cutting(look: Look, name: str) -> dict[str, Any]:
    state = look.state
    known = {one.paper.name: one for one in state.plan.papers} if state.plan and state.current else {}
    plan: PaperPlan | None = state.fresh.get(name, known.get(name)) if look.project else None
    if plan is None or look.project is None:
        return {"plan": None, "maps": [], "cut_notes": []}
    maps = [(subject, sheet_map(subject)) for subject in map_subjects(look.project, plan)]
    return {"plan": plan, "maps": maps, "cut_notes": words.cut_notes(plan, look.project.unit)}


def trimmer(page: Page) -> Response:
    """What the trimmer can do."""
    look = page.desk.look()
    file, table = Files(look.sheaf).table("trimmer")
    return page.html("trimmer.html", look=look, marks=marks(look), file=file, fields=shown_fields("trimmer", table))


VIEWS = (
    ("/cards", "GET", cards),
    ("/card/<path:name>", "GET", card),
    ("/papers", "GET", papers),
    ("/paper/<path:name>", "GET", paper),
    ("/paper-plan/<path:name>", "GET", paper_plan),
    ("/trimmer", "GET", trimmer),
)
