"""Drawings as data: lettering that is measured before it is drawn, shapes, and what becomes of them in files."""

from __future__ import annotations

from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest
from matplotlib.font_manager import FontProperties, findfont
from matplotlib.ft2font import FT2Font, LoadFlags
from PIL import Image

from nesting.lengths import Unit, inches, mm
from nesting.reports import pages
from nesting.reports.drawing import Box, Disc, Drawing, Group, Label, Rectangle, Text, extent, line
from nesting.reports.lettering import TIMES, Stacked, length_words, plain, size_words, text_width, words_width
from nesting.reports.svg import svg_text


@pytest.mark.parametrize("weight", ["normal", "bold"])
def test_letters_are_as_wide_as_the_typeface_says(weight: str) -> None:
    """Against the DejaVu fonts that ship with matplotlib, character by character."""
    font = FT2Font(findfont(FontProperties(family="DejaVu Sans", weight=weight)))
    for letter in f"Aj0123456789{TIMES}·…éßŁΩж€¼▲ ":
        advance = font.load_char(ord(letter), LoadFlags.NO_SCALE).horiAdvance
        assert text_width(letter, 72, weight == "bold") == pytest.approx(advance / font.units_per_EM)


def test_a_letter_that_the_table_lacks_counts_as_a_whole_em() -> None:
    assert text_width("\u4e2d", 72) == pytest.approx(1.0)


def test_fractions_are_stacked_and_reduced() -> None:
    assert length_words(inches("11/2"), Unit.INCH) == ("5", Stacked(1, 2))
    assert length_words(inches("6/16"), Unit.INCH) == (Stacked(3, 8),)
    assert length_words(inches(7), Unit.INCH) == ("7",)


def test_sizes_in_millimetres_are_plain_decimals() -> None:
    assert plain(size_words(mm(190), mm("133.5"), Unit.MILLIMETRE)) == f"190 {TIMES} 133.5"


def test_a_size_off_the_inch_ruler_is_written_in_millimetres_with_its_unit() -> None:
    assert length_words(mm("10.16"), Unit.INCH) == ("10.16 mm",)


def test_the_words_of_a_size_read_well_aloud() -> None:
    assert plain(size_words(inches("15/8"), inches("3/4"), Unit.INCH)) == f"1 7/8 {TIMES} 3/4"


def test_the_widest_stop_is_as_wide_as_its_runs() -> None:
    words = length_words(inches("189/16"), Unit.INCH)  # 11 13/16
    label = Label(words, 1.0, 1.0, 20, True)
    drawn = [run.x + text_width(run.text, run.size, True) for run in label.ink() if isinstance(run, Text)]
    assert max(drawn) <= label.box.x1
    assert label.box.width == pytest.approx(words_width(words, 20, True))


def test_a_turned_label_is_as_tall_as_it_was_wide() -> None:
    flat = Label(("4 x 5",), 2.0, 2.0, 12, anchor="middle")
    turned = Label(("4 x 5",), 2.0, 2.0, 12, anchor="middle", turned=True)
    assert turned.box.height == pytest.approx(flat.box.width)
    assert turned.box.width == pytest.approx(flat.box.height)
    assert turned.box.centre[1] == pytest.approx(2.0)


def test_the_extent_of_a_drawing_counts_the_weight_of_its_lines() -> None:
    box = extent((line(1, 1, 2, 1, 7.2), Group("x", (Disc(3, 1, 0.5, "#000000"),))))
    assert box == Box(pytest.approx(0.95), pytest.approx(0.5), pytest.approx(3.5), pytest.approx(1.5))  # type: ignore[arg-type]


def _page() -> Drawing:
    label = Label(("cut ", "5", Stacked(1, 4)), 0.5, 1.5, 14)
    square = Group("part", (Rectangle(1, 0.5, 1, 0.5, "#0B4F8A"),), "part-1", "A & B", (("letter", "A"),))
    return Drawing(3, 2, (square, label), "A page", dpi=100)


@pytest.mark.parametrize("suffix", ["png", "svg", "pdf"])
def test_the_same_drawing_gives_the_same_bytes(tmp_path: Path, suffix: str) -> None:
    for name in ("one", "two"):
        pages.save(_page(), tmp_path / f"{name}.{suffix}")
    assert (tmp_path / f"one.{suffix}").read_bytes() == (tmp_path / f"two.{suffix}").read_bytes()
    assert sorted(path.name for path in tmp_path.iterdir()) == [f"one.{suffix}", f"two.{suffix}"]


def test_a_failed_drawing_leaves_the_old_file_alone(tmp_path: Path) -> None:
    path = tmp_path / "map.png"
    path.write_bytes(b"old")
    broken = Drawing(3, 2, (Rectangle(0, 0, 1, 1, "no colour at all"),))
    with pytest.raises(ValueError, match="no colour"):
        pages.save(broken, path)
    assert path.read_bytes() == b"old"
    assert [p.name for p in tmp_path.iterdir()] == ["map.png"]


def test_a_png_shows_the_shape_where_the_data_says(tmp_path: Path) -> None:
    pages.save(_page(), tmp_path / "page.png")
    image = Image.open(tmp_path / "page.png").convert("RGB")
    assert image.size == (300, 200)
    assert image.getpixel((150, 75)) == (0x0B, 0x4F, 0x8A)
    assert image.getpixel((90, 75)) == (255, 255, 255)
    assert image.getpixel((210, 75)) == (255, 255, 255)


def test_an_svg_has_real_units_groups_and_text() -> None:
    root = ElementTree.fromstring(svg_text(_page(), "m1-"))
    space = {"s": "http://www.w3.org/2000/svg"}
    assert (root.get("width"), root.get("viewBox")) == ("3.0000in", "0 0 216 144")
    group = root.find("s:g", space)
    assert group is not None
    assert (group.get("id"), group.get("data-letter")) == ("m1-part-1", "A")
    assert group.findtext("s:title", "", space) == "A & B"
    assert [text.text for text in root.iter("{http://www.w3.org/2000/svg}text")] == ["cut", "5", "1", "4"]


def test_an_unknown_suffix_is_refused(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match=r"\.png, \.svg or \.pdf"):
        pages.save(_page(), tmp_path / "page.gif")


def test_a_line_in_a_png_is_as_heavy_as_the_data_says(tmp_path: Path) -> None:
    pages.save(Drawing(1, 1, (line(0.1, 0.5, 0.9, 0.5, 14.4, "#000000"),), dpi=100), tmp_path / "line.png")
    column = [Image.open(tmp_path / "line.png").convert("L").getpixel((50, y)) for y in range(100)]
    assert column.count(0) in (19, 20, 21)
    assert column[50] == 0


@pytest.mark.parametrize(("anchor", "low", "high"), [("start", 100, 170), ("middle", 70, 130), ("end", 30, 100)])
def test_letters_in_a_png_lie_where_their_box_is(tmp_path: Path, anchor: str, low: int, high: int) -> None:
    for turned in (False, True):
        label = Label(("HHH",), 1.0, 1.0, 21.6, anchor=anchor, turned=turned)
        pages.save(Drawing(2, 2, (label,), dpi=100), tmp_path / "text.png")
        dark = np.argwhere(np.asarray(Image.open(tmp_path / "text.png").convert("L")) < 128)
        (top, left), (bottom, right) = dark.min(axis=0), dark.max(axis=0)
        box = label.box
        assert box.x0 * 100 - 2 <= left
        assert right <= box.x1 * 100 + 2
        assert box.y0 * 100 - 2 <= top
        assert bottom <= box.y1 * 100 + 2
        assert (right - left if not turned else bottom - top) > 0.8 * (box.width if not turned else box.height) * 100
        if not turned:
            assert low - 2 <= left
            assert right <= high + 2
