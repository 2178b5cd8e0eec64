"""What the reader says about texts that are not saved yet.

In: the files of a project as bytes. Out: the Project, or all its mistakes in the reader's own sentences. They are
read from a folder of their own that is gone a moment later, by the one reader there is.
"""

from __future__ import annotations

import tempfile
from dataclasses import dataclass
from pathlib import Path

from nesting.describe.project import Project
from nesting.describe.project_file import read_project
from nesting.desk.shelf import Sheaf
from nesting.errors import NestingError, Problem
from nesting.pieces.piece_list import piece_list


@dataclass(frozen=True, slots=True)
class Checked:
    """A project, or None with what is wrong. `read`: the project where only its sizes cannot be."""

    project: Project | None
    problems: tuple[Problem, ...] = ()
    read: Project | None = None


def check_files(sheaf: Sheaf, name: str) -> Checked:
    """Read these files as a project whose folder has this name."""
    with tempfile.TemporaryDirectory(prefix="nesting-desk-") as place:
        folder = Path(place) / (name or "project")
        folder.mkdir()
        for file, content in sheaf.files.items():
            (folder / file).write_bytes(content)
        try:
            project = read_project(folder)
        except NestingError as error:
            return Checked(None, error.problems)
    try:
        piece_list(project)
    except NestingError as error:
        return Checked(None, error.problems, project)
    return Checked(project, (), project)
