"""A small commented project to begin with: one card, twenty times, that plans at once.

In: a folder that is new or empty. Out: the files written. Nothing that is there is ever overwritten, and each file
appears whole or not at all.
"""

from __future__ import annotations

import os
from contextlib import suppress
from importlib.resources import files
from pathlib import Path

from nesting.describe.findings import Findings
from nesting.errors import NestingError, Place
from nesting.quoting import quoted

FILES = ("papers.toml", "designs.toml", "batch.toml", "trimmer.toml")


def write_starter(folder: Path) -> tuple[Path, ...]:
    """Write the starter project into a new or empty folder; NestingError where that cannot be done."""
    findings = Findings()
    place = Place(str(folder).encode("utf-8", "replace").decode("utf-8"))
    try:
        if folder.exists() and not folder.is_dir():
            findings.add(place, "This is a file, not a folder.", "Choose another name.")
        elif folder.is_dir() and any(folder.iterdir()):
            findings.add(place, "This folder is not empty.", "Choose a new folder; nothing was changed.")
        else:
            return _written(folder)
    except (OSError, ValueError) as wrong:  # ValueError: a NUL in the path
        reason = getattr(wrong, "strerror", None) or f"{quoted(str(folder))} cannot be a path"
        findings.add(
            place, f"The starter project cannot be written ({reason}).", "Choose a folder that you may write to."
        )
    raise NestingError(findings.problems)


def starter_texts() -> dict[str, bytes]:
    """The files of the starter project by name."""
    source = files("nesting.describe").joinpath("starter_project")
    return {name: source.joinpath(name).read_bytes() for name in FILES}


def _written(folder: Path) -> tuple[Path, ...]:
    """Write every file beside its place, then give all of them their names."""
    texts = {folder / name: text for name, text in starter_texts().items()}
    folder.mkdir(parents=True, exist_ok=True)
    beside = {path: path.with_name(f".{path.name}.new") for path in texts}
    try:
        for path, text in texts.items():
            beside[path].write_bytes(text)
        for path in texts:
            os.replace(beside[path], path)
    finally:
        for path in beside.values():
            with suppress(OSError):
                path.unlink(missing_ok=True)
    return tuple(texts)
