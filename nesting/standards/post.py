"""What posts take as a letter: published limits of size, thickness, weight and shape, each with source and date.

In: nothing. Out: MailClasses. There are no prices here. Limits change: whoever shows a verdict says to check with the
post.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from nesting.lengths import TICKS_PER_INCH, Length, inches, mm

Sides = tuple[Length, Length]  # longer side, shorter side
TAKEN_DOWN = "November 2026"  # when the rules that bear no date were written into this table
GRAMS_PER_OUNCE = Fraction("28.349523125")


@dataclass(frozen=True, slots=True)
class MailClass:
    """What one post takes as one kind of letter; None: no limit is stated.

    least and most: sides and thickness, in ticks where thinner than the ruler. shape: longer side by shorter side,
    lowest and highest; `shape_is_dearer`: outside these it goes at a higher price, else not in this class.
    stiff_from: an item longer or higher than these sides must be at least so thick.
    bare: only for a single card without an envelope. dated: the edition of the rule, "" where what was read bears no
    date.
    """

    post: str
    name: str
    source: str
    dated: str
    least: Sides | None
    most: Sides
    thinnest: Fraction | None
    thickest: Fraction
    grams: Fraction | None
    shape: tuple[Fraction | None, Fraction | None] = (None, None)
    shape_is_dearer: bool = False
    uneven_is_dearer: bool = False
    stiff_from: tuple[Sides, Fraction] | None = None
    bare: bool = False

    @property
    def rule(self) -> str:
        """Source and date in words."""
        return f"{self.source}, {self.dated or f'date unknown, taken down in {TAKEN_DOWN}'}"


def _inch(text: str) -> Fraction:
    return Fraction(text) * TICKS_PER_INCH


def _mm(text: str) -> Fraction:
    return Fraction(mm(text).ticks)


# The posts in the order in which they are shown; of one post, the cheaper class first.
MAIL_CLASSES = (
    MailClass(
        post="United States", name="card",
        source="USPS Domestic Mail Manual 101.6.2", dated="9 July 2023",
        least=(inches(5), inches("7/2")), most=(inches(6), inches("17/4")),
        thinnest=_inch("0.007"), thickest=_inch("0.016"), grams=None, bare=True,
    ),
    MailClass(
        post="United States", name="letter",
        source="USPS Domestic Mail Manual 101.1.1 and 101.1.2", dated="9 July 2023",
        least=(inches(5), inches("7/2")), most=(inches("23/2"), inches("49/8")),
        thinnest=_inch("0.007"), thickest=_inch("1/4"), grams=Fraction(7, 2) * GRAMS_PER_OUNCE,
        shape=(Fraction("1.3"), Fraction("2.5")), shape_is_dearer=True, uneven_is_dearer=True,
        stiff_from=((inches(6), inches("17/4")), _inch("0.009")),
    ),
    MailClass(
        post="Canada", name="standard letter",
        source="Letter Mail Regulations SOR/88-430, sections 9, 32 and 33", dated="",
        least=(mm(140), mm(90)), most=(mm(245), mm(156)), thinnest=_mm("0.18"), thickest=_mm("5"),
        grams=Fraction(50), shape=(Fraction("1.3"), Fraction("2.6")),
    ),
    MailClass(
        post="Britain", name="letter",
        source="Royal Mail; sizes as printed by Ofcom, weight second-hand", dated="",
        least=None, most=(mm(240), mm(165)), thinnest=None, thickest=_mm("5"), grams=Fraction(100),
    ),
    MailClass(
        post="Britain", name="large letter",
        source="Royal Mail; sizes as printed by Ofcom, weight second-hand", dated="",
        least=None, most=(mm(353), mm(250)), thinnest=None, thickest=_mm("25"), grams=Fraction(750),
    ),
    MailClass(
        post="Germany", name="Standardbrief",
        source="press reports of Deutsche Post's limits", dated="",
        least=(mm(140), mm(90)), most=(mm(235), mm(125)), thinnest=None, thickest=_mm("5"), grams=Fraction(20),
        shape=(Fraction("1.4"), None),
    ),
    MailClass(
        post="Germany", name="Kompaktbrief",
        source="press reports of Deutsche Post's limits", dated="",
        least=(mm(100), mm(70)), most=(mm(235), mm(125)), thinnest=None, thickest=_mm("10"), grams=Fraction(50),
        shape=(Fraction("1.4"), None),
    ),
)  # fmt: skip
