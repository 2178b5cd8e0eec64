"""The steps in which a base is made ready to fold: scores first, then slits, then what is cut out with the knife.

In: a Base. Out: Steps in order, numbered, each with its stop, the lines it makes and how far they run. The facts of
the trade: a score is pressed at a stop like a cut is made, one setting for all that lie there, and it is pressed
before the knife opens the paper and makes it weak.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from nesting.describe.designs import Area, Base, Fold, FoldKind, Line
from nesting.lengths import ZERO, Length, Unit
from nesting.reports.lettering import TIMES, Words, joined, length_words, size_words


class Make(Enum):
    """What a step makes."""

    VALLEY = "valley"
    MOUNTAIN = "mountain"
    SLIT = "slit"
    CUT_OUT = "cut out"


@dataclass(frozen=True, slots=True)
class Step:
    """One step: what is made, at which setting from the left edge (or the top one), and its lines.

    far: how far the lines run, in words. area: the rectangle that a step cuts out, else None.
    """

    number: int
    make: Make
    setting: Length
    from_left: bool
    lines: tuple[Line, ...]
    far: Words
    area: Area | None = None

    @property
    def group(self) -> str:
        """The heading that the step comes under."""
        edge = "left" if self.from_left else "top"
        if self.make is Make.CUT_OUT:
            return "cut out with a knife"
        if self.make is Make.SLIT:
            return f"slit with a knife: from the {edge} edge"
        return f"score: {edge} edge to stop"


def steps(base: Base, unit: Unit) -> tuple[Step, ...]:
    """All steps of a base, in the order in which they are made."""
    found: list[Step] = []
    for from_left in (True, False):
        for kind, lines in _by_place(base.folds, from_left):
            make = Make.VALLEY if kind is FoldKind.VALLEY else Make.MOUNTAIN
            found.append(Step(0, make, _place(lines[0]), from_left, lines, _how_far(lines, base, unit)))
    for from_left in (True, False):
        for slits in _slits_by_place(base.slits, from_left):
            found.append(Step(0, Make.SLIT, _place(slits[0]), from_left, slits, _from_to(slits, base, unit)))
    for area in (*base.cut_away, *base.windows):
        size = size_words(area.width, area.height, unit)
        place = (*length_words(area.x, unit), " from left, ", *length_words(area.y, unit), " from top")
        far = joined((*size, " at ", *place))
        found.append(Step(0, Make.CUT_OUT, area.x, True, (), far, area))
    return tuple(
        Step(n, s.make, s.setting, s.from_left, s.lines, s.far, s.area) for n, s in enumerate(found, start=1)
    )


def _place(line: Line) -> Length:
    return line.x1 if line.runs_down else line.y1


def _ends(line: Line) -> tuple[Length, Length]:
    return (line.y1, line.y2) if line.runs_down else (line.x1, line.x2)


def _by_place(folds: tuple[Fold, ...], from_left: bool) -> list[tuple[FoldKind, tuple[Line, ...]]]:
    """Folds of one kind at one place are scored together."""
    groups: dict[tuple[Length, str], list[Fold]] = {}
    for fold in folds:
        if fold.line.runs_down is from_left:
            groups.setdefault((_place(fold.line), fold.kind.value), []).append(fold)
    return [
        (groups[key][0].kind, tuple(sorted((f.line for f in groups[key]), key=_ends))) for key in sorted(groups)
    ]


def _slits_by_place(slits: tuple[Line, ...], from_left: bool) -> list[tuple[Line, ...]]:
    groups: dict[Length, list[Line]] = {}
    for slit in slits:
        if slit.runs_down is from_left:
            groups.setdefault(_place(slit), []).append(slit)
    return [tuple(sorted(groups[key], key=_ends)) for key in sorted(groups)]


def _how_far(lines: tuple[Line, ...], base: Base, unit: Unit) -> Words:
    """In words where the ends lie on edges and slits, else in figures."""
    named = [tuple(_end_word(line, end, base) for end in _ends(line)) for line in lines]
    if any("" in ends for ends in named):
        return _from_to(lines, base, unit)
    kinds = {tuple(sorted(ends)) for ends in named}
    if len(kinds) > 1:
        return _from_to(lines, base, unit)
    first, second = sorted(named[0])
    both = ", both ends" if len(lines) == 2 and first != second else f", {len(lines)} times" if len(lines) > 1 else ""
    return (f"{first} to {second}{both}",)


def _end_word(line: Line, end: Length, base: Base) -> str:
    """Whether a line ends at an edge of the base, at a slit, or anywhere else (empty)."""
    if end in (ZERO, base.height if line.runs_down else base.width):
        return "edge"
    for slit in base.slits:
        low, high = _ends(slit)
        if slit.runs_down is not line.runs_down and _place(slit) == end and low <= _place(line) <= high:
            return "slit"
    return ""


def _from_to(lines: tuple[Line, ...], base: Base, unit: Unit) -> Words:
    """From where to where each line runs."""
    words: list[str | object] = []
    for line in lines:
        low, high = _ends(line)
        words += [", " if words else "from ", *length_words(low, unit), " to ", *length_words(high, unit)]
    return joined(words)  # type: ignore[arg-type]


def copies_words(base: Base, copies: int, unit: Unit) -> Words:
    """The flat size of the base and how many are made."""
    size = size_words(base.width, base.height, unit)
    return joined(("base ", *size, f" {unit.value}  ·  {TIMES} {copies}"))
