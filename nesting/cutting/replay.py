"""Is this order of cuts true? The passes are played on virtual stacks, from the layouts alone.

In: task, uses, ways of work and a finished CutOrder. Out: sentences, one for each thing that is wrong; none when all
is right. It shares nothing with the modules that find an order: it imports the packer's language and the passes.
The maps of the order say where each cut lies on its sheet; what each pass does is recomputed from rectangles.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from nesting.cutting.passes import CutOrder, Edge, MapCut, MapPart, Order, Pass, TablePart, WaysOfWork, What
from nesting.packing.layout import Axis, CutPart, FreePart, MarginPart, PackingTask, Part, PiecePart, Use


@dataclass(frozen=True, slots=True)
class _Rectangle:
    """A part of one layout's map; there are as many of it as the layout has copies."""

    layout: int
    x: int
    y: int
    width: int
    height: int


@dataclass(frozen=True, slots=True)
class _Past:
    """What was done to a part: the stage and axis of its last cut, errors of the stop across and down."""

    stage: int
    axis: Axis | None
    errors: dict[Axis, int]


@dataclass(frozen=True, slots=True)
class _Stroke:
    """One stroke on a rectangle: what comes off and what stays, either of them None where nothing is left of it."""

    line: MapCut
    off: _Rectangle
    stays: _Rectangle


def replay(task: PackingTask, uses: tuple[Use, ...], ways: WaysOfWork, cut_order: CutOrder) -> tuple[str, ...]:
    """What is wrong with an order of cuts for the uses of one paper; empty when it is right."""
    return _Replay(task, uses, ways, cut_order).wrong()


class _Replay:
    """One run through an order."""

    def __init__(self, task: PackingTask, uses: tuple[Use, ...], ways: WaysOfWork, cut_order: CutOrder) -> None:
        self.task, self.uses, self.ways, self.order = task, uses, ways, cut_order
        self.kerf = task.rules.kerf
        self.faults: list[str] = []
        self.leaf_at: dict[_Rectangle, list[MapPart]] = {}
        for leaf in cut_order.parts:
            spot = _Rectangle(leaf.layout, leaf.x, leaf.y, leaf.width, leaf.height)
            self.leaf_at.setdefault(spot, []).append(leaf)
        self.lines: dict[int, list[MapCut]] = {}
        self.line_at: dict[tuple[int, ...], MapCut] = {}
        for cut in cut_order.cuts:
            self.lines.setdefault(cut.layout, []).append(cut)
            self.line_at[cut.layout, cut.number, cut.x0, cut.y0, cut.x1, cut.y1] = cut
        self.made: Counter[MapCut] = Counter()
        self.piles = 0
        self.past: dict[_Rectangle, _Past] = {}

    def wrong(self) -> tuple[str, ...]:
        """All faults found; those of the maps first, since nothing can be played on a wrong map."""
        self._check_maps()
        if not self.faults:
            self._play()
        if not self.faults:
            self._check_sums()
        return tuple(self.faults)

    # ------------------------------------------------------------------------------------------ the maps

    def _check_maps(self) -> None:
        """Every layout's leaves and cut lines are those of its tree: the same sizes, kinds and number."""
        for layout, use in enumerate(self.uses):
            wanted = Counter(self._leaves_of(use.root))
            found = Counter(
                (leaf.part.what, leaf.width, leaf.height, leaf.part.kind, leaf.turned)
                for leaf in self.order.parts
                if leaf.layout == layout
            )
            for missing, count in (wanted - found).items():
                self.faults.append(f"Layout {layout}: {count} x {missing} is missing from the map.")
            for extra, count in (found - wanted).items():
                self.faults.append(f"Layout {layout}: {count} x {extra} on the map is not in the layout.")
            lines = len(self.lines.get(layout, []))
            if lines != self._lines_of(use.root):
                self.faults.append(f"Layout {layout}: {lines} cut lines on the map, {self._lines_of(use.root)} in it.")
        for leaf in self.order.parts:
            if (leaf.part.width, leaf.part.height) != (leaf.width, leaf.height):
                self.faults.append(f"Layout {leaf.layout}: a part's size differs from its place on the map.")
        if self.lines.keys() - set(range(len(self.uses))):
            self.faults.append("There are cut lines for layouts that do not exist.")

    def _leaves_of(self, part: Part) -> list[tuple[What, int, int, int | None, bool]]:
        if isinstance(part, CutPart):
            return [leaf for child in part.parts for leaf in self._leaves_of(child)]
        if isinstance(part, MarginPart):
            return [(What.SCRAP, part.width, part.height, None, False)]
        if isinstance(part, FreePart):
            return [(self._worth(part), part.width, part.height, None, False)]
        block = self.task.pieces[part.kind].block
        if block is None:
            return [(What.PIECE, part.width, part.height, part.kind, part.turned)]
        down = (block.axis is Axis.DOWN) is not part.turned
        sizes = [(part.width, extent) if down else (extent, part.height) for extent in block.extents]
        return [(What.PIECE, *size, part.kind, part.turned) for size in sizes]

    def _worth(self, part: FreePart) -> What:
        sides, least = sorted((part.width, part.height)), sorted(self.ways.keep_from)
        good = sides[0] > 0 and sides[0] >= least[0] and sides[1] >= least[1]
        return What.KEEP if good else What.SCRAP

    def _lines_of(self, part: Part) -> int:
        if isinstance(part, CutPart):
            return len(part.parts) - 1 + sum(self._lines_of(child) for child in part.parts)
        if isinstance(part, PiecePart):
            block = self.task.pieces[part.kind].block
            return 0 if block is None else len(block.extents) - 1
        return 0

    # ------------------------------------------------------------------------------------------ the passes

    def _play(self) -> None:
        """Cut sheet after sheet as the passes say; what lies there at the end must be the leaves of the maps."""
        table: Counter[_Rectangle] = Counter()
        begun: set[int] = set()
        for layout, use in enumerate(self.uses):
            sheet = _Rectangle(layout, 0, 0, use.root.width, use.root.height)
            table[sheet] += 1
            self.past[sheet] = _Past(0, None, dict.fromkeys(Axis, int(self.ways.square_first)))
        lines = self.order.passes
        for place, line in enumerate(lines):
            before = lines[place - 1] if place else None
            self._check_line(line, before)
            self._play_line(line, table, begun)
            if self.faults:
                return
            if place + 1 == len(lines) or lines[place + 1].number != line.number:
                self.piles = max(self.piles, self._count_piles(table, begun))
        for spot in table:
            if spot not in self.leaf_at:
                self.faults.append(f"Layout {spot.layout}: a part at {spot.x}, {spot.y} was never cut up.")
        self._check_end(table)

    def _check_line(self, line: Pass, before: Pass | None) -> None:
        number = f"Setting {line.number}"
        if before is None:
            follows, turned, same = line.number == 1, False, False
        else:
            follows = line.number in (before.number, before.number + 1)
            turned = before.edge.axis is not line.edge.axis
            same = before.number == line.number
            if same is not (before.setting == line.setting):
                self.faults.append(f"{number}: the stop's number and its setting do not change together.")
        if not follows:
            self.faults.append(f"{number}: numbers do not follow each other.")
        if line.turned is not turned:
            self.faults.append(f"{number}: the turn of the paper is not what the edges say.")
        deep = 1 if self.order.way is Order.SHEET_BY_SHEET else self.ways.deep
        if not line.stacks or max(line.stacks) > deep or min(line.stacks) < 1:
            self.faults.append(f"{number}: a stack is deeper than the trimmer takes.")
        largest = self.ways.largest_setting
        if line.setting <= 0 or (largest is not None and line.setting > largest):
            self.faults.append(f"{number}: the stop cannot be set to {line.setting}.")
        step = self.ways.ruler_step
        off = line.setting % step
        if (line.setting_mark is None) is not (off == 0):
            self.faults.append(f"{number}: the ruler's mark is wrongly given.")
        if line.setting_mark is not None and (
            line.setting_mark % step or 2 * abs(line.setting_mark - line.setting) > step
        ):
            self.faults.append(f"{number}: {line.setting_mark} is not the nearest mark of the ruler.")

    def _play_line(self, line: Pass, table: Counter[_Rectangle], begun: set[int]) -> None:
        """Find the parts that this line means by what it says of them, and cut them."""
        groups: dict[tuple[object, ...], list[tuple[_Rectangle, list[_Rectangle], list[_Stroke]]]] = {}
        for spot in sorted(table, key=lambda s: (s.layout, s.x, s.y)):
            if spot in self.leaf_at or not self._is(spot, line.part):
                continue
            strokes = self._strokes(spot, line)
            if strokes is None:
                continue
            came = [stroke.off for stroke in strokes] + [strokes[-1].stays]
            own = None if self.order.way is Order.BY_SETTING else spot.layout  # else a line works on one layout
            groups.setdefault((self._shape(spot), own), []).append((spot, came, strokes))
        wanted = self._wanted(line)
        # of parts that look alike those are meant that have no more cuts of this setting than the line makes
        for group in sorted(groups.values(), key=lambda group: self._stroke(group[0][2][-1].stays, line) is not None):
            count = sum(self.uses[spot.layout].copies * table[spot] for spot, _, _ in group)
            gives: Counter[TablePart] = Counter()
            for spot, came, _ in group:
                for part in came:
                    gives[self._seen(part)] += self.uses[spot.layout].copies * table[spot]
            if count == sum(line.stacks) and gives == wanted:
                self._take(line, group, table, begun)
                return
        self.faults.append(f"Setting {line.number}: no parts on the table are as this line says: {line.part}.")

    def _take(
        self,
        line: Pass,
        group: list[tuple[_Rectangle, list[_Rectangle], list[_Stroke]]],
        table: Counter[_Rectangle],
        begun: set[int],
    ) -> None:
        least = min(
            min(spot.width, spot.height) for _, _, strokes in group for spot in [self._joined(s) for s in strokes]
        )
        if line.spacer is not (least < self.ways.narrowest_held):
            self.faults.append(f"Setting {line.number}: the spacer is named where none is needed, or missing.")
        for spot, came, strokes in group:
            begun.add(spot.layout)
            del table[spot]
            for part in came:
                table[part] += 1
            for stroke in strokes:
                self.made[stroke.line] += 1
                self._remember(spot, stroke, line.edge.axis)
                spot = stroke.stays

    def _remember(self, spot: _Rectangle, stroke: _Stroke, axis: Axis) -> None:
        """A part cut directly has one error along the axis, what stays has one more than before."""
        past = self.past[spot]
        stage = past.stage + (past.axis is not axis)
        if stroke.line.stage != stage:
            cut = stroke.line
            self.faults.append(f"Layout {spot.layout}: the cut at {cut.x0}, {cut.y0} is of stage {stage}.")
        for part, errors in ((stroke.off, 1), (stroke.stays, past.errors[axis] + 1)):
            self.past[part] = _Past(stage, axis, {**past.errors, axis: errors})

    def _joined(self, stroke: _Stroke) -> _Rectangle:
        """The part as it was before a stroke."""
        a, b = stroke.off, stroke.stays
        x, y = min(a.x, b.x), min(a.y, b.y)
        right = max(a.x + a.width, b.x + b.width)
        bottom = max(a.y + a.height, b.y + b.height)
        return _Rectangle(a.layout, x, y, right - x, bottom - y)

    def _wanted(self, line: Pass) -> Counter[TablePart]:
        wanted: Counter[TablePart] = Counter()
        for comes in line.comes:
            wanted[self._plain(comes.part)] += comes.count
        return wanted

    def _strokes(self, spot: _Rectangle, line: Pass) -> list[_Stroke] | None:
        """The strokes of a line on one part, each on a line of its map with this number; None where there is none."""
        strokes: list[_Stroke] = []
        for _ in range(line.cuts):
            stroke = self._stroke(spot, line)
            if stroke is None:
                return None
            strokes.append(stroke)
            spot = stroke.stays
        return strokes

    def _stroke(self, spot: _Rectangle, line: Pass) -> _Stroke | None:
        across = line.edge.axis is Axis.ACROSS
        extent = spot.width if across else spot.height
        if line.setting > extent:
            return None
        near = line.edge in (Edge.LEFT, Edge.TOP)
        start = spot.x if across else spot.y
        at = start + line.setting if near else start + extent - line.setting
        ends = (at, spot.y, at, spot.y + spot.height) if across else (spot.x, at, spot.x + spot.width, at)
        cut = self.line_at.get((spot.layout, line.number, *ends))
        if cut is None or self.made[cut]:
            return None
        length = max(0, extent - line.setting - self.kerf)
        if near:
            places = (start, line.setting), (min(at + self.kerf, start + extent), length)
        else:
            places = (at, line.setting), (start, length)
        (off, off_length), (stays, stays_length) = places
        if across:
            return _Stroke(
                cut,
                _Rectangle(spot.layout, off, spot.y, off_length, spot.height),
                _Rectangle(spot.layout, stays, spot.y, stays_length, spot.height),
            )
        return _Stroke(
            cut,
            _Rectangle(spot.layout, spot.x, off, spot.width, off_length),
            _Rectangle(spot.layout, spot.x, stays, spot.width, stays_length),
        )

    # ------------------------------------------------------------------------------------------ names

    def _is(self, spot: _Rectangle, part: TablePart) -> bool:
        return self._seen(spot) == self._plain(part)

    def _seen(self, spot: _Rectangle) -> TablePart:
        """What a rectangle is on the table: a leaf of its map, or a part with the letters of its pieces."""
        leaf = self.leaf_at.get(spot)
        if leaf:
            return leaf[0].part
        names = {
            inside.part.name.rstrip("0123456789")
            for inside in self.order.parts
            if inside.layout == spot.layout
            and inside.part.what is What.PIECE
            and spot.x <= inside.x < spot.x + spot.width
            and spot.y <= inside.y < spot.y + spot.height
        }
        name = " ".join(sorted(names, key=lambda letters: (len(letters), letters)))
        return TablePart(What.PART, spot.width, spot.height, name)

    @staticmethod
    def _plain(part: TablePart) -> TablePart:
        """A part's name without the number that tells apart parts of equal size and letters."""
        if part.what is not What.PART:
            return part
        return TablePart(part.what, part.width, part.height, part.name.split("(")[0].rstrip())

    # ------------------------------------------------------------------------------------------ the end

    def _count_piles(self, table: Counter[_Rectangle], begun: set[int]) -> int:
        """Kinds of unfinished parts, by size and all cuts still to come in them; sheets not begun are no piles."""
        kinds = {self._shape(spot) for spot in table if spot.layout in begun and spot not in self.leaf_at}
        return len(kinds)

    def _shape(self, spot: _Rectangle) -> tuple[object, ...]:
        """What is still to come of a part, told without where it lies."""
        lines = tuple(
            sorted(
                (cut.number, cut.x0 - spot.x, cut.y0 - spot.y, cut.x1 - spot.x, cut.y1 - spot.y)
                for cut in self.lines.get(spot.layout, [])
                if spot.x <= cut.x0 and cut.x1 <= spot.x + spot.width
                and spot.y <= cut.y0 and cut.y1 <= spot.y + spot.height
                and not self.made[cut]
            )
        )
        leaves = tuple(
            sorted(
                (leaf.x - spot.x, leaf.y - spot.y, leaf.part.what.value, leaf.part.name, leaf.turned)
                for leaf in self.order.parts
                if leaf.layout == spot.layout
                and spot.x <= leaf.x and leaf.x + leaf.width <= spot.x + spot.width
                and spot.y <= leaf.y and leaf.y + leaf.height <= spot.y + spot.height
            )
        )
        return spot.width, spot.height, lines, leaves

    def _check_end(self, table: Counter[_Rectangle]) -> None:
        for spot, leaves in self.leaf_at.items():
            if table[spot] != len(leaves):
                self.faults.append(f"Layout {spot.layout}: a part at {spot.x}, {spot.y} does not come off.")
            elif leaves[0].part.what is What.PIECE and leaves[0].error_steps != max(self.past[spot].errors.values()):
                self.faults.append(f"Layout {spot.layout}: the errors of {leaves[0].part.name} are wrongly added up.")
        for cuts in self.lines.values():
            for cut in cuts:
                if self.made[cut] != 1:
                    self.faults.append(f"Layout {cut.layout}: the cut at {cut.x0}, {cut.y0} is not made once.")

    def _check_sums(self) -> None:
        """Settings, turns, piles and time are those of the passes."""
        made, ways = self.order, self.ways
        numbers = max((line.number for line in made.passes), default=0)
        settings = numbers
        if self.order.way is Order.SHEET_BY_SHEET:
            pairs = {(cut.layout, cut.number) for cut in made.cuts}
            settings = sum(self.uses[layout].copies for layout, _ in pairs)
        turns = sum(line.turned for line in made.passes)
        seconds = settings * ways.seconds_per_setting + turns * ways.seconds_per_turn
        for line in made.passes:
            seconds += len(line.stacks) * (ways.seconds_per_stack + line.cuts * ways.seconds_per_stroke)
        for what, said, found in (
            ("settings", made.settings, settings),
            ("turns", made.turns, turns),
            ("piles", made.piles, self.piles),
            ("seconds", made.seconds, seconds),
        ):
            if said != found:
                self.faults.append(f"The order says {said} {what}, the passes make {found}.")
        if not made.fewest <= made.fewest_as_sure <= made.settings:
            self.faults.append("The order needs fewer settings than the bound says any order can.")
