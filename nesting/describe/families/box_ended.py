"""A strip with a box at each end: side, front, side and a glue tab that closes each box against the back."""

from __future__ import annotations

from nesting.describe.families.family import Family, Given, Parameter, Shape, Takes, names
from nesting.describe.families.rows import VALLEY, need_more, row_of_panels
from nesting.lengths import inches, mm

SIZE = Parameter("size", Takes.SIZE, "the back between its two ends, across x up", 'size = "9 x 5"')
BOX = Parameter("box", Takes.SIZE, "each box: its front across x how deep it is", 'box = "2 x 3/4"')
TAB = Parameter("tab", Takes.LENGTH, "how wide the glue tabs are", 'tab = "1/2"', default=(inches("1/2"), mm(12)))


def build(given: Given) -> Shape:
    """Nine panels in a row: tab, side, front, side, the back, side, front, side, tab.

    Shut, each box is pressed flat towards the middle: two of its folds lie folded over, two lie straight.
    """
    width, height = given.size()
    front, deep = given.size("box")
    tab = given.length("tab")
    need_more(front, tab, "tab", "The glue tab does not fit into the box", given)
    if 2 * (front + deep) > width:
        need_more(width, 2 * (front + deep), "box", "Pressed flat, the two boxes would lie on each other", given)
    row = [tab, deep, front, deep, width, deep, front, deep, tab]
    base = row_of_panels(row, height, [VALLEY] * 8, straight=(0, 2, 5, 7))
    panels = names(
        left_tab=1, right_tab=9, tabs=(1, 9), sides=(2, 4, 6, 8), left_box=3, right_box=7, boxes=(3, 7), back=5,
        front=(3, 7), outside=(2, 3, 4, 5, 6, 7, 8), inside=5, all=(2, 3, 4, 5, 6, 7, 8),
    )  # fmt: skip
    return Shape((base,), panels)


FAMILY = Family("box-ended", "A strip with a glued box at each end and the back between them.", (SIZE, BOX, TAB), build)
