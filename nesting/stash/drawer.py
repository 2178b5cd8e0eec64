"""The drawer: look, put in, take out, correct, and undo; every change is an entry added to the ledger.

In: details and counts. Out: items and entries, or all mistakes of a step, of which then nothing is written. The
fact of the trade: what was taken out for a batch that was never cut must be put back as if nothing had happened.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType
from typing import Any

from nesting.describe.papers import Grain, PrintDirection, Rim, Sheet
from nesting.errors import Fault, NestingError, Place, Problem
from nesting.lengths import Length, Unit
from nesting.stash.file import Connection, in_words, open_stash, read, write
from nesting.stash.items import MOST_SHEETS, Act, Change, Details, Entry, Item

_DETAIL = "paper, width, height, rim_left, rim_top, rim_right, rim_bottom, unit, direction, grain, kept, label"
LARGEST_NUMBER = 2**63  # the file can number nothing beyond it
_ITEMS = f"""
    SELECT number, count, added, {_DETAIL} FROM item JOIN detail ON detail.item = item.number
    AND detail.entry = (SELECT max(entry) FROM detail WHERE item = item.number)"""


def _today() -> datetime:
    return datetime.now(UTC)


@dataclass(frozen=True, slots=True)
class Lot:
    """So many sheets to put in; added: the day, as YYYY-MM-DD, "" for today."""

    details: Details
    count: int = 1
    added: str = ""


class Stash:
    """The drawer in a file; use it in a `with`. Every change is one step, whole or not at all."""

    def __init__(self, path: Path, *, new: bool = False, now: Callable[[], datetime] = _today) -> None:
        self.path = path
        self._now = now
        self._db: Connection = open_stash(path, new=new)

    def __enter__(self) -> Stash:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._db.close()

    # ------------------------------------------------------------------------------------------ look

    def items(self, *, gone: bool = False) -> tuple[Item, ...]:
        """What is there, by paper and size; `gone`: also those of which none is left."""
        with in_words(self.path):
            found = [_item(row) for row in self._db.execute(_ITEMS)]
        kept = [item for item in found if item.count or gone]
        return tuple(sorted(kept, key=lambda item: (item.details.paper, item.details.sheet.width,
                                                    item.details.sheet.height, item.number)))  # fmt: skip

    def item(self, number: int) -> Item:
        """The item of that number, even where none is left; NestingError if there never was one."""
        with in_words(self.path):
            return self._need(number)

    def history(self) -> tuple[Entry, ...]:
        """Every entry in the order in which they were made, whatever the clock said."""
        with in_words(self.path), read(self._db):
            rows = self._db.execute(
                "SELECT entry.number, entry.at, entry.act, entry.note, ifnull(entry.undoes, 0), ifnull(later.number, 0)"
                " FROM entry LEFT JOIN entry AS later ON later.undoes = entry.number ORDER BY entry.number"
            ).fetchall()
            changes: dict[int, list[Change]] = {}
            for entry, item, change in self._db.execute("SELECT entry, item, change FROM movement ORDER BY item"):
                changes.setdefault(entry, []).append(Change(item, change))
            corrected: dict[int, list[int]] = {}
            for entry, item in self._db.execute("SELECT entry, item FROM detail ORDER BY item"):
                corrected.setdefault(entry, []).append(item)
        return tuple(
            Entry(number, at, Act(act), note, undoes, undone_by,
                  tuple(changes.get(number, ())), tuple(corrected.get(number, ())))
            for number, at, act, note, undoes, undone_by in rows
        )  # fmt: skip

    def faults(self) -> tuple[str, ...]:
        """What does not balance: file damage, and items whose count is not the sum of their movements."""
        with in_words(self.path), read(self._db):
            damage = [str(row[0]) for row in self._db.execute("PRAGMA integrity_check") if row[0] != "ok"]
            damage += [f"loose row in {row[0]}" for row in self._db.execute("PRAGMA foreign_key_check")]
            damage += [
                f"item {number} counts {count}, its movements {total}"
                for number, count, total in self._db.execute(
                    "SELECT number, count, (SELECT ifnull(sum(change), 0) FROM movement WHERE item = item.number)"
                    " AS total FROM item WHERE count <> total OR count < 0"
                )
            ]
        return tuple(damage)

    # ------------------------------------------------------------------------------------------ change

    def add(self, lots: Iterable[Lot], note: str = "") -> tuple[int, ...]:
        """Put in; what is just like an item that is known joins it. Gives the items' numbers."""
        with in_words(self.path), write(self._db):
            return self._put_in(self._begin(Act.ADD, note), lots)

    def read_in(self, lots: Sequence[Lot], mark: str, note: str = "", *, again: bool = False) -> tuple[int, ...]:
        """Put in a whole list, once only unless `again`."""
        with in_words(self.path), write(self._db):
            self._refuse_twice(mark, again, "This list")
            return self._put_in(self._begin(Act.IMPORT, note, mark=mark), lots)

    def take_out(self, number: int, count: int = 1, note: str = "") -> Item:
        """Take sheets out; NestingError where there are fewer."""
        return self._move(Act.TAKE_OUT, number, -_positive(count), note)

    def put_back(self, number: int, count: int = 1, note: str = "") -> Item:
        """Put sheets back."""
        return self._move(Act.PUT_BACK, number, _positive(count), note)

    def correct(self, number: int, details: Details, count: int | None = None, note: str = "") -> Item:
        """Say anew what an item is, and how many there are if `count` is given; no entry where nothing changes."""
        with in_words(self.path), write(self._db):
            item = self._need(number)
            change = 0 if count is None else count - item.count
            if details != item.details or change:
                entry = self._begin(Act.CORRECT, note)
                if details != item.details:
                    self._describe(entry, number, details)
                self._count(entry, [Change(number, change)])
            return self._need(number)

    def record_cut(
        self, mark: str, used: Iterable[Change], offcuts: Iterable[Lot], note: str = "", *, again: bool = False
    ) -> tuple[int, ...]:
        """A plan was cut: take out what was used, put in its offcuts, in one step, once only unless `again`.

        mark: of the plan, or of several that are recorded in one, each on its own line. used: counts above 0 by item.
        Gives the numbers of the offcuts' items. Undone like any other entry.
        """
        with in_words(self.path), write(self._db):
            self._refuse_twice(mark, again, "This plan")
            entry = self._begin(Act.CUT, note, mark=mark)
            taken: dict[int, int] = {}
            for change in used:
                taken[change.item] = taken.get(change.item, 0) - _positive(change.count)
            self._check([Change(number, count) for number, count in taken.items()])
            return self._put_in(entry, offcuts, taken)

    def refuse_cut_twice(self, mark: str) -> None:
        """Raise NestingError where a plan of this mark was recorded already and not undone."""
        with in_words(self.path):
            self._refuse_twice(mark, False, "This plan")

    def is_recorded(self, mark: str) -> bool:
        """Whether a plan of this mark was recorded and not undone."""
        with in_words(self.path):
            return self._recorded(mark) is not None

    def undo(self, number: int | None = None) -> Entry:
        """Reverse an entry (else the latest not yet undone) by an entry of its own; gives the one undone."""
        with in_words(self.path), write(self._db):
            entry = self._to_undo(number)
            undo = self._begin(Act.UNDO, "", undoes=entry)
            self._describe_as_before(undo, entry)
            rows = self._db.execute("SELECT item, change FROM movement WHERE entry = ? ORDER BY item", (entry,))
            self._count(undo, [Change(item, -change) for item, change in rows.fetchall()])
        return next(found for found in self.history() if found.number == entry)

    # ------------------------------------------------------------------------------------------ one step's parts

    def _begin(self, act: Act, note: str, *, mark: str = "", undoes: int | None = None) -> int:
        at = self._now().astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
        values = (at, act.value, note, mark, undoes)
        done = self._db.execute("INSERT INTO entry (at, act, note, mark, undoes) VALUES (?, ?, ?, ?, ?)", values)
        return _row_number(done.lastrowid)

    def _put_in(self, entry: int, lots: Iterable[Lot], changes: dict[int, int] | None = None) -> tuple[int, ...]:
        """Put lots in beside other changes of the same entry; an item that is only passed through has no movement."""
        known = [_item(row) for row in self._db.execute(_ITEMS + " ORDER BY number")]
        totals = dict(changes or {})
        numbers = []
        for lot in lots:
            same = next((item for item in known if item.details.like(lot.details)), None)
            if same is None:
                added = lot.added or self._now().astimezone().date().isoformat()
                done = self._db.execute("INSERT INTO item (added) VALUES (?)", (added,))
                same = Item(_row_number(done.lastrowid), lot.details, 0, added)
                self._describe(entry, same.number, lot.details)
                known.append(same)
            totals[same.number] = totals.get(same.number, 0) + _positive(lot.count)
            numbers.append(same.number)
        self._count(entry, [Change(number, count) for number, count in sorted(totals.items())])
        return tuple(numbers)

    def _move(self, act: Act, number: int, change: int, note: str) -> Item:
        with in_words(self.path), write(self._db):
            self._need(number)
            self._count(self._begin(act, note), [Change(number, change)])
            return self._need(number)

    def _count(self, entry: int, changes: Iterable[Change]) -> None:
        """Write movements, if they may be."""
        moves = [change for change in changes if change.count]
        self._check(moves)
        rows = [(entry, change.item, change.count) for change in moves]
        self._db.executemany("INSERT INTO movement (entry, item, change) VALUES (?, ?, ?)", rows)

    def _check(self, moves: Iterable[Change]) -> None:
        """Raise NestingError with every item that would fall below zero or rise above all reason."""
        problems = []
        for change in moves:
            count = self._need(change.item).count
            if count + change.count < 0:
                what = f"Only {count} {'is' if count == 1 else 'are'} in the drawer, not {-change.count}."
                problems.append(_problem(change.item, what, "Take out fewer, or correct the count."))
            elif count + change.count > MOST_SHEETS:
                what = f"With {change.count} more there would be more than {MOST_SHEETS:,}.".replace(",", " ")
                problems.append(_problem(change.item, what, "Check the count."))
        if problems:
            raise NestingError(problems)

    def _describe(self, entry: int, number: int, details: Details) -> None:
        sheet, rim = details.sheet, details.sheet.rim
        sides = (sheet.width, sheet.height, rim.left, rim.top, rim.right, rim.bottom)
        direction = details.direction.value if details.direction else ""
        words = (details.unit.value, direction, details.grain.value, details.kept, details.label)
        values = (number, entry, details.paper, *(side.ticks for side in sides), *words)
        marks = ", ".join("?" * len(values))
        self._db.execute(f"INSERT INTO detail (item, entry, {_DETAIL}) VALUES ({marks})", values)

    def _describe_as_before(self, undo: int, entry: int) -> None:
        """Give items that the entry corrected their former details; one first described by it keeps them."""
        problems = []
        rows = self._db.execute("SELECT item FROM detail WHERE entry = ? ORDER BY item", (entry,)).fetchall()
        for (item,) in rows:
            former = f"SELECT {_DETAIL} FROM detail WHERE item = ? AND entry < ? ORDER BY entry DESC LIMIT 1"
            before = self._db.execute(former, (item, entry)).fetchone()
            (later,) = self._db.execute("SELECT max(entry) FROM detail WHERE item = ?", (item,)).fetchone()
            if before is not None and later > entry:
                what = f"It was described anew in entry {later}."
                problems.append(_problem(item, what, f"Undo entry {later} first, or correct the item."))
            elif before is not None:
                self._describe(undo, item, _details(before))
        if problems:
            raise NestingError(problems)

    def _to_undo(self, number: int | None) -> int:
        """The entry to reverse, if it may be."""
        known = number is None or 0 < number < LARGEST_NUMBER
        wanted = "entry.act <> ? AND later.number IS NULL" if number is None else "entry.act <> ? AND entry.number = ?"
        row = self._db.execute(
            "SELECT entry.number, later.number FROM entry LEFT JOIN entry AS later"
            f" ON later.undoes = entry.number WHERE {wanted} ORDER BY entry.number DESC LIMIT 1",
            (Act.UNDO.value,) if number is None else (Act.UNDO.value, number if known else 0),
        ).fetchone()
        if row is None:
            what = "There is nothing to undo." if number is None else f"There is no entry {number} that can be undone."
            raise NestingError([Problem(Place(), what, "“nesting stash history” shows all entries.")])
        if row[1] is not None:
            what = f"Entry {number} was undone already, by entry {row[1]}."
            raise NestingError([Problem(Place(), what, "“nesting stash history” shows all entries.")])
        return int(row[0])

    def _refuse_twice(self, mark: str, again: bool, subject: str) -> None:
        if not mark:
            raise Fault("What is to happen once only has no mark.")
        if again:
            return
        row = next((found for one in mark.split("\n") if (found := self._recorded(one)) is not None), None)
        if row is not None:
            what = f"{subject} was recorded already: entry {row[0]} of {row[1][:10]}."
            todo = f"If it happened a second time, say so with --again; if the first was a slip, undo entry {row[0]}."
            raise NestingError([Problem(Place(), what, todo)])

    def _recorded(self, mark: str) -> tuple[int, str] | None:
        """Number and day of the entry that has this mark, alone or with others, and is not undone."""
        row: tuple[int, str] | None = self._db.execute(
            "SELECT number, at FROM entry WHERE instr(mark, ?) AND NOT EXISTS"
            " (SELECT 1 FROM entry AS later WHERE later.undoes = entry.number) LIMIT 1",
            (mark,),
        ).fetchone()
        return row

    def _need(self, number: int) -> Item:
        known = 0 < number < LARGEST_NUMBER
        row = self._db.execute(_ITEMS + " WHERE number = ?", (number,)).fetchone() if known else None
        if row is None:
            todo = "“nesting stash list” shows the numbers."
            raise NestingError([Problem(Place(), f"There is no item {number} in the drawer.", todo)])
        return _item(row)


def _problem(number: int, what: str, todo: str) -> Problem:
    return Problem(Place(subject=f"item {number}"), what, todo)


def _positive(count: int) -> int:
    if not 1 <= count <= MOST_SHEETS:
        what = f"{count} is not a number of sheets."
        raise NestingError([Problem(Place(), what, f"Write a number from 1 to {MOST_SHEETS}.")])
    return count


def _row_number(number: int | None) -> int:
    if number is None:
        raise Fault("The drawer gave no number to a new row.")
    return number


def _item(row: Sequence[Any]) -> Item:
    return Item(row[0], _details(row[3:]), row[1], row[2])


def _details(row: Sequence[Any]) -> Details:
    paper, width, height, left, top, right, bottom, unit, direction, grain, kept, label = row
    rim = Rim(Length(left), Length(top), Length(right), Length(bottom))
    return Details(
        paper=paper,
        sheet=Sheet(Length(width), Length(height), rim),
        unit=Unit(unit),
        direction=PrintDirection(direction) if direction else None,
        grain=Grain(grain),
        kept=kept,
        label=label,
    )
