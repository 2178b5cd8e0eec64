"""The list `parts` of a design: mats, layers, strips, windows, blanks and pieces, and what each lies on.

In: a list of tables, the panels and the names of papers. Out: CardParts, each after the one it lies on. The fact of
the trade: a size is said as "an eighth smaller", as a border, or outright.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TypedDict

from nesting.describe.designs import CardPart, Outline, OwnSize, PartKind, SmallerBy
from nesting.describe.findings import Findings
from nesting.describe.names import Names, composed
from nesting.describe.panel_names import PanelNames
from nesting.describe.paper_names import PaperNames
from nesting.describe.part_places import Draft, Drafts, On, lies_on
from nesting.describe.shape_keys import read_shape
from nesting.describe.tables import Table
from nesting.describe.values import Said, length, length_or_pair, positive_length, size, whole, words, yes_no
from nesting.errors import Place
from nesting.lengths import Length
from nesting.quoting import quoted

KINDS = ", ".join(kind.value for kind in PartKind)
OTHER_KEYS = (
    "on", "paper", "smaller_by", "border", "size", "at", "count", "allowance", "turn", "rim", "reuse", "raised_by",
    "shape", "top", "to_a_blank", "runs_on", "pair", "spread",
)  # fmt: skip
MAY_HOLD = f"a part may hold one of {KINDS}, and {', '.join(OTHER_KEYS)}."
MOST_COPIES = 10_000
MOST_PARTS = 2000


def read_parts(
    said: Said, design: str, book: PanelNames, names: Names, papers: PaperNames, findings: Findings
) -> tuple[CardPart, ...]:
    """All parts of a design; what is wrong is noted and left out. `names` holds the names of its panels."""
    if not isinstance(said.value, list):
        todo = 'Write it like parts = [{ mat = "frame", on = 1, paper = "pine", smaller_by = "1/8" }].'
        findings.add(said.place, f"{quoted(said.value)} is no list of parts.", todo)
        return ()
    if len(said.value) > MOST_PARTS:
        findings.add(said.place, f"A card has more than {MOST_PARTS} parts.", "Split the design in two.")
        return ()
    drafts = Drafts()
    order: list[Draft | None] = [
        _draft(entry, i, design, names, drafts, findings) for i, entry in enumerate(said.entries(), 1)
    ]
    parts: dict[str, CardPart] = {}
    for before, draft in zip([None, *order], order, strict=False):
        if draft is None:
            continue
        first = draft is order[0]
        part = _part(draft, before, first, drafts, book, papers, findings)
        if part is not None:
            parts[part.name] = part
    return _in_order(parts, drafts, findings)


def _draft(said: Said, number: int, design: str, names: Names, drafts: Drafts, findings: Findings) -> Draft | None:
    """The kind and name of a part, None and a mistake noted where they are not clear."""
    subject = f"design {quoted(design)}"
    here = said.about(f"{subject}, part {number}")
    if not isinstance(said.value, dict):
        todo = 'Write it like { mat = "frame", on = 1, paper = "pine", smaller_by = "1/8" }.'
        findings.add(here.place, f"{quoted(said.value)} is no part.", todo)
        drafts.doubtful.add(str(said.value))
        return None
    kinds = _kinds(here, said.value, findings)
    if len(kinds) == 1:
        ((key, kind),) = kinds.items()
        word = words(here.inside(key, said.value[key]), findings)
        name = None if word is None else _part_name(word, here.place, names, findings)
        if name is not None:
            table = Table(said.about(f"{subject}, {kind.value} {quoted(name)}"), findings)
            table.at(key)
            drafts.by_name[name] = Draft(kind, name, table, table.place)
            return drafts.by_name[name]
    drafts.doubtful.update(composed(str(value)) for value in said.value.values())
    return None


def _kinds(said: Said, values: Iterable[str], findings: Findings) -> dict[str, PartKind]:
    """The keys that say what a part is, a misspelt one included; noted where it is not just one."""
    known = {kind.value: kind for kind in PartKind}
    found = {key: known[key] for key in values if key in known}
    if len(found) > 1:
        both = " and ".join(f"“{key}”" for key in found)
        findings.add(
            said.place, f"The part is said to be {both} at once.", "Keep one; write two parts if you mean two."
        )
    if found:
        return found
    close = ((key, findings.nearest(key, known)) for key in values if key not in OTHER_KEYS)
    for key, near in close:
        if near:
            findings.add(said.place, f"Nothing is known by the key {quoted(key)}.", f"Did you mean “{near}”?")
            return {key: known[near]}
    findings.add(said.place, "The part does not say what it is.", f'Begin it with one of {KINDS}, like mat = "frame".')
    return {}


def _part_name(word: str, place: Place, names: Names, findings: Findings) -> str | None:
    if word == "below" or word.isdecimal():
        findings.add(place, f"{quoted(word)} cannot name a part.", "Choose a word, like frame.")
        return None
    return names.give(word, place, findings)


def _part(
    draft: Draft,
    before: Draft | None,
    first: bool,
    drafts: Drafts,
    book: PanelNames,
    papers: PaperNames,
    findings: Findings,
) -> CardPart | None:
    table, kind = draft.table, draft.kind
    said_on = table.at("on")
    on = On() if said_on is None else lies_on(said_on, before, first, drafts, book, findings)
    paper, *or_papers = _papers(table, kind, papers) or [""]
    rule, corner = _size_rule(table, said_on is not None)
    count = table.take("count", whole(1, MOST_COPIES))
    allowance = table.take("allowance", length)
    if table.has("allowance") and kind is not PartKind.BLANK:
        table.refuse(
            "allowance", f"A {kind.value} takes no allowance; only a blank does.", "Take it out, or enlarge the size."
        )
    turn = table.take("turn", yes_no)
    more = _more(table, kind, corner, on)
    spread = table.take("spread", yes_no)
    if table.has("spread") and not or_papers:
        table.refuse("spread", "One paper cannot be spread.", 'Name several, like paper = ["red dots", "blue dots"].')
    if or_papers and more["outline"] is not Outline.ANY:
        table.refuse("shape", "A shape that shares its rectangle takes one paper.", "Name one paper.")
    if kind is PartKind.WINDOW and said_on is None:
        table.missing.append(("on", 'on = "frame"'))
    table.close(MAY_HOLD)
    if rule is None or on is None:
        return None
    return CardPart(
        kind=kind,
        name=draft.name,
        place=draft.place,
        size=rule,
        paper=paper,
        panels=on.panels,
        on_part=on.part,
        on_words=on.words,
        count=count or 1,
        allowance=allowance,
        may_turn=turn,
        or_papers=tuple(or_papers),
        spread=spread or False,
        **more,
    )


class _More(TypedDict):
    """What a part may be beside kind, paper, place and size."""

    at: tuple[Length, Length] | None
    rim: Length | None
    reuse: bool
    raised_by: Length | None
    outline: Outline
    top: Length | None
    to_a_blank: int
    runs_on: bool
    pair: bool


# Keys that only some kinds of parts take.
_ONLY = {
    "rim": (PartKind.WINDOW,),
    "reuse": (PartKind.WINDOW,),
    "shape": (PartKind.BLANK,),
    "top": (PartKind.BLANK,),
    "to_a_blank": (PartKind.BLANK,),
    "pair": (PartKind.BLANK, PartKind.PIECE, PartKind.TAB),
    "runs_on": (PartKind.LAYER, PartKind.MAT, PartKind.STRIP, PartKind.BANNER),
    "raised_by": tuple(kind for kind in PartKind if kind is not PartKind.WINDOW),
}


def _more(table: Table, kind: PartKind, corner: tuple[Length, Length] | None, on: On | None) -> _More:
    for key, kinds in _ONLY.items():
        if table.has(key) and kind not in kinds:
            takes = " or ".join(f"a {takes.value}" for takes in kinds[:3])
            table.refuse(key, f"A {kind.value} takes no “{key}”; only {takes} does.", "Take it out.")
    at = table.take("at", length_or_pair)
    if table.has("at") and (on is None or not (on.panels or on.part)):
        table.refuse("at", "“at” needs something that the part lies on.", "Add what it lies on, or take it out.")
    if table.has("at") and corner is not None:
        table.refuse("at", "The borders already say where the part lies.", "Keep the borders, or “at” with a size.")
    outline, top, to_a_blank = read_shape(table)
    return _More(
        at=corner if at is None else at,
        rim=table.take("rim", length),
        reuse=table.take("reuse", yes_no) or False,
        raised_by=table.take("raised_by", positive_length),
        outline=outline,
        top=top,
        to_a_blank=to_a_blank,
        runs_on=table.take("runs_on", yes_no) or False,
        pair=table.take("pair", yes_no) or False,
    )


def _papers(table: Table, kind: PartKind, papers: PaperNames) -> list[str]:
    """The paper, or all papers of which any will do; none for a window."""
    if kind is not PartKind.WINDOW:
        if not isinstance(table.values.get("paper"), list):
            paper = table.need("paper", papers.check, 'paper = "pine"')
            return [] if paper is None else [paper]
        if not table.values["paper"]:
            table.refuse("paper", "The list of papers is empty.", 'Name one or several, like paper = "pine".')
        return list(dict.fromkeys(table.list_of("paper", papers.check)))
    table.at("paper")
    if table.has("paper"):
        table.refuse("paper", "A window is a hole and takes no paper.", "Take the paper out, or make it a layer.")
    return []


def _size_rule(table: Table, on_something: bool) -> tuple[SmallerBy | OwnSize | None, tuple[Length, Length] | None]:
    """Exactly one of smaller_by, border and size; with uneven borders also where the upper left corner lies."""
    given = [key for key in ("smaller_by", "border", "size") if table.has(key)]
    smaller = table.take("smaller_by", length_or_pair)
    border = table.take("border", _borders)
    own = table.take("size", size)
    if not given:
        table.missing.append(
            ("smaller_by" if on_something else "size", 'smaller_by = "1/8"' if on_something else 'size = "2 x 3"')
        )
        return None, None
    if len(given) > 1:
        found = " and ".join(f"“{key}”" for key in given)
        table.findings.add(table.place, f"The size is said more than once, by {found}.", "Keep one of them.")
        return None, None
    if given[0] != "size" and not on_something:
        todo = "Add what it lies on, like on = 1, or give its size outright."
        table.refuse(given[0], f"“{given[0]}” needs something that the part lies on.", todo)
        return None, None
    if own is not None:
        return OwnSize(*own), None
    if smaller is not None:
        return SmallerBy(*smaller), None
    if border is None:
        return None, None
    left, top, right, bottom = border
    uneven = left != right or top != bottom
    return SmallerBy(left + right, top + bottom), (left, top) if uneven else None


def _borders(said: Said, findings: Findings) -> tuple[Length, Length, Length, Length] | None:
    """One border all round, a pair across x up, or a table by edge: left, top, right, bottom."""
    if not isinstance(said.value, dict):
        pair = length_or_pair(said, findings)
        return None if pair is None else (*pair, *pair)
    table = Table(said, findings)
    found = [table.need(edge, length, f'{edge} = "1/8"') for edge in ("left", "top", "right", "bottom")]
    table.close("borders may hold left, top, right and bottom.")
    left, top, right, bottom = found
    if left is None or top is None or right is None or bottom is None:
        return None
    return left, top, right, bottom


def _in_order(parts: dict[str, CardPart], drafts: Drafts, findings: Findings) -> tuple[CardPart, ...]:
    """Each part after the one it lies on; a ring of parts that lie on each other is a mistake."""
    done: dict[str, CardPart] = {}
    rings: set[str] = set()
    for part in parts.values():
        chain: list[str] = []
        name = part.name
        while name in parts and name not in done and name not in chain:
            chain.append(name)
            name = parts[name].on_part
        if name in chain and name not in rings:
            ring = chain[chain.index(name) :]
            rings.update(ring)
            lie = "each lies on the next, and none on the card" if len(ring) > 1 else "it lies on itself"
            what = f"{' on '.join(quoted(word) for word in [*ring, name])}: {lie}."
            findings.add(drafts.by_name[name].table.said.inside("on", None).place, what, "Put one of them on a panel.")
        for below in reversed(chain):
            done[below] = parts[below]
    return tuple(done.values())
