"""Published tables: sheets, paper weights, envelopes, and what the posts take. Each table names its source."""

from __future__ import annotations

from nesting.standards.envelopes import ENVELOPES, Envelope, EnvelopeSystem
from nesting.standards.post import GRAMS_PER_OUNCE, MAIL_CLASSES, MailClass
from nesting.standards.sheets import ISO_216_A, ISO_216_B, NORTH_AMERICAN, sheet_size, sheets_that_take
from nesting.standards.weights import (
    BASIS_SIZES,
    GRAMS_PER_POUND,
    SQUARE_METRES_PER_SQUARE_INCH,
    THICKNESS_GUIDE,
    grammage,
    likely_thickness,
)

__all__ = [
    "BASIS_SIZES",
    "ENVELOPES",
    "GRAMS_PER_OUNCE",
    "GRAMS_PER_POUND",
    "ISO_216_A",
    "ISO_216_B",
    "MAIL_CLASSES",
    "NORTH_AMERICAN",
    "SQUARE_METRES_PER_SQUARE_INCH",
    "THICKNESS_GUIDE",
    "Envelope",
    "EnvelopeSystem",
    "MailClass",
    "grammage",
    "likely_thickness",
    "sheet_size",
    "sheets_that_take",
]
