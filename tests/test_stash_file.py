"""The drawer's file: made anew, brought up from older versions, refused where it is not ours or is newer."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest

from nesting.describe.papers import Grain, PrintDirection, Rim, Sheet
from nesting.errors import NestingError
from nesting.lengths import Unit, inches, mm
from nesting.stash import place
from nesting.stash.drawer import Lot, Stash
from nesting.stash.items import Act, Change, Details
from nesting.stash.schema import VERSIONS

DETAILS = Details(
    "pine", Sheet(inches(12), inches(12), Rim(bottom=mm(5))), Unit.INCH, PrintDirection.ONE_WAY, Grain.UP, "shelf", "b"
)

# A file as the first version wrote it: tables and rows spelt out here, so that no later change can alter them.
FIRST_VERSION = """
CREATE TABLE entry (number INTEGER PRIMARY KEY AUTOINCREMENT, at TEXT NOT NULL, act TEXT NOT NULL, note TEXT NOT NULL,
    undoes INTEGER UNIQUE REFERENCES entry (number));
CREATE TABLE item (number INTEGER PRIMARY KEY AUTOINCREMENT, added TEXT NOT NULL, count INTEGER NOT NULL DEFAULT 0
    CHECK (typeof(count) = 'integer' AND count BETWEEN 0 AND 1000000));
CREATE TABLE detail (item INTEGER NOT NULL REFERENCES item (number), entry INTEGER NOT NULL REFERENCES entry (number),
    paper TEXT NOT NULL, width INTEGER NOT NULL, height INTEGER NOT NULL, rim_left INTEGER NOT NULL,
    rim_top INTEGER NOT NULL, rim_right INTEGER NOT NULL, rim_bottom INTEGER NOT NULL, unit TEXT NOT NULL,
    direction TEXT NOT NULL, grain TEXT NOT NULL, kept TEXT NOT NULL, label TEXT NOT NULL, PRIMARY KEY (item, entry));
CREATE TABLE movement (entry INTEGER NOT NULL REFERENCES entry (number), item INTEGER NOT NULL REFERENCES item (number),
    change INTEGER NOT NULL CHECK (typeof(change) = 'integer' AND change <> 0), PRIMARY KEY (entry, item));
CREATE TRIGGER movement_counts AFTER INSERT ON movement
    BEGIN UPDATE item SET count = count + NEW.change WHERE number = NEW.item; END;
CREATE TRIGGER entry_no_update BEFORE UPDATE ON entry BEGIN SELECT RAISE(ABORT, 'the ledger is only added to'); END;
INSERT INTO entry (at, act, note) VALUES ('2024-05-01T10:00:00Z', 'added', 'first'),
    ('2024-05-02T10:00:00Z', 'taken out', '');
INSERT INTO item (added) VALUES ('2024-05-01');
INSERT INTO detail VALUES (1, 1, 'pine', 975360, 975360, 0, 0, 0, 16000, 'in', 'one-way', 'up', 'shelf', 'b');
INSERT INTO movement VALUES (1, 1, 7), (2, 1, -2);
PRAGMA application_id = 1314083889;
PRAGMA user_version = 1;
"""


def _raw(path: Path, script: str) -> None:
    connection = sqlite3.connect(path)
    connection.executescript(script)
    connection.close()


def _schema(path: Path) -> set[str]:
    connection = sqlite3.connect(path)
    names = {row[0] for row in connection.execute("SELECT name FROM sqlite_master WHERE sql IS NOT NULL")}
    (version,) = connection.execute("PRAGMA user_version").fetchone()
    connection.close()
    return names | {f"version {version}"}


def test_a_file_of_the_first_version_is_brought_up_and_keeps_everything(tmp_path: Path) -> None:
    path = tmp_path / "old.sqlite"
    _raw(path, FIRST_VERSION)
    with Stash(path) as stash:
        (item,) = stash.items()
        assert (item.details, item.count, item.added) == (DETAILS, 5, "2024-05-01")
        assert [(e.number, e.act, e.note) for e in stash.history()] == [(1, Act.ADD, "first"), (2, Act.TAKE_OUT, "")]
        stash.undo()
        stash.record_cut("plan 1", [Change(1, 7)], [])
        assert stash.item(1).count == 0
        assert stash.faults() == ()
    assert f"version {len(VERSIONS)}" in _schema(path)


def test_every_version_leads_to_the_same_tables_as_a_new_file(tmp_path: Path) -> None:
    fresh = tmp_path / "new.sqlite"
    with Stash(fresh, new=True):
        pass
    for version in range(1, len(VERSIONS)):
        path = tmp_path / f"version-{version}.sqlite"
        connection = sqlite3.connect(path)
        for statements in VERSIONS[:version]:
            for statement in statements:
                connection.execute(statement)
        connection.executescript(f"PRAGMA application_id = 1314083889; PRAGMA user_version = {version}")
        connection.close()
        with Stash(path) as stash:
            stash.add([Lot(DETAILS)])
        assert _schema(path) == _schema(fresh)


def test_a_file_of_a_newer_version_is_refused_and_left_as_it_is(tmp_path: Path) -> None:
    path = tmp_path / "newer.sqlite"
    with Stash(path, new=True) as stash:
        stash.add([Lot(DETAILS)])
    _raw(path, f"PRAGMA user_version = {len(VERSIONS) + 1}")
    before = path.read_bytes()
    with pytest.raises(NestingError, match="written by a newer version of this program"):
        Stash(path)
    assert path.read_bytes() == before


@pytest.mark.parametrize("version", [0, 1, 2])
def test_a_database_of_another_program_is_refused_and_left_as_it_is(tmp_path: Path, version: int) -> None:
    path = tmp_path / "other.sqlite"
    _raw(path, f"CREATE TABLE recipes (name TEXT); PRAGMA user_version = {version}")
    before = path.read_bytes()
    with pytest.raises(NestingError, match="not a drawer of this program"):
        Stash(path, new=True)
    assert path.read_bytes() == before


def test_a_file_that_is_no_database_or_is_cut_short_is_answered_with_a_sentence(tmp_path: Path) -> None:
    path = tmp_path / "letter.txt"
    path.write_text("Dear aunt, thank you for the paper. " * 100, "utf-8")
    with pytest.raises(NestingError, match="not a drawer of this program"):
        Stash(path)
    short = tmp_path / "short.sqlite"
    with Stash(short, new=True) as stash:
        stash.add([Lot(DETAILS)])
    data = bytearray(short.read_bytes())
    data[4096:] = b"\xff" * (len(data) - 4096)
    short.write_bytes(bytes(data))
    with pytest.raises(NestingError, match="This file is damaged"), Stash(short) as stash:
        stash.items()


def test_no_file_is_made_where_one_only_looks(tmp_path: Path) -> None:
    path = tmp_path / "deep" / "drawer.sqlite"
    with pytest.raises(NestingError, match="There is no drawer here yet"):
        Stash(path)
    assert not path.parent.exists()
    with Stash(path, new=True) as stash:
        assert stash.items() == ()
    with pytest.raises(NestingError, match="cannot be opened"):
        Stash(tmp_path)


def test_an_empty_file_left_by_a_power_cut_becomes_a_drawer(tmp_path: Path) -> None:
    path = tmp_path / "drawer.sqlite"
    path.touch()
    with Stash(path) as stash:
        assert stash.add([Lot(DETAILS)]) == (1,)


def test_the_drawer_stays_one_file_that_can_be_copied(tmp_path: Path) -> None:
    path = tmp_path / "drawer.sqlite"
    with Stash(path, new=True) as stash:
        stash.add([Lot(DETAILS)])
        assert [found.name for found in tmp_path.iterdir()] == ["drawer.sqlite"]


def test_a_program_that_writes_for_long_is_named_and_nothing_is_lost(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("nesting.stash.file.PATIENCE_SECONDS", 0.1)
    path = tmp_path / "drawer.sqlite"
    with Stash(path, new=True) as stash:
        other = sqlite3.connect(path, isolation_level=None)
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(NestingError, match="Another program is writing to the drawer"):
            stash.add([Lot(DETAILS)])
        other.execute("COMMIT")
        other.close()
        assert stash.add([Lot(DETAILS)]) == (1,)


def test_the_file_is_the_one_named_then_that_of_the_environment_then_the_users_own(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv(place.VARIABLE, raising=False)
    usual = place.stash_path()
    assert usual.is_absolute()
    assert usual.name == "stash.sqlite"
    monkeypatch.setenv(place.VARIABLE, str(tmp_path / "mine"))
    assert place.stash_path() == tmp_path / "mine"
    assert place.stash_path(tmp_path / "named") == tmp_path / "named"
