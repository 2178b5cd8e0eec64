"""The user's own words inside a sentence of ours: short, on one line, and with nothing that a screen would obey.

In: what was written, of any kind. Out: words in quotation marks. The fact it serves: a cell pasted from elsewhere may
hold marks that nobody sees, signs that turn the reading direction, or codes that a terminal takes for orders.
"""

from __future__ import annotations

import unicodedata

SHOWN = 60  # characters of the user's words quoted in a sentence
UNSEEN = {"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"}  # Unicode's general categories
JOINERS = "\u200c\u200d"  # parts of words in some scripts, and of some signs


def printable(text: str) -> bool:
    """False if a control character, a line end, an invisible mark or no character at all hides in the text."""
    return all(unicodedata.category(c) not in UNSEEN or c in JOINERS for c in text)


def quoted(value: object) -> str:
    """The user's own words between quotation marks, short and on one line."""
    if isinstance(value, dict):
        return "a table { ... }"
    if isinstance(value, list):
        return "a list [ ... ]"
    if isinstance(value, bool):
        return f"“{str(value).lower()}”"
    if isinstance(value, int) and value.bit_length() > 3 * SHOWN:
        return "a very large number"
    text = str(value)
    short = text if len(text) <= SHOWN else f"{text[:SHOWN]}..."
    return "“" + "".join(c if printable(c) else c.encode("unicode_escape").decode() for c in short) + "”"
