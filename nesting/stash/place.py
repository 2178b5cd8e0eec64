"""Where the drawer's file lies: as named by the user, else in the user's data folder.

In: a path from the command, or the environment variable NESTING_STASH. Out: a path; nothing is made or touched.
"""

from __future__ import annotations

import os
from pathlib import Path

VARIABLE = "NESTING_STASH"


def stash_path(named: Path | None = None) -> Path:
    """The file that holds the drawer."""
    if named is not None:
        return named
    told = os.environ.get(VARIABLE, "")
    if told:
        return Path(told)
    from platformdirs import user_data_path

    return user_data_path("sheet-nesting", appauthor=False) / "stash.sqlite"
