"""A plan that was written as plan.json becomes a Plan again, as far as its paper, its layouts and its passes go.

In: the file, and the Project it belongs to. Out: a Plan, checked as if it had just been found; or a sentence. The fact
of the trade: what counts at the trimmer is the plan that hangs there, not the one that would be made today.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from nesting.buying.purchase import Bought, Purchase
from nesting.cutting.passes import Comes, CutOrder, Edge, MapCut, MapPart, Pass, TablePart, What
from nesting.describe.papers import Rim, Sheet
from nesting.describe.project import BatchLine, Project
from nesting.describe.shops import Offer, Ware
from nesting.errors import NestingError, Place, Problem
from nesting.lengths import Length
from nesting.packing.check import check
from nesting.packing.layout import (
    Allowed,
    Answer,
    Axis,
    Block,
    Bound,
    CutPart,
    FreePart,
    MarginPart,
    Margins,
    OffcutBound,
    Outcome,
    PackingTask,
    Part,
    PieceKind,
    PiecePart,
    Reason,
    RuledOut,
    SheetKind,
    Use,
    leaves,
)  # fmt: skip
from nesting.packing.pack import PaperPacking, cut_rules, sheets_alone
from nesting.pieces.piece_list import Piece, PieceList
from nesting.pieces.supply import Source, SourceKind, Supply
from nesting.plan import PaperPlan, Plan, RestOf, ways_of_work
from nesting.quoting import printable, quoted
from nesting.reports.plan_data import VERSION
from nesting.reports.plan_folder import LIST

LARGEST_FILE = 50_000_000  # bytes; the plan of a batch takes about a hundred thousand
PLAN_AGAIN = "Plan the project again with “nesting plan”."


def read_plan(folder: Path, project: Project) -> Plan:
    """Read plan.json of a folder; raises NestingError where it is not there, not whole, or not this project's."""
    path = folder / LIST
    try:
        if path.stat().st_size > LARGEST_FILE:
            _refuse(path, "This file is larger than 50 MB, which no plan is.", PLAN_AGAIN)
        data: Any = json.loads(path.read_text("utf-8"))
    except OSError:
        _refuse(path, "There is no plan here.", PLAN_AGAIN)
    except (ValueError, RecursionError):
        _refuse(path, "This file is not whole.", PLAN_AGAIN)
    try:
        if data["format"] != "sheet plan" or data["version"] != VERSION:
            _refuse(path, "This is not a plan of this version.", PLAN_AGAIN)
        papers = tuple(_paper(found, project, path) for found in data["papers"])
        cards = tuple(BatchLine(_words(name), int(count), Place(str(path))) for name, count in data["cards"].items())
        title = _words(data["title"])
        purchase = _purchase(data["purchase"]) if data.get("purchase") else None
        rest = _rest_of(data["rest_of"]) if data.get("rest_of") else None
    except (KeyError, TypeError, ValueError, IndexError, AttributeError, RecursionError):
        _refuse(path, "This file is not whole, or was changed by hand.", PLAN_AGAIN)
    pieces = tuple(piece for paper in papers for same in paper.packing.kinds for piece in same)
    sources = tuple(source for paper in papers for source in paper.packing.sources)
    project = replace(project, batch=cards, title=title)
    return Plan(project, PieceList(pieces), Supply(sources), papers, purchase=purchase, rest_of=rest)


def _purchase(data: dict[str, Any]) -> Purchase:
    lines = tuple(
        Bought(
            Offer(line["name"], line["cents_each"], tuple(map(_held, line["holds"])), line["shop"], line["at_most"]),
            line["count"],
        )
        for line in data["lines"]
    )
    extra = tuple(map(_held, data["not_cut"]))
    return Purchase(lines, data["cents"], data["postage_cents"], extra, data["bound_cents"], bool(data["proven"]))


def _rest_of(data: dict[str, Any]) -> RestOf:
    return RestOf(str(data["mark"]), tuple(map(_held, data["taken"])), tuple(map(_held, data["table"])))


def _held(ware: dict[str, Any]) -> tuple[Ware, int]:
    left, top, right, bottom = (Length(side) for side in ware["margins"])
    sheet = Sheet(Length(ware["width"]), Length(ware["height"]), Rim(left, top, right, bottom))
    return Ware(str(ware["paper"]), sheet), ware["count"]


def _words(said: object) -> str:
    """Words that a terminal and the drawer can take; ValueError for all else."""
    text = str(said)
    if not printable(text):
        raise ValueError(text)
    return text


def _refuse(path: Path, what: str, todo: str) -> Any:
    raise NestingError([Problem(Place(str(path)), what, todo)])


def _paper(data: dict[str, Any], project: Project, path: Path) -> PaperPlan:
    name = data["name"]
    paper = next((one for one in project.papers if one.name == name), None)
    if paper is None:
        _refuse(path, f"The plan cuts {quoted(name)}, which the project no longer names.", PLAN_AGAIN)
        raise KeyError(name)
    kinds = tuple(_pieces(kind, str(name), path) for kind in data["kinds"])
    sources = tuple(_source(source, str(name)) for source in data["sources"])
    leaves_ = [(layout["number"] - 1, leaf) for layout in data["layouts"] for leaf in layout["parts"]]
    letters = [_letter(kind["letter"]) for kind in data["kinds"]]
    task = PackingTask(
        tuple(_kind(kind, [leaf for _, leaf in leaves_]) for kind in data["kinds"]),
        tuple(_sheet_kind(source) for source in data["sources"]),
        cut_rules(project.trimmer),
    )
    uses = tuple(Use(layout["source"], _part(layout["tree"]), layout["copies"]) for layout in data["layouts"])
    answer = Answer(
        uses,
        _missing(task, uses),
        Outcome(data["outcome"]),
        _bound(data["bound"]),
        offcut=_offcut_bound(data["offcut_bound"]) if "offcut_bound" in data else None,
    )
    sheets_bound = _bound(data["sheets_bound"]) if "sheets_bound" in data else None
    wrong = check(task, answer)
    if sheets_bound is not None and not wrong:
        wrong = check(sheets_alone(task, sources), replace(answer, bound=sheets_bound))
    if wrong:
        _refuse(path, f"The plan for {name} does not stand up to the check: {wrong[0]}", PLAN_AGAIN)
    parts = tuple(
        MapPart(number, leaf["x"], leaf["y"], leaf["width"], leaf["height"], _table_part(leaf, letters), leaf["turned"],
                leaf["error_steps"])
        for number, leaf in leaves_
    )
    order = data["order"]
    passes = tuple(_pass(line, letters) for line in order["passes"])
    cuts = tuple(
        MapCut(layout["number"] - 1, cut["number"], cut["stage"], *cut["from"], *cut["to"])
        for layout in data["layouts"] for cut in layout["cuts"]
    )  # fmt: skip
    cut_order = CutOrder(
        passes, cuts, parts, order["settings"], order["fewest"], order["fewest_as_sure"], order["piles"],
        order["turns"], order["seconds"],
    )
    packing = PaperPacking(paper, kinds, sources, task, answer, sheets_bound)
    return PaperPlan(packing, cut_order, ways_of_work(project.trimmer, paper))


def _bound(data: dict[str, Any]) -> Bound:
    return Bound(data["cost"], data["sheets"], Reason(data["reason"]), tuple(data["prices"]), data["scale"])


def _offcut_bound(data: dict[str, Any]) -> OffcutBound:
    ruled_out = (RuledOut(out["width"], out["height"], _bound(out["bound"])) for out in data["ruled_out"])
    return OffcutBound(data["area"], tuple(ruled_out))


def _missing(task: PackingTask, uses: Sequence[Use]) -> tuple[int, ...]:
    left = [piece.need for piece in task.pieces]
    for use in uses:
        for leaf in leaves(use.root):
            if isinstance(leaf, PiecePart):
                left[leaf.kind] -= use.copies
    return tuple(left)


def _pieces(kind: dict[str, Any], paper: str, path: Path) -> tuple[Piece, ...]:
    return tuple(
        Piece(
            design="", part=_words(one["title"]), where="", paper=paper, width=Length(kind["width"]),
            height=Length(kind["height"]), need=one["need"], spare=one["spare"], per_card=0,
            may_turn=bool(kind["may_turn"]), came_from="plan", place=Place(str(path)),
        )
        for one in kind["for"]
    )  # fmt: skip


def _kind(kind: dict[str, Any], found: Sequence[dict[str, Any]]) -> PieceKind:
    """A piece kind; a print that runs on is known by its panels, which have numbers behind the letter."""
    letter = _letter(kind["letter"])
    panels = {
        int(leaf["letter"].removeprefix(letter)): leaf["height"] if leaf["turned"] else leaf["width"]
        for leaf in found
        if letter and leaf["is"] == What.PIECE.value and leaf["letter"].removeprefix(letter).isdigit()
        and leaf["letter"].startswith(letter)
    }  # fmt: skip
    block = Block(Axis.ACROSS, tuple(panels[number] for number in sorted(panels))) if panels else None
    return PieceKind(
        kind["width"], kind["height"], kind["need"], (Allowed(0, bool(kind["may_turn"])),), block
    )


def _letter(name: object) -> str:
    """The letter of a kind, without the number of a panel."""
    return _words(name).rstrip("0123456789")


def _source(source: dict[str, Any], paper: str) -> Source:
    left, top, right, bottom = (Length(side) for side in source["margins"])
    sheet = Sheet(Length(source["width"]), Length(source["height"]), Rim(left, top, right, bottom))
    return Source(SourceKind(source["kind"]), paper, sheet, source["price_cents"], source["limit"])


def _sheet_kind(source: dict[str, Any]) -> SheetKind:
    margins = Margins(*source["margins"])
    return SheetKind(source["width"], source["height"], 0, source["cost"], source["limit"], margins)


def _part(tree: dict[str, Any]) -> Part:
    width, height = Length(tree["width"]).ticks, Length(tree["height"]).ticks
    match tree["is"]:
        case "piece":
            return PiecePart(width, height, tree["kind"], bool(tree["turned"]))
        case "cut":
            return CutPart(width, height, Axis(tree["axis"]), tuple(_part(part) for part in tree["parts"]))
        case "margin":
            return MarginPart(width, height)
        case "free":
            return FreePart(width, height)
    raise ValueError(tree["is"])


def _table_part(part: dict[str, Any], letters: Sequence[str]) -> TablePart:
    what, name = What(part["is"]), str(part["letter"])
    kind = None
    if what is What.PIECE:
        kind = letters.index(_letter(name))
    return TablePart(what, part["width"], part["height"], name, kind)


def _pass(line: dict[str, Any], letters: Sequence[str]) -> Pass:
    return Pass(
        number=line["number"],
        setting=line["setting"],
        edge=Edge(line["edge"]),
        part=_table_part(line["part"], letters),
        stacks=tuple(line["stacks"]),
        cuts=line["cuts"],
        comes=tuple(Comes(_table_part(comes, letters), comes["count"]) for comes in line["comes"]),
        turned=bool(line["turned"]),
        setting_mark=line["setting_mark"],
        spacer=bool(line["spacer"]),
        squares=bool(line["squares"]),
    )
