"""Which standard envelope takes a closed card, and how much room it leaves.

In: a ClosedCard. Out: EnvelopeFits, the smallest of each system first. The fact of the trade: a quarter of an inch
to spare each way is advised, but the commonest card of all has an eighth: under a quarter is snug, under an eighth
is too tight. Clearances: printed advice for 1/4; the rest common practice, no published source.
"""

from __future__ import annotations

from dataclasses import dataclass

from nesting.fit.closed import ClosedCard
from nesting.lengths import ZERO, Length, inches
from nesting.standards import ENVELOPES, Envelope, EnvelopeSystem

ROOMY = inches("1/4")
SNUG = inches("1/8")
FLAT = inches("1/16")  # up to this thickness a card is as good as flat; what is thicker takes room


@dataclass(frozen=True, slots=True)
class EnvelopeFit:
    """An envelope and the room left along its long and its short side."""

    envelope: Envelope
    spare_long: Length
    spare_short: Length

    @property
    def spare(self) -> Length:
        """The smaller of the two."""
        return min(self.spare_long, self.spare_short)

    @property
    def snug(self) -> bool:
        """It fits, but tighter than is advised."""
        return self.spare < ROOMY


def bulge(card: ClosedCard) -> Length:
    """What its thickness takes of an envelope's length and height."""
    return max(ZERO, (card.thickness or ZERO) - FLAT)


def try_envelope(card: ClosedCard, envelope: Envelope) -> EnvelopeFit | None:
    """The fit, None where the card is too large for it."""
    long, short = max(card.width, card.height), min(card.width, card.height)
    fit = EnvelopeFit(envelope, envelope.long - long - bulge(card), envelope.short - short - bulge(card))
    return fit if fit.spare >= SNUG else None


def smallest_envelopes(card: ClosedCard, system: EnvelopeSystem) -> tuple[EnvelopeFit, ...]:
    """The smallest envelope of a system that takes the card, and the smallest with good room if that one is snug."""
    fits = [fit for envelope in ENVELOPES if envelope.system is system and (fit := try_envelope(card, envelope))]
    roomy = [fit for fit in fits if not fit.snug]
    return tuple(dict.fromkeys(fits[:1] + roomy[:1]))


def own_envelope(card: ClosedCard) -> tuple[Length, Length]:
    """Long by short side of an envelope with good room, to be cut and folded where no standard one fits."""
    more = ROOMY + bulge(card)
    return max(card.width, card.height) + more, min(card.width, card.height) + more
