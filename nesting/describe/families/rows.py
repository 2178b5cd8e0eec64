"""Panels in one row: the strip of paper that most folded cards are.

In: the lengths of the panels along the strip, how broad it is, and the fold after each. Out: a Base. The fact of the
trade: a card folded at the side is a strip that runs across, one folded at the top a strip that runs down.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import accumulate

from nesting.describe.designs import Area, Base, Fold, FoldKind, Line, Panel
from nesting.describe.families.family import CannotBe, Given
from nesting.errors import Place
from nesting.lengths import ZERO, Length

VALLEY, MOUNTAIN = FoldKind.VALLEY, FoldKind.MOUNTAIN


def row_of_panels(
    panels: Sequence[Length],
    breadth: Length,
    folds: Sequence[FoldKind],
    *,
    down: bool = False,
    straight: Sequence[int] = (),
    first: int = 1,
    name: str = "base",
    lies: tuple[tuple[Length, Length], ...] = ((ZERO, ZERO),),
) -> Base:
    """A strip of panels numbered from `first`; `straight`: the folds (from 0) that do not lie folded over when shut."""
    ends = list(accumulate(panels, initial=ZERO))
    whole = ends[-1]
    if down:
        found = [Panel(first + i, ZERO, ends[i], breadth, panel) for i, panel in enumerate(panels)]
        lines = [Line(ZERO, at, breadth, at) for at in ends[1:-1]]
    else:
        found = [Panel(first + i, ends[i], ZERO, panel, breadth) for i, panel in enumerate(panels)]
        lines = [Line(at, ZERO, at, breadth) for at in ends[1:-1]]
    scored = [
        Fold(kind, line, i not in straight) for i, (kind, line) in enumerate(zip(folds, lines, strict=True))
    ]  # fmt: skip
    return base_of(*((breadth, whole) if down else (whole, breadth)), found, scored, name=name, lies=lies)


def base_of(
    width: Length,
    height: Length,
    panels: Sequence[Panel],
    folds: Sequence[Fold],
    *,
    slits: Sequence[Line] = (),
    cut_away: Sequence[Area] = (),
    windows: Sequence[Area] = (),
    name: str = "base",
    lies: tuple[tuple[Length, Length], ...] = ((ZERO, ZERO),),
) -> Base:
    """A base whose paper and place are not known yet; its scores are where its folds are."""
    return Base(
        paper="",
        width=width,
        height=height,
        scores_across=tuple(sorted({fold.line.x1 for fold in folds if fold.line.runs_down})),
        scores_down=tuple(sorted({fold.line.y1 for fold in folds if not fold.line.runs_down})),
        panels=tuple(panels),
        place=Place(),
        name=name,
        folds=tuple(folds),
        slits=tuple(slits),
        cut_away=tuple(cut_away),
        windows=tuple(windows),
        lies=lies,
    )


def along_and_breadth(given: Given, panels: int, less: Length = ZERO) -> tuple[Length, Length]:
    """The longest panel along the strip and the strip's breadth, from the closed size or from the flat sheet.

    The flat sheet is `panels` times the longest panel, less `less` for the shorter ones.
    """
    if given.has("size") == given.has("flat"):
        if given.has("size"):
            raise CannotBe("flat", "Both the closed size and the flat sheet are given.", "Keep one of them.")
        raise CannotBe("size", "Neither “size” nor “flat” is given.", 'Add the closed size, like size = "5 x 7".')
    down = given.word("fold") == "top"
    width, height = given.size("size" if given.has("size") else "flat")
    along, breadth = (height, width) if down else (width, height)
    if given.has("flat"):
        along = shared(along + less, panels, "flat", given)
    return along, breadth


def shared(length: Length, parts: int, key: str, given: Given) -> Length:
    """A length cut into equal parts, refused where they do not fall on the ruler."""
    part, rest = divmod(length.ticks, parts)
    if rest:
        whole = given.words(length)
        raise CannotBe(key, f"{whole} cannot be shared into {parts} equal parts exactly.", "Change it a little.")
    return Length(part)


def need_more(length: Length, than: Length, key: str, what: str, given: Given) -> None:
    """Refuse a length that is not larger than another; `what` begins a sentence, "A gap of 5 in leaves no gates"."""
    if length <= than:
        raise CannotBe(key, f"{what}; there is {given.words(length)} to {given.words(than)}.", "Check the two lengths.")
