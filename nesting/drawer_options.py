"""The options by which a command counts on the drawer, and the project read with it.

In: words from a shell. Out: a Project with what lies in the drawer. The fact of the trade: an offcut is only used when
whoever plans looks into the drawer; and one who wants to plan for the shop alone must be able to leave it shut.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from nesting.describe.project import Project

DRAWER = click.option("--drawer/--no-drawer", default=False, show_default=True,
                      help="Count on what lies in the drawer too.")  # fmt: skip
DRAWER_FILE = click.option("--file", "file", type=click.Path(path_type=Path),
                           help="The drawer's file, where it is not your usual one.")  # fmt: skip


def read_with_drawer(path: Path, drawer: bool, file: Path | None) -> Project:
    """The project, with the drawer's paper if that is asked for; a file that is named is asked for."""
    from nesting.describe.project_file import read_project

    found = read_project(path)
    if not drawer and file is None:
        return found
    from nesting.stash.drawer import Stash
    from nesting.stash.place import stash_path
    from nesting.stash.planning import with_drawer

    with Stash(stash_path(file)) as stash:
        return with_drawer(found, stash.items())
