"""What is left over by batch size, as a picture: how much to keep, how much scrap, and this batch.

In: shares by batch size. Out: a Drawing. The facts of the trade: batches are whole, so the line has steps; and a
batch a few cards larger can leave much less, which is worth a look before the paper is bought.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from nesting.reports.drawing import Box, Drawing, Group, Label, Polygon, Shape, Strokes, line
from nesting.reports.look import BLADE, INK, RULE, SMALL, TEXT
from nesting.reports.map_ink import keep_fill, scrap_fill
from nesting.reports.sheet_totals import percent
from nesting.reports.stop_signs import fitted

_WIDTH, _HEIGHT = 7.8, 4.7
_PLOT = Box(0.78, 1.02, 6.8, 3.95)
_SHARES = (
    (Fraction(1, 10), "a tenth"), (Fraction(1, 5), "a fifth"), (Fraction(1, 4), "a quarter"),
    (Fraction(1, 3), "a third"), (Fraction(1, 2), "half"),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class BatchWaste:
    """One batch size: shares of all the paper taken that lie in offcuts to keep, and in scrap."""

    cards: int
    keep: Fraction
    scrap: Fraction

    @property
    def left(self) -> Fraction:
        """All that is not on a card."""
        return self.keep + self.scrap


def finding(batches: Sequence[BatchWaste]) -> str:
    """The sentence that the picture shows: from which size on how little is left, of the sizes that were tried."""
    for share, word in _SHARES:
        first = len(batches)
        while first and batches[first - 1].left < share:
            first -= 1
        if first < len(batches) - 1 or (first < len(batches) and len(batches) == 1):
            start = batches[first].cards
            if first == 0:
                return f"Less than {word} is left over"
            return f"From {start} cards on, less than {word} is left over"
    best = min(batches, key=lambda batch: (batch.left, batch.cards))
    leave = "card leaves" if best.cards == 1 else "cards leave"
    return f"{best.cards} {leave} least: {percent(best.left)}"


def waste_picture(batches: Sequence[BatchWaste], this_batch: int, below: str, title: str = "") -> Drawing:
    """The picture; `this_batch`: the size that is planned; title: as `finding` says where it is empty.

    batches: at least one, by rising size.
    """
    title = title or finding(batches)
    top = _top(batches)
    shapes: list[Shape | Group] = [
        fitted(Label((title,), 0.3, 0.42, 17.0, True), _WIDTH - 0.6, 11.0),
        fitted(Label((below,), 0.3, 0.74, TEXT + 0.5), _WIDTH - 0.6),
    ]
    shapes += _grid(top)
    boxes = _columns(batches, top)
    spared = _figures(batches, boxes, this_batch)
    for batch, (keep, scrap) in zip(batches, boxes, strict=True):
        fills = (*keep_fill(keep), *scrap_fill(scrap))
        name = f"{batch.cards} cards: {percent(batch.left)} left, {percent(batch.scrap)} scrap"
        shapes.append(Group("batch", fills, f"batch-{batch.cards}", name, (("cards", str(batch.cards)),)))
    shapes.append(_steps([(keep.x0, keep.x1, keep.y0) for keep, _ in boxes], 2.8))
    shapes.append(_steps([(scrap.x0, scrap.x1, scrap.y0) for _, scrap in boxes], 1.3))
    shapes += _axis(batches, boxes, this_batch)
    shapes += spared
    shapes += _band_names(batches, *boxes[-1])
    return Drawing(_WIDTH, _HEIGHT, tuple(shapes), title, 150)


def _band_names(batches: Sequence[BatchWaste], keep: Box, scrap: Box) -> list[Shape | Group]:
    """What the two bands are, beside the last batch; nothing for a band that is nowhere."""
    upper, lower = keep.centre[1], scrap.centre[1]
    if lower - upper < 0.2:
        upper = lower - 0.24
    shapes: list[Shape | Group] = []
    if any(batch.keep for batch in batches):
        shapes.append(Label(("to keep",), _PLOT.x1 + 0.08, upper + 0.05, TEXT))
    if any(batch.scrap for batch in batches):
        shapes.append(Label(("scrap",), _PLOT.x1 + 0.08, lower + 0.05, TEXT))
    return shapes


def _top(batches: Sequence[BatchWaste]) -> int:
    """The axis ends at a whole ten percent above everything."""
    most = max(batch.left for batch in batches)
    return min(max(10 * (int(most * 10) + 1), 10), 100)


def _y(share: Fraction, top: int) -> float:
    return round(_PLOT.y1 - float(share * 100 / top) * _PLOT.height, 4)


def _grid(top: int) -> list[Shape | Group]:
    step = 10 if top <= 60 else 20
    shapes: list[Shape | Group] = []
    for n in range(0, top + 1, step):
        y = _y(Fraction(n, 100), top)
        shapes.append(Label((f"{n} %",), _PLOT.x0 - 0.1, y + 0.05, TEXT, anchor="end"))
        if n:
            shapes.append(line(_PLOT.x0, y, _PLOT.x1, y, 0.7, RULE))
    return shapes


def _columns(batches: Sequence[BatchWaste], top: int) -> list[tuple[Box, Box]]:
    """The part to keep above the scrap, for each batch a column of equal width."""
    wide = _PLOT.width / len(batches)
    columns = []
    for n, batch in enumerate(batches):
        x0, x1 = round(_PLOT.x0 + n * wide, 4), round(_PLOT.x0 + (n + 1) * wide, 4)
        upper, lower = _y(batch.left, top), _y(batch.scrap, top)
        columns.append((Box(x0, upper, x1, lower), Box(x0, lower, x1, _PLOT.y1)))
    return columns


def _steps(levels: Sequence[tuple[float, float, float]], weight: float) -> Strokes:
    """A line with steps through levels (x0, x1, y)."""
    segments = [(x0, y, x1, y) for x0, x1, y in levels]
    segments += [(b[0], a[2], b[0], b[2]) for a, b in pairwise(levels) if a[2] != b[2]]
    return Strokes(tuple(segments), weight, INK, round_ends=True)


def _figures(batches: Sequence[BatchWaste], boxes: Sequence[tuple[Box, Box]], this_batch: int) -> list[Group]:
    """The share written above the first batch, this one, and the least, where they do not meet."""
    least = min(range(len(batches)), key=lambda n: (batches[n].left, n))
    this = [n for n, batch in enumerate(batches) if batch.cards == this_batch]
    groups: list[Group] = []
    taken: list[Box] = []
    for n in dict.fromkeys([*this, 0, least]):
        keep = boxes[n][0]
        text = percent(batches[n].left)
        label = Label((text,), keep.centre[0], keep.y0 - 0.08, TEXT + 1.5, True, anchor="middle")
        reach = label.box.inset(-0.04)
        roof = min(other.y0 for other, _ in boxes if other.x0 < reach.x1 and other.x1 > reach.x0)
        if roof < keep.y0:
            label = Label((text,), label.x, roof - 0.08, label.size, True, anchor="middle")
        box = label.box
        if not any(box.inset(-0.05).meets(other) for other in taken) and box.x0 > _PLOT.x0 - 0.1:
            taken.append(box)
            groups.append(Group("figure", (label,), data=(("cards", str(batches[n].cards)),)))
    return groups


def _axis(batches: Sequence[BatchWaste], boxes: Sequence[tuple[Box, Box]], this_batch: int) -> list[Shape | Group]:
    y = _PLOT.y1
    shapes: list[Shape | Group] = [line(_PLOT.x0, y, _PLOT.x1, y, 2.0)]
    ticks = sorted({box.x0 for box, _ in boxes} | {boxes[-1][0].x1})
    shapes.append(Strokes(tuple((x, y, x, y + 0.05) for x in ticks), 0.9, INK))
    widest = max(Label((str(b.cards),), 0, 0, TEXT).box.width for b in batches) + 0.08
    every = max(-(-int(widest * 1000) // max(int(boxes[0][0].width * 1000), 1)), 1)
    here = next((n for n, batch in enumerate(batches) if batch.cards == this_batch), None)
    for n, (batch, (box, _)) in enumerate(zip(batches, boxes, strict=True)):
        x = box.centre[0]
        if n == here:
            shapes.append(Label((str(batch.cards),), x, y + 0.23, TEXT, True, anchor="middle"))
            shapes.append(Polygon(((x, y + 0.28), (x - 0.07, y + 0.38), (x + 0.07, y + 0.38)), BLADE))
            half = 0.5
            middle = min(max(x, _PLOT.x0 + half - 0.4), _PLOT.x1 - half)
            shapes.append(Label(("this batch",), middle, y + 0.55, TEXT, True, BLADE, "middle"))
        elif n % every == (here or 0) % every:
            shapes.append(Label((str(batch.cards),), x, y + 0.23, TEXT, anchor="middle"))
    cards = Label(("cards in the batch",), _PLOT.x1, y + 0.55, SMALL + 1, anchor="end")
    if here is not None and boxes[here][0].centre[0] + 0.6 > cards.box.x0:
        cards = Label(cards.words, _PLOT.x0, y + 0.55, cards.size)
    shapes.append(cards)
    return shapes
