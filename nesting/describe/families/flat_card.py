"""A card that is not folded: a post card, a tag, a place card, a backing."""

from __future__ import annotations

from nesting.describe.families.family import SIZE, Family, Given, Shape, names
from nesting.describe.families.rows import row_of_panels


def build(given: Given) -> Shape:
    """One panel."""
    width, height = given.size()
    return Shape((row_of_panels([width], height, []),), names(front=1, back=1, outside=1, all=1))


FAMILY = Family("flat card", "One panel, not folded.", (SIZE,), build)
