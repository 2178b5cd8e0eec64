"""Runs become lines of instruction: the table is played through, parts in stacks, and every line and leaf is noted.

In: the register of parts, whole sheets with their copies, and a tuple of runs (one run is one setting of the stop
and what is cut at it). Out: passes, cut lines and leaves for the maps, and how many piles lay about. The fact of
the trade: at one setting everything that lies one way is cut before the paper is turned.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from nesting.cutting.parts import Cutting, Leaf, Parts
from nesting.cutting.passes import Comes, Edge, MapCut, MapPart, Pass, TablePart, WaysOfWork, What
from nesting.packing.layout import Axis


@dataclass(frozen=True, slots=True)
class Run:
    """One setting of the stop, and the parts (numbers) that are taken to it: piles on the table, whole sheets.

    What comes off on the way and can be cut at the same setting is cut too.
    """

    setting: int
    parts: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Sheets:
    """`copies` whole sheets of layout number `layout`, as part number `part`."""

    layout: int
    part: int
    copies: int


@dataclass(frozen=True, slots=True)
class _Place:
    """Where one part lies on a map, and how many errors of the stop each of its extents carries."""

    layout: int
    copies: int
    x: int
    y: int
    stage: int
    axis: Axis | None  # of the last cut
    errors: tuple[int, int]  # across, down


@dataclass(slots=True)
class Table:
    """What lies on the table, and what has been noted so far."""

    parts: Parts
    names: Names
    ways: WaysOfWork
    waiting: dict[int, list[_Place]] = field(default_factory=dict)  # whole sheets, not begun
    piles: dict[int, list[_Place]] = field(default_factory=dict)
    passes: list[Pass] = field(default_factory=list)
    cuts: list[MapCut] = field(default_factory=list)
    leaves: list[MapPart] = field(default_factory=list)
    number: int = 0
    setting: int = 0
    most_piles: int = 0

    def bring(self, sheets: Sheets) -> None:
        """Lay whole sheets beside the trimmer; sheets that need no cut are done."""
        edge = int(self.ways.square_first)
        place = _Place(sheets.layout, sheets.copies, 0, 0, 0, None, (edge, edge))
        if self.parts.is_block(sheets.part):
            self.waiting.setdefault(sheets.part, []).append(place)
        else:
            self._lay_down(sheets.part, place)

    def play(self, run: Run) -> None:
        """Make all the cuts of one run; the same setting twice in a row is one run."""
        hands: dict[int, list[_Place]] = {}
        for part in run.parts:
            places = self.piles.pop(part, []) + self.waiting.pop(part, [])
            if places:
                hands[part] = places
        if hands and run.setting != self.setting:
            self.number += 1
            self.setting = run.setting
        while hands:
            axis = self._next_axis(hands)
            for part in sorted((p for p in hands if self.parts.block(p).axis is axis), key=self._first_in_hand):
                self._cut(part, hands.pop(part), hands)
        self.most_piles = max(self.most_piles, len(self.piles))

    def _next_axis(self, hands: dict[int, list[_Place]]) -> Axis:
        axes = {self.parts.block(part).axis for part in hands}
        last = self.passes[-1].edge.axis if self.passes else Axis.ACROSS
        return last if last in axes else last.other

    def _first_in_hand(self, part: int) -> tuple[int, int]:
        block = self.parts.block(part)
        return -block.width * block.height, part

    def _cut(self, part: int, places: list[_Place], hands: dict[int, list[_Place]]) -> None:
        cutting = self.parts.cut(part, self.setting)
        assert cutting is not None
        self._write_pass(part, cutting, sum(place.copies for place in places))
        for place in places:
            for number, spot in self._cut_place(part, cutting, place):
                if self.parts.is_block(number) and self.parts.cut(number, self.setting) is not None:
                    hands.setdefault(number, []).extend([spot, *self.piles.pop(number, [])])
                else:
                    self._lay_down(number, spot)

    def _lay_down(self, number: int, place: _Place) -> None:
        part = self.parts[number]
        if isinstance(part, Leaf):
            self.leaves.append(
                MapPart(
                    place.layout, place.x, place.y, part.width, part.height, part.table, part.turned, max(place.errors)
                )
            )
        else:
            self.piles.setdefault(number, []).append(place)

    # ------------------------------------------------------------------------------------------ one part

    def _cut_place(self, part: int, cutting: Cutting, place: _Place) -> list[tuple[int, _Place]]:
        """Cut one part on its map: note the lines, and say where everything that comes off lies."""
        block = self.parts.block(part)
        across = block.axis is Axis.ACROSS
        stage = place.stage if place.axis is block.axis else place.stage + 1
        start = place.x if across else place.y
        end = start + block.extent
        came: list[tuple[int, _Place]] = []
        for count, number in enumerate(cutting.off, start=1):
            last = count > cutting.strokes
            at = end - self.setting if cutting.from_end else start
            errors = self._errors(place, across, cutting.strokes if last else None)
            came.append((number, self._moved(place, across, at, stage, block.axis, errors)))
            if not last:
                line = at if cutting.from_end else at + self.setting
                self._note_line(place, block.width, block.height, across, line, stage)
                start = start if cutting.from_end else at + self.setting + self.parts.kerf
        if cutting.left is not None:
            errors = self._errors(place, across, cutting.strokes)
            came.append((cutting.left, self._moved(place, across, min(start, end), stage, block.axis, errors)))
        return came

    @staticmethod
    def _errors(place: _Place, across: bool, strokes: int | None) -> tuple[int, int]:
        """Errors of a part cut directly (strokes is None), or of what stays after so many strokes."""
        wide, high = place.errors
        if across:
            return (1 if strokes is None else wide + strokes), high
        return wide, (1 if strokes is None else high + strokes)

    @staticmethod
    def _moved(
        place: _Place, across: bool, at: int, stage: int, axis: Axis, errors: tuple[int, int]
    ) -> _Place:
        x, y = (at, place.y) if across else (place.x, at)
        return _Place(place.layout, place.copies, x, y, stage, axis, errors)

    def _note_line(self, place: _Place, width: int, height: int, across: bool, line: int, stage: int) -> None:
        ends = (line, place.y, line, place.y + height) if across else (place.x, line, place.x + width, line)
        self.cuts.append(MapCut(place.layout, self.number, stage, *ends))

    # ------------------------------------------------------------------------------------------ one line

    def _write_pass(self, part: int, cutting: Cutting, count: int) -> None:
        block = self.parts.block(part)
        near, far = (Edge.LEFT, Edge.RIGHT) if block.axis is Axis.ACROSS else (Edge.TOP, Edge.BOTTOM)
        step = self.ways.ruler_step
        mark = None if self.setting % step == 0 else (self.setting + step // 2) // step * step
        comes: dict[TablePart, int] = {}
        for number in (*cutting.off, *(() if cutting.left is None else (cutting.left,))):
            table = self.names.of(number)
            comes[table] = comes.get(table, 0) + count
        self.passes.append(
            Pass(
                number=self.number,
                setting=self.setting,
                edge=far if cutting.from_end else near,
                part=self.names.of(part),
                stacks=stacks(count, self.ways.deep),
                cuts=cutting.strokes,
                comes=tuple(Comes(table, each) for table, each in comes.items()),
                turned=bool(self.passes) and self.passes[-1].edge.axis is not block.axis,
                setting_mark=mark,
                spacer=self._needs_spacer(part, cutting),
                squares=self.ways.square_first and block.pinned and not any(map(self.parts.pieces_in, cutting.off)),
            )
        )

    def _needs_spacer(self, part: int, cutting: Cutting) -> bool:
        """Whether the part, before one of these cuts, is narrower than can be held."""
        block = self.parts.block(part)
        before_last = block.extent - (cutting.strokes - 1) * (self.setting + self.parts.kerf)
        return min(block.width, block.height, before_last) < self.ways.narrowest_held


def stacks(count: int, deep: int) -> tuple[int, ...]:
    """So many equal parts in stacks as deep as may be."""
    full, rest = divmod(count, deep)
    return (deep,) * full + ((rest,) if rest else ())


class Names:
    """What each part is called: letters; parts of one size and one set of letters are numbered from the second on."""

    def __init__(self, parts: Parts) -> None:
        self._parts = parts
        self._known: dict[int, TablePart] = {}
        self._taken: dict[TablePart, int] = {}

    def of(self, number: int) -> TablePart:
        """The part as the reader of the instructions knows it."""
        part = self._parts[number]
        if isinstance(part, Leaf):
            return part.table
        if number not in self._known:
            name = " ".join(self._parts.letters_in(number))
            plain = TablePart(What.PART, part.width, part.height, name)
            again = self._taken[plain] = self._taken.get(plain, 0) + 1
            named = plain if again == 1 else TablePart(What.PART, part.width, part.height, f"{name} ({again})".strip())
            self._known[number] = named
        return self._known[number]
