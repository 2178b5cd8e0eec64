"""The tables of the drawer's file, version by version.

In: nothing. Out: the statements that lead from each version to the next, an empty file being version 0. A version
that has been used is never edited again; a change is a new one at the end.

The ledger is only added to: triggers refuse every update and removal of what was written. The count of an item is
kept beside it, follows every movement by a trigger, and can never go below zero.
"""

from __future__ import annotations

APPLICATION_ID = 0x4E535431  # "NST1": how a file of ours is told from any other database


def _only_added_to(table: str) -> tuple[str, ...]:
    return tuple(
        f"CREATE TRIGGER {table}_no_{act.lower()} BEFORE {act} ON {table}"
        " BEGIN SELECT RAISE(ABORT, 'the ledger is only added to'); END"
        for act in ("UPDATE", "DELETE")
    )


def _whole(column: str, lowest: int) -> str:
    return f"{column} INTEGER NOT NULL CHECK (typeof({column}) = 'integer' AND {column} >= {lowest})"


VERSION_1 = (
    """CREATE TABLE entry (
        number INTEGER PRIMARY KEY AUTOINCREMENT,
        at TEXT NOT NULL,
        act TEXT NOT NULL,
        note TEXT NOT NULL,
        undoes INTEGER UNIQUE REFERENCES entry (number))""",
    """CREATE TABLE item (
        number INTEGER PRIMARY KEY AUTOINCREMENT,
        added TEXT NOT NULL,
        count INTEGER NOT NULL DEFAULT 0
            CHECK (typeof(count) = 'integer' AND count BETWEEN 0 AND 1000000))""",
    f"""CREATE TABLE detail (
        item INTEGER NOT NULL REFERENCES item (number),
        entry INTEGER NOT NULL REFERENCES entry (number),
        paper TEXT NOT NULL,
        {_whole("width", 1)}, {_whole("height", 1)},
        {_whole("rim_left", 0)}, {_whole("rim_top", 0)}, {_whole("rim_right", 0)}, {_whole("rim_bottom", 0)},
        unit TEXT NOT NULL,
        direction TEXT NOT NULL,
        grain TEXT NOT NULL,
        kept TEXT NOT NULL,
        label TEXT NOT NULL,
        PRIMARY KEY (item, entry))""",
    """CREATE TABLE movement (
        entry INTEGER NOT NULL REFERENCES entry (number),
        item INTEGER NOT NULL REFERENCES item (number),
        change INTEGER NOT NULL CHECK (typeof(change) = 'integer' AND change <> 0),
        PRIMARY KEY (entry, item))""",
    """CREATE TRIGGER movement_counts AFTER INSERT ON movement
        BEGIN UPDATE item SET count = count + NEW.change WHERE number = NEW.item; END""",
    *_only_added_to("entry"),
    *_only_added_to("detail"),
    *_only_added_to("movement"),
)

# What is marked happens once only: a plan that was cut, a list that was read in.
VERSION_2 = (
    "ALTER TABLE entry ADD COLUMN mark TEXT NOT NULL DEFAULT ''",
    "CREATE INDEX entry_mark ON entry (mark) WHERE mark <> ''",
)

VERSIONS = (VERSION_1, VERSION_2)
