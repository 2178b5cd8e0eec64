"""Paper printed at home: how large its print comes out on a page, and what that leaves of the page.

In: the keys `image` and `scale` of a paper. Out: a Printed, and for every page the rim that cannot be used. The facts
of the trade: a printer leaves the edges white, a print has a size of its own and is printed at a scale, and what is
smaller than the page is printed in its middle.
"""

from __future__ import annotations

import re
from dataclasses import replace

from nesting.describe.findings import Findings
from nesting.describe.papers import FIT, Paper, Printed, Rim, Sheet
from nesting.describe.tables import Table
from nesting.describe.values import Said, size
from nesting.lengths import Length
from nesting.quoting import quoted

LARGEST = 400  # per cent
_PERCENT = re.compile(r"\s*(\d{1,3})\s*%\s*")


def read_printed(table: Table) -> Printed | None:
    """The print of a paper printed at home, None where it fills whatever is printed."""
    image, scale = table.take("image", size), table.take("scale", _scale)
    if table.has("scale") and not table.meant("image"):
        table.refuse("scale", "The scale of which print?", 'Add its size at 100 %, like image = "12 x 12".')
    return None if image is None else Printed(*image, 100 if scale is None else scale)


def _scale(said: Said, findings: Findings) -> int | None:
    if said.value == "fit":
        return FIT
    match = _PERCENT.fullmatch(str(said.value))
    if match and 0 < int(match[1]) <= LARGEST:
        return int(match[1])
    todo = f'Write whole percents up to {LARGEST}, like "85 %", or "fit".'
    findings.add(said.place, f"{quoted(said.value)} is no scale.", todo)
    return None


def printed_on(sheet: Sheet, printed: Printed) -> Sheet:
    """The page with the print in the middle of what can be printed, and all that it does not cover as rim."""
    rim, percent, (across, up) = sheet.rim, scale_on(sheet, printed), sheet.usable
    left, right = _aside(across, printed.width, percent)
    top, bottom = _aside(up, printed.height, percent)
    return replace(sheet, rim=Rim(rim.left + left, rim.top + top, rim.right + right, rim.bottom + bottom))


def scale_on(sheet: Sheet, printed: Printed) -> int:
    """Per cent: as said, or the largest whole number at which all of the print is on the page, 1 at least."""
    if printed.percent != FIT:
        return printed.percent
    sides = zip(sheet.usable, (printed.width, printed.height), strict=True)
    return max(1, min(LARGEST, *(100 * there.ticks // wanted.ticks for there, wanted in sides)))


def _aside(there: Length, image: Length, percent: int) -> tuple[Length, Length]:
    """What the print leaves on both sides; a tick that cannot be halved, or that a scale cuts through, is not used."""
    free = there.ticks - image.ticks * percent // 100
    half = max(0, free) // 2
    return Length(half), Length(max(0, free) - half)


def scale_needed(paper: Paper, width: Length, height: Length) -> int | None:
    """The scale from which on the print is large enough for a piece that the page itself takes; None if it never is."""
    printed = paper.printed
    pages = [sold.page.usable for sold in paper.sold if sold.page is not None]
    if printed is None or not any(width <= across and height <= up for across, up in pages):
        return None
    needed = max(-(-100 * width.ticks // printed.width.ticks), -(-100 * height.ticks // printed.height.ticks))
    return needed if needed <= LARGEST else None
