"""Names of files made from what the user called a thing.

In: a paper's or part's name. Out: a name that every file system takes, and that is given once. The fact of the trade:
a paper is called “Vågor / blå”, and its map must still open on any machine.
"""

from __future__ import annotations

import re

LONGEST = 40


def stem(name: str, taken: set[str]) -> str:
    """The name in plain small letters, numbered where it is taken already; what is given is added to `taken`."""
    plain = re.sub(r"[^a-z0-9]+", "-", name.lower())[:LONGEST].strip("-") or "unnamed"
    found, number = plain, 2
    while found in taken:
        found, number = f"{plain}-{number}", number + 1
    taken.add(found)
    return found
