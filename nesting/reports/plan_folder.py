"""A Plan as a folder of files: plan.json, CSV files, and a map of every layout as PNG and SVG.

In: a Plan and a folder. Out: the files, all of them or none; files of an earlier plan that no longer belong are
taken away, and nothing that this program did not write is touched.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

from nesting.errors import NestingError, Place, Problem
from nesting.files import write_together, write_whole
from nesting.plan import Plan
from nesting.reports.plan_csv import cuts_csv, pieces_csv, sheets_csv, shopping_csv
from nesting.reports.plan_data import fingerprint, fingerprint_of, plan_data
from nesting.reports.plan_maps import map_names, write_maps

LIST = "plan.json"


def write_plan(
    plan: Plan, folder: Path, *, maps: bool = True, progress: Callable[[str], None] = lambda sentence: None
) -> tuple[Path, ...]:
    """Write the plan's files; raises NestingError where the folder cannot be written."""
    try:
        return _write(plan, folder, maps, progress)
    except OSError as error:
        raise NestingError(
            [Problem(Place(str(folder)), f"The plan cannot be written: {error.strerror or error}.",
                     "Free some space or choose another folder with --out.")]
        ) from error  # fmt: skip


def _write(plan: Plan, folder: Path, maps: bool, say: Callable[[str], None]) -> tuple[Path, ...]:
    written: list[str] = []

    def fill(new: Path) -> None:
        before = _listed(folder)
        written.extend(_fill(plan, new, maps, say))
        for name in before - set(written):
            (folder / name).unlink(missing_ok=True)

    write_together(folder, fill)
    return tuple(folder / name for name in [LIST, *written])


def _fill(plan: Plan, folder: Path, maps: bool, say: Callable[[str], None]) -> list[str]:
    """Write everything into a folder; gives the names beside the list itself."""
    texts = {
        "pieces.csv": pieces_csv(plan.pieces, plan.project.unit),
        "sheets.csv": sheets_csv(plan),
        "cuts.csv": cuts_csv(plan),
    }
    if plan.purchase is not None:
        texts["shopping.csv"] = shopping_csv(plan)
    written = list(texts)
    for name, text in texts.items():
        write_whole(folder / name, text)
    if maps:
        write_maps(plan, folder, say)
        written += map_names(plan)
    data = {**plan_data(plan), "files": sorted(written)}
    write_whole(folder / LIST, json.dumps(data, ensure_ascii=False, indent=1) + "\n")
    return written


def is_of_another_plan(plan: Plan, folder: Path) -> bool:
    """Whether a plan is written in this folder that is not this one."""
    try:
        data: Any = json.loads((folder / LIST).read_text("utf-8"))
        return bool(data["format"] == "sheet plan" and fingerprint_of(data) != fingerprint(plan))
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return False


def _listed(folder: Path) -> set[str]:
    """Names of the files that an earlier plan wrote here; only plain names of this program's own kinds count."""
    try:
        data: Any = json.loads((folder / LIST).read_text("utf-8"))
        names = data["files"] if data["format"] == "sheet plan" else []
        return {name for name in names if re.fullmatch(r"[a-z0-9-]+\.(png|svg|csv)", str(name))}
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        return set()
