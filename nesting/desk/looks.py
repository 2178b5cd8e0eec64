"""Pages from templates: lengths with stacked fractions, money, shares, drawings; everything else is escaped.

In: a template's name and values. Out: HTML. The fact it serves: a screen at the cutting table is read like the
packet, so both write sizes, times and money alike and show the same drawings.
"""

from __future__ import annotations

from fractions import Fraction

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup, escape

from nesting.cutting.passes import Pass
from nesting.describe.papers import PrintDirection
from nesting.lengths import Length, Unit, write_length
from nesting.money import UNNAMED, Currency, whole_cents
from nesting.reports import phrases, words
from nesting.reports.cost_rows import one_more_words
from nesting.reports.drawing import Box, Drawing
from nesting.reports.lettering import TIMES, Stacked, Words, length_words
from nesting.reports.stop_signs import cut_words
from nesting.reports.svg import svg_text
from nesting.reports.swatches import Swatch, swatch, swatch_shapes


def make_pages() -> Environment:
    """The templates with all that they need."""
    pages = Environment(
        loader=PackageLoader("nesting.desk"), autoescape=True, undefined=StrictUndefined, trim_blocks=True,
        lstrip_blocks=True,
    )  # fmt: skip
    pages.filters.update(
        ruled=length, said=write_length, size=size, money=money, each=each, percent=phrases.percent,
        plural=phrases.plural, duration=phrases.duration, drawing=drawing, swatch=swatch_svg, verdict=words.verdict,
        proof=words.proof, slug=slug, cuts=cut_words, deep=deep,
        one_more_words=one_more_words,
    )  # fmt: skip
    return pages


def length(ticks: int | Length, unit: Unit) -> Markup:
    """A length as on a ruler, its fraction stacked; a screen reader hears it on one line."""
    found = ticks if isinstance(ticks, Length) else Length(ticks)
    return _html(length_words(found, unit))


def size(width: int | Length, height: int | Length, unit: Unit) -> Markup:
    """Across x up."""
    return Markup("{}&nbsp;{}&nbsp;{}").format(length(width, unit), TIMES, length(height, unit))


def _html(set_words: Words) -> Markup:
    runs = []
    for run in set_words:
        if isinstance(run, Stacked):
            runs.append(Markup(
                '<span class="fraction" role="img" aria-label="{0}/{1}"><span aria-hidden="true">{0}</span>'
                '<span aria-hidden="true">{1}</span></span>'
            ).format(run.top, run.bottom))  # fmt: skip
        else:
            runs.append(escape(run.strip()))
    return Markup("\u200a").join(runs)


def money(cents: int | None, currency: Currency | None, *, sign: bool = True) -> str:
    """An amount, "?" where it is not known."""
    currency = currency or UNNAMED
    return "?" if cents is None else currency.write(cents) if sign else currency.amount(cents)


def each(cents: Fraction | None, currency: Currency | None, *, sign: bool = True) -> str:
    """An exact amount for one card, to the cent."""
    return money(None if cents is None else whole_cents(cents), currency, sign=sign)


def drawing(what: Drawing | None, prefix: str) -> Markup:
    """A drawing as an element of the page; every name in it begins with the prefix."""
    return Markup("") if what is None else Markup(svg_text(what, f"{prefix}-", standalone=False))


def swatch_svg(look: Swatch | None, prefix: str, name: str = "") -> Markup:
    """How a paper looks, as a small picture."""
    look = look or swatch(name, PrintDirection.NONE)
    shapes = swatch_shapes(look, Box(0.01, 0.01, 0.51, 0.36))
    return drawing(Drawing(0.52, 0.37, shapes, name), prefix)


def slug(text: str) -> str:
    """A name that is safe as part of an id, and the same for the same text only."""
    return "".join(letter if letter.isascii() and letter.isalnum() else f"_{ord(letter):x}_" for letter in text)


def deep(each_pass: Pass) -> str:
    """How deep the stacks are: "2", or "2, the last 1"."""
    deepest, last = max(each_pass.stacks, default=1), each_pass.stacks[-1] if each_pass.stacks else 1
    return str(deepest) if last == deepest else f"{deepest}, the last {last}"
