"""Sheet sizes by name.

In: a name such as "A4". Out: exact lengths. Each table names its source.
"""

from __future__ import annotations

import re

from nesting.lengths import Length, inches, mm

# ISO 216:2007, trimmed sizes in millimetres; each is the one before, halved along its longer side, rounded down.
ISO_216_A = (
    (841, 1189), (594, 841), (420, 594), (297, 420), (210, 297), (148, 210), (105, 148), (74, 105), (52, 74),
    (37, 52), (26, 37),
)  # fmt: skip
ISO_216_B = {4: (250, 353), 5: (176, 250), 6: (125, 176), 7: (88, 125)}

# ASME Y14.1 (A and B), IEEE-ISTO PWG 5101.1 (na_legal_8.5x14in); inches.
NORTH_AMERICAN = {"letter": ("17/2", "11"), "tabloid": ("11", "17"), "legal": ("17/2", "14")}

SQUARE_INCHES = (6, 8, 12)  # as pads and single sheets are sold; common practice, no published source


def sheet_size(name: str) -> tuple[Length, Length] | None:
    """Width and height of a named sheet, upright unless "landscape" follows; None for an unknown name."""
    match = re.fullmatch(r"\s*([A-Za-z]+ ?\d*)(?:\s+(portrait|landscape))?\s*", name)
    if match is None:
        return None
    upright = _upright(match[1].replace(" ", "").lower())
    if upright is None:
        return None
    width, height = upright
    return (height, width) if match[2] == "landscape" else (width, height)


def sheets_that_take(width: Length, height: Length, *, may_turn: bool) -> tuple[str, ...]:
    """The smallest metric and the smallest inch sheet, by name, that hold such a rectangle; none where it is too large.

    The names can be read by `sheet_size`, or are sizes in inches of square sheets (common practice).
    """
    metric = [(f"A{number}", (mm(a), mm(b))) for number, (a, b) in enumerate(ISO_216_A)]
    inch = [(name, (inches(a), inches(b))) for name, (a, b) in NORTH_AMERICAN.items()]
    inch += [(f"{side} x {side} in", (inches(side), inches(side))) for side in SQUARE_INCHES]
    found = []
    for sheets in (metric, inch):
        held = [
            (a.ticks * b.ticks, landscape, f"{name} landscape" if landscape else name)
            for name, (a, b) in sheets
            for landscape, (across, up) in enumerate(((a, b), (b, a)))
            if (width <= across and height <= up) or (may_turn and height <= across and width <= up)
        ]
        found += [min(held)[2]] if held else []
    return tuple(found)


def _upright(key: str) -> tuple[Length, Length] | None:
    if key in NORTH_AMERICAN:
        width, height = NORTH_AMERICAN[key]
        return inches(width), inches(height)
    series, number = key[:1], key[1:]
    size = None
    if series == "a" and number.isdecimal() and int(number) < len(ISO_216_A):
        size = ISO_216_A[int(number)]
    elif series == "b" and number.isdecimal():
        size = ISO_216_B.get(int(number))
    return (mm(size[0]), mm(size[1])) if size else None
