"""Shapes that share a blank: triangles and trapezoids side by side, every second one turned upside down.

In: a shape's size, its slanted sides, how many to a blank, the allowance round each. Out: the blank. The fact of the
trade: where a shape slants, its neighbour slants the same way once it is turned round, so that a row of them takes less
than as many rectangles; between two of them lie both their allowances.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from math import isqrt

from nesting.describe.designs import CardPart, Outline
from nesting.lengths import ZERO, Length

Point = tuple[Length, Length]
Outline4 = tuple[Point, Point, Point, Point]


@dataclass(frozen=True, slots=True)
class Slanted:
    """A shape `width` wide at its foot; its left and right side lean inwards by these runs over its height.

    The top is what the runs leave of the width, 0 for a triangle.
    """

    width: Length
    height: Length
    left: Length
    right: Length

    @property
    def share(self) -> Fraction:
        """How much of its rectangle is in the shape."""
        return 1 - Fraction((self.left + self.right).ticks, 2 * self.width.ticks)

    @property
    def edge(self) -> int:
        """The way round it, in ticks, rounded up."""
        slants = sum(_root_above(run.ticks**2 + self.height.ticks**2) for run in (self.left, self.right))
        return 2 * self.width.ticks - self.left.ticks - self.right.ticks + slants


def slanted(part: CardPart, width: Length, height: Length) -> Slanted:
    """The shape of a part, of which no Outline.ANY is asked; an odd tick leans to the right."""
    lean = width - (part.top or ZERO)
    if part.outline in (Outline.RIGHT_TRIANGLE, Outline.RIGHT_TRAPEZOID):
        return Slanted(width, height, ZERO, lean)
    half = Length(lean.ticks // 2)
    return Slanted(width, height, half, lean - half)


@dataclass(frozen=True, slots=True)
class Blank:
    """A rectangle with `count` shapes in a row, allowances included."""

    count: int
    width: Length
    height: Length


def blank_for(shape: Slanted, count: int, allowance: Length, step: Length) -> Blank:
    """The smallest blank that holds so many with the allowance round each; its width is rounded up to the ruler.

    Smallest while twice the allowance is no more than the height; beyond that it has a little room to spare.
    """
    *_, last = outlines(shape, count, allowance)
    across = max(x for x, _ in last) + allowance
    return Blank(count, _on_the_ruler(across, step) if count > 1 else across, shape.height + 2 * allowance)


def outlines(shape: Slanted, count: int, allowance: Length) -> tuple[Outline4, ...]:
    """The corners of each shape in its blank, clockwise from the lower left of the upright ones; y runs down."""
    to_turned, to_upright = (Length(_gap(shape, run, allowance)) for run in (shape.right, shape.left))
    top = shape.width - shape.left - shape.right
    upper, lower = allowance, allowance + shape.height
    found, start = [], allowance
    for number in range(count):
        if number % 2 == 0:
            end = start + shape.width
            corners = (start, lower), (start + shape.left, upper), (end - shape.right, upper), (end, lower)
            start = end + to_turned
        else:
            foot = start - shape.right
            corners = (start, lower), (foot, upper), (foot + shape.width, upper), (start + top, lower)
            start = start + top + to_upright
        found.append(corners)
    return tuple(found)


def best_blank(
    shape: Slanted, most: int, allowance: Length, step: Length, fits: Callable[[Length, Length], bool]
) -> Blank:
    """The most to a blank that a sheet takes and that need less paper together than each alone."""
    alone = blank_for(shape, 1, allowance, step)
    for count in range(most, 1, -1):
        blank = blank_for(shape, count, allowance, step)
        saves = blank.width.ticks * blank.height.ticks < count * alone.width.ticks * alone.height.ticks
        if saves and fits(blank.width, blank.height):
            return blank
    return alone


def _gap(shape: Slanted, run: Length, allowance: Length) -> int:
    """How far apart along the foot two slanted sides are that lie twice the allowance from each other; rounded up."""
    apart = 4 * allowance.ticks**2 * (shape.height.ticks**2 + run.ticks**2)
    return -(-_root_above(apart) // shape.height.ticks)


def _root_above(square: int) -> int:
    """The smallest whole number whose square is not less."""
    return isqrt(square - 1) + 1 if square else 0


def _on_the_ruler(length: Length, step: Length) -> Length:
    return Length(-(-length.ticks // step.ticks) * step.ticks)
