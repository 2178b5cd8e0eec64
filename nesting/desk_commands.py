"""The command that opens the desk: a page on this machine for those who do not use a terminal.

In: words from a shell. Out: a page that answers until Ctrl-C.
"""

from __future__ import annotations

from collections.abc import Callable
from copy import copy
from pathlib import Path
from typing import Any

import click

from nesting.command_parts import DRAWER_FILE, FOLDER, JSON, print_json


def desk_command(plainly: Callable[[Any], Any]) -> click.Command:
    """The command, wrapped so that mistakes become words and an exit code."""
    wrapped = copy(desk)
    wrapped.callback = plainly(desk.callback)
    return wrapped


@click.command("desk")
@FOLDER
@click.option("--port", type=click.IntRange(0, 65535), default=0, help="The port to answer on [default: a free one].")
@click.option("--browser/--no-browser", default=True, show_default=True, help="Open the page in the browser.")
@DRAWER_FILE
@JSON
def desk(project: Path, port: int, browser: bool, file: Path | None, as_json: bool) -> None:
    """Open the project as a page in the browser: cards, paper, cuts and cost, without the terminal.

    With --json, where it answers is told to other programs; the address that lets someone in stays a sentence apart.
    """
    from nesting.desk.serve import Serving, serve
    from nesting.errors import NestingError, Place, Problem
    from nesting.stash.place import stash_path

    if project.exists() and not project.is_dir():
        raise NestingError(
            [Problem(Place(str(project)), "This is a file, not a folder.", "Give the project's folder.")]
        )
    serving = Serving(project, stash_path(file), port)
    if as_json:
        where = {"address": f"http://{serving.host}:{serving.guard.port}/"}
        print_json({"project": str(project), "drawer": str(serving.desk.drawer), **where})
    serve(serving, browser=browser, say=lambda words: click.echo(words, err=as_json))
