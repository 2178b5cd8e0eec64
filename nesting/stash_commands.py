"""The commands of the drawer: look, put in, take out, correct, undo, lists in and out.

In: words from a shell. Out: tables and sentences on the terminal. The fact of the trade: an offcut that is not
written down is bought again, so putting one in must take one short line.
"""

from __future__ import annotations

from collections.abc import Callable
from copy import copy
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from nesting.command_parts import JSON, console, print_json

if TYPE_CHECKING:
    from nesting.describe.papers import Rim
    from nesting.lengths import Length
    from nesting.stash.drawer import Stash
    from nesting.stash.items import Details, Item

_Made = TypeVar("_Made")


class _Sheets(click.ParamType):  # type: ignore[type-arg]
    """A number of sheets; a size that was typed without quotes arrives here, word by word."""

    name = "integer"

    def convert(self, value: Any, param: click.Parameter | None, context: click.Context | None) -> int:
        from nesting.quoting import quoted

        try:
            return int(value)
        except ValueError:
            said = f"{quoted(value)} is not a whole number; a size of several words stands in quotes, like \"5 x 7\"."
            self.fail(said, param, context)


_UNITS = click.Choice(["in", "mm", "cm"])
_NUMBER = click.argument("number", type=int)
_COUNT = click.argument("count", type=_Sheets(), default=1, required=False)
_NOTE = click.option("--note", default="", help="Words for the history.")


def stash_group(plainly: Callable[[Any], Any]) -> click.Group:
    """The group of commands, each wrapped so that mistakes become words and an exit code."""
    group = copy(stash)
    group.commands = {name: copy(command) for name, command in stash.commands.items()}
    for command in group.commands.values():
        command.callback = plainly(command.callback)
    return group


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.option("--file", "file", type=click.Path(path_type=Path), help="The drawer's file [default: your own, or "
              "the one named by the environment variable NESTING_STASH].")  # fmt: skip
@click.option("--unit", type=_UNITS, default="in", show_default=True, help="Unit of numbers without one.")
@click.pass_context
def stash(context: click.Context, file: Path | None, unit: str) -> None:
    """Keep the drawer: sheets and offcuts at hand, by paper and size.

    Every lot has a number; write it on the paper. Nothing is ever overwritten: "nesting stash history" shows every
    change, and "nesting stash undo" takes one back.
    """
    context.obj = (file, unit)


def _open(context: click.Context, *, new: bool = False) -> Stash:
    from nesting.stash.drawer import Stash
    from nesting.stash.place import stash_path

    return Stash(stash_path(context.obj[0]), new=new)


def _sentences(*readers: Callable[[], Any]) -> list[Any]:
    """What all readers give, or all their mistakes at once."""
    from nesting.describe.findings import Findings
    from nesting.errors import NestingError, Place

    findings, found = Findings(), []
    for reader in readers:
        try:
            found.append(reader())
        except ValueError as wrong:
            findings.refuse(Place(), str(wrong))
        except NestingError as error:
            findings.problems += error.problems
    if findings.problems:
        raise NestingError(findings.problems)
    return found


def _size(context: click.Context, words: str) -> tuple[Length, Length]:
    from nesting.describe.sizes import read_sheet
    from nesting.lengths import Unit

    return read_sheet(words, Unit(context.obj[1]))


def _rim(context: click.Context, words: str) -> Rim:
    """One length all round, or four: left, top, right, bottom."""
    from nesting.describe.papers import Rim
    from nesting.lengths import Unit, read_length
    from nesting.quoting import quoted

    sides = [read_length(word, Unit(context.obj[1])) for word in words.split(",")]
    if len(sides) not in (1, 4):
        raise ValueError(f"{quoted(words)} is not a rim; write one length, or four as left, top, right, bottom.")
    return Rim(*(sides * 4 if len(sides) == 1 else sides))


def _words(paper: bool, what: str, words: str) -> str:
    """A paper's name or free words, checked as everywhere."""
    from nesting.describe.findings import Findings
    from nesting.describe.names import Names
    from nesting.errors import NestingError, Place
    from nesting.stash.list_file import free_words

    findings = Findings()
    found = Names().give(words, Place(subject=what), findings) if paper else None
    if not paper:
        found = free_words(words, Place(subject=what), findings)
    if findings.problems:
        raise NestingError(findings.problems)
    return found or ""


def _described(context: click.Context, known: Details | None, said: dict[str, str | None]) -> Details:
    """Details as said by the options, over those that are known already."""
    from nesting.describe.papers import Grain, PrintDirection, Sheet
    from nesting.errors import NestingError, Place, Problem
    from nesting.lengths import Unit
    from nesting.stash.items import Details

    def told(key: str, reader: Callable[[str], _Made], otherwise: _Made) -> _Made:
        word = said.get(key)
        return otherwise if word is None else reader(word)

    start = known or Details("", Sheet(*_size(context, "1 x 1")), Unit(context.obj[1]))
    unit = Unit(context.obj[1]) if said.get("size") else start.unit
    paper, sides, rim, kept, label = _sentences(
        lambda: told("paper", lambda word: _words(True, "paper", word), start.paper),
        lambda: told("size", lambda word: _size(context, word), (start.sheet.width, start.sheet.height)),
        lambda: told("rim", lambda word: _rim(context, word), start.sheet.rim),
        lambda: told("kept", lambda word: _words(False, "kept", word), start.kept),
        lambda: told("label", lambda word: _words(False, "label", word), start.label),
    )
    width, height = sides
    sheet = Sheet(width, height, rim)
    if rim.left + rim.right >= sheet.width or rim.top + rim.bottom >= sheet.height:
        raise NestingError([Problem(Place(), "The rim leaves nothing of this sheet.", "Check it, and its unit.")])
    return replace(
        start,
        paper=paper,
        sheet=sheet,
        unit=unit,
        kept=kept,
        label=label,
        direction=told("print", lambda w: None if w == "unknown" else PrintDirection(w), start.direction),
        grain=told("grain", Grain, start.grain),
    )


def _details_options(command: Callable[..., None]) -> Callable[..., None]:
    for option in (
        click.option("--label", help="Your own words on it."),
        click.option("--kept", help="Where it lies."),
        click.option("--rim", help="Unusable edge: one length, or four as left,top,right,bottom."),
        click.option("--grain", type=click.Choice(["across", "up", "unknown"]), help="Which way the fibres run."),
        click.option("--print", "print", type=click.Choice(["none", "two-way", "one-way", "unknown"]),
                     help="Print direction, the sheet lying as its size is written."),
    ):  # fmt: skip
        command = option(command)
    return command


@stash.command()
@click.argument("paper")
@click.argument("size")
@_COUNT
@_details_options
@_NOTE
@JSON
@click.pass_context
def add(context: click.Context, /, count: int, note: str, as_json: bool, **said: str | None) -> None:
    """Put sheets or offcuts in: nesting stash add pine "5 x 7" 3."""
    from nesting.stash.drawer import Lot

    details = _described(context, None, said)
    with _open(context, new=True) as drawer:
        (number,) = drawer.add([Lot(details, count)], note)
        _tell(drawer.item(number), "now in the drawer; write its number on it", as_json)


@stash.command()
@_NUMBER
@click.option("--paper", help="Its paper.")
@click.option("--size", help="Its size.")
@_details_options
@click.option("--count", type=click.IntRange(0, 1_000_000), help="How many there are, counted anew.")
@_NOTE
@JSON
@click.pass_context
def correct(
    context: click.Context, /, number: int, count: int | None, note: str, as_json: bool, **said: str | None
) -> None:
    """Say anew what a lot is, or how many there are."""
    with _open(context) as drawer:
        before = drawer.item(number)
        after = drawer.correct(number, _described(context, before.details, said), count, note)
        _tell(after, "as it was; say what is to be corrected" if after == before else "corrected", as_json)


@stash.command("take-out")
@_NUMBER
@_COUNT
@_NOTE
@JSON
@click.pass_context
def take_out(context: click.Context, number: int, count: int, note: str, as_json: bool) -> None:
    """Take sheets out: nesting stash take-out 17 2."""
    with _open(context) as drawer:
        _tell(drawer.take_out(number, count, note), "left", as_json)


@stash.command("put-back")
@_NUMBER
@_COUNT
@_NOTE
@JSON
@click.pass_context
def put_back(context: click.Context, number: int, count: int, note: str, as_json: bool) -> None:
    """Put sheets back: nesting stash put-back 17."""
    with _open(context) as drawer:
        _tell(drawer.put_back(number, count, note), "in the drawer", as_json)


@stash.command("list")
@click.option("--all", "gone", is_flag=True, help="Also what is used up.")
@JSON
@click.pass_context
def list_all(context: click.Context, gone: bool, as_json: bool) -> None:
    """Show all that is in the drawer."""
    with _open(context) as drawer:
        _show(drawer.items(gone=gone), as_json)


@stash.command()
@click.argument("paper", default="", required=False)
@click.option("--fits", help="Only what a piece of this size can be cut from, smallest first.")
@JSON
@click.pass_context
def search(context: click.Context, paper: str, fits: str | None, as_json: bool) -> None:
    """Find by words of the paper's name, and by size: nesting stash search pine --fits "4 x 5"."""
    from nesting.describe.findings import same_word

    (sides,) = _sentences(lambda: None if fits is None else _size(context, fits))
    with _open(context) as drawer:
        found = [item for item in drawer.items() if same_word(paper) in same_word(item.details.paper)]
    if sides is not None:
        found = [item for item in found if item.details.fits(*sides)]
        found.sort(key=lambda item: item.details.sheet.width.ticks * item.details.sheet.height.ticks)
    _show(found, as_json)


@stash.command("import")
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option("--again", is_flag=True, help="Read the same list in a second time.")
@JSON
@click.pass_context
def read_in(context: click.Context, file: Path, again: bool, as_json: bool) -> None:
    """Put in a whole list (CSV: paper, width, height, count, print, grain, rim left ..., kept, added, label)."""
    from nesting.lengths import Unit
    from nesting.reports.phrases import plural
    from nesting.stash.list_file import read_list

    lots, mark = read_list(file, Unit(context.obj[1]))
    with _open(context, new=True) as drawer:
        numbers = drawer.read_in(lots, mark, file.name, again=again)
    sheets, items = sum(lot.count for lot in lots), sorted(set(numbers))
    if as_json:
        print_json({"file": str(file), "sheets": sheets, "items": items})
    else:
        click.echo(f"{plural(sheets, 'sheet')} put in, as {plural(len(items), 'item')}.")


@stash.command("export")
@click.argument("file", type=click.Path(path_type=Path), required=False)
@JSON
@click.pass_context
def write_out(context: click.Context, file: Path | None, as_json: bool) -> None:
    """Write the drawer as a list (CSV) to FILE, or to the terminal; there as JSON where that is asked for."""
    from nesting.errors import NestingError, Place, Problem
    from nesting.files import write_whole
    from nesting.stash.list_file import write_list

    with _open(context) as drawer:
        items = drawer.items()
    if file is None and as_json:
        _show(items, as_json)
        return
    text = write_list(items)
    if file is None:
        click.echo(text, nl=False)
        return
    try:
        write_whole(file, text)
    except OSError as wrong:
        what = f"This file cannot be written ({wrong.strerror or 'the system gave no reason'})."
        raise NestingError([Problem(Place(str(file)), what, "Name another file.")]) from None
    if as_json:
        print_json({"file": str(file), "items": len(items)})
    else:
        click.echo(f"wrote {file}")


@stash.command()
@JSON
@click.pass_context
def history(context: click.Context, as_json: bool) -> None:
    """Show every change that was made, in order."""
    from nesting.reports.drawer_data import history_data
    from nesting.reports.terminal import new_table

    with _open(context) as drawer:
        entries = drawer.history()
    if as_json:
        print_json(history_data(entries))
        return
    table = new_table()
    for head in ("entry", "day", "what", "items", "note"):
        table.add_column(head)
    for entry in entries:
        items = ", ".join(f"{change.count:+d} of {change.item}" for change in entry.changes)
        act = f"{entry.act.value} {entry.undoes}" if entry.undoes else entry.act.value
        undone = f" (undone by {entry.undone_by})" if entry.undone_by else ""
        redone = items or ", ".join(str(number) for number in entry.corrected)
        table.add_row(str(entry.number), entry.at[:10], act + undone, redone, _escaped(entry.note))
    console().print(table)


@stash.command()
@click.argument("entry", type=int, required=False)
@JSON
@click.pass_context
def undo(context: click.Context, entry: int | None, as_json: bool) -> None:
    """Take back an entry of the history; without a number, the latest."""
    from nesting.reports.drawer_data import history_data

    with _open(context) as drawer:
        undone = drawer.undo(entry)
    if as_json:
        print_json(history_data([undone])[0])
    else:
        click.echo(f"Entry {undone.number} ({undone.act.value}, {undone.at[:10]}) is undone.")


def _tell(item: Item, what: str, as_json: bool) -> None:
    if as_json:
        from nesting.reports.drawer_data import items_data

        print_json(items_data([item])[0])
    else:
        click.echo(f"No. {item.number}, {item.details.paper} {_sides(item)}: {item.count} {what}.")


def _sides(item: Item) -> str:
    from nesting.lengths import write_size

    sheet = item.details.sheet
    return write_size(sheet.width, sheet.height, item.details.unit, with_unit=True)


def _show(items: list[Item] | tuple[Item, ...], as_json: bool) -> None:
    from nesting.describe.papers import Grain
    from nesting.reports.terminal import new_table

    if as_json:
        from nesting.reports.drawer_data import items_data

        print_json(items_data(items))
        return
    if not items:
        click.echo("Nothing found.")
        return
    own = [head for head in ("kept", "label") if any(getattr(item.details, head) for item in items)]
    table = new_table()
    for head in ("no.", "paper", "size", "count", "print", "grain", "added", *own):
        table.add_column(head, justify="right" if head in ("no.", "count") else "left")
    for item in items:
        known = item.details
        table.add_row(
            str(item.number), _escaped(known.paper), _sides(item), str(item.count),
            known.direction.value if known.direction else "?",
            "?" if known.grain is Grain.UNKNOWN else known.grain.value,
            item.added, *(_escaped(getattr(known, head)) for head in own),
        )  # fmt: skip
    console().print(table)


def _escaped(words: str) -> str:
    from rich.markup import escape

    return escape(words)
