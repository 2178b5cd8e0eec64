"""The commands that ask the other way round: how many cards, which batch size, what was cut, what now.

In: words from a shell. Out: tables, files and an exit code. The fact of the trade: these are asked at the table, with
the blade in the other hand, so every answer begins with one plain sentence.
"""

from __future__ import annotations

import signal
import sys
from collections.abc import Callable
from copy import copy
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
    console,
    folder_of,
    print_json,
    read_with_drawer,
)

if TYPE_CHECKING:
    from nesting.describe.project import Project
    from nesting.plan import Plan

_T = TypeVar("_T")
_MIX = click.option("--cards", "mix", default="", help="One design, or a mix like “robin=2, wren=1” [default: the "
                    "project's own batch].")  # fmt: skip
_PLAN = click.option("--plan", "folder", type=click.Path(path_type=Path),
                     help="Folder of the plan that was cut [default: PROJECT/plan].")  # fmt: skip


def question_commands(plainly: Callable[[Any], Any]) -> list[click.Command]:
    """The commands, each wrapped so that mistakes become words and an exit code."""
    found = []
    for command in (how_many, batch, compare, done, recut):
        wrapped = copy(command)
        wrapped.callback = plainly(command.callback)
        found.append(wrapped)
    return found


@click.command("yield")
@FOLDER
@_MIX
@click.option("--money", help="A sum to spend on new sheets, like 12.50 [default: none].")
@DRAWER
@DRAWER_FILE
@click.option("--out", type=click.Path(path_type=Path), help="Also write the plan for these cards to a folder.")
@JSON
def how_many(
    project: Path, mix: str, money: str | None, drawer: bool, file: Path | None, out: Path | None, as_json: bool
) -> None:
    """Say how many complete cards can be made from what is at hand, or with a sum of money."""
    from nesting.questions.how_many import how_many as ask
    from nesting.questions.mixes import read_mix
    from nesting.reports.question_tables import how_many_data, show_how_many

    found = read_with_drawer(project, drawer, file)
    cents, wanted = _both(lambda: _sum(money, found), lambda: read_mix(found, mix))
    answer = _with_status(lambda say: ask(found, wanted, cents, progress=say))
    written: tuple[Path, ...] = ()
    if out is not None and answer.plan is not None:
        written = _write(answer.plan, out)
    if as_json:
        print_json(how_many_data(answer))
        return
    show_how_many(console(), answer)
    if out is not None:
        click.echo(f"{len(written)} files in {out}." if written else "No plan was written.")


@click.command("batch")
@FOLDER
@_MIX
@click.option("--up-to", type=click.IntRange(1, 2000), default=60, show_default=True, help="The largest batch.")
@click.option("--step", type=click.IntRange(1, 1000), default=1, show_default=True, help="Every so many cards.")
@DRAWER
@DRAWER_FILE
@click.option("--picture", type=click.Path(path_type=Path), help="Also draw what is left over (.png, .svg or .pdf).")
@JSON
@click.option("--csv", "as_csv", is_flag=True, help="Print the answer as CSV.")
def batch(
    project: Path, mix: str, up_to: int, step: int, drawer: bool, file: Path | None,
    picture: Path | None, as_json: bool, as_csv: bool,
) -> None:  # fmt: skip
    """Say for every batch size what it takes, what it costs and what it leaves over."""
    from nesting.questions.batch_curve import batch_curve
    from nesting.questions.mixes import read_mix
    from nesting.reports.question_tables import curve_csv, curve_data, show_curve

    found = read_with_drawer(project, drawer, file)
    sizes = range(step, up_to + 1, step) or [up_to]
    curve = _with_status(lambda say: batch_curve(found, read_mix(found, mix), sizes, progress=say))
    if picture is not None:
        _draw(curve, picture)
    if as_json:
        print_json(curve_data(curve))
    elif as_csv:
        click.echo(curve_csv(curve), nl=False)
    else:
        show_curve(console(), curve)
        if picture is not None:
            click.echo(f"wrote {picture}")


@click.command("compare")
@FOLDER
@click.option("--paper", "papers", multiple=True, metavar="“PAPER = OTHER”",
              help="All of a paper from another one; “pine = kraft or moss” compares these two.")  # fmt: skip
@click.option("--sheet", "sheets", multiple=True, metavar="“PAPER = SIZE”",
              help="New sheets of a paper in one size only; “pine = 12 x 12 or A4 at 0.55” compares two.")  # fmt: skip
@click.option("--design", "designs", multiple=True, metavar="“DESIGN = OTHER”",
              help="As many cards of another design of the project.")  # fmt: skip
@click.option("--with", "other", type=click.Path(path_type=Path), help="Another project, as it stands.")
@EFFORT
@DRAWER
@DRAWER_FILE
@JSON
def compare(
    project: Path, papers: tuple[str, ...], sheets: tuple[str, ...], designs: tuple[str, ...], other: Path | None,
    effort: str, drawer: bool, file: Path | None, as_json: bool,
) -> None:  # fmt: skip
    """Show two papers, two sheet sizes or two designs side by side: sheets, waste, cost, minutes.

    With one choice after “=” the project as it stands is on the left; with two, the first of them.
    """
    from nesting.errors import NestingError, Place, Problem
    from nesting.packing.solve import Effort
    from nesting.plan import make_plan
    from nesting.questions.compare import figures
    from nesting.questions.variants import Variant, variants
    from nesting.reports.side_by_side import show_side_by_side, side_by_side_data

    found = read_with_drawer(project, drawer, file)
    if other is None:
        left, right = variants(found, papers=papers, sheets=sheets, designs=designs)
    else:
        if papers or sheets or designs:
            what = "Another project is compared as it stands, not together with another paper, sheet or design."
            raise NestingError([Problem(Place(subject="--with"), what, "Ask for one of the two.")])
        there = read_with_drawer(other, drawer, file)
        left, right = Variant(found.title, found), Variant(there.title, there)
    one, two = (
        _with_status(lambda say, side=side: figures(  # type: ignore[misc]
            make_plan(side.project, effort=Effort(effort), progress=say), side.words))
        for side in (left, right)
    )  # fmt: skip
    if as_json:
        print_json(side_by_side_data(one, two))
    else:
        show_side_by_side(console(), one, two)


@click.command("done")
@FOLDER
@_PLAN
@DRAWER_FILE
@click.option("--again", is_flag=True, help="The same plan was cut a second time.")
@JSON
def done(project: Path, folder: Path | None, file: Path | None, again: bool, as_json: bool) -> None:
    """Record that a plan was cut: take out of the drawer what it used, put its offcuts in.

    Once only. "nesting stash undo" takes it back.
    """
    from nesting.lengths import write_size
    from nesting.stash.drawer import Stash
    from nesting.stash.place import stash_path
    from nesting.stash.planning import mark_of, record_plan, used_items

    made = _read_plan(project, folder)
    with Stash(stash_path(file), new=True) as stash:
        taken = 0 if not again and stash.is_recorded(mark_of(made)) else sum(c.count for c in used_items(made, stash))
        numbers = record_plan(stash, made, again=again)
        put_in = [item for item in stash.items(gone=True) if item.number in numbers]
    if as_json:
        from nesting.reports.drawer_data import items_data

        print_json({"taken_out": taken, "put_in": items_data(put_in)})
        return
    click.echo(f"Recorded: {_sheets(taken)} taken out of the drawer.")
    for item in put_in:
        sheet = item.details.sheet
        size = write_size(sheet.width, sheet.height, item.details.unit, with_unit=True)
        click.echo(f"Put in: no. {item.number}, {item.details.paper} {size}, now {item.count}.")
    click.echo("Write their numbers on them. “nesting stash undo” takes it all back.")


@click.command("recut")
@FOLDER
@_PLAN
@click.option("--spoiled", multiple=True, metavar="“A of PAPER = 2”",
              help="So many pieces of a letter are spoiled; give it as often as needed.")  # fmt: skip
@click.option("--cut-to", multiple=True, metavar="“PAPER = 3”",
              help="The last stop setting done on a paper, 0 for none; papers not named are cut.")  # fmt: skip
@click.option("--spares", is_flag=True, help="Cut the planned spares again too.")
@DRAWER
@DRAWER_FILE
@click.option("--out", type=click.Path(path_type=Path), help="Folder for the new plan [default: PROJECT/recut].")
@JSON
def recut(
    project: Path, folder: Path | None, spoiled: tuple[str, ...], cut_to: tuple[str, ...], spares: bool,
    drawer: bool, file: Path | None, out: Path | None, as_json: bool,
) -> None:  # fmt: skip
    """Plan the rest when something is spoiled, from what lies on the table, with the fewest new sheets."""
    from dataclasses import replace

    from nesting.questions.recut import recut as ask
    from nesting.questions.recut import rest_of
    from nesting.reports.plan_data import plan_data
    from nesting.reports.question_tables import show_recut
    from nesting.reports.question_words import read_cut_to, read_spoiled
    from nesting.stash.planning import mark_of

    made = _read_plan(project, folder, drawer, file)
    lost, stops = _both(lambda: read_spoiled(made, spoiled), lambda: read_cut_to(made, cut_to))
    rest = _with_status(lambda say: ask(made, stops, lost, spares=spares))
    if as_json:
        print_json(plan_data(rest.plan) if rest.plan else None)
    else:
        show_recut(console(), rest)
        if rest.plan is not None:
            where = out or folder_of(project) / "recut"
            plan = replace(rest.plan, rest_of=rest_of(made, rest, mark_of(made)))
            written = _write(plan, where)
            click.echo(f"{len(written)} files in {where}; when it is cut:\nnesting done {project} --plan {where}")
    if rest.plan is not None and not rest.plan.complete:
        sys.exit(EXIT_SHORT)


# ------------------------------------------------------------------------------------------ parts of commands


def _read_plan(project: Path, folder: Path | None, drawer: bool = False, file: Path | None = None) -> Plan:
    from nesting.reports.plan_read import read_plan
    from nesting.reports.terminal import working

    with working("reading the plan, and checking it again"):
        return read_plan(folder or folder_of(project) / "plan", read_with_drawer(project, drawer, file))


def _write(plan: Plan, folder: Path) -> tuple[Path, ...]:
    from nesting.reports.plan_folder import write_plan
    from nesting.reports.terminal import working

    with working("drawing the maps") as say:
        return write_plan(plan, folder, progress=say)


def _sum(words: str | None, project: Project) -> int:
    from nesting.errors import NestingError, Place, Problem

    try:
        return 0 if words is None else project.currency.read(words)
    except ValueError as wrong:
        raise NestingError([Problem(Place(subject="--money"), f"{wrong}", "Leave it out to buy nothing.")]) from None


def _both(one: Callable[[], _T], other: Callable[[], Any]) -> tuple[_T, Any]:
    """What both give, or the mistakes of both."""
    from nesting.errors import NestingError, Problem

    found: list[Any] = []
    problems: list[Problem] = []
    for reader in (one, other):
        try:
            found.append(reader())
        except NestingError as error:
            problems += error.problems
    if problems:
        raise NestingError(problems)
    return found[0], found[1]


def _draw(curve: Any, path: Path) -> None:
    from nesting.errors import NestingError, Place, Problem
    from nesting.reports.pages import save
    from nesting.reports.question_tables import wastes
    from nesting.reports.waste_picture import waste_picture

    if path.suffix.lower() not in (".png", ".svg", ".pdf"):
        todo = "Let its name end in .png, .svg or .pdf."
        raise NestingError([Problem(Place(str(path)), "It is not clear what kind of picture this is to be.", todo)])
    try:
        save(waste_picture(wastes(curve), curve.this, curve.title), path)
    except OSError as wrong:
        what = f"This file cannot be written ({wrong.strerror or 'the system gave no reason'})."
        raise NestingError([Problem(Place(str(path)), what, "Name another file.")]) from None


def _with_status(ask: Callable[[Callable[[str], None]], _T]) -> _T:
    """Ask with a line of progress; Ctrl-C leaves at once."""
    from nesting.reports.terminal import working

    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    try:
        with working("planning") as say:
            return ask(say)
    finally:
        signal.signal(signal.SIGINT, before)


def _sheets(count: int) -> str:
    from nesting.reports.phrases import plural

    return plural(count, "sheet")
