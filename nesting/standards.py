"""Published tables: sheet sizes by name, and paper weights.

In: a name such as "A4" or a weight such as "65 lb cover". Out: exact lengths, whole grams per square metre.
Each table names its source.
"""

from __future__ import annotations

import re
from fractions import Fraction

from nesting.lengths import Length, inches, mm

# ISO 216:2007, trimmed sizes in millimetres; each is the one before, halved along its longer side, rounded down.
ISO_216_A = (
    (841, 1189), (594, 841), (420, 594), (297, 420), (210, 297), (148, 210), (105, 148), (74, 105), (52, 74),
    (37, 52), (26, 37),
)  # fmt: skip
ISO_216_B = {4: (250, 353), 5: (176, 250), 6: (125, 176), 7: (88, 125)}

# ASME Y14.1 (A and B), IEEE-ISTO PWG 5101.1 (na_legal_8.5x14in); inches.
NORTH_AMERICAN = {"letter": ("17/2", "11"), "tabloid": ("11", "17"), "legal": ("17/2", "14")}

# Basis sizes in inches of 500 sheets: bond, text (book), cover, index, bristol, tag (trade custom as printed in
# paper merchants' tables).
BASIS_SIZES = {
    "bond": (Fraction(17), Fraction(22)),
    "text": (Fraction(25), Fraction(38)),
    "book": (Fraction(25), Fraction(38)),
    "cover": (Fraction(20), Fraction(26)),
    "index": (Fraction(51, 2), Fraction(61, 2)),
    "bristol": (Fraction(45, 2), Fraction(57, 2)),
    "tag": (Fraction(24), Fraction(36)),
}
GRAMS_PER_POUND = Fraction("453.59237")  # international avoirdupois pound, 1959
SQUARE_METRES_PER_SQUARE_INCH = Fraction("0.00064516")


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


def grammage(text: str) -> Fraction:
    """Grams per square metre (ISO 536) of "216 gsm", "300 g/m2" or "65 lb cover"; ValueError with a sentence.

    Pounds are those of 500 sheets of the basis size: gsm = lb x 453.59237 / (500 x area in square metres).
    """
    metric = re.fullmatch(r"\s*(\d{1,4}(?:[.,]\d{1,2})?)\s*(?:gsm|g|g/m2|g/m²|g/sqm)\s*", text.lower())
    if metric:
        return Fraction(metric[1].replace(",", "."))
    pounds = re.fullmatch(r"\s*(\d{1,4}(?:\.\d{1,2})?)\s*(?:lb|lbs|#)\.?\s+([a-z]+)\s*", text.lower())
    if pounds and pounds[2] in BASIS_SIZES:
        width, height = BASIS_SIZES[pounds[2]]
        return Fraction(pounds[1]) * GRAMS_PER_POUND / (500 * width * height * SQUARE_METRES_PER_SQUARE_INCH)
    kinds = ", ".join(kind for kind in BASIS_SIZES if kind != "book")
    raise ValueError(f"“{text}” is not a paper weight; write it like 216 gsm, or 65 lb cover (of {kinds}).")
