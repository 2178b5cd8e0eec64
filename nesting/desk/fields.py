"""What can be said on the page about a paper, a card, the batch, the trimmer and the costs: a field for each plain key.

In: nothing. Out: fields by table. Lists and tables within tables that no line of a form holds are shown as they stand
in the file, with the way there; the words are the reader's, so that page, files and “nesting explain” say the same.
"""

from __future__ import annotations

from dataclasses import dataclass

from nesting.describe.families import FAMILIES, Takes
from nesting.describe.papers import Grain, PrintDirection


@dataclass(frozen=True, slots=True)
class Field:
    """One line of a form. kind: words, length, number, choice, yes or list; `wide` ones take a whole row."""

    key: str
    label: str
    help: str = ""
    kind: str = "words"
    choices: tuple[tuple[str, str], ...] = ()
    wide: bool = False


_PRINTS = (
    ("", "plain: any way up"),
    (PrintDirection.TWO_WAY.value, "two-way: stripes"),
    (PrintDirection.ONE_WAY.value, "one-way: upright only"),
)
_GRAINS = (("", "not known"), (Grain.ACROSS.value, "across the sheet"), (Grain.UP.value, "up the sheet"))

PAPER = (
    Field("sheet", "Sheet", "across x up, like 12 x 12, or letter, A4", "length"),
    Field("price", "Price of a sheet", "like 0.95", "number"),
    Field("at_hand", "Sheets at hand", "used before any is bought", "number"),
    Field("print", "Print", "which way up it may be seen", "choice", _PRINTS),
    Field("grain", "Grain", "the way the fibres run", "choice", _GRAINS),
    Field("weight", "Weight", "like 216 gsm or 65 lb cover"),
    Field("rim", "Rim", "what cannot be used all round", "length"),
    Field("stand_in", "Stand-in", "the paper to take when this one runs short"),
    Field("note", "Note", "your own words", wide=True),
)
DESIGN = (
    Field("base", "Base", "the paper of the folded base", "paper"),
    Field("size", "Flat size", "across x up, before folding", "length"),
    Field("across", "Scores from the left", "one or several, like 4 1/4 or 3, 3 3/4 mountain", "list"),
    Field("down", "Scores from the top", "one or several", "list"),
)
BATCH = (
    Field("title", "Title", "what this batch is called"),
    Field("spares", "Spares", "1 in 10, or a number of each kind, or none"),
    Field("currency", "Money", "the sign before prices, like $"),
    Field("decimals", "Decimals of prices", "0 where there are no cents; else empty", "number"),
    Field("budget", "Budget", "what the paper may cost; empty: not said", "number"),
    Field("centres", "Use mats' hidden centres", "the middle of a mat may be cut out before gluing", "yes"),
)
TRIMMER = (
    Field("longest_cut", "Longest cut", "empty: no limit", "length"),
    Field("largest_setting", "Largest stop setting", "empty: no limit", "length"),
    Field("narrowest", "Narrowest strip", "that can be held flat", "length"),
    Field("ruler", "Finest mark of its ruler", "like 1/16", "length"),
    Field("keep", "Keep offcuts from", "smaller ones are scrap, like 1 x 3", "length"),
    Field("kerf", "The blade takes away", "usually nothing", "length"),
    Field("square_first", "Trim the sheets' edges first", "", "yes"),
)
COSTS = (
    Field("hour", "An hour of your work", "like 15", "number"),
    Field("minutes", "Minutes to put a card together", "", "number"),
    Field("minutes_once", "Minutes to get ready", "once a batch", "number"),
    Field("overheads", "Overheads", "a share of all the rest, like 10 %"),
    Field("margin", "Margin", "the part of the price left over, like 35 %"),
    Field("price_step", "Round prices up to", "like 0.50", "number"),
)
RULES = (("smaller_by", "smaller by"), ("border", "border"), ("size", "size"))
KINDS = ("mat", "layer", "strip", "banner", "tab", "blank", "piece", "window")


def family_fields(family: str) -> tuple[Field, ...]:
    """The fields of a card of this family; () for a family that there is not."""
    found = FAMILIES.get(" ".join(family.lower().split()))
    if found is None:
        return ()
    kinds = {Takes.SIZE: "length", Takes.LENGTH: "length", Takes.COUNT: "number", Takes.LENGTHS: "list",
             Takes.WORD: "choice", Takes.TABLES: "table"}  # fmt: skip
    fields = [DESIGN[0]]
    for one in found.takes:
        choices = (("", "usual"), *((word, word) for word in one.choices)) if one.choices else ()
        label = one.key.replace("_", " ").capitalize()
        fields.append(Field(one.key, label, one.words, kinds[one.takes], choices))
    return tuple(fields)
