"""A half fold with steps that stand up in the middle when it is opened: two slits across the fold for each.

The fact of the trade: a step reaches as far on the front panel as its face is high and as far on the back panel as
its top is deep, so the inner fold is known; any other fold would not shut flat.
"""

from __future__ import annotations

from itertools import pairwise

from nesting.describe.designs import Area, Base, Fold, Line, Panel
from nesting.describe.families.family import FOLD, SIZE, CannotBe, Family, Given, Parameter, Shape, Takes
from nesting.describe.families.rows import MOUNTAIN, VALLEY, base_of, need_more
from nesting.lengths import ZERO, Length

STEPS = Parameter(
    "steps", Takes.TABLES, "from, to: where the slits are, from the top edge (folded at the side) or the left edge;"
    " front, back: how far the step reaches on these panels",
    'steps = [{ from = "1 3/4", to = "3 3/4", front = "1 1/4", back = "3/4" }]',
    inner=tuple(
        Parameter(key, Takes.LENGTH, "", f'{key} = "1"', may_be_nothing=key == "from")
        for key in ("from", "to", "front", "back")
    ),
)  # fmt: skip


def build(given: Given) -> Shape:
    """Panels 1 and 2 are front and back beside the steps, then top and face of each step, then what lies between."""
    width, height = given.size()
    down = given.word("fold") == "top"
    half, breadth = (height, width) if down else (width, height)
    steps = sorted(given.tables("steps"), key=lambda step: step.length("from"))
    _check(steps, half, breadth, given)
    front = max(step.length("front") for step in steps)
    back = max(step.length("back") for step in steps)
    areas = [
        Area(ZERO, ZERO, half - front, breadth),
        Area(half + back, ZERO, half - back, breadth),
        *(area for step in steps for area in _step(step, half)),
        *_between(steps, half, breadth, front, back),
    ]
    panels = [Panel(i, area.x, area.y, area.width, area.height) for i, area in enumerate(areas, 1)]
    base = base_of(2 * half, breadth, panels, _folds(steps, half, breadth), slits=_slits(steps, breadth, half))
    tops = tuple(range(3, 3 + 2 * len(steps), 2))
    faces = tuple(number + 1 for number in tops)
    first = ("inside top", "inside bottom") if down else ("inside left", "inside right")
    each = [(f"{word} {i}", (number,)) for word, numbers in (("top", tops), ("face", faces))
            for i, number in enumerate(numbers, 1)] if len(steps) > 1 else []  # fmt: skip
    every = (1, 2, *tops, *faces)
    return Shape(
        (_upright(base) if down else base,),
        (("front", (1,)), ("back", (2,)), (first[0], (1,)), (first[1], (2,)), ("tops", tops), ("faces", faces), *each,
         ("outside", (1, 2)), ("inside", tuple(sorted(every))), ("all", tuple(sorted(every)))),
    )  # fmt: skip


def _check(steps: list[Given], half: Length, breadth: Length, given: Given) -> None:
    if not steps:
        raise CannotBe("steps", "No step is given.", f"Write {STEPS.example}, or choose the half fold.")
    for step in steps:
        need_more(step.length("to"), step.length("from"), "steps", "A step ends before it begins", given)
        for side in ("front", "back"):
            need_more(half, step.length(side), "steps", f"A step reaches over the edge of the {side}", given)
            need_more(step.length(side), ZERO, "steps", f"A step does not reach onto the {side}", given)
        if step.length("to") > breadth:
            what = f"A step ends at {given.words(step.length('to'))}, beyond the edge at {given.words(breadth)}."
            raise CannotBe("steps", what, "Measure along the fold.")
    for one, other in pairwise(steps):
        if other.length("from") <= one.length("to"):
            what = f"Two steps touch or overlap at {given.words(other.length('from'))}."
            raise CannotBe("steps", what, "Leave some of the fold between them.")


def _step(step: Given, half: Length) -> list[Area]:
    """Top and face of a step; the top is as deep as the step reaches on the back, the face as high as on the front."""
    y, height = step.length("from"), step.length("to") - step.length("from")
    left, front, back = half - step.length("front"), step.length("front"), step.length("back")
    return [Area(left, y, back, height), Area(left + back, y, front, height)]


def _between(steps: list[Given], half: Length, breadth: Length, front: Length, back: Length) -> list[Area]:
    """What is left of front and back beside the steps and between them."""
    areas = []
    for y, end in _bands(steps, breadth):
        areas += [Area(half - front, y, front, end - y), Area(half, y, back, end - y)]
    for step in steps:
        y, height = step.length("from"), step.length("to") - step.length("from")
        beside = [
            Area(half - front, y, front - step.length("front"), height),
            Area(half + step.length("back"), y, back - step.length("back"), height),
        ]
        areas += [area for area in beside if area.width]
    return areas


def _bands(steps: list[Given], breadth: Length) -> list[tuple[Length, Length]]:
    """The stretches of the middle fold that are not taken by a step."""
    marks = [ZERO, *(step.length(key) for step in steps for key in ("from", "to")), breadth]
    return [(y, end) for y, end in zip(marks[::2], marks[1::2], strict=True) if end > y]


def _folds(steps: list[Given], half: Length, breadth: Length) -> list[Fold]:
    folds = [Fold(VALLEY, Line(half, y, half, end)) for y, end in _bands(steps, breadth)]
    for step in steps:
        y, end = step.length("from"), step.length("to")
        left, right = half - step.length("front"), half + step.length("back")
        inner = left + step.length("back")
        folds += [
            Fold(VALLEY, Line(left, y, left, end)),
            Fold(MOUNTAIN, Line(inner, y, inner, end)),
            Fold(VALLEY, Line(right, y, right, end)),
        ]
    return folds


def _slits(steps: list[Given], breadth: Length, half: Length) -> list[Line]:
    """A slit on each side of a step, none where the step ends at the edge of the card."""
    return [
        Line(half - step.length("front"), y, half + step.length("back"), y)
        for step in steps
        for y in (step.length("from"), step.length("to"))
        if ZERO < y < breadth
    ]


def _upright(base: Base) -> Base:
    """The same base with across and down exchanged, for a card folded at the top."""
    return base_of(
        base.height,
        base.width,
        [Panel(p.number, p.y, p.x, p.height, p.width) for p in base.panels],
        [Fold(f.kind, _flipped(f.line), f.shut) for f in base.folds],
        slits=[_flipped(slit) for slit in base.slits],
    )


def _flipped(line: Line) -> Line:
    return Line(line.y1, line.x1, line.y2, line.x2)


FAMILY = Family(
    "stepped card", "A half fold with steps between slits that stand up when it is opened.", (SIZE, FOLD, STEPS), build
)
