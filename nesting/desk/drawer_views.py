"""The drawer on the page: look, put in, take out, correct, undo, and put back what a plan left over.

In: requests. Out: pages. The fact it serves: a drawer silts up when looking into it is work.
"""

from __future__ import annotations

from dataclasses import replace

from werkzeug.exceptions import NotFound
from werkzeug.wrappers import Response

from nesting.describe.findings import Findings, same_word
from nesting.describe.names import Names
from nesting.describe.papers import Grain, PrintDirection, Sheet
from nesting.describe.sizes import read_sheet
from nesting.desk.cutting import Round
from nesting.desk.edits import Files
from nesting.desk.page import Page
from nesting.errors import NestingError, Place
from nesting.lengths import Unit, inches
from nesting.quoting import quoted
from nesting.stash.drawer import Lot, Stash
from nesting.stash.items import MOST_SHEETS, Details
from nesting.stash.list_file import free_words
from nesting.stash.planning import mark_of, offcut_lots, record_plan

DIRECTIONS = (("", "not known"), *((kind.value, kind.value) for kind in PrintDirection))
GRAINS = tuple((kind.value, kind.value) for kind in Grain)


def drawer(page: Page) -> Response:
    """All that is in the drawer; of one paper where that is asked for."""
    look = page.desk.look()
    wanted = page.request.args.get("paper", "").strip()
    items = [item for item in page.desk.items() if same_word(wanted) in same_word(item.details.paper)]
    last = ""
    work = _work(page)
    plan = work.plan if work else None
    if page.desk.drawer.exists():
        with Stash(page.desk.drawer) as stash:
            last = next(
                (
                    f"{one.act.value}, {one.at[:10]}"
                    for one in reversed(stash.history())
                    if not one.undone_by and not one.undoes
                ),
                "",
            )
            plan = None if plan and stash.is_recorded(mark_of(plan)) else plan
    recorded = page.request.args.get("put", "")
    return page.html(
        "drawer.html", look=look, items=items, wanted=wanted, last=last, papers=Files(look.sheaf).names("paper"),
        plan=plan, cut=bool(work and work.all_finished), lots=offcut_lots(plan) if plan else (), recorded=recorded,
        directions=DIRECTIONS, grains=GRAINS,
    )  # fmt: skip


def _work(page: Page) -> Round | None:
    """The cutting of a plan whose offcuts are known: the first plan, of which nothing was spoiled."""
    project = page.desk.look().checked.read
    try:
        work = page.desk.cutting.now(project) if project else None
    except NestingError:
        return None
    return work if work and work.number == 1 and not work.spoiled else None


def lot(page: Page, number: int) -> Response:
    """One lot, to be corrected."""
    with _open(page) as stash:
        item = stash.item(number)
    return page.html("lot.html", item=item, directions=DIRECTIONS, grains=GRAINS,
                     papers=Files(page.desk.look().sheaf).names("paper"))  # fmt: skip


def add(page: Page) -> Response:
    """Put sheets or offcuts in."""
    start = Details("", Sheet(inches(1), inches(1)), _unit(page))
    details, count = _described(page, start)
    with Stash(page.desk.drawer, new=True) as stash:
        numbers = stash.add([Lot(details, count)])
    return page.on(f"/drawer?put={numbers[0]}#lot-{numbers[0]}")


def correct(page: Page, number: int) -> Response:
    """Say anew what a lot is."""
    with _open(page) as stash:
        details, count = _described(page, stash.item(number).details)
        stash.correct(number, details, count)
    return page.on(f"/drawer#lot-{number}")


def take(page: Page, number: int) -> Response:
    """Take one out."""
    with _open(page) as stash:
        stash.take_out(number)
    return page.on(f"/drawer#lot-{number}")


def put(page: Page, number: int) -> Response:
    """Put one back."""
    with _open(page) as stash:
        stash.put_back(number)
    return page.on(f"/drawer#lot-{number}")


def undo(page: Page) -> Response:
    """Take the last change of the drawer back."""
    with _open(page) as stash:
        stash.undo()
    return page.on("/drawer")


def record(page: Page) -> Response:
    """The plan is cut: take out what it used, put its offcuts in, once."""
    work = _work(page)
    if work is None:
        raise NotFound
    with Stash(page.desk.drawer, new=True) as stash:
        numbers = record_plan(stash, work.plan)
    return page.on(f"/drawer?put={','.join(str(number) for number in numbers)}")


def _open(page: Page) -> Stash:
    if not page.desk.drawer.exists():
        raise NotFound
    return Stash(page.desk.drawer)


def _unit(page: Page) -> Unit:
    project = page.desk.look().checked.read
    return project.unit if project else Unit.INCH


def _described(page: Page, start: Details) -> tuple[Details, int]:
    """What a form says of a lot, and how many; all its mistakes at once."""
    said, findings = page.request.form, Findings()
    paper = Names().give(said.get("paper", "").strip(), Place(subject="paper"), findings) or ""
    sheet, count = start.sheet, 1
    try:
        width, height = read_sheet(said.get("size", ""), start.unit)
        sheet = replace(sheet, width=width, height=height)
    except ValueError as wrong:
        findings.refuse(Place(subject="size"), str(wrong))
    text = said.get("count", "1").strip() or "1"
    if text.isascii() and text.isdecimal() and len(text) < 10 and int(text) <= MOST_SHEETS:
        count = int(text)
    else:
        findings.add(Place(subject="how many"), f"{quoted(text)} is not a number of sheets.", "Write a whole number.")
    kept, label = (free_words(said.get(key, ""), Place(subject=key), findings) for key in ("kept", "label"))
    if findings.problems:
        raise NestingError(findings.problems)
    direction, grain = said.get("print", ""), said.get("grain", Grain.UNKNOWN.value)
    known = {kind.value: kind for kind in PrintDirection}
    grains = {kind.value: kind for kind in Grain}
    details = replace(
        start, paper=paper, sheet=sheet, kept=kept, label=label, direction=known.get(direction),
        grain=grains.get(grain, Grain.UNKNOWN),
    )  # fmt: skip
    return details, count


VIEWS = (
    ("/drawer", "GET", drawer),
    ("/drawer/<int:number>", "GET", lot),
    ("/drawer-add", "POST", add),
    ("/drawer-correct/<int:number>", "POST", correct),
    ("/drawer-take/<int:number>", "POST", take),
    ("/drawer-put/<int:number>", "POST", put),
    ("/drawer-undo", "POST", undo),
    ("/drawer-record", "POST", record),
)
