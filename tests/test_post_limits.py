"""Every limit of every post at its edge: what just keeps it goes, a tick beyond it does not, or not so cheaply.

The numbers stand here as they were read, apart from the table that the program uses: USPS Domestic Mail Manual 101.1.1,
101.1.2 and 101.6.2 (9 July 2023), Letter Mail Regulations SOR/88-430 sections 9, 32 and 33, Ofcom (sizes; weights
second-hand), press reports of the German post.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest

from nesting.fit.post import MailItem, Verdict, ask_the_posts
from nesting.lengths import Length, Unit, inches, mm

GOES, DEARER, NOT = Verdict.GOES, Verdict.DEARER, Verdict.NOT
BARE, US, CANADA, BRITAIN, GERMANY = "card", "letter", "Canada", "Britain", "Germany"


def item(long: Length, short: Length, thickness: Length = mm(1), grams: int = 10, *, bare: bool = False) -> MailItem:
    return MailItem(long, short, thickness, Fraction(grams), bare=bare)


def verdict(found: MailItem, post: str) -> Verdict:
    """By the post's name; in the United States by what is posted."""
    return next(v.verdict for v in ask_the_posts(found, Unit.INCH) if post in (v.post, v.mail_class))


def changed(found: MailItem, side: str, by: int) -> MailItem:
    """The item a few ticks longer, shorter, thicker or thinner."""
    sides: dict[str, Any] = {side: Length(getattr(found, side).ticks + by)}
    return replace(found, **sides)


THIN, STIFF = Length(569), Length(732)  # 0.007 and 0.009 in, to the next whole tick
CARD = item(inches("11/2"), inches(4), mm("0.25"), bare=True)
LETTER = item(inches(9), inches(5))

EDGES = [
    (BARE, replace(CARD, long=inches(5)), "long", -1, NOT),
    (BARE, replace(CARD, long=inches(6)), "long", 1, NOT),
    (BARE, replace(CARD, short=inches("7/2")), "short", -1, NOT),
    (BARE, replace(CARD, short=inches("17/4")), "short", 1, NOT),
    (BARE, replace(CARD, thickness=THIN), "thickness", -1, NOT),
    (BARE, replace(CARD, thickness=Length(1300)), "thickness", 1, NOT),  # 0.016 in are 1 300.48 ticks
    (US, item(inches(5), inches("7/2")), "long", -1, NOT),
    (US, item(inches(5), inches("7/2")), "short", -1, NOT),
    (US, item(inches("23/2"), inches(5)), "long", 1, NOT),
    (US, item(inches(9), inches("49/8")), "short", 1, NOT),
    (US, item(inches("11/2"), inches(4), THIN), "thickness", -1, NOT),
    (US, replace(LETTER, thickness=STIFF), "thickness", -1, NOT),  # over 6 in long
    (US, item(inches(6), inches("17/4"), THIN), "long", 1, NOT),  # up to 6 x 4 1/4 in, 0.007 in are enough
    (US, item(inches(6), inches("17/4"), THIN), "short", 1, NOT),
    (US, replace(LETTER, thickness=inches("1/4")), "thickness", 1, NOT),
    (US, item(inches("13/2"), inches(5)), "long", -1, DEARER),  # 6 1/2 / 5 = 1.3
    (US, item(inches(10), inches(4)), "long", 1, DEARER),  # 10 / 4 = 2.5
    (CANADA, item(mm(140), mm(90)), "long", -1, NOT),
    (CANADA, item(mm(140), mm(90)), "short", -1, NOT),
    (CANADA, item(mm(245), mm(150)), "long", 1, NOT),
    (CANADA, item(mm(240), mm(156)), "short", 1, NOT),
    (CANADA, item(mm(200), mm(120), mm("0.18")), "thickness", -1, NOT),
    (CANADA, item(mm(200), mm(120), mm(5)), "thickness", 1, NOT),
    (CANADA, item(mm(156), mm(120)), "long", -1, NOT),  # 1.3
    (CANADA, item(mm(234), mm(90)), "long", 1, NOT),  # 2.6
    (BRITAIN, item(mm(240), mm(165)), "long", 1, DEARER),
    (BRITAIN, item(mm(240), mm(165)), "short", 1, DEARER),
    (BRITAIN, item(mm(240), mm(165), mm(5)), "thickness", 1, DEARER),
    (GERMANY, item(mm(140), mm(90)), "long", -1, DEARER),
    (GERMANY, item(mm(140), mm(90)), "short", -1, DEARER),
    (GERMANY, item(mm(235), mm(125)), "long", 1, NOT),
    (GERMANY, item(mm(235), mm(125)), "short", 1, NOT),
    (GERMANY, item(mm(175), mm(125)), "long", -1, NOT),  # 1.4
    (GERMANY, item(mm(235), mm(125), mm(5)), "thickness", 1, DEARER),
]


@pytest.mark.parametrize(("post", "kept", "side", "by", "beyond"), EDGES)
def test_a_tick_beyond_a_limit_is_beyond_it(post: str, kept: MailItem, side: str, by: int, beyond: Verdict) -> None:
    assert verdict(kept, post) is GOES
    assert verdict(changed(kept, side, by), post) is beyond


@pytest.mark.parametrize(
    ("post", "kept", "side", "by"),
    [
        (BRITAIN, item(mm(353), mm(250)), "long", 1),
        (BRITAIN, item(mm(353), mm(250)), "short", 1),
        (BRITAIN, item(mm(353), mm(250), mm(25)), "thickness", 1),
        (GERMANY, item(mm(100), mm(70)), "long", -1),
        (GERMANY, item(mm(100), mm(70)), "short", -1),
        (GERMANY, item(mm(200), mm(125), mm(10)), "thickness", 1),
    ],
)
def test_beyond_the_dearer_class_it_does_not_go(post: str, kept: MailItem, side: str, by: int) -> None:
    assert verdict(kept, post) is DEARER
    assert verdict(changed(kept, side, by), post) is NOT


@pytest.mark.parametrize(
    ("post", "grams", "beyond"),
    [(US, "99.2233309375", NOT), (CANADA, "50", NOT), (BRITAIN, "100", DEARER), (BRITAIN, "750", NOT),
     (GERMANY, "20", DEARER), (GERMANY, "50", NOT)],
)  # fmt: skip
def test_a_hair_beyond_a_weight_is_too_heavy(post: str, grams: str, beyond: Verdict) -> None:
    """3 1/2 oz of 28.349523125 g; 50 g; 100 and 750 g; 20 and 50 g."""
    kept = replace(item(mm(200), mm(120)), grams=Fraction(grams))
    assert verdict(kept, post) is not NOT
    heavier = replace(kept, grams=Fraction(grams) + Fraction(1, 1000))
    assert verdict(kept, post) is not verdict(heavier, post) is beyond
