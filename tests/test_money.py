"""Money is whole cents and shares add up to the cent."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.money import read_cents, share, whole_cents, write_cents


@pytest.mark.parametrize(
    ("said", "cents"),
    [("0.95", 95), ("1,20", 120), (12, 1200), (Decimal("0.4"), 40), (".5", 50), ("0", 0), (" 7 ", 700)],
)
def test_prices_are_read_as_people_write_them(said: str | int | Decimal, cents: int) -> None:
    assert read_cents(said) == cents


@pytest.mark.parametrize(
    "said",
    [
        "",
        "-1",
        "1.234",
        "1,200",
        "1_0",
        "$ 2",
        "1e3",
        "nan",
        "inf",
        Decimal("1e999999999"),
        Decimal("nan"),
        "12345678901",
        "٣",
    ],
)
def test_what_is_no_price_is_refused(said: str | Decimal) -> None:
    with pytest.raises(ValueError, match="is not a price; write"):
        read_cents(said)


@given(st.integers(0, 10**11))
def test_what_is_written_is_read_back(cents: int) -> None:
    assert read_cents(write_cents(cents)) == cents


def test_the_sign_stands_before_the_amount() -> None:
    assert write_cents(1250, "$") == "$ 12.50"
    assert write_cents(-5) == "-0.05"


@given(st.integers(0, 10**9), st.lists(st.integers(0, 10**6), min_size=1, max_size=12).filter(any))
def test_shares_add_up_and_none_is_off_by_a_cent(cents: int, weights: list[int]) -> None:
    shares = share(cents, weights)
    assert sum(shares) == cents
    for part, weight in zip(shares, weights, strict=True):
        assert abs(part - Fraction(cents * weight, sum(weights))) < 1


def test_eight_cards_from_a_sheet_of_1_09_share_every_cent() -> None:
    """1.09 / 8 = 0.13625 a card: a maker's worked example at rhodylife.com, August 2012."""
    assert share(109, [1] * 8) == (14, 14, 14, 14, 14, 13, 13, 13)


@pytest.mark.parametrize("weights", [[], [0, 0], [1, -1]])
def test_nothing_is_shared_out_by_impossible_weights(weights: list[int]) -> None:
    with pytest.raises(ValueError, match="weights"):
        share(100, weights)


def test_half_a_cent_is_rounded_up_and_less_is_not() -> None:
    assert [whole_cents(Fraction(tenths, 10)) for tenths in (14, 15, 16, 25)] == [1, 2, 2, 3]
