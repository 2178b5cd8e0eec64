"""Paper weights and how thick a paper of that weight is likely to be.

In: words such as "65 lb cover". Out: exact grams per square metre (ISO 536), and a thickness as a guide. Each table
names its source.
"""

from __future__ import annotations

import re
from fractions import Fraction
from itertools import pairwise

from nesting.lengths import TICKS_PER_MM, Length
from nesting.quoting import quoted

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

# Thickness in millimetres by grams per square metre: a guide, papers of one weight differ by a tenth and more.
# 90: a pile of 10 370 sheets is 1 400 mm high (bvdm teaching sheet 12.5, 2017). The others: index of 90, 110, 140 and
# 170 lb, 0.0075 to 0.0138 in (Government Paper Specification Standards of the United States, 1999).
THICKNESS_GUIDE = (
    (90, Fraction("0.135")),
    (165, Fraction("0.1905")),
    (200, Fraction("0.23114")),
    (255, Fraction("0.28956")),
    (305, Fraction("0.35052")),
)


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
    raise ValueError(f"{quoted(text)} is not a paper weight; write it like 216 gsm, or 65 lb cover (of {kinds}).")


def likely_thickness(grams: Fraction) -> Length:
    """How thick a paper of this weight is likely to be, to the next whole tick; straight lines between the guides."""
    (lightest, thin), (heaviest, thick) = THICKNESS_GUIDE[0], THICKNESS_GUIDE[-1]
    if grams <= lightest:
        found = grams * thin / lightest
    elif grams >= heaviest:
        found = grams * thick / heaviest
    else:
        (low, a), (high, b) = next(pair for pair in pairwise(THICKNESS_GUIDE) if pair[0][0] <= grams <= pair[1][0])
        found = a + (b - a) * (grams - low) / (high - low)
    ticks = found * TICKS_PER_MM
    return Length(-(-ticks.numerator // ticks.denominator))
