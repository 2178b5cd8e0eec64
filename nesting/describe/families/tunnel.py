"""Frames one behind the other, held by an accordion strip at each side: one looks through them as into a tunnel."""

from __future__ import annotations

from dataclasses import replace

from nesting.describe.designs import Area
from nesting.describe.families.family import SIZE, Family, Given, Parameter, Shape, Takes, names
from nesting.describe.families.rows import MOUNTAIN, VALLEY, need_more, row_of_panels
from nesting.lengths import ZERO

FRAMES = Parameter("frames", Takes.COUNT, "how many frames, the closed one at the back included", "frames = 4",
                   lowest=2, highest=20)  # fmt: skip
RIM = Parameter("rim", Takes.LENGTH, "how wide a frame is round its window", 'rim = "3/4"')
DEPTH = Parameter(
    "depth", Takes.LENGTH, "how wide each panel of the accordions is; two of them lie between two frames",
    'depth = "1/2"',
)  # fmt: skip


def build(given: Given) -> Shape:
    """Three bases: the frame (panel 1, as often as needed), the back (panel 2), and the accordion of the two sides.

    Every second panel of an accordion carries a frame.
    """
    width, height = given.size()
    frames, rim, depth = given.count("frames"), given.length("rim"), given.length("depth")
    need_more(min(width, height), 2 * rim, "rim", "The rim leaves no window", given)
    need_more(width, 2 * depth, "depth", "Shut, the two accordions would lie on each other", given)
    frame = row_of_panels([width], height, [], name="frame", lies=((ZERO, ZERO),) * (frames - 1))
    frame = replace(frame, windows=(Area(rim, rim, width - 2 * rim, height - 2 * rim),))
    back = row_of_panels([width], height, [], first=2, name="back frame")
    count = 2 * frames - 1
    kinds = [MOUNTAIN if i % 2 else VALLEY for i in range(count - 1)]
    side = row_of_panels(
        [depth] * count, height, kinds, first=3, name="side", lies=((ZERO, ZERO), (width - depth, ZERO))
    )
    return Shape(
        (frame, back, side),
        names(frames=1, front=1, back=2, sides=tuple(range(3, 3 + count)), outside=(1, 2), inside=(1, 2), all=(1, 2)),
    )


FAMILY = Family(
    "tunnel", "Frames one behind the other, held by accordions at both sides.", (SIZE, FRAMES, RIM, DEPTH), build
)
