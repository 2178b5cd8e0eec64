"""What is written into the parts of a map: letter and size where they fit, less where they do not.

In: the room inside each part, the words, what must be kept clear of. Out: labels, and the parts that even a letter
does not fit into, which get a key outside of the sheet. The fact of the trade: a crafter finds the part by its letter
first and checks its size second, so the size goes before the letter does, and type never shrinks below its floor.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import lru_cache

from nesting.cutting.passes import What
from nesting.lengths import Length, Unit
from nesting.reports.drawing import Box, Label
from nesting.reports.lettering import TIMES, Words, length_words, size_words, words_height, words_width
from nesting.reports.look import CLEARANCE, FLOOR, INK, POINT
from nesting.reports.map_subject import Cell

_LETTER_SIZES = (22.0, 18.0, 16.0, 14.0)
_KEEP_SIZES = (14.0, 13.0, 12.0, 11.5)
_SIZE_SIZES = (13.5, 12.5, 12.0, 11.5)
_ALONE = (16.0, 14.0, 12.5, 11.0, FLOOR)
_SMALLEST = 0.5


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a block: words, size in points, bold or not; a turned row reads upwards."""

    words: Words
    size: float
    bold: bool = False
    turned: bool = False

    @property
    def reach(self) -> tuple[float, float, float]:
        """Width, and how far it reaches above and below its own baseline, as it lies on the page."""
        width = words_width(self.words, self.size, self.bold)
        above, below = words_height(self.words, self.size)
        return (above + below, width, 0.0) if self.turned else (width, above, below)


@dataclass(frozen=True, slots=True)
class Block:
    """Rows of a label, one below the other, or side by side on one baseline; `step` says how far it stepped down."""

    step: int
    rows: tuple[Row, ...]
    beside: bool = False
    extent: tuple[float, float] = field(init=False, compare=False, repr=False)  # width and height

    def __post_init__(self) -> None:
        object.__setattr__(self, "extent", self._measured())

    @property
    def clearance(self) -> float:
        """From lines above and below; a letter at the floor of sizes comes nearer before it leaves its part."""
        return CLEARANCE if max(row.size for row in self.rows) > FLOOR else CLEARANCE / 2

    @property
    def gap(self) -> float:
        """Between neighbouring rows, in inches."""
        return (0.55 if self.beside else 0.3) * min(row.size for row in self.rows) * POINT

    def _measured(self) -> tuple[float, float]:
        reaches = [row.reach for row in self.rows]
        gaps = self.gap * (len(self.rows) - 1)
        if self.beside:
            return sum(r[0] for r in reaches) + gaps, max(r[1] for r in reaches) + max(r[2] for r in reaches)
        return max(r[0] for r in reaches), sum(r[1] + r[2] for r in reaches) + gaps

    def labels(self, centre: tuple[float, float], colour: str = INK) -> tuple[Label, ...]:
        """The rows round a point."""
        width, height = self.extent
        x, y = centre[0] - width / 2, centre[1] - height / 2
        labels = []
        for row in self.rows:
            wide, above, below = row.reach
            if self.beside:
                top = max(r.reach[1] for r in self.rows)
                labels.append(Label(row.words, x, y + top, row.size, row.bold, colour))
                x += wide + self.gap
                continue
            y += above
            if row.turned:
                over = words_height(row.words, row.size)[0]
                labels.append(Label(row.words, centre[0] - wide / 2 + over, y, row.size, row.bold, colour, turned=True))
            else:
                labels.append(Label(row.words, centre[0], y, row.size, row.bold, colour, "middle"))
            y += below + self.gap
        return tuple(labels)


def blocks(cell: Cell, unit: Unit) -> tuple[Block, ...]:
    """All ways to label a part, the fullest first."""
    return _blocks(cell.what, cell.letter, cell.width, cell.height, unit)


@lru_cache(2000)
def _blocks(what: What, name: str, width: int, height: int, unit: Unit) -> tuple[Block, ...]:
    return tuple(_every_block(what, name, Length(width), Length(height), unit))


def _every_block(what: What, name: str, width: Length, height: Length, unit: Unit) -> Iterator[Block]:
    letter: Words = (name,)
    if what is What.SCRAP:
        yield Block(4, (Row(letter, FLOOR),))
        yield Block(4, (Row(letter, FLOOR, turned=True),))
        return
    size = size_words(width, height, unit)
    across, up = length_words(width, unit), length_words(height, unit)
    pairs = tuple(zip(_KEEP_SIZES if what is What.KEEP else _LETTER_SIZES, _SIZE_SIZES, strict=True))
    for big, small in pairs:
        yield Block(1, (Row(letter, big, True), Row(size, small)))
    for big, small in pairs:
        yield Block(2, (Row(letter, big, True), Row(size, small)), beside=True)
    for big, small in pairs:
        yield Block(3, (Row(letter, big, True), Row(across, small), Row((TIMES,), small), Row(up, small)))
    for big, small in pairs:
        yield Block(3, (Row(letter, big, True), Row(size, small, turned=True)))
    for big in _ALONE:
        yield Block(4, (Row(letter, big, True),))
    if len(name) > 1:
        for big in _ALONE:
            yield Block(4, (Row(letter, big, True, turned=True),))


def smallest_letter(cell: Cell, room: Box) -> Block:
    """The last way out: the letter as large as the part allows, however small."""
    ways = _ever_smaller(cell.letter)
    return next((b for b in ways if b.extent[0] <= room.width and b.extent[1] <= room.height), ways[-1])


@lru_cache(2000)
def _ever_smaller(name: str) -> tuple[Block, ...]:
    """The letter from the floor of sizes down, upright and turned; the smallest at the end."""
    sizes = [FLOOR - 0.25 * n for n in range(round((FLOOR - _SMALLEST) * 4))]
    ways = [Block(5, (Row((name,), size, True, turned),)) for size in sizes for turned in (False, True)]
    return (*ways, Block(5, (Row((name,), _SMALLEST, True),)))


def place(options: Iterable[Block], rooms: Sequence[Box]) -> tuple[Block, tuple[Label, ...]] | None:
    """The first block that fits into one of the rooms with its clearance, in the middle of the largest it fits."""
    by_area = sorted(rooms, key=lambda box: (-round(box.width * box.height, 6), box.y0, box.x0))
    for block in options:
        width, height = block.extent[0] + 2 * CLEARANCE, block.extent[1] + 2 * block.clearance
        for room in by_area:
            if width <= room.width and height <= room.height:
                return block, block.labels(room.centre)
    return None


def free_rooms(box: Box, obstacles: Sequence[Box]) -> tuple[Box, ...]:
    """The largest rectangles of a box that none of the obstacles reach into."""
    rooms = [box]
    for obstacle in obstacles:
        split: list[Box] = []
        for room in rooms:
            if not room.meets(obstacle):
                split.append(room)
                continue
            split.extend(
                part
                for part in (
                    Box(room.x0, room.y0, room.x1, min(obstacle.y0, room.y1)),
                    Box(room.x0, max(obstacle.y1, room.y0), room.x1, room.y1),
                    Box(room.x0, room.y0, min(obstacle.x0, room.x1), room.y1),
                    Box(max(obstacle.x1, room.x0), room.y0, room.x1, room.y1),
                )
                if part.width > 0.04 and part.height > 0.04
            )
        rooms = _largest(split)
    return tuple(rooms)


def _largest(rooms: list[Box]) -> list[Box]:
    """Those that no other one holds; of equal ones the first."""
    return [
        room
        for n, room in enumerate(rooms)
        if not any(other.holds(room) and (other != room or m < n) for m, other in enumerate(rooms) if m != n)
    ]
