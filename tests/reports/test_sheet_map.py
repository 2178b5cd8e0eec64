"""Sheet maps as data: to scale, every cut and every part on them, discs outside and apart, labels clear of lines."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations, pairwise

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from map_subjects import SIXTEENTH, orchard, pine, random_subject

from nesting.cutting.passes import Edge, What
from nesting.describe.papers import PrintDirection
from nesting.reports.drawing import Box, Disc, Drawing, Label, Rectangle, Strokes, every_group, every_shape, extent
from nesting.reports.look import BLADE, DISC_RADIUS, POINT, cut_weight
from nesting.reports.map_marks import Way, find_marks
from nesting.reports.map_subject import MapSubject, scene, shown_edge, wants_turn
from nesting.reports.map_view import pushed_apart
from nesting.reports.sheet_map import sheet_map


def _sheet(drawing: Drawing) -> Box:
    (group,) = every_group(drawing.shapes, "sheet")
    (outline,) = group.shapes
    assert isinstance(outline, Rectangle)
    return outline.box


def _part_boxes(drawing: Drawing) -> dict[str, Box]:
    boxes = {}
    for group in every_group(drawing.shapes, "part"):
        first = group.shapes[0]
        assert isinstance(first, Rectangle)
        boxes[group.name] = first.box
    return boxes


def _labels(drawing: Drawing) -> dict[str, list[Box]]:
    return {
        group.name.replace("label", "part"): [s.box for s in every_shape((group,)) if isinstance(s, Label)]
        for group in every_group(drawing.shapes, "label")
    }


def _discs(drawing: Drawing) -> list[Disc]:
    discs = []
    for group in every_group(drawing.shapes, "disc"):
        blue = [s for s in every_shape((group,)) if isinstance(s, Disc) and s.fill == BLADE]
        discs.extend(blue)
    return discs


def _check(subject: MapSubject) -> Drawing:
    """Everything that holds for every map."""
    drawing = sheet_map(subject)
    turned = wants_turn(subject)
    sheet = _sheet(drawing)
    wide, high = (subject.height, subject.width) if turned else (subject.width, subject.height)
    scale = sheet.width / wide
    assert sheet.height == pytest.approx(scale * high)
    _check_parts(subject, drawing, sheet, scale, turned)
    _check_cuts(subject, drawing, sheet, scale, turned)
    _check_discs(drawing, sheet)
    _check_labels(drawing)
    _check_arrow(drawing)
    page = Box(0, 0, drawing.width, drawing.height)
    for shape in every_shape(drawing.shapes):
        if isinstance(shape, Label):
            assert page.holds(shape.box), shape.text
    return drawing


def _check_parts(subject: MapSubject, drawing: Drawing, sheet: Box, scale: float, turned: bool) -> None:
    boxes = _part_boxes(drawing)
    for index, part in enumerate(subject.parts):
        x, y, w, h = part.x, part.y, part.width, part.height
        if turned:  # a quarter turn against the clock: the sheet's top is at the left
            x, y, w, h = y, subject.width - x - w, h, w
        box = boxes[f"part-{index + 1}"]
        assert box.x0 == pytest.approx(sheet.x0 + x * scale)
        assert box.y0 == pytest.approx(sheet.y0 + y * scale)
        assert box.width == pytest.approx(w * scale)
        assert box.height == pytest.approx(h * scale)


def _check_cuts(subject: MapSubject, drawing: Drawing, sheet: Box, scale: float, turned: bool) -> None:
    drawn = []
    for group in every_group(drawing.shapes, "cut"):
        (stroke,) = group.shapes
        assert isinstance(stroke, Strokes)
        assert stroke.weight == cut_weight(int(group.get("stage")))
        ((x0, y0, x1, y1),) = stroke.segments
        drawn.append((group.get("stop"), x0, y0, x1, y1))
    for cut in subject.cuts:
        ends = [(cut.x0, cut.y0), (cut.x1, cut.y1)]
        if turned:
            ends = sorted((y, subject.width - x) for x, y in ends)
        (x0, y0), (x1, y1) = [(sheet.x0 + x * scale, sheet.y0 + y * scale) for x, y in ends]
        assert any(
            number == str(cut.number)
            and a0 <= x0 + 1e-6 and b0 <= y0 + 1e-6 and a1 >= x1 - 1e-6 and b1 >= y1 - 1e-6
            and (abs(a1 - a0) < 1e-9) == (abs(x1 - x0) < 1e-9)
            for number, a0, b0, a1, b1 in drawn
        )  # fmt: skip
    numbers = {group.get("stop") for group in every_group(drawing.shapes, "disc")}
    assert numbers == {str(cut.number) for cut in subject.cuts}


def _check_discs(drawing: Drawing, sheet: Box) -> None:
    discs = _discs(drawing)
    for disc in discs:
        assert not sheet.meets(Box(disc.x, disc.y, disc.x, disc.y).inset(-disc.radius))
    for one, other in combinations(discs, 2):
        assert (one.x - other.x) ** 2 + (one.y - other.y) ** 2 >= (2 * DISC_RADIUS) ** 2 - 1e-9


def _lines(drawing: Drawing, *kinds: str) -> list[Box]:
    """The boxes of all lines of these groups."""
    groups = [group for kind in kinds for group in every_group(drawing.shapes, kind)]
    return [
        Box(min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)).inset(-shape.weight / 2 * POINT)
        for shape in every_shape(groups)
        if isinstance(shape, Strokes)
        for x0, y0, x1, y1 in shape.segments
    ]


def _check_arrow(drawing: Drawing) -> None:
    """The arrow that says how the print lies stands clear of discs and of what leads to them."""
    for group in every_group(drawing.shapes, "direction"):
        arrow = extent(group.shapes)
        assert not any(arrow.meets(Box(d.x, d.y, d.x, d.y).inset(-d.radius)) for d in _discs(drawing))
        assert not any(arrow.meets(line) for line in _lines(drawing, "lead"))


def _check_labels(drawing: Drawing) -> None:
    parts, labels = _part_boxes(drawing), _labels(drawing)
    lines = _lines(drawing, "cut", "lead")
    for name, boxes in labels.items():
        for box in boxes:
            assert parts[name].holds(box)
    boxes = [box for some in labels.values() for box in some]
    for group in every_group(drawing.shapes, "key"):
        boxes += [s.box for s in every_shape((group,)) if isinstance(s, Label)]
    for one, other in combinations(boxes, 2):
        assert not one.inset(1e-6).meets(other.inset(1e-6))
    tiny = {g.name.replace("label", "part") for g in every_group(drawing.shapes, "label") if g.get("step") == "5"}
    for name, some in labels.items():
        if name not in tiny:
            for box in some:
                assert not any(line.meets(box) for line in lines)
    keyed = {group.get("letter") for group in every_group(drawing.shapes, "key")}
    for group in every_group(drawing.shapes, "part"):
        if group.get("what") != What.SCRAP.value:
            assert group.name in labels or group.get("letter") in keyed


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow], derandomize=True)
@given(st.integers(0, 10**6))
def test_any_layout_is_drawn_to_scale_with_all_its_cuts_and_labels(seed: int) -> None:
    _check(random_subject(seed))


def test_the_orchard_is_labelled_in_full_but_for_its_ends() -> None:
    drawing = _check(orchard())
    steps = {g.get("letter") + g.get("step") for g in every_group(drawing.shapes, "label")}
    assert steps == {"A1", "B4", "C3", "scrap4"}


def test_cuts_in_one_line_with_one_number_share_one_disc() -> None:
    drawing = _check(orchard())
    sides = sorted((g.get("stop"), g.get("side")) for g in every_group(drawing.shapes, "disc"))
    assert sides == [
        ("1", "top"), ("1", "top"), ("2", "top"), ("2", "top"), ("3", "left"), ("3", "left"),
        ("4", "bottom"), ("4", "bottom"),
    ]  # fmt: skip


def test_eight_equal_cuts_get_a_bracket_and_a_strip_too_narrow_gets_a_key() -> None:
    drawing = _check(pine())
    (bracket,) = [mark for mark in find_marks(scene(pine())) if mark.way is Way.BRACKET]
    assert (bracket.number, len(bracket.cuts)) == (4, 8)
    (key,) = every_group(drawing.shapes, "key")
    assert key.get("letter") == "J"
    assert sum(1 for g in every_group(drawing.shapes, "label") if g.get("letter") == "J") == 0


def test_a_sheet_cut_from_side_to_side_first_is_turned_and_its_arrow_with_it() -> None:
    upright = orchard()
    flipped = tuple(
        type(cut)(0, cut.number, cut.stage, cut.y0, cut.x0, cut.y1, cut.x1) for cut in upright.cuts
    )
    parts = tuple(
        type(p)(0, p.y, p.x, p.height, p.width, p.part) for p in upright.parts
    )
    subject = MapSubject(
        "Layout 1", "x", 1, upright.height, upright.width, upright.unit, flipped, parts, PrintDirection.ONE_WAY
    )
    assert wants_turn(subject)
    assert not wants_turn(upright)
    _check(subject)
    assert [shown_edge(edge, True) for edge in (Edge.TOP, Edge.LEFT)] == [Edge.LEFT, Edge.BOTTOM]


def test_one_piece_on_a_sheet_has_no_cuts_and_no_discs() -> None:
    grower_subject = orchard()
    part = grower_subject.parts[0]
    whole = type(part)(0, 0, 0, 192 * SIXTEENTH, 192 * SIXTEENTH, part.part)
    subject = MapSubject(
        "Layout 1", "x", 1, 192 * SIXTEENTH, 192 * SIXTEENTH, grower_subject.unit, (), (whole,)
    )
    drawing = _check(subject)
    assert not _discs(drawing)


def test_the_phone_map_is_900_dots_wide() -> None:
    drawing = sheet_map(pine())
    assert drawing.width * drawing.dpi == pytest.approx(900)


def test_every_setting_and_edge_is_one_chip_that_counts_the_cuts_of_this_map() -> None:
    subject = pine()
    doubled = replace(subject, passes=tuple(line for line in subject.passes for _ in range(2)))
    for some in (subject, doubled):
        chips = list(every_group(sheet_map(some).shapes, "pass"))
        assert [chip.get("stop") for chip in chips] == ["1", "2", "3", "4"]
        told = [s.text for chip in chips for s in chip.shapes if isinstance(s, Label) and "cut" in s.text]
        assert told == ["1 cut", "2 cuts", "3 cuts", "8 cuts"]


def test_parts_that_are_cut_alike_are_counted_and_the_cuts_of_one_are_told() -> None:
    subject = pine()
    passes = tuple(replace(line, cuts=4) if line.number == 4 else line for line in subject.passes)
    *_, last = every_group(sheet_map(replace(subject, passes=passes)).shapes, "pass")
    told = [shape.text for shape in last.shapes if isinstance(shape, Label)]
    assert told[-2:] == [f"{subject.passes[-1].part.name} \N{MULTIPLICATION SIGN} 2", "4 cuts"]


def test_what_is_cut_before_and_after_a_turn_at_one_setting_is_told_in_that_order() -> None:
    subject = pine()
    first, last = subject.cuts[0], subject.cuts[-1]
    one_number = tuple(replace(cut, number=first.number) for cut in (first, last))
    lines = {line.number: line for line in subject.passes}
    again = [replace(lines[cut.number], number=first.number) for cut in (first, last)]
    assert first.stage < last.stage
    drawing = sheet_map(replace(subject, cuts=one_number, passes=tuple(reversed(again))))
    chips = list(every_group(drawing.shapes, "pass"))
    assert [chip.get("stop") for chip in chips] == [str(first.number)] * 2
    alone = sheet_map(replace(subject, cuts=one_number[:1], passes=tuple(again[:1])))
    (before,) = every_group(alone.shapes, "pass")
    assert chips[0].title == before.title


def test_a_pass_of_another_layout_is_no_chip() -> None:
    subject = pine()
    other = replace(subject.passes[0], number=9)
    chips = every_group(sheet_map(replace(subject, passes=(*subject.passes, other))).shapes, "pass")
    assert [chip.get("stop") for chip in chips] == ["1", "2", "3", "4"]


@given(
    st.lists(st.floats(-3, 6), min_size=1, max_size=12).map(sorted), st.floats(0.05, 0.3)
)  # fmt: skip
def test_items_pushed_apart_keep_their_order_their_distance_and_their_range(wishes: list[float], gap: float) -> None:
    gaps = [gap] * (len(wishes) - 1)
    low, high = 0.0, max(3.0, sum(gaps))
    places = pushed_apart(wishes, gaps, low, high)
    assert all(b - a >= gap - 1e-9 for a, b in pairwise(places))
    assert low - 1e-9 <= places[0]
    assert places[-1] <= high + 1e-9


def test_items_that_are_far_enough_apart_stay_where_they_are() -> None:
    assert pushed_apart([0.1, 0.5, 0.9], [0.3, 0.3], 0.0, 1.0) == pytest.approx([0.1, 0.5, 0.9])
