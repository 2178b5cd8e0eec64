"""Sentences about a plan that more than one report says, so that all say the same.

In: a Plan or a part of it. Out: short texts without markup; lengths in the project's unit.
"""

from __future__ import annotations

from fractions import Fraction

from nesting.cutting.passes import Comes, CutOrder, Pass, TablePart, What
from nesting.lengths import Unit, write_size
from nesting.packing.layout import Outcome, Reason, RuledOut, cost_of
from nesting.packing.pack import PaperPacking
from nesting.packing.stand_ins import Moved
from nesting.packing.trees import largest_free_of
from nesting.pieces.piece_list import grain_notes
from nesting.plan import PaperPlan, Plan, Trade
from nesting.reports import phrases
from nesting.reports.knife_words import knife_work
from nesting.reports.print_words import how_to_print

_REASONS = {
    Reason.AREA: "the pieces' area alone takes as much",
    Reason.PRICES: "no sheet can hold more at the prices stored in plan.json",
    Reason.SINGLE: "pieces that cannot share a sheet take as much",
    Reason.EXHAUSTIVE: "every other way was tried",
}


def verdict(plan: PaperPlan) -> str:
    """How good the plan is in a few words: "proven best", "fewest sheets", "at most 1 sheet better"."""
    match plan.outcome:
        case Outcome.PROVEN:
            return "proven best"
        case Outcome.SHORT:
            return f"{sum(count for _, count in plan.missing)} missing"
        case Outcome.OPEN if plan.sheets_proven:
            return "fewest sheets"
        case _:
            start = "stopped; " if plan.outcome is Outcome.STOPPED else ""
            return f"{start}at most {_gap(plan)} better"


def _gap(plan: PaperPlan) -> str:
    over = plan.sources_used - plan.bound.sheets
    cost = cost_of(plan.packing.task, plan.uses)
    if over > 0 or cost <= plan.bound.cost:
        return phrases.plural(max(over, 0), "sheet")
    return phrases.percent(Fraction(cost - plan.bound.cost, cost))


def proof(plan: PaperPlan) -> str:
    """The bound as a sentence, with its reason."""
    if plan.outcome is Outcome.SHORT:
        missing = ", ".join(f"{count} x {piece.title}" for piece, count in plan.missing)
        return f"The paper does not suffice; missing: {missing}."
    why = _REASONS[plan.bound.reason]
    fewest = phrases.plural(plan.bound.sheets, "sheet")
    if plan.sources_used > plan.sheets:
        fewest += ", centres and cut-outs counted as sheets"
    if plan.sheets_proven and plan.packing.sheets_bound is not None:
        cut_out = phrases.plural(plan.sources_used - plan.sheets, "centre")
        return (
            f"No plan spends less on paper than this one with {phrases.plural(plan.sheets, 'sheet')}, whatever it cuts"
            f" out of mats: {_REASONS[plan.packing.sheets_bound.reason]}. Whether fewer than {cut_out} would do was not"
            " settled."
        )
    if plan.sources_used == plan.bound.sheets:
        return f"No plan can do with fewer than {fewest}: {why}."
    if plan.outcome is Outcome.PROVEN:
        return f"No plan comes cheaper, and none can do with fewer than {fewest}: {why}."
    return (
        f"This plan takes {phrases.plural(plan.sources_used, 'sheet')}; none can do with fewer than {fewest}: {why}."
        " Whether one in between can was not settled."
    )


def offcut(plan: PaperPlan) -> str:
    """Whether the largest offcut is the largest there is; empty where nobody asked, or nothing is left."""
    bound, had = plan.packing.answer.offcut, largest_free_of(plan.uses)
    if bound is None or not had:
        return ""
    if had < bound.area:
        return "Another plan that takes as little paper may leave a larger offcut."
    return "No plan that takes as little paper leaves a larger offcut."


def ruled_out(out: RuledOut) -> str:
    """Why an offcut of some size is not to be had."""
    return f"A piece of this size besides all others takes more paper: {_REASONS[out.bound.reason]}."


def traded(trade: Trade, unit: Unit) -> str:
    """What was given for layouts that are less work, in one sentence."""
    time = phrases.duration(abs(trade.seconds))
    got = f"{time} {'quicker' if trade.seconds > 0 else 'longer'} to cut" if trade.seconds else "as long to cut"
    facts = [f"Of layouts that take the same sheets, these are {got}"]
    before, after = (
        "none" if offcut is None else phrases.size(min(offcut.sides), max(offcut.sides), unit)
        for offcut in (trade.before, trade.after)
    )
    if before != after:
        facts.append(f"the largest offcut is {after} instead of {before}")
    if trade.doubtful_before != trade.doubtful_after:
        pieces = phrases.plural(trade.doubtful_after, "piece") if trade.doubtful_after else "no piece"
        facts.append(f"errors add up in {pieces} instead of {trade.doubtful_before}")
    return "; ".join(facts) + "."


def notes(plan: Plan) -> list[str]:
    """What the user should know besides: papers chosen among, folds across the grain, how to print at home."""
    said = []
    for choice in plan.choices:
        if isinstance(choice, Moved):
            pieces = phrases.plural(choice.count, "piece")
            cut = f"{pieces} of {choice.of} {'is' if choice.count == 1 else 'are'} cut from {choice.stand_in}"
            said.append(f"{choice.paper} runs short: {cut}, which stands in for it.")
            continue
        best = "proven best" if choice.answer.outcome is Outcome.PROVEN else "the best found"
        said.append(f"Pieces that may be cut from several of {', '.join(choice.papers)} were shared out: {best}.")
    said += [f"{design}: {sentence}" for design, sentence in grain_notes(plan.pieces)]
    project = plan.project
    said += [note for paper in plan.papers for note in knife_work(paper, project)]
    return said + [note for paper in plan.papers for note in how_to_print(paper, project.unit, project.currency)]


def sheets_words(packing: PaperPacking, sheet: int, unit: Unit) -> str:
    """A sheet kind as words: "12 x 12, to buy"."""
    source = packing.sources[sheet]
    return f"{write_size(source.sheet.width, source.sheet.height, unit, with_unit=True)}, {source.kind.value}"


def part_words(part: TablePart, unit: Unit) -> str:
    """What a part on the table is: "A 4 x 5 1/4", "keep 3 x 12", "scrap"."""
    match part.what:
        case What.PIECE:
            return f"{part.name} {phrases.size(part.width, part.height, unit)}"
        case What.PART:
            return f"part {part.name} {phrases.size(part.width, part.height, unit)}"
        case What.KEEP:
            return f"KEEP {phrases.size(part.width, part.height, unit)}"
        case What.SCRAP:
            return "scrap"


def comes_words(comes: Comes, unit: Unit) -> str:
    """One kind of part that comes off in a pass, with its count."""
    return f"{comes.count} x {part_words(comes.part, unit)}"


def pass_comes(line: Pass, unit: Unit) -> str:
    """What comes off in one pass, in words."""
    return ", ".join(comes_words(comes, unit) for comes in line.comes)


def fewest_settings(order: CutOrder) -> str:
    """What is known of orders with fewer settings; what they would do to the pieces, where that is known too."""
    if order.proven:
        return "none can do with fewer"
    if order.fewest_as_sure == order.fewest:
        return f"none can do with fewer than {order.fewest}"
    fewer = "fewer" if order.proven_as_sure else f"fewer than {order.fewest_as_sure}"
    return f"with {fewer}, errors add up in more pieces, and none can do with fewer than {order.fewest}"


def cut_notes(plan: PaperPlan, unit: Unit) -> list[str]:
    """What to mind at the trimmer: edges trued, settings between the marks, spacers, pieces in which errors add up."""
    said: dict[str, None] = {}
    for line in plan.order.passes:
        if line.squares:
            setting = phrases.length(line.setting, unit)
            said[f"Setting {setting} trues the {line.edge.value} edge of the sheet: what comes off is its rim."] = None
        if line.setting_mark is not None:
            setting, mark = (phrases.length(ticks, unit) for ticks in (line.setting, line.setting_mark))
            off = phrases.length(abs(line.setting - line.setting_mark), unit)
            said[f"Setting {setting} lies between the ruler's marks: {mark} is the nearest, {off} off."] = None
        if line.spacer:
            said[
                f"Setting {phrases.length(line.setting, unit)} of {part_words(line.part, unit)}: narrower than can be"
                " held, so put a spacer of known width to the stop."
            ] = None
    most = plan.ways.most_error_steps
    flagged = [leaf for leaf in plan.order.parts if leaf.part.what is What.PIECE and leaf.error_steps > most]
    if flagged:
        count = sum(plan.uses[leaf.layout].copies for leaf in flagged)
        worst = max(leaf.error_steps for leaf in flagged)
        letters = ", ".join(sorted({leaf.part.name for leaf in flagged}))
        said[
            f"Errors of more than {phrases.plural(most, 'setting')} add up in {phrases.plural(count, 'piece')}"
            f" ({letters}; {worst} at most): measure those before gluing."
        ] = None
    return list(said)
