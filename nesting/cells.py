"""Texts in cells of a spreadsheet's list: one rule, for all lists that are written and read.

In: a text. Out: the text as it stands in a CSV cell, and back. The fact it serves: a spreadsheet takes a text that
begins with =, +, -, @ or a tab for a formula; an apostrophe before it says that it is none, and is taken off again
by whoever reads the list. A text that begins with an apostrophe gets another, so that what is read is what was written.
"""

from __future__ import annotations

_FORMULA = ("=", "+", "-", "@", "\t", "\r", "'")


def guarded(text: str) -> str:
    """The text as a cell that no spreadsheet takes for a formula."""
    return f"'{text}" if text.startswith(_FORMULA) else text


def unguarded(cell: str) -> str:
    """The text that a cell stands for."""
    return cell[1:] if cell.startswith("'") and cell[1:].startswith(_FORMULA) else cell
