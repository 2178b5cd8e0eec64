"""Which sheets are alike to whoever cuts them, and which pieces can come from them at all.

In: a PackingTask. Out: its parts that have nothing to share (each paper alone, unless a piece may come from several),
and per part the sources: sheet kinds of one usable size whose papers take the same pieces, however dear and however
many. The fact of the trade: a sheet from the drawer and one from the shop are the same to the trimmer.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from nesting.packing.layout import Axis, CutRules, FreePart, PackingTask, SheetKind, Use
from nesting.packing.trees import (
    Node,
    cut_apart,
    inside_margins,
    laid_out,
    may_lie,
    obeys,
    with_margins,
)

FAR = 1 << 40  # longer than anything


@dataclass(frozen=True, slots=True)
class Item:
    """A piece kind as it may lie, the kerf added to both sides; `axis`: how it is cut apart in the end, if it is."""

    kind: int
    width: int
    height: int
    axis: Axis | None


@dataclass(frozen=True, slots=True)
class Limits:
    """The trimmer's limits, the kerf added to each length; FAR where there is none."""

    longest: int
    setting: int
    held: int
    turns: int | None

    @property
    def any(self) -> bool:
        """Whether there is a limit at all, turns apart."""
        return self.longest < FAR or self.setting < FAR or self.held > 0


@dataclass(frozen=True, slots=True)
class Source:
    """Sheet kinds that are alike: usable size with the kerf added, the cheapest kinds first.

    `starts`: how the margins can come off: the axis cut last and the turns made so far; `items`: what may lie on it.
    """

    width: int
    height: int
    starts: tuple[tuple[Axis | None, int], ...]
    items: tuple[Item, ...]
    kinds: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Stock:
    """A task ready for the exact methods: its sources and limits; needs may differ from the task's."""

    task: PackingTask
    sources: tuple[Source, ...]
    limits: Limits

    @property
    def source_of(self) -> dict[int, int]:
        """The number of the source of each sheet kind; not of those that give nothing."""
        return {kind: number for number, source in enumerate(self.sources) for kind in source.kinds}

    def tiers(self, source: Source) -> list[tuple[int, int | None]]:
        """Cost and number of the sheets of a source, cheapest first."""
        sheets = [self.task.sheets[kind] for kind in source.kinds]
        return [(sheet.cost, sheet.limit) for sheet in sheets]

    def use(self, kind: int, node: Node, copies: int = 1) -> Use | None:
        """A cut tree of a source as the layout of one of its sheet kinds; None if the trimmer cannot cut it."""
        roots = (laid_out(self.task, kind, node, axes) for axes in _margin_orders(self.task.sheets[kind]))
        return next((Use(kind, root, copies) for root in roots if root is not None), None)


def stock(task: PackingTask) -> Stock:
    """The sources of a task; a piece that is larger than a source is not on its list."""
    limits = _limits(task.rules)
    alike: dict[tuple[int, int, tuple[tuple[Axis | None, int], ...], tuple[Item, ...]], list[int]] = {}
    for number, sheet in enumerate(task.sheets):
        starts = tuple(_starts(sheet, task.rules))
        width, height = (size + task.rules.kerf for size in inside_margins(sheet, task.rules.kerf))
        if not starts or sheet.limit == 0:
            continue
        items = tuple(item for item in _items(task, sheet.paper) if item.width <= width and item.height <= height)
        if items:
            alike.setdefault((width, height, starts, items), []).append(number)
    sources = tuple(
        Source(*key, tuple(sorted(kinds, key=lambda kind: (task.sheets[kind].cost, kind))))
        for key, kinds in sorted(alike.items(), key=lambda pair: (-pair[0][0] * pair[0][1], pair[1]))
    )
    return Stock(task, sources, limits)


def apart(task: PackingTask) -> list[tuple[list[int], list[int]]]:
    """Piece kinds and sheet kinds that have to do with each other, in groups, by their first piece kind."""
    label = {paper: paper for piece in task.pieces for paper in (one.paper for one in piece.allowed)}

    def find(paper: int) -> int:
        while label[paper] != paper:
            paper = label[paper]
        return paper

    for piece in task.pieces:
        for one in piece.allowed[1:]:
            first, second = sorted((find(piece.allowed[0].paper), find(one.paper)))
            label[second] = first
    groups: dict[int, tuple[list[int], list[int]]] = {}
    for kind, piece in enumerate(task.pieces):
        if piece.allowed:
            groups.setdefault(find(piece.allowed[0].paper), ([], []))[0].append(kind)
    for number, sheet in enumerate(task.sheets):
        if sheet.paper in label and find(sheet.paper) in groups:
            groups[find(sheet.paper)][1].append(number)
    return list(groups.values())


def _limits(rules: CutRules) -> Limits:
    return Limits(
        FAR if rules.longest_cut is None else rules.longest_cut + rules.kerf,
        FAR if rules.largest_setting is None else rules.largest_setting + rules.kerf,
        rules.narrowest_held + rules.kerf if rules.narrowest_held else 0,
        rules.most_turns,
    )


def _items(task: PackingTask, paper: int) -> list[Item]:
    items, kerf = [], task.rules.kerf
    for kind, piece in enumerate(task.pieces):
        as_it_is, turned = may_lie(piece, paper, task.rules)
        width, height, axis = piece.width + kerf, piece.height + kerf, cut_apart(piece)
        if as_it_is and piece.need > 0:
            items.append(Item(kind, width, height, axis))
        if turned and piece.need > 0:
            items.append(Item(kind, height, width, axis.other if axis else None))
    return items


def _margin_orders(sheet: SheetKind) -> list[tuple[Axis, ...]]:
    m = sheet.margins
    needed = tuple(axis for axis, strip in ((Axis.ACROSS, m.left or m.right), (Axis.DOWN, m.top or m.bottom)) if strip)
    return [needed, needed[::-1]] if len(needed) > 1 else [needed]


def _starts(sheet: SheetKind, rules: CutRules) -> Sequence[tuple[Axis | None, int]]:
    width, height = inside_margins(sheet, rules.kerf)
    if width <= 0 or height <= 0:
        return []
    orders = [
        axes for axes in _margin_orders(sheet)
        if obeys(with_margins(sheet, FreePart(width, height), axes, rules.kerf), (), rules)
    ]  # fmt: skip
    starts = [(axes[-1] if axes else None, max(0, len(axes) - 1)) for axes in orders]
    return [start for start in starts if rules.most_turns is None or start[1] <= rules.most_turns]


def turns_left(turns: int | None, start: tuple[Axis | None, int], axis: Axis) -> int:
    """How many turns are left inside when the first cut inside the margins goes along `axis`; under 0: none allowed."""
    last, made = start
    return (99 if turns is None else turns) - made - (last not in (None, axis))


def trims(item: Item, width: int, height: int, axis: Axis, turns: int, limits: Limits) -> bool:
    """Whether a part can be trimmed to the item, first along `axis` and then the other way, as far as needed."""
    across = axis is Axis.ACROSS
    long, wide, length, breadth = (width, height, item.width, item.height) if across else (
        height, width, item.height, item.width)  # fmt: skip
    used, last = 0, axis
    if long > length and (wide > limits.longest or min(long, wide) < limits.held):
        return False
    if wide > breadth:
        if length > limits.longest or min(length, wide) < limits.held:
            return False
        used, last = 1, axis.other
    return turns >= used + (item.axis not in (None, last))
