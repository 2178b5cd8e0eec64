"""Where every part of a card lies, and how large it is there: panels to mats to layers, worked out once.

In: a CardDesign. Out: for each part the spots it takes, each with its size, its place on the flat base and the spot
below it, or Problems of sizes that cannot be. The fact of the trade: each layer is a fixed amount smaller than what
lies below it, with an even border unless the maker says otherwise.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from nesting.describe.designs import Area, Base, CardDesign, CardPart, OwnSize, Panel, PartKind, SmallerBy
from nesting.errors import Problem
from nesting.lengths import ZERO, Length, Unit, inches, mm, write_length, write_size

# What a window leaves all round if nothing is said: common practice, no published source.
USUAL_RIM = {Unit.INCH: inches("1/8")}
METRIC_RIM = mm(3)


@dataclass(frozen=True, slots=True)
class Spot:
    """A place on the card that carries `times` equal rectangles of this size.

    panels names it in words. panel: the number of the panel it lies on, 0 for none; x, y: its upper left corner on
    the flat base of that panel, meaningless without a panel. below: the spot it lies on, None for a panel or nothing.
    """

    words: str
    panels: str
    width: Length
    height: Length
    times: int
    panel: int = 0
    x: Length = ZERO
    y: Length = ZERO
    below: Spot | None = None


Spots = dict[str, list[tuple[Spot, Spot | None]]]


def find_spots(design: CardDesign, unit: Unit, problems: list[Problem]) -> Spots:
    """For every part, by name, its spots, each with the spot or panel that it lies on."""
    spots: Spots = {}
    for part in design.parts:
        own = [(_spot_on(unit, part, under, problems), under) for under in _spots_below(design, part, spots, unit)]
        spots[part.name] = [(spot, under) for spot, under in own if spot is not None]
    return spots


def base_windows(design: CardDesign, base: Base, unit: Unit) -> tuple[Area, ...]:
    """The windows that are cut into the panels of a base, as it lies flat; the design's sizes can all be."""
    spots = find_spots(design, unit, [])
    numbers = {panel.number for panel in base.panels}
    return tuple(
        Area(spot.x, spot.y, spot.width, spot.height)
        for part in design.parts
        if part.kind is PartKind.WINDOW and not part.on_part
        for spot, _ in spots[part.name]
        if spot.panel in numbers
    )


def fullest_panel(design: CardDesign, spots: Iterable[Spot]) -> tuple[Base, Panel] | None:
    """The panel that carries the most of these spots, the last of several, with its base; None without a base."""
    panels = {panel.number: (base, panel) for base in design.bases for panel in base.panels}
    carried = Counter(spot.panel for spot in spots)
    return panels[max(panels, key=lambda number: (carried[number], number))] if panels else None


def _spots_below(design: CardDesign, part: CardPart, spots: Spots, unit: Unit) -> Sequence[Spot | None]:
    """What the part lies on: the panels named, the spots of another part, or nothing (None) for a part only counted."""
    if part.on_part:
        return [spot for spot, _ in spots.get(part.on_part, [])]
    if not part.panels:
        return [None]
    labels = panel_labels(design)
    if len(part.panels) == 1 and part.on_words in dict(design.names):
        labels[part.panels[0]] = part.on_words  # front and inside left are the two faces of one panel
    by_number = {panel.number: (panel, len(base.lies)) for base in design.bases for panel in base.panels}
    return [
        Spot(f"panel {write_size(panel.width, panel.height, unit)}", labels[panel.number],
             panel.width, panel.height, copies, panel.number, panel.x, panel.y)
        for panel, copies in (by_number[number] for number in part.panels)
    ]  # fmt: skip


def panel_labels(design: CardDesign) -> dict[int, str]:
    """A panel's first own name where it has one, else its number; a base without scores has no panels to name."""
    labels = {panel.number: f"panel {panel.number}" for base in design.bases for panel in base.panels}
    named: set[int] = set()
    for name, numbers in design.names:
        if len(numbers) == 1 and numbers[0] not in named:
            labels[numbers[0]] = name
            named.add(numbers[0])
    return dict.fromkeys(labels, "") if len(labels) == 1 and not design.names else labels


def _spot_on(unit: Unit, part: CardPart, below: Spot | None, problems: list[Problem]) -> Spot | None:
    match part.size:
        case OwnSize(width, height):
            pass
        case SmallerBy(across, down):
            assert below is not None  # the reader asks for `on` beside smaller_by
            width, height = below.width - across, below.height - down
    if part.allowance is not None:
        width, height = width + 2 * part.allowance, height + 2 * part.allowance
    wrong = _wrong(unit, part, width, height, below)
    if wrong is not None:
        problems.append(wrong)
        return None
    words = f"{part.name} {write_size(width, height, unit)}"
    if below is None:
        return Spot(words, "", width, height, part.count)
    left, top = _corner(part, width, height, below)
    return Spot(words, below.panels, width, height, part.count * below.times, below.panel,
                below.x + left, below.y + top, below)  # fmt: skip


def _corner(part: CardPart, width: Length, height: Length, below: Spot) -> tuple[Length, Length]:
    """Where the part begins on what it lies on: as said, else in the middle, to the tick below."""
    if part.at is not None:
        return part.at
    return Length((below.width - width).ticks // 2), Length((below.height - height).ticks // 2)


def _wrong(unit: Unit, part: CardPart, width: Length, height: Length, below: Spot | None) -> Problem | None:
    """Why this size cannot be, or cannot lie there."""
    if below is not None and (width.ticks <= 0 or height.ticks <= 0):
        return Problem(
            part.place,
            f"the {part.kind.value} “{part.name}” is to be {rule_words(unit, part)} than"
            f" {below.words}, which leaves nothing of it.",
            "Make it less smaller, or give its size outright.",
        )
    if below is None or part.kind in (PartKind.BLANK, PartKind.TAB):
        return _wrong_shape(unit, part, width)
    if width > below.width or height > below.height:
        return Problem(
            part.place,
            f"the {part.kind.value} “{part.name}” of {write_size(width, height, unit)} is larger than what it"
            f" lies on ({below.words}).",
            "Give a smaller size, swap its two sides, or take away “on” if it does not lie there.",
        )
    left, top = _corner(part, width, height, below)
    sides = {"left": left, "top": top, "right": below.width - width - left, "bottom": below.height - height - top}
    least = ZERO
    if part.kind is PartKind.WINDOW:
        least = USUAL_RIM.get(unit, METRIC_RIM) if part.rim is None else part.rim
    short = [(side, rim) for side, rim in sides.items() if rim < least]
    if not short:
        return None
    side, rim = short[0]
    if rim < ZERO:
        over = write_length(-rim, unit, with_unit=True)
        what = f"the {part.kind.value} “{part.name}” reaches {over} over the {side} edge of {below.words}."
        return Problem(part.place, what, "Move it with “at”, or make it smaller.")
    left_over = write_length(rim, unit, with_unit=True)
    return Problem(
        part.place,
        f"the window “{part.name}” leaves a rim of {left_over} at the {side} of {below.words}; a rim under"
        f" {write_length(least, unit, with_unit=True)} tears easily.",
        'Make it smaller or move it; or allow it with rim = "1/16".',
    )


def _wrong_shape(unit: Unit, part: CardPart, width: Length) -> Problem | None:
    """A trapezoid whose shorter side is not the shorter one."""
    foot = width - 2 * (part.allowance or ZERO)
    if part.top is None or part.top < foot:
        return None
    top, long = write_length(part.top, unit), write_length(foot, unit)
    what = f"the {part.outline.value} “{part.name}” has a top of {top}, but is only {long} wide."
    return Problem(part.place, what, "Make “top” shorter than the width; turned round it is the same shape.")


def rule_words(unit: Unit, part: CardPart) -> str:
    """How the size was said."""
    match part.size:
        case OwnSize():
            return "size as given"
        case SmallerBy(across, down) if across == down:
            return f"{write_length(across, unit)} smaller"
        case SmallerBy(across, down):
            return f"{write_length(across, unit)} smaller across and {write_length(down, unit)} up"
