"""Lengths are exact: reading, writing and arithmetic agree with fractions and with a units library."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.lengths import (
    TICKS_PER_INCH,
    TICKS_PER_MM,
    Length,
    Unit,
    inches,
    mm,
    read_length,
    write_length,
    write_size,
)

UNITS: Any = pint.UnitRegistry(non_int_type=Fraction)
LENGTHS = st.integers(0, 100_000 * TICKS_PER_MM).map(Length)
SIXTY_FOURTHS = st.integers(0, 64 * 100).map(lambda number: Length(number * 1270))


def by_pint(number: str, unit: str) -> Fraction:
    """Ticks of a length as the units library converts it."""
    millimetres = UNITS.Quantity(Fraction(number), unit).to("mm").magnitude
    return Fraction(millimetres) * TICKS_PER_MM


@pytest.mark.parametrize(
    ("text", "number", "unit"),
    [
        ("7", "7", "inch"),
        ("1 7/8", "15/8", "inch"),
        ('1-7/8"', "15/8", "inch"),
        ("1 and 7/8 inches", "15/8", "inch"),
        ("1⅞", "15/8", "inch"),
        ("⅞ in", "7/8", "inch"),
        ("1\N{NO-BREAK SPACE}7\N{FRACTION SLASH}8", "15/8", "inch"),
        ("6.875 in", "6.875", "inch"),
        (".5", "0.5", "inch"),
        ("47.5 mm", "47.5", "mm"),
        ("10,5 cm", "10.5", "cm"),
        ("  3/64 IN. ", "3/64", "inch"),
        ("0", "0", "inch"),
    ],
)
def test_lengths_are_read_as_people_write_them(text: str, number: str, unit: str) -> None:
    assert read_length(text, Unit.INCH).ticks == by_pint(number, unit)


@pytest.mark.parametrize("unit", list(Unit))
def test_a_bare_number_is_in_the_default_unit(unit: Unit) -> None:
    assert read_length("2.5", unit) == read_length(f"2.5 {unit.value}", Unit.INCH)


@pytest.mark.parametrize(
    "text",
    ["", "in", "-1", "1/0", "1/3", "11/3 in", "1 2", "7 8/9/10", "1e3", "nan", "1'", "5 ft", "100001 mm", "٣", "½½"],
)
def test_what_is_no_length_is_refused_with_the_words_quoted(text: str) -> None:
    with pytest.raises(ValueError, match="; ") as wrong:
        read_length(text, Unit.INCH)
    assert str(wrong.value).startswith(f"“{text}”")
    assert str(wrong.value).endswith(".")


def test_an_eighth_of_an_inch_is_exactly_3_175_millimetres() -> None:
    """25.4 mm to the inch: international yard and pound agreement of 1959."""
    assert inches("1/8") == mm("3.175")
    assert Fraction(TICKS_PER_INCH, TICKS_PER_MM) == Fraction("25.4")


@given(LENGTHS, LENGTHS, st.integers(-50, 50))
def test_arithmetic_agrees_with_fractions(one: Length, two: Length, times: int) -> None:
    for unit in Unit:
        a, b = one.in_unit(unit), two.in_unit(unit)
        assert (one + two).in_unit(unit) == a + b
        assert (one - two).in_unit(unit) == a - b
        assert (times * one).in_unit(unit) == times * a
        assert (one < two) == (a < b)
        assert bool(one) == bool(a)


@given(LENGTHS, st.sampled_from(list(Unit)))
def test_what_is_written_is_read_back_unchanged(length: Length, unit: Unit) -> None:
    text = write_length(length, unit)
    assert read_length(text, unit) == length
    assert (
        read_length(write_length(length, unit, with_unit="mm" not in text), Unit.CENTIMETRE if "mm" in text else unit)
        == length
    )


@given(SIXTY_FOURTHS)
def test_fractions_of_an_inch_are_written_reduced(length: Length) -> None:
    whole, rest = divmod(length.in_unit(Unit.INCH), 1)
    words = [str(whole)] if whole or not rest else []
    words += [str(rest)] if rest else []
    assert write_length(length, Unit.INCH) == " ".join(words)


def test_sizes_are_written_across_then_up() -> None:
    assert write_size(inches("5.5"), inches("8.5"), Unit.INCH) == "5 1/2 x 8 1/2"
    assert write_size(mm(105), mm("148.5"), Unit.MILLIMETRE, with_unit=True) == "105 x 148.5 mm"
    assert write_size(mm(50), inches("12"), Unit.INCH) == "50 mm x 12 in"
    assert write_size(inches("12"), mm(50), Unit.INCH, with_unit=True) == "12 in x 50 mm"


def test_a_length_holds_whole_ticks_only() -> None:
    with pytest.raises(TypeError):
        Length(1.0)  # type: ignore[arg-type]
    with pytest.raises(TypeError):
        Length(True)
    with pytest.raises(ValueError, match="finer than"):
        mm("0.0001")
