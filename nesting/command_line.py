"""The commands: read, call, print, exit code.

In: words from a shell. Out: text on the terminal, files, and an exit code: 0 all is well, 1 mistakes to mend,
2 the command itself is wrong, 3 planned but the paper does not suffice, 4 a fault of this program.
"""

from __future__ import annotations

import functools
import signal
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from nesting.command_parts import (
    DRAWER,
    DRAWER_FILE,
    EFFORT,
    EXIT_SHORT,
    FOLDER,
    JSON,
    ORDER,
    console,
    folder_of,
    print_json,
    read_with_drawer,
)
from nesting.desk_commands import desk_command
from nesting.errors import Fault, NestingError
from nesting.packet_commands import packet_command
from nesting.question_commands import question_commands
from nesting.stash_commands import stash_group

if TYPE_CHECKING:
    from nesting.cost.values import CostSheet
    from nesting.plan import Plan

EXIT_MISTAKES = 1
EXIT_FAULT = 4

_Command = TypeVar("_Command", bound=Callable[..., Any])


def _plainly(command: _Command) -> _Command:
    """Turn mistakes and faults into words and exit codes, here and nowhere else."""

    @functools.wraps(command)
    def run(*args: object, **options: object) -> None:
        try:
            command(*args, **options)
        except NestingError as error:
            from nesting.reports.terminal import show_problems

            show_problems(console(errors=True), error.problems)
            sys.exit(EXIT_MISTAKES)
        except Fault as fault:
            click.echo(f"This program made a fault, and shows no plan rather than a wrong one.\n{fault}", err=True)
            sys.exit(EXIT_FAULT)

    return run  # type: ignore[return-value]


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="sheet-nesting", prog_name="nesting")
def main() -> None:
    """Plan sheets for layered cards: what to buy, how to cut it, what it costs.

    A project is a folder of text files. Start one with "nesting new FOLDER", look at it with "nesting check" and
    "nesting pieces", and plan it with "nesting plan".
    """


@main.command()
@click.argument("folder", type=click.Path(path_type=Path))
@JSON
@_plainly
def new(folder: Path, as_json: bool) -> None:
    """Lay down a small commented starter project that plans at once."""
    from nesting.describe.starter import write_starter

    written = write_starter(folder)
    if as_json:
        print_json({"folder": str(folder), "files": [path.name for path in written]})
        return
    for path in written:
        click.echo(f"wrote {path}")
    click.echo(f"Next: nesting plan {folder}")


@main.command()
@FOLDER
@click.option("--fit", is_flag=True, help="Also say which envelopes and posts take the shut cards.")
@click.option("--json", "as_json", is_flag=True, help="Print what was found, or the mistakes, as JSON.")
@_plainly
def check(project: Path, fit: bool, as_json: bool) -> None:
    """Read a project and say every mistake in it, all files in one go."""
    from nesting.describe.project_file import read_project
    from nesting.pieces.piece_list import grain_notes, piece_list
    from nesting.reports.phrases import plural

    if as_json:
        _check_as_json(project, fit)
        return
    found = read_project(project)
    pieces = piece_list(found)
    cards = sum(line.count for line in found.batch)
    count = sum(piece.count for piece in pieces.pieces)
    click.echo(f"No mistakes: {plural(cards, 'card')}, {plural(count, 'piece')}, {plural(len(found.papers), 'paper')}.")
    for design, note in grain_notes(pieces):
        console().print(f"{design}: {note}", markup=False)
    if fit:
        from nesting.fit import fits_of, sentences
        from nesting.reports.terminal import show_paragraphs

        show_paragraphs(console(), [sentences(one, found.unit) for one in fits_of(found)])


def _check_as_json(project: Path, fit: bool) -> None:
    from nesting.describe.project_file import read_project
    from nesting.pieces.piece_list import piece_list
    from nesting.reports.drawer_data import check_data, mistakes_data

    try:
        found = read_project(project)
        data, code = check_data(found, piece_list(found), fit=fit), 0
    except NestingError as error:
        data, code = mistakes_data(error.problems), EXIT_MISTAKES
    print_json(data)
    sys.exit(code)


@main.command()
@FOLDER
@click.option("--json", "as_json", is_flag=True, help="Print the piece list as JSON.")
@click.option("--csv", "as_csv", is_flag=True, help="Print the piece list as CSV.")
@_plainly
def pieces(project: Path, as_json: bool, as_csv: bool) -> None:
    """List what must be cut, and where each size comes from."""
    from nesting.describe.project_file import read_project
    from nesting.pieces.piece_list import piece_list

    found = read_project(project)
    listed = piece_list(found)
    if as_json:
        from nesting.reports.plan_data import pieces_data

        print_json(pieces_data(listed, found.unit))
    elif as_csv:
        from nesting.reports.plan_csv import pieces_csv

        click.echo(pieces_csv(listed, found.unit), nl=False)
    else:
        from nesting.reports.terminal import show_pieces

        show_pieces(console(), listed, found.unit)


@main.command()
@FOLDER
@EFFORT
@ORDER
@DRAWER
@DRAWER_FILE
@click.option("--detail", is_flag=True, help="Also show the proofs, layouts, passes and offcuts.")
@click.option("--cost", is_flag=True, help="Also show what the cards cost, line by line.")
@click.option("--json", "as_json", is_flag=True, help="Print the whole plan as JSON and write no files.")
@click.option("--out", type=click.Path(path_type=Path), help="Folder for the plan's files [default: PROJECT/plan].")
@click.option("--maps/--no-maps", default=True, show_default=True, help="Draw a map of every layout (PNG and SVG).")
@_plainly
def plan(
    project: Path, effort: str, order: str, drawer: bool, file: Path | None, detail: bool, cost: bool, as_json: bool,
    out: Path | None, maps: bool,
) -> None:  # fmt: skip
    """Plan a project: how many sheets, how to cut them, what to buy."""
    made = _make_plan(project, effort, order, drawer, file)
    if as_json:
        from nesting.reports.cost_data import cost_data
        from nesting.reports.plan_data import plan_data

        print_json({**plan_data(made), "cost": cost_data(_costs_of(made))} if cost else plan_data(made))
    else:
        from nesting.questions.stand_ins import proposals
        from nesting.reports.packet_folder import is_of_another_plan
        from nesting.reports.plan_folder import write_plan
        from nesting.reports.plan_terminal import show_detail, show_plan
        from nesting.reports.shopping import proposal_words
        from nesting.reports.terminal import working

        home = folder_of(project)
        folder = out or home / "plan"
        with working("drawing the maps") as say:
            written = write_plan(made, folder, maps=maps, progress=say)
        show_plan(console(), made)
        for proposal in proposals(made):
            console().print(proposal_words(proposal, made.project.currency), markup=False)
        if detail:
            show_detail(console(), made)
        if cost:
            from nesting.reports.cost_terminal import show_costs

            show_costs(console(), _costs_of(made))
        click.echo(f"{len(written)} files in {folder}" + ("" if detail else "; --detail shows the cuts here."))
        if out is None and is_of_another_plan(made, home / "packet"):
            click.echo(f"The packet in {home / 'packet'} is of another plan; renew it with: nesting packet {project}")
    if not made.complete:
        sys.exit(EXIT_SHORT)


def _costs_of(made: Plan) -> CostSheet:
    """What the cards of a plan cost, and what one card more of each design would."""
    from nesting.cost.sheet import cost_sheet
    from nesting.questions.one_more import with_one_more

    return cost_sheet(with_one_more(made), made.project.costs)


def _make_plan(project: Path, effort: str, order: str, drawer: bool, file: Path | None) -> Plan:
    """Plan with a line of progress; Ctrl-C asks for the best plan so far, a second one leaves at once."""
    from nesting.cutting.passes import Order
    from nesting.hands import processes
    from nesting.packing.solve import Effort
    from nesting.plan import make_plan
    from nesting.reports.terminal import working

    found = read_with_drawer(project, drawer, file)
    asked: list[int] = []

    def stop_asked(number: int, frame: object) -> None:
        asked.append(number)
        signal.signal(signal.SIGINT, signal.default_int_handler)

    orders = {"setting": Order.BY_SETTING, "stack": Order.STACK_BY_STACK, "sheet": Order.SHEET_BY_SHEET}
    before = signal.signal(signal.SIGINT, stop_asked)
    try:
        with working("planning") as say, processes() as hands:
            return make_plan(
                found, effort=Effort(effort), order=orders[order], progress=say, stop=lambda: bool(asked), hands=hands
            )
    finally:
        signal.signal(signal.SIGINT, before)


@main.command()
@click.argument("topic", required=False)
@JSON
@_plainly
def explain(topic: str | None, as_json: bool) -> None:
    """Explain the files of a project, with examples; without a topic, list the topics."""
    from nesting.describe.explain import explain as text_of
    from nesting.describe.explain import topics

    if topic is not None and topic not in topics():
        raise click.UsageError(f"“{topic}” is not a topic; choose one of {', '.join(topics())}.")
    if as_json:
        print_json({"topics": topics()} if topic is None else {"topic": topic, "text": text_of(topic)})
    elif topic is None:
        click.echo(f"Topics: {', '.join(topics())}.\nFor one of them: nesting explain papers")
    else:
        click.echo(text_of(topic).rstrip())


main.add_command(packet_command(_plainly, _make_plan))
main.add_command(stash_group(_plainly))
main.add_command(desk_command(_plainly))
for _command in question_commands(_plainly):
    main.add_command(_command)
