"""The drawer's file on disk: opened, brought up to date, read and written in whole steps; alone imports sqlite3.

In: a path. Out: connections on which either all of a step is written or nothing of it. The fact it serves: power
fails and two windows are open at once, and yet no sheet may be lost or counted twice.

Why these settings (sqlite.org, "PRAGMA statements" and "How to corrupt an SQLite database file"): a rollback journal
rather than a write-ahead log, so that the drawer is one file that can be copied and kept in a shared folder;
synchronous = EXTRA, so that a step that was reported done stays done when the power fails right after; BEGIN
IMMEDIATE, so that whoever reads in order to write is alone until done.
"""

from __future__ import annotations

import contextlib
import sqlite3
from collections.abc import Iterator
from pathlib import Path

from nesting.errors import Fault, NestingError, Place, Problem
from nesting.stash.schema import APPLICATION_ID, VERSIONS

Connection = sqlite3.Connection
PATIENCE_SECONDS = 20  # how long to wait for another program that is writing
_WORDS = {
    sqlite3.SQLITE_BUSY: ("Another program is writing to the drawer.", "Wait until it is done and try again."),
    sqlite3.SQLITE_LOCKED: ("Another program is writing to the drawer.", "Wait until it is done and try again."),
    sqlite3.SQLITE_FULL: ("The disk is full.", "Make room and try again."),
    sqlite3.SQLITE_READONLY: ("This file may not be written.", "Allow writing to it and to its folder."),
    sqlite3.SQLITE_PERM: ("This file may not be written.", "Allow writing to it and to its folder."),
    sqlite3.SQLITE_CANTOPEN: ("This file cannot be opened.", "Check that its folder is there and may be written."),
    sqlite3.SQLITE_IOERR: ("The disk could not be read or written.", "Check the disk, and copy the file elsewhere."),
    sqlite3.SQLITE_NOTADB: ("This file is not a drawer of this program.", "Name another file."),
    sqlite3.SQLITE_CORRUPT: ("This file is damaged.", "Go back to a copy of it, or read in a list that you wrote out."),
}


def open_stash(path: Path, *, new: bool = False) -> Connection:
    """Open the drawer, brought up to this program's version; `new`: make it where there is none.

    Raises NestingError where it cannot be opened, is another program's, or was written by a newer version.
    """
    if not new and not path.exists():
        todo = "Put something in with “nesting stash add”, or name another file with --file."
        raise NestingError([Problem(_place(path), "There is no drawer here yet.", todo)])
    with in_words(path):
        if new:
            _make_folder(path)
        connection = sqlite3.connect(path, timeout=PATIENCE_SECONDS, isolation_level=None)
        try:
            connection.execute("PRAGMA foreign_keys = ON")
            connection.execute("PRAGMA synchronous = EXTRA")
            if _signs(connection) != (APPLICATION_ID, len(VERSIONS)):
                _bring_up_to_date(connection, path)
        except BaseException:
            connection.close()
            raise
    return connection


def _make_folder(path: Path) -> None:
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as wrong:
        what = f"Its folder cannot be made ({wrong.strerror or 'the system gave no reason'})."
        raise NestingError([Problem(_place(path), what, "Name another file with --file.")]) from None


def _place(path: Path) -> Place:
    return Place(str(path).encode("utf-8", "replace").decode("utf-8"))


def _signs(connection: Connection) -> tuple[int, int]:
    """Whose file it is, and its version."""
    (application,) = connection.execute("PRAGMA application_id").fetchone()
    (version,) = connection.execute("PRAGMA user_version").fetchone()
    return application, version


def _bring_up_to_date(connection: Connection, path: Path) -> None:
    """From whatever version to this one, in a single step; a file of a newer program is left as it is."""
    with write(connection):
        application, version = _signs(connection)  # anew: another program may have been at it in the meantime
        (tables,) = connection.execute("SELECT count(*) FROM sqlite_master").fetchone()
        if application != APPLICATION_ID and (version or tables):
            raise NestingError([Problem(_place(path), *_WORDS[sqlite3.SQLITE_NOTADB])])
        if version > len(VERSIONS):
            what = f"This drawer was written by a newer version of this program (file version {version})."
            raise NestingError([Problem(_place(path), what, "Update this program; nothing was changed.")])
        for statements in VERSIONS[version:]:
            for statement in statements:
                connection.execute(statement)
        connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
        connection.execute(f"PRAGMA user_version = {len(VERSIONS)}")


@contextlib.contextmanager
def write(connection: Connection) -> Iterator[None]:
    """One step: alone from the first look to the last word, and all of it or nothing."""
    connection.execute("BEGIN IMMEDIATE")
    try:
        yield
        connection.execute("COMMIT")
    except BaseException:
        if connection.in_transaction:
            connection.execute("ROLLBACK")
        raise


@contextlib.contextmanager
def read(connection: Connection) -> Iterator[None]:
    """Several looks at one and the same state."""
    connection.execute("BEGIN")
    try:
        yield
    finally:
        if connection.in_transaction:
            connection.execute("ROLLBACK")


@contextlib.contextmanager
def in_words(path: Path) -> Iterator[None]:
    """Turn what the database says into sentences; what should have been asked before is a fault of the program."""
    try:
        yield
    except sqlite3.Error as wrong:
        code = getattr(wrong, "sqlite_errorcode", 0) & 0xFF
        if code not in _WORDS:
            raise Fault(f"The drawer refused a step: {wrong}") from wrong
        raise NestingError([Problem(_place(path), *_WORDS[code])]) from wrong
