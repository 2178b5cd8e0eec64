"""What several commands share: the project they are about, its drawer, and how answers go out.

In: words from a shell. Out: options, a Project, JSON on standard output. The fact of the trade: an offcut is only used
when whoever plans looks into the drawer; and one who wants to plan for the shop alone must be able to leave it shut.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from rich.console import Console

    from nesting.describe.project import Project

EXIT_SHORT = 3  # planned, but the paper does not suffice

FOLDER = click.argument("project", type=click.Path(path_type=Path), default=".", required=False)
EFFORT = click.option("--effort", type=click.Choice(["quick", "normal", "thorough"]), default="normal",
                      show_default=True, help="How long to look for a better plan, or a proof.")  # fmt: skip
ORDER = click.option("--order", type=click.Choice(["setting", "stack", "sheet"]), default="setting", show_default=True,
                     help="Go through the work by stop setting, stack by stack, or sheet by sheet.")  # fmt: skip
DRAWER = click.option("--drawer/--no-drawer", default=False, show_default=True,
                      help="Count on what lies in the drawer too.")  # fmt: skip
DRAWER_FILE = click.option("--file", "file", type=click.Path(path_type=Path),
                           help="The drawer's file, where it is not your usual one.")  # fmt: skip
JSON = click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON.")


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


def folder_of(project: Path) -> Path:
    """The folder that a project's files are written into: its own, or that of a piece list."""
    return project.parent if project.is_file() else project


def console(*, errors: bool = False) -> Console:
    """Where tables and sentences go."""
    from nesting.reports.terminal import new_console

    return new_console(errors=errors)


def print_json(data: object) -> None:
    """Plain data for another program."""
    import json

    click.echo(json.dumps(data, ensure_ascii=False, indent=1))
