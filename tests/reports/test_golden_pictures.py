"""A few pictures are kept beside the tests, so that a change in the ink is seen by somebody.

They are compared with some tolerance, block by block: another build of the text renderer moves grey pixels, not lines.
`pytest --rewrite` draws them anew; look at them before they are kept.
"""

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import matplotlib
import numpy as np
import numpy.typing as npt
import pytest
from map_subjects import orchard, pine
from PIL import Image
from test_fold_sheet import swing

from nesting.lengths import Unit
from nesting.reports.drawing import Drawing, Group, Strokes
from nesting.reports.fold_sheet import FoldSubject, fold_pages
from nesting.reports.page_frame import LETTER
from nesting.reports.pages import save
from nesting.reports.sheet_map import sheet_map

GOLDEN = Path(__file__).parent / "golden"
DPI = 60
BLOCK = 6  # pixels, a tenth of an inch
MOST = 30  # of 255, on the mean of a block

Picture = npt.NDArray[np.float64]
DRAWINGS: dict[str, Callable[[], Drawing]] = {
    "map_of_a_one_way_print": lambda: sheet_map(orchard()),
    "map_with_offcuts": lambda: sheet_map(pine()),
    "fold_sheet": lambda: fold_pages(FoldSubject("swing", swing(), 6, Unit.INCH, ((1, "back"),)), LETTER)[0],
}


def png_of(drawing: Drawing, folder: Path) -> bytes:
    save(replace(drawing, dpi=DPI), folder / "drawn.png")
    return (folder / "drawn.png").read_bytes()


def picture(png: bytes) -> Picture:
    """Grey, in blocks, each the mean of its pixels."""
    with Image.open(io.BytesIO(png)) as found:
        grey = np.asarray(found.convert("L"), dtype=np.float64)
    high, wide = (side // BLOCK * BLOCK for side in grey.shape)
    blocks: Picture = grey[:high, :wide].reshape(high // BLOCK, BLOCK, wide // BLOCK, BLOCK).mean(axis=(1, 3))
    return blocks


def apart(one: bytes, other: bytes) -> float:
    """How far the worst block is off; all, where they have not one size."""
    left, right = picture(one), picture(other)
    return float(np.abs(left - right).max()) if left.shape == right.shape else 255.0


@pytest.mark.skipif(matplotlib.__version_info__ < (3, 11), reason="drawn with the letters of matplotlib 3.11")
@pytest.mark.parametrize("name", DRAWINGS)
def test_a_picture_looks_as_it_did(name: str, tmp_path: Path, rewrite: bool) -> None:
    drawn = png_of(DRAWINGS[name](), tmp_path)
    path = GOLDEN / f"{name}.png"
    if rewrite:
        path.write_bytes(drawn)
    assert path.stat().st_size < 30_000
    assert apart(drawn, path.read_bytes()) < MOST


@pytest.mark.parametrize("name", DRAWINGS)
def test_a_picture_without_one_of_its_lines_is_not_taken_for_it(name: str, tmp_path: Path) -> None:
    whole = DRAWINGS[name]()
    lines = [n for n, shape in enumerate(whole.shapes) if isinstance(shape, Group) and shape.kind in ("cut", "fold")]
    longest = max(lines, key=lambda n: _reach(whole.shapes[n]))
    broken = replace(whole, shapes=(*whole.shapes[:longest], *whole.shapes[longest + 1 :]))
    assert apart(png_of(broken, tmp_path), (GOLDEN / f"{name}.png").read_bytes()) > MOST


def _reach(shape: object) -> float:
    if not isinstance(shape, Group):
        return 0.0
    ends = [end for each in shape.shapes if isinstance(each, Strokes) for end in each.segments]
    return sum(abs(x1 - x0) + abs(y1 - y0) for x0, y0, x1, y1 in ends)
