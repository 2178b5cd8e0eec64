"""What the finished card must fit: its closed size, envelopes and the post, and the sentences that say so.

In: a Project. Out: a CardFit per design of the batch. The fact of the trade: a card that does not fit its envelope, or
costs more to post, is found out when it is too late.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from nesting.describe.designs import CardDesign
from nesting.describe.families.envelope import FAMILY as ENVELOPE
from nesting.describe.families.family import Given
from nesting.describe.folding import NotFlat
from nesting.describe.project import Project
from nesting.fit.closed import SQUARE_METRE, ClosedCard, closed_card
from nesting.fit.envelopes import EnvelopeFit, own_envelope, smallest_envelopes
from nesting.fit.post import MailItem, PostVerdict, Verdict, ask_the_posts
from nesting.lengths import Length, Unit, rounded_down, write_length, write_size
from nesting.standards import Envelope, EnvelopeSystem, likely_thickness

__all__ = [
    "CardFit",
    "ClosedCard",
    "EnvelopeFit",
    "PostVerdict",
    "Posted",
    "Verdict",
    "closed_card",
    "fit_of",
    "fits_of",
    "sentences",
]

# An envelope's own paper: 100 g/m2, and 9/4 of its face with flaps and tabs; from memory, as a guide.
ENVELOPE_GRAMS = Fraction(100)
ENVELOPE_FACES = Fraction(9, 4)
OWN = "envelope made to measure"


@dataclass(frozen=True, slots=True)
class Posted:
    """What the posts say of a card in one envelope; `inside` None: the bare card."""

    inside: EnvelopeFit | None
    verdicts: tuple[PostVerdict, ...]


@dataclass(frozen=True, slots=True)
class CardFit:
    """What one design fits. `card` None: it cannot be shut flat, and `why` says why.

    envelopes: per system the smallest that takes it and, where that is snug, the smallest with good room. own: where
    there is none, long and short side of one to cut and fold.
    """

    design: str
    card: ClosedCard | None
    why: str
    envelopes: tuple[EnvelopeFit, ...] = ()
    posted: tuple[Posted, ...] = ()
    own: tuple[Length, Length] | None = None


def fits_of(project: Project) -> tuple[CardFit, ...]:
    """One CardFit for each design of the batch that has a base."""
    wanted = {line.design for line in project.batch if line.count}
    return tuple(fit_of(project, design) for design in project.designs if design.name in wanted and design.base)


def fit_of(project: Project, design: CardDesign) -> CardFit:
    """Shut the card, find its envelopes, ask the posts. An envelope to be cut is itself what is posted."""
    try:
        card = closed_card(project, design)
    except NotFlat as reason:
        return CardFit(design.name, None, str(reason))
    if design.family == "envelope":
        return CardFit(design.name, card, "")
    systems = [EnvelopeSystem.NORTH_AMERICAN, EnvelopeSystem.ISO]
    if project.unit is not Unit.INCH:
        systems.reverse()
    found = [smallest_envelopes(card, system) for system in systems]
    posted = [
        Posted(fits[0], ask_the_posts(_in_envelope(card, fits[0].envelope), project.unit)) for fits in found if fits
    ]
    own = None if any(found) else own_envelope(card)
    if own is not None:
        made = EnvelopeFit(Envelope(OWN, systems[0], *own), own[0] - card.width, own[1] - card.height)
        posted.append(Posted(made, ask_the_posts(_in_envelope(card, made.envelope), project.unit)))
    if not card.folded:
        posted.append(Posted(None, ask_the_posts(_bare(card), project.unit)))
    return CardFit(design.name, card, "", tuple(fit for fits in found for fit in fits), tuple(posted), own)


def _in_envelope(card: ClosedCard, envelope: Envelope) -> MailItem:
    sheet = ENVELOPE_GRAMS * ENVELOPE_FACES * envelope.long.ticks * envelope.short.ticks / SQUARE_METRE
    return MailItem(
        long=envelope.long,
        short=envelope.short,
        thickness=None if card.thickness is None else card.thickness + 2 * likely_thickness(ENVELOPE_GRAMS),
        grams=None if card.grams is None else card.grams + sheet,
        uneven=card.uneven,
    )


def _bare(card: ClosedCard) -> MailItem:
    long, short = max(card.width, card.height), min(card.width, card.height)
    return MailItem(long, short, card.thickness, card.grams, card.uneven, bare=True)


def sentences(fit: CardFit, unit: Unit) -> list[str]:
    """All of it in words, one sentence a line; what a post says ends in "check with the post"."""
    if fit.card is None:
        return [f"The closed size of {fit.design} is not known: as it is scored it cannot be shut flat. {fit.why}"]
    card = fit.card
    lines = [_card_words(card, unit)]
    if card.unknown:
        lines.append(f"Not known: the weight of {', '.join(card.unknown)}; give it to learn thickness and weight.")
    for envelope in fit.envelopes:
        lines.append(_envelope_words(envelope, unit))
    if fit.own is not None:
        lines.append(_own_words(fit.own, unit))
    for posted in fit.posted:
        inside = f"in {_name(posted.inside.envelope)}" if posted.inside else "without an envelope"
        lines += [f"{verdict.post}, {inside}: {_verdict_words(verdict)}" for verdict in posted.verdicts]
    return lines


def _own_words(own: tuple[Length, Length], unit: Unit) -> str:
    """The envelope as a design of its own, and the sheet that it takes."""
    size = write_size(*own, unit, with_unit=True)
    usual = {key.key: value for key in ENVELOPE.takes if (value := key.usual(unit)) is not None}
    flat = ENVELOPE.build(Given({**usual, "size": own}, unit)).bases[0]
    sheet = write_size(flat.width, flat.height, unit, with_unit=True)
    return (
        f"No standard envelope takes it; one to cut and fold would be {size}, from a sheet of at least {sheet}:"
        f' a design with family = "envelope" and size = "{size}" is planned with the cards.'
    )


def _card_words(card: ClosedCard, unit: Unit) -> str:
    size = write_size(card.width, card.height, unit, with_unit=True)
    plies = f"{card.plies} {'ply' if card.plies == 1 else 'plies'}"
    thick = "" if card.thickness is None else f", about {_about(card.thickness, unit)} thick"
    grams = "" if card.grams is None else f", about {max(1, round(card.grams))} g without glue"
    guide = "; thickness by a guide from the papers' weight" if card.by_guide and thick else ""
    return f"{card.design}, closed: {size}{thick} ({plies} at most){grams}{guide}."


def _about(length: Length, unit: Unit) -> str:
    """Rounded up to hundredths of an inch, or to tenths of a millimetre."""
    steps = 100 if unit is Unit.INCH else 10
    ticks = Unit.INCH.ticks if unit is Unit.INCH else Unit.MILLIMETRE.ticks
    count = -(-length.ticks * steps // ticks)
    digits = 2 if unit is Unit.INCH else 1
    return f"{count // steps}.{count % steps:0{digits}d} {'in' if unit is Unit.INCH else 'mm'}"


def _at_least(length: Length, unit: Unit) -> str:
    """Rounded down to sixteenths of an inch, or to whole millimetres."""
    written = Unit.INCH if unit is Unit.INCH else Unit.MILLIMETRE
    return write_length(rounded_down(length, unit), written, with_unit=True)


def _name(envelope: Envelope) -> str:
    own = Unit.INCH if envelope.system is EnvelopeSystem.NORTH_AMERICAN else Unit.MILLIMETRE
    if envelope.name == "square":
        return f"a {write_length(envelope.long, own)} in square"
    return f"{'an' if envelope.name == OWN or envelope.name[0] == 'A' else 'a'} {envelope.name}"


def _envelope_words(fit: EnvelopeFit, unit: Unit) -> str:
    own = Unit.INCH if fit.envelope.system is EnvelopeSystem.NORTH_AMERICAN else Unit.MILLIMETRE
    size = write_size(fit.envelope.long, fit.envelope.short, own, with_unit=True)
    spare = _at_least(fit.spare, unit)
    how = f"snug, {spare} to spare; try one first" if fit.snug else f"{spare} to spare"
    return f"It fits {_name(fit.envelope)} ({size}): {how}."


def _verdict_words(verdict: PostVerdict) -> str:
    reasons = f" ({', '.join(verdict.reasons)})" if verdict.reasons else ""
    unknown = f"; {' and '.join(verdict.unknown)} not known" if verdict.unknown else ""
    said = f"{verdict.verdict.value} as a {verdict.mail_class}{reasons}{unknown}"
    if verdict.verdict is Verdict.NOT:
        said += "; larger kinds of mail are not looked at here"
    return f"{said}. Rule: {verdict.source}; check with the post."
