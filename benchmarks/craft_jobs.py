"""Made-up batches of layered cards as packing tasks: realistic sizes, papers and directions, one task per paper.

In: a seed and a number of copies. Out: one PackingTask for each of five to seven papers, lengths in ticks. Cards,
borders and sheet sizes are the usual ones of the trade (common practice, no published source); everything else is
drawn at random. The parameters of the search were never fitted to these seeds beyond 1000 to 1199.
"""

from __future__ import annotations

import random
from dataclasses import dataclass

from nesting.lengths import TICKS_PER_INCH, TICKS_PER_MM
from nesting.packing.layout import Allowed, CutRules, PackingTask, PieceKind, SheetKind

SIXTEENTH = TICKS_PER_INCH // 16
# Card fronts across x up, in sixteenths of an inch or in mm.
INCH_CARDS = ((68, 88), (80, 112), (84, 84), (56, 136), (96, 96), (72, 104), (68, 68))
MM_CARDS = ((105, 148), (135, 135), (148, 148), (99, 210), (74, 105))
INCH_SHEETS = ((192, 192), (192, 192), (192, 192), (136, 176))
MM_SHEETS = ((210, 297), (305, 305))

Size = tuple[int, int]


@dataclass(frozen=True, slots=True)
class CraftPaper:
    """One paper of a batch: its name in the tables and the task of cutting everything from it."""

    name: str
    turns: bool
    task: PackingTask


def craft_batch(seed: int, copies: int) -> tuple[CraftPaper, ...]:
    """Two to four designs, each `copies` times (with a mix of up to three to one), over five to seven papers."""
    rng = random.Random(seed)
    metric = rng.random() < 0.3
    grid = TICKS_PER_MM if metric else SIXTEENTH
    papers = rng.randint(5, 7)
    plain = [number < 3 or rng.random() < 0.3 for number in range(papers)]
    needs: list[dict[Size, int]] = [{} for _ in range(papers)]
    for _ in range(rng.randint(2, 4)):
        _design(rng, needs, plain, metric, copies * rng.choice((1, 1, 2, 3)))
    sheets = [rng.choice(MM_SHEETS if metric else INCH_SHEETS) for _ in range(papers)]
    found = []
    for number in range(papers):
        if needs[number]:
            task = _task(needs[number], sheets[number], plain[number], grid)
            found.append(CraftPaper(f"paper {number + 1}", plain[number], task))
    return tuple(found)


def _task(needs: dict[Size, int], sheet: Size, turns: bool, grid: int) -> PackingTask:
    width, height = sheet
    fitting = {
        size: count
        for size, count in needs.items()
        if (size[0] <= width and size[1] <= height) or (turns and size[1] <= width and size[0] <= height)
    }
    pieces = tuple(
        PieceKind(size[0] * grid, size[1] * grid, count, (Allowed(0, turns),)) for size, count in fitting.items()
    )
    return PackingTask(pieces, (SheetKind(width * grid, height * grid, cost=1000),), CutRules())


def _design(rng: random.Random, needs: list[dict[Size, int]], plain: list[bool], metric: bool, cards: int) -> None:
    across, up = rng.choice(MM_CARDS if metric else INCH_CARDS)
    fold = rng.choice(("side", "top", "gate", "tri"))
    base = {"side": (2 * across, up), "top": (across, 2 * up), "gate": (2 * across, up), "tri": (3 * across, up)}[fold]
    plains = [number for number, is_plain in enumerate(plain) if is_plain]
    prints = [number for number, is_plain in enumerate(plain) if not is_plain] or plains
    _add(needs, rng.choice(plains), base, cards)
    panels = {"side": [(across, up)], "top": [(across, up)], "gate": [(across // 2, up)] * 2, "tri": [(across, up)] * 3}
    borders = (2, 4, 6) if metric else (2, 4)
    for panel in panels[fold] + [(across, up)] * rng.randint(0, 1):
        size = panel
        for depth in range(rng.randint(1, 3)):
            less = rng.choice(borders)
            size = (size[0] - less, size[1] - less)
            _add(needs, rng.choice(plains if depth % 2 == 0 else prints), size, cards)
    for _ in range(rng.randint(0, 3)):
        _extra(rng, needs, plains, prints, metric, across, cards)


def _extra(
    rng: random.Random, needs: list[dict[Size, int]], plains: list[int], prints: list[int], metric: bool,
    across: int, cards: int,
) -> None:  # fmt: skip
    """A sentiment strip, a banner, a tag or a few blanks for die cuts."""
    unit = 2 if metric else 1
    strip = (max(16, across - rng.choice((8, 16, 24))), rng.choice((8, 10, 12)) * unit)
    tag = (rng.choice((20, 24, 28)) * unit, rng.choice((32, 40, 44)) * unit)
    blank = (rng.choice((16, 20, 24)) * unit, rng.choice((16, 20, 24)) * unit)
    size, count = rng.choice(((strip, 1), (tag, 1), (blank, rng.randint(2, 4))))
    _add(needs, rng.choice(plains + prints), size, cards * count)


def _add(needs: list[dict[Size, int]], paper: int, size: Size, count: int) -> None:
    needs[paper][size] = needs[paper].get(size, 0) + count
