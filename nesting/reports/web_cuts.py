"""The cutting part of the tablet page: for each paper its maps with every pass marked on them, and its passes.

In: a Plan. Out: plain dicts for the page's template. The fact of the trade: with both hands full one looks up once and
must see which part lies under the blade, which edge is at the stop, and where it is cut.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from markupsafe import Markup

from nesting.cutting.passes import Edge, Pass, What
from nesting.lengths import Length, Unit
from nesting.plan import PaperPlan, Plan
from nesting.reports import phrases, words
from nesting.reports.drawing import Box, Drawing, Group, Rectangle, Strokes
from nesting.reports.knife_words import knife_work
from nesting.reports.lettering import TIMES
from nesting.reports.look import BLADE, INK, WHITE
from nesting.reports.map_draw import MapInk, draw_map
from nesting.reports.map_subject import MapSubject, shown_edge, turned_maps
from nesting.reports.pass_places import Place, pass_places
from nesting.reports.plan_maps import map_subjects
from nesting.reports.sheet_totals import totals
from nesting.reports.svg import svg_text
from nesting.reports.web_lengths import length_html, size_html, spoken

_WIDTH, _HEIGHT, _MARGIN = 4.1, 4.4, 0.06  # inches; a phone's width
_WIDER, _WIDEST = 1.3, 4.0  # a crowded map is drawn wider, and made larger at a touch
_UNDER = ("label", "way-up", "grain", "direction", "lead", "disc", "key")  # what lies over a mark

Data = dict[str, Any]


@dataclass(frozen=True, slots=True)
class _Cutting:
    """One paper: its maps as subjects, which of them are turned, its passes and where each of them works."""

    number: int  # 0 up
    plan: PaperPlan
    unit: Unit
    subjects: tuple[MapSubject, ...]
    turned: tuple[bool, ...]
    places: tuple[tuple[Place, ...], ...]


def papers_data(plan: Plan) -> list[Data]:
    """All papers in the order of the plan."""
    return [_paper(plan, number, paper) for number, paper in enumerate(plan.papers)]


def _paper(plan: Plan, number: int, paper: PaperPlan) -> Data:
    unit = plan.project.unit
    subjects = map_subjects(plan.project, paper)
    cutting = _Cutting(number, paper, unit, subjects, turned_maps(subjects), pass_places(paper))
    order = paper.order
    strokes = phrases.plural(order.strokes, "cut")
    said = [f"{paper.paper.direction.value} print"] if paper.paper.direction.value != "none" else []
    said += [f"grain {paper.paper.grain.value}"] if paper.paper.grain.value != "unknown" else []
    said += [phrases.plural(paper.sheets, "sheet"), strokes, f"about {phrases.duration(order.seconds)}"]
    return {
        "number": number,
        "name": paper.paper.name,
        "below": "  ·  ".join(said),
        "notes": [*knife_work(paper, plan.project), *words.cut_notes(paper, unit)],
        "maps": [_map(cutting, layout) for layout in range(len(subjects))],
        "passes": [_pass(cutting, place) for place in range(len(order.passes))],
        "pieces": [
            {"letter": each.letter, "count": f"{each.count} {TIMES}", "owner": each.owner,
             "size": size_html(Length(each.width), Length(each.height), unit)}
            for each in totals(subjects)
        ],
    }  # fmt: skip


# ------------------------------------------------------------------------------------------ maps


def _map(cutting: _Cutting, layout: int) -> Data:
    subject, turned = cutting.subjects[layout], cutting.turned[layout]
    width = _WIDTH
    ink = draw_map(subject, Box(_MARGIN, _MARGIN, width, _HEIGHT), turned)
    while ink.crowded and width < _WIDEST * _WIDTH:
        width *= _WIDER
        ink = draw_map(subject, Box(_MARGIN, _MARGIN, width, _HEIGHT * width / _WIDTH), turned)
    marks = [
        _mark(cutting, number, mine, ink, subject)
        for number, places in enumerate(cutting.places)
        if (mine := [place for place in places if place.layout == layout])
    ]
    first = next((n for n, s in enumerate(ink.shapes) if isinstance(s, Group) and s.kind in _UNDER), len(ink.shapes))
    shapes = (*ink.shapes[:first], *marks, *ink.shapes[first:])
    title = f"{subject.paper}, {subject.title}"
    drawing = Drawing(ink.box.x1 + _MARGIN, ink.box.y1 + _MARGIN, shapes, title)
    source = words.sheets_words(cutting.plan.packing, cutting.plan.uses[layout].sheet, cutting.unit)
    return {
        "title": subject.title,
        "copies": subject.copies,
        "source": source,
        "svg": Markup(svg_text(drawing, f"m{cutting.number + 1}-{layout + 1}-", standalone=False)),
    }


def _mark(cutting: _Cutting, number: int, places: list[Place], ink: MapInk, subject: MapSubject) -> Group:
    """One pass on one map: the parts in hand, the edge against the stop, and the cuts."""
    edge = shown_edge(cutting.plan.order.passes[number].edge, ink.turned)
    boxes = [_box(ink, subject, place.x, place.y, place.width, place.height) for place in places]
    lines = [
        _box(ink, subject, cut.x0, cut.y0, cut.x1 - cut.x0, cut.y1 - cut.y0) for place in places for cut in place.cuts
    ]
    ends = tuple((line.x0, line.y0, line.x1, line.y1) for line in lines)
    hands = tuple(Rectangle(box.x0, box.y0, box.width, box.height, WHITE, INK, 1.6) for box in boxes)
    against = Strokes(tuple(_side(box, edge) for box in boxes), 6, INK)
    groups = (
        Group("hand", hands), Group("halo", (Strokes(ends, 8, WHITE),)),
        Group("line-of-cut", (Strokes(ends, 4.6, BLADE),)), Group("against", (against,)),
    )  # fmt: skip
    return Group("mark", groups, f"mark-{number + 1}", data=(("pass", _id(cutting, number)),))


def _box(ink: MapInk, subject: MapSubject, x: int, y: int, width: int, height: int) -> Box:
    """A rectangle of the sheet, or a line, as it is drawn on its map."""
    if ink.turned:
        x, y, width, height = y, subject.width - x - width, height, width
    return ink.view.box(x, y, width, height)


def _side(box: Box, edge: Edge) -> tuple[float, float, float, float]:
    return {
        Edge.LEFT: (box.x0, box.y0, box.x0, box.y1), Edge.RIGHT: (box.x1, box.y0, box.x1, box.y1),
        Edge.TOP: (box.x0, box.y0, box.x1, box.y0), Edge.BOTTOM: (box.x0, box.y1, box.x1, box.y1),
    }[edge]  # fmt: skip


# ------------------------------------------------------------------------------------------ passes


def _id(cutting: _Cutting, number: int) -> str:
    return f"pass-{cutting.number + 1}-{number + 1}"


def _pass(cutting: _Cutting, number: int) -> Data:
    line, unit = cutting.plan.order.passes[number], cutting.unit
    layouts = sorted({place.layout for place in cutting.places[number]})
    edge = shown_edge(line.edge, cutting.turned[layouts[0]]).value
    part = _part(cutting, line, layouts)
    where = phrases.several("layout", [n + 1 for n in layouts])
    came = ", ".join(comes_off(line))
    minds = _minds(line, unit)
    stop = spoken(Length(line.setting), unit)
    cuts = f"{phrases.plural(line.cuts, 'cut')}{' each' if len(line.stacks) > 1 else ''}"
    turn = "turn the paper, " if line.turned else ""
    return {
        "id": _id(cutting, number),
        "number": line.number,
        "stop": length_html(Length(line.setting), unit),
        "edge": edge,
        "turn": "turn: " if line.turned else "",
        "part": part,
        "deep": _deep(line),
        "where": where,
        "comes": f"{cuts}: {came}",
        "minds": minds,
        "stacks": [_stack(cutting, number, place) for place in range(len(line.stacks))],
        "say": f"{turn}{part} of {where}, {edge} edge to the stop, stop at {stop}, {cuts}, gives {came}"
        + "".join(f"; {note}" for note in minds),
    }


def _part(cutting: _Cutting, line: Pass, layouts: list[int]) -> str:
    """What is taken to the stop: the whole sheet, or a part by the letters in it."""
    whole = any(
        (subject.width, subject.height) == (line.part.width, line.part.height)
        for subject in (cutting.subjects[layout] for layout in layouts)
    )
    return "whole sheet" if whole else f"part {line.part.name}" if line.part.name else "part without a letter"


def _deep(line: Pass) -> str:
    """How many lie on top of each other in a stack."""
    deep = max(line.stacks, default=1)
    if len(line.stacks) == 1:
        return f"{deep} deep"
    last = f", last {line.stacks[-1]}" if line.stacks[-1] != deep else ""
    return f"{len(line.stacks)} stacks, {deep} deep{last}"


def comes_off(line: Pass) -> list[str]:
    """What comes off each part of the stack: "2 A", "1 strip B C", "KEEP", "scrap"; over all parts where uneven."""
    counts: dict[tuple[What, str], int] = {}
    for came in line.comes:
        key = came.part.what, came.part.name
        counts[key] = counts.get(key, 0) + came.count
    return [_came(what, name, count, sum(line.stacks)) for (what, name), count in counts.items()]


def _came(what: What, name: str, count: int, parts: int) -> str:
    each, rest = divmod(count, parts)
    each = count if rest else each
    if what is What.PIECE:
        text = f"{each} {name}"
    elif what is What.PART:
        text = f"{each} strip{'' if each == 1 else 's'} {name}"
    else:
        text = "scrap" if what is What.SCRAP else "KEEP" if each == 1 else f"{each} KEEP"
    return f"{text} in all" if rest else text


def _minds(line: Pass, unit: Unit) -> list[str]:
    minds = []
    if line.setting_mark is not None:
        minds.append(f"nearest mark on the ruler: {phrases.length(line.setting_mark, unit, with_unit=True)}")
    if line.spacer:
        minds.append("use a spacer: too narrow to hold")
    if line.squares:
        minds.append("this trues the edge")
    return minds


def _stack(cutting: _Cutting, number: int, place: int) -> Data:
    stacks = cutting.plan.order.passes[number].stacks
    paper = cutting.plan.paper.name
    text = "done" if len(stacks) == 1 else f"stack {place + 1}"
    say = f"stack {place + 1} of {len(stacks)}, {stacks[place]} deep"
    label: object = Markup('{}<span class="heard">, {} pass {}, {}</span>').format(text, paper, number + 1, say)
    return {"id": f"{_id(cutting, number)}-{place + 1}", "say": say, "text": label}
