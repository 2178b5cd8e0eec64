"""The desk itself: one project folder, what its files say, the plan that is being made, the drawer beside it.

In: a folder. Out: looks at all of it, always as it is now. The fact it serves: whoever edits a file by hand while the
page is open sees the page follow.
"""

from __future__ import annotations

import threading
from dataclasses import dataclass
from pathlib import Path

from nesting.describe.project import Project
from nesting.desk.cutting import Cutting
from nesting.desk.drafts import Checked, check_files
from nesting.desk.edits import Edit, applied
from nesting.desk.planner import Planner, State
from nesting.desk.shelf import Sheaf, Shelf
from nesting.errors import NestingError, Place, Problem
from nesting.plan import Plan
from nesting.stash.drawer import Stash
from nesting.stash.items import Item
from nesting.stash.planning import with_drawer


@dataclass(frozen=True, slots=True)
class Look:
    """Everything at one moment: the files, what the reader says of them, the plan so far."""

    sheaf: Sheaf
    checked: Checked
    state: State

    @property
    def project(self) -> Project | None:
        """The project, where its files are without mistakes."""
        return self.checked.project

    @property
    def ready(self) -> Plan | None:
        """The full plan of the project as its files are now; None while it is being made."""
        return self.state.plan if self.project and self.state.current and self.state.full else None


class Desk:
    """One sitting at one project."""

    def __init__(self, folder: Path, drawer: Path) -> None:
        self.folder = folder
        self.name = folder.resolve().name
        self.drawer = drawer
        self.use_drawer = False
        self.shelf = Shelf(folder)
        self.planner = Planner()
        self.cutting = Cutting(self.plan_folder / "cutting")
        self._lock = threading.RLock()
        self._mark = ""
        self._checked = Checked(None)

    @property
    def plan_folder(self) -> Path:
        """Where the project's plan and all that goes with it lie."""
        return self.folder / "plan"

    @property
    def packet_folder(self) -> Path:
        """Where the packet lies."""
        return self.folder / "packet"

    def holds(self, path: Path) -> bool:
        """Whether a file is there, and in this project's folder even after all links are followed."""
        return path.is_file() and self.folder.resolve() in path.resolve().parents

    def refuse_links(self, folder: Path) -> None:
        """Raise NestingError where a folder of this project leads out of it."""
        home = self.folder.resolve()
        if home not in folder.resolve().parents:
            what = "This folder is a link that leads out of the project."
            raise NestingError([Problem(Place(folder.name), what, "Take the link away; nothing was written.")])

    def look(self) -> Look:
        """Read what has changed, and plan it."""
        with self._lock:
            sheaf = self.shelf.read()
            if sheaf.whole_mark != self._mark:
                self._checked = check_files(sheaf, self.name)
                self._mark = sheaf.whole_mark
            if self._checked.project is not None:
                self.planner.want(self._with_drawer(self._checked.project))
            return Look(sheaf, self._checked, self.planner.state)

    def _with_drawer(self, project: Project) -> Project:
        return with_drawer(project, self.items()) if self.use_drawer else project

    def items(self) -> tuple[Item, ...]:
        """What lies in the drawer; nothing where there is none yet."""
        if not self.drawer.exists():
            return ()
        with Stash(self.drawer) as stash:
            return stash.items()

    def draft(self, edit: Edit) -> Checked:
        """What the reader would say of the files with a change."""
        try:
            sheaf, _ = applied(self.shelf.read(), edit)
        except NestingError as error:
            return Checked(None, error.problems)
        return check_files(sheaf, self.name)

    def save(self, edit: Edit, seen: dict[str, str], *, over: bool = False) -> tuple[str, ...]:
        """Put a change into the files; ChangedOutside where one of them is no longer what the page showed.

        over: write it whatever the files hold now.
        """
        with self._lock:
            now = self.shelf.read()
            sheaf, words = applied(now, edit)
            marks = {name: now.mark(name) for name in sheaf.files} if over else seen
            return self.shelf.save(sheaf, marks, words)
