"""The packet as a folder: the PDF to print, the page for the tablet, maps and templates as pictures.

In: a Plan and a folder. Out: the files, each written whole; files of an earlier packet that no longer belong are taken
away, and nothing that this program did not write is touched. The fact of the trade: one folder goes to the printer,
the tablet and the cutting machine.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any, Literal

from nesting.errors import NestingError, Place, Problem
from nesting.files import write_whole
from nesting.plan import Plan
from nesting.reports.base_svg import template_svg, templates
from nesting.reports.file_names import stem
from nesting.reports.packet import packet
from nesting.reports.page_frame import A4, LETTER
from nesting.reports.plan_data import fingerprint
from nesting.reports.plan_maps import map_names, write_maps
from nesting.reports.web_page import web_page

LIST, MAPS, FULL_SIZE = "packet.json", "maps", "full_size"
_OWN = re.compile(r"packet\.(pdf|html)|(maps|full_size)/[a-z0-9-]+\.(png|svg)")
Page = Literal["letter", "A4"]
Say = Callable[[str], None]


def write_packet(
    plan: Plan, folder: Path, page: Page = "letter", *, pictures: bool = True, progress: Say = lambda sentence: None
) -> tuple[Path, ...]:
    """Write the packet's files; raises NestingError where the folder cannot be written."""
    try:
        return _write(plan, folder, page, pictures, progress)
    except OSError as error:
        raise NestingError(
            [Problem(Place(str(folder)), f"the packet could not be written: {error.strerror or error}.",
                     "Free some space or choose another folder with --out.")]
        ) from error  # fmt: skip


def _write(plan: Plan, folder: Path, page: Page, pictures: bool, say: Say) -> tuple[Path, ...]:
    from nesting.reports.pages import save_pages

    folder.mkdir(parents=True, exist_ok=True)
    before = _listed(folder)
    # What is about to be written is listed first, as no plan's: a run cut short leaves no file that nobody owns.
    names = ["packet.pdf", "packet.html"]
    texts = _full_size(plan)
    names += [*texts, *(f"{MAPS}/{name}" for name in (map_names(plan) if pictures else ()))]
    _write_list("", folder, before | set(names))
    say("drawing the pages to print")
    save_pages(packet(plan, A4 if page == "A4" else LETTER), folder / "packet.pdf", plan.project.title)
    say("writing the page for the tablet")
    write_whole(folder / "packet.html", web_page(plan))
    for name, text in texts.items():
        (folder / name).parent.mkdir(exist_ok=True)
        write_whole(folder / name, text)
    if pictures:
        (folder / MAPS).mkdir(exist_ok=True)
        write_maps(plan, folder / MAPS, say)
    for name in sorted(before - set(names)):
        _remove(folder, name)
    _write_list(fingerprint(plan), folder, set(names))
    return tuple(folder / name for name in [*names, LIST])


def _full_size(plan: Plan) -> dict[str, str]:
    """Every base, part with a window and blank, at full size."""
    taken: set[str] = set()
    return {
        f"{FULL_SIZE}/{stem(f'{each.design} {each.part}', taken)}.svg": template_svg(each, plan.project.unit)
        for each in templates(plan.project, plan.pieces)
    }


def _write_list(whose: str, folder: Path, names: set[str]) -> None:
    data = {"format": "sheet packet", "version": 1, "plan": whose, "files": sorted(names)}
    write_whole(folder / LIST, json.dumps(data, ensure_ascii=False, indent=1) + "\n")


def is_of_another_plan(plan: Plan, folder: Path) -> bool:
    """Whether a packet lies in this folder that is not of this plan, or not whole."""
    data = _read_list(folder)
    return bool(data) and data.get("plan") != fingerprint(plan)


def _listed(folder: Path) -> set[str]:
    """Names of the files that an earlier packet wrote here; only names of this program's own making count."""
    names = _read_list(folder).get("files")
    listed = names if isinstance(names, list) else []
    return {name for name in listed if isinstance(name, str) and _OWN.fullmatch(name)}


def _read_list(folder: Path) -> dict[str, Any]:
    try:
        data: Any = json.loads((folder / LIST).read_text("utf-8"))
    except (OSError, ValueError, RecursionError):
        return {}
    return data if isinstance(data, dict) and data.get("format") == "sheet packet" else {}


def _remove(folder: Path, name: str) -> None:
    """Take away a file of an earlier packet, and its folder where that is then empty; links are not followed."""
    path = folder / name
    if path.parent.is_symlink():
        return
    path.unlink(missing_ok=True)
    if path.parent != folder and path.parent.is_dir() and not any(path.parent.iterdir()):
        path.parent.rmdir()
