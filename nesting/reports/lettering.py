"""Text as it will be set: runs of letters and stacked fractions, measured before anything is drawn.

In: words and lengths. Out: rows of text with their width, height and the place of every run, in inches. Sizes are
known from the advance widths of DejaVu Sans, the typeface that ships with matplotlib, so that no drawing library is
needed to find out whether a label fits. The fact of the trade: a ruler shows 5 1/4 with its fraction stacked.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from nesting.lengths import Length, Unit, as_fraction, write_length
from nesting.reports.look import POINT

TIMES = "\u00d7"  # copies and sizes, never cuts
CAP_HEIGHT = 0.729  # of the type size: capitals and figures
ASCENT = 0.765  # the tallest letters
DESCENT = 0.24  # below the line, where a letter goes there
FRACTION_SIZE = 0.68  # a fraction's figures, of the type size
_EM = 2048
_HANGING = frozenset("gjpqyQJ,;()[]{}|/ß_çÇşţ„")
_BAR_HEIGHT = CAP_HEIGHT / 2  # of a fraction's bar above the line
_BAR_GAP = 0.075
_FRACTION_AIR = 0.06  # left and right of a fraction


@dataclass(frozen=True, slots=True)
class Stacked:
    """A proper fraction, set with its top over its bottom."""

    top: int
    bottom: int

    def __str__(self) -> str:
        return f"{self.top}/{self.bottom}"


Run = str | Stacked
Words = tuple[Run, ...]


@dataclass(frozen=True, slots=True)
class PlacedRun:
    """One run of plain letters: its left end and baseline, relative to the row's, y down; size in points."""

    text: str
    x: float
    y: float
    size: float


@dataclass(frozen=True, slots=True)
class PlacedBar:
    """The bar of a fraction, from (x0, y) to (x1, y) relative to the row's left end; weight in points."""

    x0: float
    x1: float
    y: float
    weight: float


def length_words(length: Length, unit: Unit) -> Words:
    """A length as a ruler shows it; in millimetres with its unit where it is off the inch ruler."""
    parts = as_fraction(length) if unit is Unit.INCH and length.ticks >= 0 else None
    if parts is None or not parts[1]:
        return (write_length(length, unit),)
    whole, top, bottom = parts
    return (str(whole), Stacked(top, bottom)) if whole else (Stacked(top, bottom),)


def size_words(width: Length, height: Length, unit: Unit) -> Words:
    """Width x height, across and then up."""
    return joined((*length_words(width, unit), f" {TIMES} ", *length_words(height, unit)))


def joined(words: Iterable[Run]) -> Words:
    """The same words with neighbouring runs of letters made one."""
    runs: list[Run] = []
    for run in words:
        if isinstance(run, str) and runs and isinstance(runs[-1], str):
            runs[-1] += run
        elif run != "":
            runs.append(run)
    return tuple(runs)


def plain(words: Words) -> str:
    """The words for those who cannot see them: fractions written 5 1/4."""
    text = ""
    for run in words:
        text += f" {run}" if isinstance(run, Stacked) and text[-1:].isdigit() else str(run)
    return text


@cache
def _widths(font: str) -> dict[str, int]:
    lines = (files("nesting.reports") / "dejavu_widths.txt").read_text(encoding="utf-8").splitlines()
    table: dict[str, int] = {}
    for name, first, *widths in (line.split() for line in lines if not line.startswith("#")):
        if name == font:
            table.update((chr(int(first, 16) + n), int(width)) for n, width in enumerate(widths) if width != "0")
    return table


def text_width(text: str, size: float, bold: bool = False) -> float:
    """Width in inches of plain letters of `size` points; a letter that the table lacks counts as a whole em."""
    table = _widths("bold" if bold else "regular")
    return sum(table.get(letter, _EM) for letter in text) / _EM * size * POINT


def _fraction_width(fraction: Stacked, size: float, bold: bool) -> float:
    figures = max(text_width(str(n), size * FRACTION_SIZE, bold) for n in (fraction.top, fraction.bottom))
    return figures + 2 * _FRACTION_AIR * size * POINT


def words_width(words: Words, size: float, bold: bool = False) -> float:
    """Width in inches of a row of words."""
    return sum(
        text_width(run, size, bold) if isinstance(run, str) else _fraction_width(run, size, bold) for run in words
    )


def words_height(words: Words, size: float) -> tuple[float, float]:
    """How far a row of words reaches above and below its baseline, in inches."""
    has_fraction = any(isinstance(run, Stacked) for run in words)
    hangs = any(isinstance(run, str) and not _HANGING.isdisjoint(run) for run in words)
    figure = _BAR_GAP + CAP_HEIGHT * FRACTION_SIZE + 0.01
    above = _BAR_HEIGHT + figure if has_fraction else ASCENT
    below = max(figure - _BAR_HEIGHT if has_fraction else 0.015, DESCENT if hangs else 0.0)
    return above * size * POINT, below * size * POINT


def set_words(words: Words, size: float, bold: bool = False) -> tuple[tuple[PlacedRun, ...], tuple[PlacedBar, ...]]:
    """Every run and every fraction bar of a row, from its left end at (0, 0)."""
    runs: list[PlacedRun] = []
    bars: list[PlacedBar] = []
    x = 0.0
    em = size * POINT
    for run in words:
        if isinstance(run, str):
            lead = text_width(run[: len(run) - len(run.lstrip())], size, bold)
            if run.strip():
                runs.append(PlacedRun(run.strip(), x + lead, 0.0, size))
            x += text_width(run, size, bold)
            continue
        width, small = _fraction_width(run, size, bold), size * FRACTION_SIZE
        bar = -_BAR_HEIGHT * em
        for number, baseline in (
            (run.top, bar - _BAR_GAP * em),
            (run.bottom, bar + (_BAR_GAP + CAP_HEIGHT * FRACTION_SIZE) * em),
        ):
            text = str(number)
            runs.append(PlacedRun(text, x + (width - text_width(text, small, bold)) / 2, baseline, small))
        air = _FRACTION_AIR * em * 0.5
        bars.append(PlacedBar(x + air, x + width - air, bar, size * (0.075 if bold else 0.055)))
        x += width
    return tuple(runs), tuple(bars)
