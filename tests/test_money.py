"""Money is whole cents and shares add up to the cent."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.money import Currency, share, whole_cents

DOLLARS, YEN = Currency("$"), Currency("¥", 0)


@pytest.mark.parametrize(
    ("said", "cents"),
    [("0.95", 95), ("1,20", 120), (12, 1200), (Decimal("0.4"), 40), (".5", 50), ("0", 0), (" 7 ", 700)],
)
def test_prices_are_read_as_people_write_them(said: str | int | Decimal, cents: int) -> None:
    assert DOLLARS.read(said) == cents


@pytest.mark.parametrize(
    "said",
    [
        "",
        "-1",
        "1.234",
        "1,200",
        "1_0",
        "+2",
        "1e3",
        "nan",
        "inf",
        Decimal("1e999999999"),
        Decimal("nan"),
        "12345678901",
        "$ 2 $",
        "€ 2 $",
        "٣",
    ],
)
def test_what_is_no_price_is_refused(said: str | Decimal) -> None:
    with pytest.raises(ValueError, match="is not a price; write"):
        DOLLARS.read(said)


@given(st.integers(0, 10**11))
def test_what_is_written_is_read_back(cents: int) -> None:
    assert DOLLARS.read(DOLLARS.write(cents)) == cents


@given(st.integers(0, 10**9))
def test_a_currency_without_decimals_is_read_and_written_without_them(amount: int) -> None:
    assert YEN.write(amount) == f"¥ {amount}"
    assert YEN.read(YEN.write(amount)) == YEN.read(f"{amount}.00") == amount


@pytest.mark.parametrize("said", ["1.5", "0,50", "¥ 12.01"])
def test_decimals_are_refused_where_the_currency_has_none(said: str) -> None:
    with pytest.raises(ValueError, match="has decimals, and this project's currency has none; write it without"):
        YEN.read(said)


def test_a_price_may_carry_the_projects_own_sign_on_either_side() -> None:
    assert DOLLARS.read("$ 2.50") == DOLLARS.read("2.50 $") == DOLLARS.read("$2,5") == 250
    assert Currency("EUR").read("3 EUR") == 300


@pytest.mark.parametrize("said", ["€ 2.50", "2.50 EUR", "¥12"])
def test_a_price_in_another_currency_is_refused(said: str) -> None:
    with pytest.raises(ValueError, match=r"counts in “\$”; write all prices in one currency"):
        DOLLARS.read(said)
    with pytest.raises(ValueError, match="names no currency; write all prices in one currency"):
        Currency().read(said)


def test_the_sign_stands_before_the_amount() -> None:
    assert DOLLARS.write(1250) == "$ 12.50"
    assert DOLLARS.amount(-5) == "-0.05"


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
