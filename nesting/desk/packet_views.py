"""The packet on the page: made from the plan as it is, opened, and taken along.

In: requests. Out: pages and files. The fact it serves: what hangs at the trimmer is paper, and must be of this plan.
"""

from __future__ import annotations

from io import BytesIO
from zipfile import ZIP_DEFLATED, ZipFile

from werkzeug.exceptions import NotFound
from werkzeug.wrappers import Response

from nesting.desk.page import Page
from nesting.errors import NestingError, Place, Problem
from nesting.lengths import Unit
from nesting.reports.packet_folder import is_of_another_plan

ALL = "packet.zip"
PICTURES = (("maps", (".png", ".svg")), ("full_size", (".svg",)))
# What may be taken from the packet's folder, and what it is.
FILES = {
    "packet.pdf": ("application/pdf", "the pages to print"),
    "packet.html": ("text/html", "one page for a tablet or a phone, which keeps what is ticked off"),
    ALL: ("application/zip", "these two, the maps as pictures, and parts with windows at full size"),
}


def packet(page: Page) -> Response:
    """The packet that was made, and how to make it."""
    look = page.desk.look()
    folder, plan = page.desk.packet_folder, look.ready
    there = page.desk.holds(folder / "packet.pdf")
    made = [
        (name, words) for name, (_, words) in FILES.items() if there and (name == ALL or page.desk.holds(folder / name))
    ]
    metric = look.checked.read is not None and look.checked.read.unit is not Unit.INCH
    return page.html(
        "packet.html", look=look, made=made, ready=plan is not None,
        old=bool(made) and plan is not None and is_of_another_plan(plan, folder),
        page_size="A4" if metric else "letter",
    )  # fmt: skip


def ready(page: Page) -> Response:
    """Whether the plan is ready, for a page that waits for it."""
    return page.part("ready.html", page.desk.look(), on="/packet")


def make(page: Page) -> Response:
    """Make the packet; the files are written by the process that plans, so that the page stays awake."""
    plan = page.desk.look().ready
    if plan is None:
        raise NestingError([Problem(Place(), "The plan is not ready yet.", "Wait until it is.")])
    size = "A4" if page.request.form.get("page") == "A4" else "letter"
    page.desk.refuse_links(page.desk.packet_folder)
    page.desk.planner.packet(plan, page.desk.packet_folder, size)
    return page.on("/packet")


def file(page: Page, name: str) -> Response:
    """One file to keep."""
    path = page.desk.packet_folder / name
    if name == ALL:
        return page.kept(_zipped(page), FILES[name][0], f"{page.desk.name} {name}")
    if name not in FILES or not page.desk.holds(path):
        raise NotFound
    return page.kept(path.read_bytes(), FILES[name][0], f"{page.desk.name} {name}")


def _zipped(page: Page) -> bytes:
    """All files of the packet in one; nothing that lies elsewhere or was put there by somebody else."""
    folder = page.desk.packet_folder
    found = [folder / name for name in FILES if page.desk.holds(folder / name)]
    for inner, suffixes in PICTURES:
        there = sorted((folder / inner).iterdir()) if (folder / inner).is_dir() else []
        found += [path for path in there if path.suffix in suffixes and page.desk.holds(path)]
    buffer = BytesIO()
    with ZipFile(buffer, "w", ZIP_DEFLATED) as pack:
        for path in found:
            pack.write(path, path.relative_to(folder))
    return buffer.getvalue()


def opened(page: Page) -> Response:
    """The pages, in the browser's own viewer."""
    path = page.desk.packet_folder / "packet.pdf"
    if not page.desk.holds(path):
        raise NotFound
    return Response(path.read_bytes(), mimetype="application/pdf")


VIEWS = (
    ("/packet", "GET", packet),
    ("/packet-ready", "GET", ready),
    ("/packet-make", "POST", make),
    ("/packet-open", "GET", opened),
    ("/packet/<name>", "GET", file),
)
