"""Envelopes, letters and thickness against printed figures."""

from __future__ import annotations

from fractions import Fraction

import pytest

from nesting.lengths import TICKS_PER_INCH, TICKS_PER_MM, Length, inches, mm
from nesting.standards import (
    ENVELOPES,
    ISO_216_A,
    MAIL_CLASSES,
    EnvelopeSystem,
    grammage,
    likely_thickness,
    sheets_that_take,
)


def test_a_c_envelope_takes_the_a_sheet_of_its_number() -> None:
    """ISO 269 and ISO 216: a C6 takes an A6, a C5 an A5, a DL an A4 folded in three (99 mm)."""
    by_name = {envelope.name: envelope for envelope in ENVELOPES}
    for name, number in (("C6", 6), ("C5", 5)):
        width, height = ISO_216_A[number]
        spare = by_name[name].long - mm(height), by_name[name].short - mm(width)
        assert all(mm(5) < side < mm(20) for side in spare)
    assert by_name["DL"].short - mm(99) == mm(11)
    assert by_name["DL"].long - mm(210) == mm(10)


def test_envelopes_come_smallest_first_and_lie_on_their_long_side() -> None:
    areas = [envelope.long.ticks * envelope.short.ticks for envelope in ENVELOPES]
    assert areas == sorted(areas)
    assert all(envelope.long >= envelope.short for envelope in ENVELOPES)
    assert len({(envelope.name, envelope.long) for envelope in ENVELOPES}) == len(ENVELOPES) == 30
    assert {envelope.system for envelope in ENVELOPES} == set(EnvelopeSystem)


def test_envelopes_have_their_printed_sizes() -> None:
    """ISO 269 (withdrawn), in tables of stationers; announcement envelopes at thoughtco.com and nextdayflyers.com."""
    printed = {
        "C6": (mm(162), mm(114)), "DL": (mm(220), mm(110)), "C6/C5": (mm(229), mm(114)), "C5": (mm(229), mm(162)),
        "B6": (mm(176), mm(125)), "C7/C6": (mm(162), mm(81)),
        "A1": (inches("5.125"), inches("3.625")), "A2": (inches("5.75"), inches("4.375")),
        "A6": (inches("6.5"), inches("4.75")), "A7": (inches("7.25"), inches("5.25")),
        "A8": (inches("8.125"), inches("5.5")), "A9": (inches("8.75"), inches("5.75")),
        "A10": (inches("9.5"), inches(6)), "slimline": (inches("8.875"), inches("3.875")),
        "no. 10": (inches("9.5"), inches("4.125")),
    }  # fmt: skip
    by_name = {envelope.name: (envelope.long, envelope.short) for envelope in ENVELOPES}
    assert {name: by_name[name] for name in printed} == printed


@pytest.mark.parametrize(("pounds", "inch"), [(90, "0.0075"), (110, "0.0091"), (140, "0.0114"), (170, "0.0138")])
def test_index_is_as_thick_as_the_government_paper_standards_say(pounds: int, inch: str) -> None:
    """Government Paper Specification Standards of the United States, 1999: weight in g/m2 and thickness in inches."""
    grams = {90: 165, 110: 200, 140: 255, 170: 305}[pounds]
    assert likely_thickness(Fraction(grams)).ticks == -(-Fraction(inch) * TICKS_PER_INCH // 1)


def test_the_commonest_card_has_an_eighth_to_spare_in_its_envelope() -> None:
    """Common practice: 4 1/4 x 5 1/2 goes into an A2 of 4 3/8 x 5 3/4."""
    a2 = next(envelope for envelope in ENVELOPES if envelope.name == "A2")
    assert (a2.short - inches("4.25"), a2.long - inches("5.5")) == (inches("1/8"), inches("1/4"))


@pytest.mark.parametrize(
    ("weight", "mil"), [("65 lb cover", "8"), ("80 lb cover", "9.5"), ("100 lb cover", "11"), ("110 lb cover", "13.5")]
)
def test_the_guide_is_within_an_eighth_of_what_is_typical_for_uncoated_cover(weight: str, mil: str) -> None:
    """Typical thickness in thousandths of an inch as printed by paper merchants (110 lb: 13 to 14)."""
    typical = Fraction(mil) / 1000 * TICKS_PER_INCH
    assert abs(likely_thickness(grammage(weight)).ticks - typical) < typical / 8


def test_the_guide_gives_its_own_figures_back_and_never_falls() -> None:
    """0.135 mm at 90 g/m2: 1 400 mm for 10 370 sheets (bvdm teaching sheet 12.5, 2017)."""
    assert round(Fraction(1400, 10370), 3) == Fraction("0.135")
    assert likely_thickness(Fraction(90)).ticks == Fraction("0.135") * TICKS_PER_MM
    found = [likely_thickness(Fraction(grams)).ticks for grams in range(30, 600)]
    assert found == sorted(found)
    assert len(set(found)) == len(found)


def test_every_class_of_mail_has_a_source_and_limits_in_order() -> None:
    for mail in MAIL_CLASSES:
        assert mail.source
        assert ("9 July 2023" in mail.rule) is (mail.post == "United States")
        assert bool(mail.dated) is not ("date unknown, taken down in" in mail.rule)
        assert mail.most[0] >= mail.most[1]
        if mail.least is not None:
            assert mail.least[0] <= mail.most[0]
            assert mail.least[1] <= mail.most[1]
        assert mail.thinnest is None or mail.thinnest < mail.thickest
    assert [mail.post for mail in MAIL_CLASSES if mail.bare] == ["United States"]


def test_three_and_a_half_ounces_are_a_little_under_a_hundred_grams() -> None:
    """International avoirdupois ounce: 28.349523125 g."""
    letter = next(mail for mail in MAIL_CLASSES if mail.post == "United States" and not mail.bare)
    assert letter.grams == Fraction("99.2233309375")


@pytest.mark.parametrize(
    ("width", "height", "may_turn", "names"),
    [
        (inches(5), inches(7), False, ("A5", "8 x 8 in")),
        (mm(210), mm(148), False, ("A5 landscape", "letter")),
        (inches("8.5"), inches(11), False, ("A3", "letter")),
        (inches(11), inches("8.5"), True, ("A3", "letter")),
        (inches(13), inches(12), False, ("A2", "")),
        (inches(50), inches(50), True, ()),
    ],
)
def test_the_smallest_sheet_that_takes_a_piece_is_named(
    width: Length, height: Length, may_turn: bool, names: tuple[str, ...]
) -> None:
    """ISO 216, ASME Y14.1; squares are common practice. 13 x 12 is too large for every inch sheet known."""
    assert sheets_that_take(width, height, may_turn=may_turn) == tuple(name for name in names if name)
