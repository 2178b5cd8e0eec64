"""What the reader says about texts that are not saved yet.

In: the files of a project as bytes. Out: the Project, or all its mistakes in the reader's own sentences. They are
read from a folder of their own that is gone a moment later, by the one reader there is.
"""

from __future__ import annotations

import tempfile
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from nesting.describe.designs import CardDesign
from nesting.describe.papers import Paper
from nesting.describe.project import Project
from nesting.describe.project_file import read_project
from nesting.desk.shelf import Sheaf
from nesting.errors import NestingError, Problem
from nesting.pieces.piece_list import piece_list
from nesting.reports.flat_card import paper_looks
from nesting.reports.swatches import Swatch


@dataclass(frozen=True)
class Checked:
    """A project, or None with what is wrong. `read`: the project where only its sizes cannot be."""

    project: Project | None
    problems: tuple[Problem, ...] = ()
    read: Project | None = None

    @cached_property
    def looks(self) -> dict[str, Swatch]:
        """How every paper looks; none where no project could be read."""
        return paper_looks(self.read) if self.read else {}

    def design(self, name: str) -> CardDesign | None:
        """The card of that name, None where there is none or the files cannot be read."""
        return next((one for one in self.read.designs if one.name == name), None) if self.read else None

    def paper(self, name: str) -> Paper | None:
        """The paper of that name alike."""
        return next((one for one in self.read.papers if one.name == name), None) if self.read else None


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
