"""Standard envelopes by system.

In: nothing. Out: names and exact sizes, longer side first. Each table names its source; makers' own sizes differ by a
few millimetres, so a tight fit is to be tried.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from nesting.lengths import Length, inches, mm


class EnvelopeSystem(Enum):
    """Whose sizes they are."""

    ISO = "ISO"
    NORTH_AMERICAN = "North American"


@dataclass(frozen=True, slots=True)
class Envelope:
    """A size of envelope; `long` is never shorter than `short`."""

    name: str
    system: EnvelopeSystem
    long: Length
    short: Length


# ISO 269 (withdrawn), as printed in tables of stationers: height x width in millimetres.
_ISO_269 = (
    ("C7/C6", 81, 162), ("C6", 114, 162), ("B6", 125, 176), ("DL", 110, 220), ("C6/C5", 114, 229), ("C5", 162, 229),
)  # fmt: skip
# Announcement envelopes and others as sold in North America, outside size in inches; no national standard, as
# printed by thoughtco.com and nextdayflyers.com.
_ANNOUNCEMENT = (
    ("A1", "29/8", "41/8"), ("A2", "35/8", "23/4"), ("A6", "19/4", "13/2"), ("A7", "21/4", "29/4"),
    ("A8", "11/2", "65/8"), ("A9", "23/4", "35/4"), ("A10", "6", "19/2"), ("slimline", "31/8", "71/8"),
    ("no. 10", "33/8", "19/2"),
)  # fmt: skip
# Square envelopes by outside size: common practice, no published source.
_SQUARE_INCHES = ("5", "11/2", "6", "13/2", "7", "15/2", "8", "17/2", "9")
_SQUARE_MM = (130, 140, 150, 155, 160, 170)


def _envelopes() -> tuple[Envelope, ...]:
    metric, american = EnvelopeSystem.ISO, EnvelopeSystem.NORTH_AMERICAN
    found = [Envelope(name, metric, mm(long), mm(short)) for name, short, long in _ISO_269]
    found += [Envelope(f"{side} mm square", metric, mm(side), mm(side)) for side in _SQUARE_MM]
    found += [Envelope(name, american, inches(long), inches(short)) for name, short, long in _ANNOUNCEMENT]
    for side in map(inches, _SQUARE_INCHES):
        found.append(Envelope("square", american, side, side))
    return tuple(sorted(found, key=lambda envelope: (envelope.long.ticks * envelope.short.ticks, envelope.long)))


ENVELOPES = _envelopes()  # smallest first
