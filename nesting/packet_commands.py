"""The command that makes the packet: all that is looked at beside the trimmer.

In: words from a shell. Out: the packet's files, and a line that says where they are. The fact of the trade: what is
printed, tapped and cut by a machine must be of one and the same plan, so it is made in one go.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from copy import copy
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from nesting.command_parts import DRAWER, DRAWER_FILE, EFFORT, EXIT_SHORT, FOLDER, ORDER, folder_of, print_json

if TYPE_CHECKING:
    from nesting.plan import Plan

MakePlan = Callable[[Path, str, str, bool, Path | None], "Plan"]


def packet_command(plainly: Callable[[Any], Any], make_plan: MakePlan) -> click.Command:
    """The command, wrapped so that mistakes become words; make_plan reads and plans a project with its progress."""
    command = copy(packet)
    made: Callable[..., Any] = packet.callback  # type: ignore[assignment]
    command.callback = plainly(lambda **said: made(make_plan=make_plan, **said))
    return command


@click.command()
@FOLDER
@EFFORT
@ORDER
@DRAWER
@DRAWER_FILE
@click.option("--page", type=click.Choice(["letter", "A4"], case_sensitive=False), default="letter", show_default=True,
              help="Paper size.")  # fmt: skip
@click.option("--out", type=click.Path(path_type=Path), help="Folder for the packet [default: PROJECT/packet].")
@click.option("--pictures/--no-pictures", default=True, show_default=True, help="Also each map as PNG and SVG.")
@click.option("--json", "as_json", is_flag=True, help="Print the names of the files as JSON.")
def packet(
    project: Path, effort: str, order: str, drawer: bool, file: Path | None, page: str, out: Path | None,
    pictures: bool, as_json: bool, make_plan: MakePlan,
) -> None:  # fmt: skip
    """Make the packet: a PDF to print, a page for the tablet, maps, and bases at full size.

    The page (packet.html) needs no network; it keeps the ticks in the browser that shows it.
    """
    from nesting.questions.one_more import with_one_more
    from nesting.reports.packet_folder import write_packet
    from nesting.reports.plan_folder import is_of_another_plan
    from nesting.reports.terminal import working

    plan = with_one_more(make_plan(project, effort, order, drawer, file))
    home = folder_of(project)
    folder = out or home / "packet"
    with working("drawing the packet") as say:
        written = write_packet(plan, folder, "A4" if page == "A4" else "letter", pictures=pictures, progress=say)
    if as_json:
        names = [str(path.relative_to(folder)) for path in written]
        print_json({"folder": str(folder), "files": names})
    else:
        click.echo(f"{len(written)} files in {folder}: print packet.pdf, open packet.html on the tablet.")
        if out is None and is_of_another_plan(plan, home / "plan"):
            click.echo(f"The plan in {home / 'plan'} is another one; renew it with: nesting plan {project}")
    if not plan.complete:
        sys.exit(EXIT_SHORT)
