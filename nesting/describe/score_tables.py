"""The keys of a free base: scores with the way they fold ("3 3/4 mountain") and slits ("3 x 1 to 5 x 1").

In: lists of words and lengths. Out: exact positions by line. The fact of the trade: scores and slits are measured
from the left edge and from the top edge of the flat base, with its inside facing the reader.
"""

from __future__ import annotations

import re
from dataclasses import replace

from nesting.describe.designs import FoldKind, Line
from nesting.describe.findings import Findings
from nesting.describe.panel_names import PanelNames
from nesting.describe.sizes import read_pair
from nesting.describe.values import Said, positive_length
from nesting.lengths import Length, write_length
from nesting.quoting import quoted

_WAY = re.compile(r"(.*?)\s*\b(mountain|valley)\s*", re.IGNORECASE)
_TO = re.compile(r"\s+to\s+", re.IGNORECASE)


def read_scores(
    said: Said | None, side: Length | None, edge: str, book: PanelNames, findings: Findings
) -> dict[Length, FoldKind]:
    """Scores in order, valleys unless said; each must lie inside the base, and no two in one place."""
    found: dict[Length, FoldKind] = {}
    for entry in [] if said is None else said.entries():
        way = _WAY.fullmatch(entry.value) if isinstance(entry.value, str) else None
        number = replace(entry, value=way[1]) if way else entry
        score = positive_length(number, findings)
        if score is None or (side is not None and not _inside(entry, score, side, edge, findings)):
            book.sure = False
        elif score in found:
            findings.add(entry.place, f"The score at {quoted(entry.value)} is there twice.", "Take one of them out.")
            book.sure = False
        else:
            found[score] = FoldKind(way[2].lower()) if way else FoldKind.VALLEY
    return dict(sorted(found.items()))


def _inside(said: Said, score: Length, side: Length, edge: str, findings: Findings) -> bool:
    if score < side:
        return True
    limit = write_length(side, said.unit, with_unit=True)
    way = "wide" if edge == "left" else "high"
    what = f"The score at {quoted(said.value)} lies outside the base, which is {limit} {way}."
    findings.add(said.place, what, f"Measure scores from the {edge} edge of the flat base.")
    return False


def read_slits(
    said: Said | None, sides: tuple[Length, Length] | None, book: PanelNames, findings: Findings
) -> list[Line]:
    """Slits from point to point; each runs straight across or down, and ends inside the base or at its edge."""
    found = []
    for entry in [] if said is None else said.entries():
        slit = _slit(entry, findings)
        if slit is not None and sides is not None and (slit.x2 > sides[0] or slit.y2 > sides[1]):
            what = f"The slit {quoted(entry.value)} runs out of the base."
            findings.add(entry.place, what, "Measure it from the left edge x from the top edge of the flat base.")
            slit = None
        if slit is None:
            book.sure = False
        else:
            found.append(slit)
    return found


def _slit(said: Said, findings: Findings) -> Line | None:
    like = 'Write it like slits = ["3 x 1 3/4 to 5 x 1 3/4"].'
    ends = _TO.split(said.value) if isinstance(said.value, str) else []
    if len(ends) != 2:
        findings.add(said.place, f"{quoted(said.value)} is not a slit.", like)
        return None
    try:
        (x1, y1), (x2, y2) = (read_pair(end, said.unit) for end in ends)
    except ValueError as wrong:
        findings.refuse(said.place, str(wrong))
        return None
    if (x1 == x2) == (y1 == y2):
        what = f"The slit {quoted(said.value)} runs neither straight across nor straight down."
        findings.add(said.place, what, like)
        return None
    return Line(min(x1, x2), min(y1, y2), max(x1, x2), max(y1, y2))
