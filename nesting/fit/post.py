"""Whether a post takes an item as a letter: it goes, goes at a higher price, or does not go.

In: a MailItem. Out: a PostVerdict per post, with reasons in words and the source of the rule. There are no prices.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from fractions import Fraction
from itertools import groupby

from nesting.lengths import Length, Unit, write_length
from nesting.standards import MAIL_CLASSES, MailClass


class Verdict(Enum):
    """What the post says."""

    GOES = "goes"
    DEARER = "goes, but at a higher price"
    NOT = "does not go"


@dataclass(frozen=True, slots=True)
class MailItem:
    """What is handed in: `long` is the longer side. None where thickness or mass is not known.

    uneven: foam or the like makes it lumpy. bare: a single card without an envelope.
    """

    long: Length
    short: Length
    thickness: Length | None = None
    grams: Fraction | None = None
    uneven: bool = False
    bare: bool = False


@dataclass(frozen=True, slots=True)
class PostVerdict:
    """What one post says, as which class of mail, and why not better; `unknown`: what could not be judged."""

    post: str
    mail_class: str
    verdict: Verdict
    reasons: tuple[str, ...]
    unknown: tuple[str, ...]
    source: str


def ask_the_posts(item: MailItem, unit: Unit) -> tuple[PostVerdict, ...]:
    """One verdict per post; a bare card is also judged by the rules for cards."""
    verdicts = []
    for (_, bare), classes in groupby(MAIL_CLASSES, key=lambda mail: (mail.post, mail.bare)):
        if not bare or item.bare:
            verdicts.append(_ask(tuple(classes), item, unit))
    return tuple(verdicts)


def _ask(classes: tuple[MailClass, ...], item: MailItem, unit: Unit) -> PostVerdict:
    """The cheapest class that takes it; the reasons say why not a cheaper one, or why none."""
    unknown = tuple(
        word for word, value in (("thickness", item.thickness), ("weight", item.grams)) if value is None
    )  # fmt: skip
    reasons: tuple[str, ...] = ()
    for mail in classes:
        faults = _faults(mail, item, unit)
        if faults:
            reasons = faults if mail is classes[-1] or not reasons else reasons
            continue
        dearer = _dearer(mail, item)
        better = mail is classes[0] and not dearer
        return PostVerdict(
            mail.post, mail.name, Verdict.GOES if better else Verdict.DEARER, reasons + dearer, unknown, mail.rule
        )
    last = classes[-1]
    return PostVerdict(last.post, last.name, Verdict.NOT, reasons, unknown, last.rule)


def _faults(mail: MailClass, item: MailItem, unit: Unit) -> tuple[str, ...]:
    """Why this class does not take it."""
    faults = []
    sides = (("long", item.long, 0), ("high", item.short, 1))
    for word, side, i in sides:
        if side > mail.most[i]:
            faults.append(f"{_more(side - mail.most[i], unit)} too {word}")
        if mail.least is not None and side < mail.least[i]:
            faults.append(f"{_more(mail.least[i] - side, unit)} not {word} enough")
    if not mail.shape_is_dearer:
        faults += _shape(mail, item)
    if item.thickness is not None:
        stiff = mail.stiff_from
        if item.thickness.ticks > mail.thickest:
            faults.append("too thick")
        elif mail.thinnest is not None and item.thickness.ticks < mail.thinnest:
            faults.append("too thin")
        elif stiff is not None and (item.long > stiff[0][0] or item.short > stiff[0][1]):
            faults += ["too thin for its size"] if item.thickness.ticks < stiff[1] else []
    if item.grams is not None and mail.grams is not None and item.grams > mail.grams:
        faults.append("too heavy")
    return tuple(faults)


def _dearer(mail: MailClass, item: MailItem) -> tuple[str, ...]:
    """Why this class takes it at a higher price."""
    reasons = _shape(mail, item) if mail.shape_is_dearer else []
    if mail.uneven_is_dearer and item.uneven:
        reasons.append("uneven in thickness")
    return tuple(reasons)


def _shape(mail: MailClass, item: MailItem) -> list[str]:
    lowest, highest = mail.shape
    shape = Fraction(item.long.ticks, item.short.ticks)
    if lowest is not None and shape < lowest:
        return ["square, or nearly so"]
    if highest is not None and shape > highest:
        return ["very long for its height"]
    return []


def _more(length: Length, unit: Unit) -> str:
    return write_length(length, unit, with_unit=True) if unit is not Unit.INCH else _inches(length)


def _inches(length: Length) -> str:
    """A fraction of an inch where there is one, else millimetres."""
    text = write_length(length, Unit.INCH)
    return text if text.endswith("mm") else f"{text} in"
