"""One file of a project as text: bytes decoded, or a sentence about why they cannot be.

In: a path. Out: the text, without its byte order mark. The fact it serves: files come from many editors and
spreadsheets, which save them in more than one encoding.
"""

from __future__ import annotations

import codecs
from pathlib import Path

from nesting.describe.findings import Findings
from nesting.errors import Place
from nesting.quoting import printable

LARGEST_FILE = 5_000_000  # bytes; a batch of several hundred pieces takes about ten thousand
UTF_16 = (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)


def shown_name(path: Path) -> str:
    """The file's name as it can be printed on any screen."""
    name = path.name.encode("utf-8", "replace").decode("utf-8")
    return "".join(sign if printable(sign) else "?" for sign in name)


def read_text(path: Path, findings: Findings, *, from_spreadsheet: bool = False) -> str | None:
    """The text of a file in UTF-8, with a byte order mark or without; None, and a problem noted, where it is not.

    Files from a spreadsheet may also be UTF-16 with its mark, or Windows code page 1252.
    """
    place = Place(shown_name(path))
    try:
        if not path.is_file():
            findings.add(place, "This is not a file.", "Rename it or move it out of the project's folder.")
            return None
        with path.open("rb") as file:
            data = file.read(LARGEST_FILE + 1)
    except OSError as wrong:
        reason = wrong.strerror or "the system gave no reason"
        findings.add(place, f"This file cannot be read ({reason}).", "Check that it is there and that you may read it.")
        return None
    if len(data) > LARGEST_FILE:
        findings.add(
            place, "This file is larger than 5 MB.", "Check that it belongs to the project; split it if it does."
        )
        return None
    return _decoded(data, place, findings, from_spreadsheet)


def _decoded(data: bytes, place: Place, findings: Findings, from_spreadsheet: bool) -> str | None:
    wide = data.startswith(UTF_16)
    try:
        if wide and from_spreadsheet:
            return data.decode("utf-16")
        if not wide and b"\0" not in data:
            return data.decode("utf-8-sig")
    except UnicodeDecodeError as wrong:
        if from_spreadsheet and not wide:
            return _code_page(data, place, findings)
        place = Place(place.file, data.count(b"\n", 0, wrong.start) + 1)
    kinds = "UTF-8 or as CSV UTF-8" if from_spreadsheet else "UTF-8"
    findings.add(place, "This file is not text in UTF-8.", f"Save it again with the encoding {kinds}.")
    return None


def _code_page(data: bytes, place: Place, findings: Findings) -> str | None:
    try:
        return data.decode("cp1252")
    except UnicodeDecodeError as wrong:
        line = data.count(b"\n", 0, wrong.start) + 1
        findings.add(
            Place(place.file, line),
            "This file is neither text in UTF-8 nor in the Windows code page 1252.",
            "Export it again as CSV UTF-8.",
        )
        return None
