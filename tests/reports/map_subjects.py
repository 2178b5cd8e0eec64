"""Layouts to be drawn in tests: a known one and random ones, all true trees of straight cuts, numbered by setting."""

from __future__ import annotations

from random import Random

from nesting.cutting.passes import Comes, Edge, MapCut, MapPart, Pass, TablePart, What
from nesting.describe.papers import Grain, PrintDirection
from nesting.lengths import TICKS_PER_INCH, TICKS_PER_MM, Unit
from nesting.reports.map_subject import MapSubject

SIXTEENTH = TICKS_PER_INCH // 16


class Grower:
    """Cuts a sheet at random, or as told, and notes cuts and parts as the order of cuts would."""

    def __init__(self, unit: Unit = Unit.INCH) -> None:
        self.unit = unit
        self.cuts: list[tuple[int, int, int, int, int, int]] = []  # setting, stage, x0, y0, x1, y1
        self.parts: list[tuple[What, int, int, int, int, str]] = []
        self.letters: dict[tuple[int, int], str] = {}

    def letter(self, width: int, height: int) -> str:
        """The same letter for the same size."""
        count = len(self.letters)
        name = chr(65 + count % 26) if count < 26 else chr(64 + count // 26) + chr(65 + count % 26)
        return self.letters.setdefault((width, height), name)

    def leaf(self, what: What, x: int, y: int, width: int, height: int, name: str = "") -> None:
        """Note a part that is done."""
        if width and height:
            word = (name or self.letter(width, height)) if what is What.PIECE else ""
            self.parts.append((what, x, y, width, height, word))

    def split(
        self, vertical: bool, stage: int, x: int, y: int, width: int, height: int, at: int, setting: int
    ) -> None:
        """Note a cut of a part, `at` from its left or top."""
        ends = (x + at, y, x + at, y + height) if vertical else (x, y + at, x + width, y + at)
        self.cuts.append((setting, stage, *ends))

    def grow(
        self, random: Random, x: int, y: int, width: int, height: int, stage: int, vertical: bool, grid: int
    ) -> None:
        """Cut one part at random, at most five stages deep."""
        extent = width if vertical else height
        steps = extent // grid
        if stage > 5 or steps < 2 or random.random() < 0.12 * (stage - 1):
            what = random.choices((What.PIECE, What.KEEP, What.SCRAP), (8, 1, 1))[0]
            self.leaf(what, x, y, width, height)
            return
        at, done = 0, False
        while not done:
            left = extent - at
            size = grid * random.randint(1, max(left // grid, 1))
            repeats = random.choice((1, 1, 2, 3, 6))
            for _ in range(repeats):
                if extent - at <= size:
                    done = True
                    break
                box = (x + at, y, size, height) if vertical else (x, y + at, width, size)
                rest = (x + at, y, extent - at, height) if vertical else (x, y + at, width, extent - at)
                self.split(vertical, stage, *rest, size, size)
                self.grow(random, *box, stage + 1, not vertical, grid)
                at += size
            done = done or extent - at < grid
        rest = (x + at, y, extent - at, height) if vertical else (x, y + at, width, extent - at)
        if rest[2] and rest[3]:
            self.grow(random, *rest, stage + 1, not vertical, grid)

    def subject(self, width: int, height: int, **other: object) -> MapSubject:
        """The subject with its cuts numbered: one number for one setting and stage."""
        order = sorted({(stage, setting) for setting, stage, *_ in self.cuts}, key=lambda s: (s[0], -s[1]))
        numbers = {key: n for n, key in enumerate(order, start=1)}
        cuts = tuple(MapCut(0, numbers[stage, setting], stage, *ends) for setting, stage, *ends in self.cuts)
        kinds = {name: n for n, name in enumerate(sorted({p[5] for p in self.parts if p[5]}))}
        parts = tuple(
            MapPart(0, x, y, w, h, TablePart(what, w, h, name, kinds.get(name)))
            for what, x, y, w, h, name in self.parts
        )
        passes = tuple(
            _pass(number, *key, [cut for cut in self.cuts if cut[1::-1] == key], width, height)
            for key, number in numbers.items()
        )
        facts: dict[str, object] = {
            "title": "Layout 1", "paper": "russet apples", "copies": 4, "unit": self.unit, "passes": passes
        } | other  # fmt: skip
        return MapSubject(width=width, height=height, cuts=cuts, parts=parts, **facts)  # type: ignore[arg-type]


def _pass(
    number: int, stage: int, setting: int, mine: list[tuple[int, int, int, int, int, int]], width: int, height: int
) -> Pass:
    edge = Edge.LEFT if mine[0][2] == mine[0][4] else Edge.TOP
    part = TablePart(What.PART, width, height, "A B" if stage > 1 else "A B C")
    comes = (Comes(TablePart(What.PIECE, setting, setting, "A", 0), 4 * len(mine)),)
    return Pass(number, setting, edge, part, (2, 2), len(mine), comes, turned=stage > 1)


def random_subject(seed: int) -> MapSubject:
    """A random layout: any sheet, inch or millimetre, with or without margins, direction, grain, copies."""
    random = Random(seed)
    unit = random.choice((Unit.INCH, Unit.INCH, Unit.MILLIMETRE))
    step = SIXTEENTH if unit is Unit.INCH else TICKS_PER_MM
    inch_sheets = ((192, 192), (136, 176), (176, 136), (96, 96), (192, 40))
    mm_sheets = ((210, 297), (297, 210), (305, 305), (60, 300), (305, 305))
    width, height = (side * step for side in random.choice(inch_sheets if unit is Unit.INCH else mm_sheets))
    grower = Grower(unit)
    x, y, w, h, stage, vertical = 0, 0, width, height, 1, random.random() < 0.7
    if random.random() < 0.3:
        rim = 4 * step if unit is Unit.INCH else 5 * step
        for at, size, cut_vertical in ((rim, rim, True), (rim, rim, False)):
            grower.split(cut_vertical, 1 if cut_vertical else 2, x, y, w, h, at, size)
            if cut_vertical:
                grower.leaf(What.SCRAP, x, y, rim, h)
                x, w = x + rim, w - rim
            else:
                grower.leaf(What.SCRAP, x, y, w, rim)
                y, h = y + rim, h - rim
        stage, vertical = 3, True
    grid = random.choice((4, 6, 12, 20, 32) if unit is Unit.INCH else (7, 13, 20, 35, 48)) * step
    grower.grow(random, x, y, w, h, stage, vertical, grid)
    direction = random.choice(tuple(PrintDirection))
    grain = random.choice(tuple(Grain)) if direction is PrintDirection.NONE else Grain.UNKNOWN
    bound = ("A", "B") if grain is not Grain.UNKNOWN else ()
    copies = random.choice((1, 2, 4, 9))
    return grower.subject(width, height, copies=copies, direction=direction, grain=grain, grain_bound=bound)


def orchard() -> MapSubject:
    """Four wide columns and narrow ones on a 12 x 12 in one-way print, ends cut again, scrap at the right."""
    grower = Grower()
    s = SIXTEENTH
    full = 192 * s
    at = 0
    for size in (64, 64, 30, 30):
        grower.split(True, 1, at * s, 0, full - at * s, full, size * s, size * s)
        top = 0
        for _ in range(2):
            grower.split(False, 2, at * s, top * s, size * s, full - top * s, 84 * s, 84 * s)
            grower.leaf(What.PIECE, at * s, top * s, size * s, 84 * s)
            top += 84
        if size == 64:
            grower.split(True, 3, at * s, top * s, size * s, 24 * s, 32 * s, 32 * s)
            for half in range(2):
                grower.leaf(What.PIECE, (at + 32 * half) * s, top * s, 32 * s, 24 * s)
        else:
            grower.leaf(What.SCRAP, at * s, top * s, size * s, 24 * s)
        at += size
    grower.leaf(What.SCRAP, at * s, 0, full - at * s, full)
    return grower.subject(full, full, direction=PrintDirection.ONE_WAY)


def pine() -> MapSubject:
    """A 12 x 12 in cardstock: two bases, three short strips, eight narrow strips of 3/8 in, an offcut to keep."""
    grower = Grower()
    s = SIXTEENTH
    full = 192 * s
    grower.split(True, 1, 0, 0, full, full, 136 * s, 136 * s)
    for n in range(2):
        grower.split(False, 2, 0, 88 * n * s, 136 * s, full - 88 * n * s, 88 * s, 88 * s)
        grower.leaf(What.PIECE, 0, 88 * n * s, 136 * s, 88 * s, "H")
    for n in range(8):
        grower.split(True, 3, 6 * n * s, 176 * s, (136 - 6 * n) * s, 16 * s, 6 * s, 6 * s)
        grower.leaf(What.PIECE, 6 * n * s, 176 * s, 6 * s, 16 * s, "J")
    grower.leaf(What.SCRAP, 48 * s, 176 * s, 88 * s, 16 * s)
    for n in range(3):
        grower.split(False, 2, 136 * s, 20 * n * s, 56 * s, full - 20 * n * s, 20 * s, 20 * s)
        grower.leaf(What.PIECE, 136 * s, 20 * n * s, 56 * s, 20 * s, "K")
    grower.leaf(What.KEEP, 136 * s, 60 * s, 56 * s, 132 * s)
    return grower.subject(full, full, paper="pine", grain=Grain.UP, grain_bound=("H",))
