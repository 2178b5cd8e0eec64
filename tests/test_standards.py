"""Published sizes and weights, each against the rule or the printed figure."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest

from nesting.lengths import inches, mm
from nesting.standards import BASIS_SIZES, ISO_216_A, ISO_216_B, grammage, sheet_size


def test_the_iso_216_sizes_are_the_printed_ones() -> None:
    """ISO 216:2007, A0 to A10 and B4 to B7, as printed in tables of paper merchants."""
    printed = "841x1189 594x841 420x594 297x420 210x297 148x210 105x148 74x105 52x74 37x52 26x37"
    assert [f"{width}x{height}" for width, height in ISO_216_A] == printed.split()
    assert {number: f"{width}x{height}" for number, (width, height) in ISO_216_B.items()} == {
        4: "250x353", 5: "176x250", 6: "125x176", 7: "88x125",
    }  # fmt: skip


def test_each_iso_216_size_is_the_former_halved_and_rounded_down() -> None:
    """ISO 216:2007, series A."""
    for (width, height), smaller in pairwise(ISO_216_A):
        assert smaller == (height // 2, width)


def test_iso_216_b_sizes_are_halved_too() -> None:
    """ISO 216:2007, series B."""
    for number in range(4, 7):
        width, height = ISO_216_B[number]
        assert ISO_216_B[number + 1] == (height // 2, width)


def test_a0_is_a_square_metre_with_sides_as_one_to_the_root_of_two() -> None:
    """ISO 216:2007: x * y = 1 m2 and y / x = sqrt(2), rounded to millimetres."""
    width, height = ISO_216_A[0]
    assert (2 * width - 1) * (2 * height - 1) < 4_000_000 < (2 * width + 1) * (2 * height + 1)
    assert (2 * height - 1) ** 2 < 2 * (2 * width + 1) ** 2
    assert (2 * height + 1) ** 2 > 2 * (2 * width - 1) ** 2


def test_a_geometric_mean_makes_the_b_series() -> None:
    """ISO 216:2007: a B size lies between two A sizes; B4 between A3 and A4, to half a millimetre's rounding."""
    for number, (width, _) in ISO_216_B.items():
        between = ISO_216_A[number - 1][0] * ISO_216_A[number][0]
        assert (width - 1) ** 2 < between < (width + 1) ** 2


def test_sheets_are_known_by_name() -> None:
    """ISO 216; ASME Y14.1 (letter, tabloid); IEEE-ISTO PWG 5101.1 (legal)."""
    assert sheet_size("A4") == (mm(210), mm(297))
    assert sheet_size(" a5 landscape") == (mm(210), mm(148))
    assert sheet_size("Letter") == (inches("8.5"), inches(11))
    assert sheet_size("legal") == (inches("8.5"), inches(14))
    assert sheet_size("tabloid") == (inches(11), inches(17))
    assert sheet_size("B5") == (mm(176), mm(250))


@pytest.mark.parametrize("name", ["A11", "B3", "foolscap", "A", "A4 sideways", "", "4"])
def test_other_names_are_not_sheets(name: str) -> None:
    assert sheet_size(name) is None


@pytest.mark.parametrize(
    ("kind", "factor", "digits"),
    [("bond", "3.760", 3), ("book", "1.480", 3), ("cover", "2.704", 3), ("index", "1.81", 2), ("bristol", "2.19", 2),
     ("tag", "1.627", 3)],
)  # fmt: skip
def test_a_pound_of_each_basis_has_the_printed_factor(kind: str, factor: str, digits: int) -> None:
    """Grams per square metre of one pound, printed at printwiki.org (Grammage); printed to `digits` decimals."""
    width, height = BASIS_SIZES[kind]
    exact = grammage(f"1 lb {kind}")
    assert exact == Fraction("453.59237") / (500 * width * height * Fraction("0.0254") ** 2)
    assert abs(exact - Fraction(factor)) <= Fraction(1, 10**digits)


@pytest.mark.parametrize(
    ("words", "printed"),
    [("50 lb cover", 135), ("65 lb cover", 175), ("80 lb cover", 215), ("90 lb index", 165), ("110 lb index", 200),
     ("140 lb index", 255), ("170 lb index", 305)],
)  # fmt: skip
def test_weights_agree_with_the_government_paper_standards(words: str, printed: int) -> None:
    """US Government Paper Specification Standards, 1999: rounded figures, tolerance 5 %."""
    assert abs(grammage(words) - printed) <= Fraction(5, 100) * printed


@pytest.mark.parametrize(
    ("words", "exact"),
    [("65 lb cover", "175.77"), ("80 lb cover", "216.33"), ("100# cover", "270.41"), ("110 lb cover", "297.45"),
     ("20 lbs bond", "75.19")],
)
def test_pounds_are_worked_out_exactly(words: str, exact: str) -> None:
    """Worked out from the avoirdupois pound and the inch of 1959; 100 lb cover is printed as 270.42."""
    assert abs(grammage(words) - Fraction(exact)) <= Fraction(1, 200)


@pytest.mark.parametrize(
    ("words", "printed"),
    [("20 lb bond", "75.2"), ("28 lb bond", "105.3"), ("90 lb text", "133.218"), ("100 lb cover", "270.42")],
)
def test_weights_agree_with_printed_examples(words: str, printed: str) -> None:
    """Worked examples at printwiki.org and shop.sylvamo.com, whose factors are rounded; 90 lb offset is text."""
    assert abs(grammage(words) - Fraction(printed)) < Fraction(1, 25)


@pytest.mark.parametrize("words", ["216 gsm", "216g/m2", "216 g/m²", " 216 GSM "])
def test_metric_weights_are_taken_as_they_are(words: str) -> None:
    assert grammage(words) == 216


@pytest.mark.parametrize("words", ["", "65 lb", "65 cover", "heavy", "-3 gsm", "65 lb velvet", "nan gsm"])
def test_other_words_are_not_weights(words: str) -> None:
    with pytest.raises(ValueError, match="is not a paper weight; write it like"):
        grammage(words)
