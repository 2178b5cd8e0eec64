"""What is put in, taken out, corrected and undone; and that the ledger keeps every step in its order."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from itertools import count
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from stash_steps import Life

from nesting.describe.papers import Grain, PrintDirection, Rim, Sheet
from nesting.errors import Fault, NestingError
from nesting.lengths import ZERO, Unit, inches, mm
from nesting.stash.drawer import Lot, Stash
from nesting.stash.items import Act, Change, Details

PINE = Details("pine", Sheet(inches(12), inches(12)), kept="shelf 1")
APPLES = Details(
    "russet apples",
    Sheet(mm(100), inches("11/2"), Rim(bottom=mm(5))),
    Unit.MILLIMETRE,
    PrintDirection.ONE_WAY,
    Grain.UP,
    "box",
    "with the torn corner",
)


@pytest.fixture
def stash(tmp_path: Path) -> Iterator[Stash]:
    with Stash(tmp_path / "drawer.sqlite", new=True) as found:
        yield found


def _said(error: pytest.ExceptionInfo[NestingError]) -> str:
    return str(error.value)


def test_what_was_put_in_is_found_again_to_the_last_detail(stash: Stash) -> None:
    assert stash.add([Lot(PINE, 4), Lot(APPLES, 2, "2024-02-29")]) == (1, 2)
    pine, apples = stash.items()
    assert (pine.number, pine.details, pine.count) == (1, PINE, 4)
    assert (apples.number, apples.details, apples.count, apples.added) == (2, APPLES, 2, "2024-02-29")


def test_what_is_just_alike_joins_its_lot_even_when_given_in_another_unit(stash: Stash) -> None:
    stash.add([Lot(PINE, 4)])
    in_mm = Details("pine", Sheet(mm("304.8"), mm("304.8")), Unit.MILLIMETRE, kept="shelf 1")
    assert stash.add([Lot(in_mm, 2)]) == (1,)
    assert stash.add([Lot(Details("pine", PINE.sheet, kept="shelf 2"))]) == (2,)
    assert [(item.number, item.count) for item in stash.items()] == [(1, 6), (2, 1)]


def test_more_than_there_is_cannot_be_taken_out_and_nothing_is_written(stash: Stash) -> None:
    stash.add([Lot(PINE, 2)])
    with pytest.raises(NestingError) as error:
        stash.take_out(1, 3)
    assert _said(error) == "item 1: Only 2 are in the drawer, not 3. Take out fewer, or correct the count."
    assert len(stash.history()) == 1
    assert stash.take_out(1, 2).count == 0
    assert stash.items() == ()
    assert [item.count for item in stash.items(gone=True)] == [0]


def test_a_number_that_is_no_item_is_answered_with_a_sentence(stash: Stash) -> None:
    for number in (0, -1, 7, 2**63, 10**30):
        with pytest.raises(NestingError, match=f"There is no item {number} in the drawer"):
            stash.take_out(number)
        with pytest.raises(NestingError, match=f"There is no entry {number} that can be undone"):
            stash.undo(number)


def test_the_count_and_the_details_are_corrected_in_one_entry(stash: Stash) -> None:
    stash.add([Lot(PINE, 4)])
    item = stash.correct(1, APPLES, 3, "counted again")
    assert (item.details, item.count) == (APPLES, 3)
    entry = stash.history()[-1]
    assert (entry.act, entry.note, entry.changes, entry.corrected) == (
        Act.CORRECT, "counted again", (Change(1, -1),), (1,))  # fmt: skip
    stash.correct(1, APPLES, 3)
    assert len(stash.history()) == 2  # nothing changed, nothing written


def test_undo_reverses_the_latest_entry_that_still_counts(stash: Stash) -> None:
    stash.add([Lot(PINE, 4)])
    stash.take_out(1, 1)
    stash.correct(1, APPLES)
    assert stash.undo().act is Act.CORRECT
    assert stash.item(1).details == PINE
    assert stash.undo().act is Act.TAKE_OUT
    assert stash.item(1).count == 4
    assert stash.undo().act is Act.ADD
    assert stash.items() == ()
    with pytest.raises(NestingError, match="There is nothing to undo"):
        stash.undo()
    assert [(e.number, e.undoes, e.undone_by) for e in stash.history()] == [
        (1, 0, 6), (2, 0, 5), (3, 0, 4), (4, 3, 0), (5, 2, 0), (6, 1, 0)]  # fmt: skip


def test_an_entry_is_undone_once_only_and_an_undo_never(stash: Stash) -> None:
    stash.add([Lot(PINE, 4)])
    stash.take_out(1, 1)
    stash.undo(2)
    with pytest.raises(NestingError, match="Entry 2 was undone already, by entry 3"):
        stash.undo(2)
    with pytest.raises(NestingError, match="There is no entry 3 that can be undone"):
        stash.undo(3)


def test_what_has_gone_since_cannot_be_undone_away(stash: Stash) -> None:
    stash.add([Lot(PINE, 4)])
    stash.take_out(1, 3)
    with pytest.raises(NestingError, match="item 1: Only 1 is in the drawer, not 4"):
        stash.undo(1)


def test_a_correction_that_was_corrected_again_is_undone_from_the_last_one_back(stash: Stash) -> None:
    stash.add([Lot(PINE, 1)])
    stash.correct(1, APPLES)
    stash.correct(1, Details("kraft", PINE.sheet))
    with pytest.raises(NestingError, match="Undo entry 3 first"):
        stash.undo(2)
    stash.undo(3)
    assert stash.item(1).details == APPLES


def test_a_plan_that_was_cut_goes_in_as_one_step_once_only_and_comes_out_as_one(stash: Stash) -> None:
    stash.add([Lot(PINE, 4), Lot(APPLES, 1)])
    small = Details("pine", Sheet(inches(3), inches(5)))
    used = [Change(1, 2), Change(2, 1)]
    assert stash.record_cut("plan 1", used, [Lot(small, 2), Lot(small)]) == (3, 3)
    assert {item.number: item.count for item in stash.items(gone=True)} == {1: 2, 2: 0, 3: 3}
    with pytest.raises(NestingError, match="This plan was recorded already: entry 2"):
        stash.record_cut("plan 1", [Change(1, 1)], [])
    stash.undo()
    assert {item.number: item.count for item in stash.items()} == {1: 4, 2: 1}
    stash.record_cut("plan 1", [Change(1, 1)], [])  # undone, so it may be recorded again
    stash.record_cut("plan 1", [Change(1, 1)], [], again=True)
    assert stash.item(1).count == 2


def test_a_plan_that_takes_more_than_there_is_changes_nothing_even_where_its_offcuts_would_fill_the_gap(
    stash: Stash,
) -> None:
    stash.add([Lot(PINE, 1), Lot(APPLES, 1)])
    with pytest.raises(NestingError) as error:
        stash.record_cut("plan 1", [Change(1, 2), Change(2, 3)], [Lot(PINE, 5)])
    assert len(error.value.problems) == 2
    assert len(stash.history()) == 1
    assert [item.count for item in stash.items()] == [1, 1]


def test_entries_keep_their_order_when_the_clock_runs_backwards(tmp_path: Path) -> None:
    start = datetime(2024, 6, 1, 12, tzinfo=UTC)
    ticks = count()
    with Stash(tmp_path / "drawer.sqlite", new=True, now=lambda: start - timedelta(days=next(ticks))) as stash:
        stash.add([Lot(PINE, 4)])
        stash.take_out(1, 1)
        stash.correct(1, APPLES, 9)
        stash.correct(1, PINE, 2)
        history = stash.history()
        assert [entry.number for entry in history] == [1, 2, 3, 4]
        assert [entry.at for entry in history] == sorted((entry.at for entry in history), reverse=True)
        assert (stash.item(1).details, stash.item(1).count) == (PINE, 2)
        assert stash.undo().number == 4
        assert (stash.item(1).details, stash.item(1).count) == (APPLES, 9)


def test_the_ledger_itself_refuses_to_be_rewritten_or_to_fall_below_zero(tmp_path: Path) -> None:
    path = tmp_path / "drawer.sqlite"
    with Stash(path, new=True) as stash:
        stash.add([Lot(PINE, 4)])
    raw = sqlite3.connect(path)
    for table in ("entry", "detail", "movement"):
        for change in (f"DELETE FROM {table}", f"UPDATE {table} SET rowid = rowid + 1"):
            with pytest.raises(sqlite3.IntegrityError, match="only added to"):
                raw.execute(change)
    raw.execute("INSERT INTO entry (at, act, note) VALUES ('', 'taken out', '')")
    with pytest.raises(sqlite3.IntegrityError):
        raw.execute("INSERT INTO movement (entry, item, change) VALUES (2, 1, -5)")
    raw.close()


def test_a_count_changed_behind_the_ledgers_back_is_found(tmp_path: Path) -> None:
    path = tmp_path / "drawer.sqlite"
    with Stash(path, new=True) as stash:
        stash.add([Lot(PINE, 4)])
        assert stash.faults() == ()
        raw = sqlite3.connect(path)
        raw.execute("UPDATE item SET count = 5")
        raw.commit()
        raw.close()
        assert stash.faults() == ("item 1 counts 5, its movements 4",)


def test_a_number_of_sheets_that_cannot_be_is_refused(stash: Stash) -> None:
    for number in (0, -3, 1_000_001):
        with pytest.raises(NestingError, match="is not a number of sheets"):
            stash.add([Lot(PINE, number)])
    stash.add([Lot(PINE, 1_000_000)])
    with pytest.raises(NestingError, match="there would be more than 1 000 000"):
        stash.put_back(1)


def test_something_to_happen_once_without_a_mark_is_a_fault(stash: Stash) -> None:
    with pytest.raises(Fault):
        stash.record_cut("", [], [])


def test_a_piece_fits_turned_only_where_no_print_forbids_it() -> None:
    strip = Sheet(inches(3), inches(8), Rim(bottom=inches(1)))
    assert Details("a", strip).fits(inches(3), inches(7))
    assert not Details("a", strip).fits(inches(3), inches(8))
    assert Details("a", strip).fits(inches(7), inches(3))
    assert Details("a", strip, direction=PrintDirection.NONE).fits(inches(7), inches(3))
    for print_direction in (PrintDirection.TWO_WAY, PrintDirection.ONE_WAY):
        assert not Details("a", strip, direction=print_direction).fits(inches(7), inches(3))
    assert Details("a", strip).fits(ZERO, ZERO)


@settings(max_examples=15, deadline=None)
@given(seed=st.integers(0, 10**6))
def test_any_life_of_the_drawer_agrees_with_the_same_life_in_plain_dicts(
    tmp_path_factory: pytest.TempPathFactory, seed: int
) -> None:
    life = Life(seed)
    with Stash(tmp_path_factory.mktemp("life") / "drawer.sqlite", new=True) as stash:
        for _ in range(12):
            life.next()(stash)
        assert life.agrees(stash)
        assert stash.faults() == ()
