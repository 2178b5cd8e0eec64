"""The same settings in a better order: fewer quarter turns, less time.

In: runs that come to an end within the cap on piles. Out: as many runs, or fewer, that turn the paper less often.
The fact of the trade: each turn of the work is a chance to lay the wrong edge to the stop. Neighbouring runs are
exchanged as long as that helps; what each run may take is worked out anew.
"""

from __future__ import annotations

from itertools import pairwise

from nesting.cutting.parts import Parts
from nesting.cutting.passes import WaysOfWork, What
from nesting.cutting.play import Names, Run, Sheets, Table

TRIES = 150  # orders played through at most; one for so many states of the work allowed:
STATES_PER_TRY = 40


def fewer_turns(
    parts: Parts, sheets: tuple[Sheets, ...], ways: WaysOfWork, runs: tuple[Run, ...], cap: int, work: int
) -> tuple[Run, ...]:
    """Runs in a better order, or the same where none is found."""
    whole = {sheet.part for sheet in sheets}
    begun = [(run.setting, tuple(part for part in run.parts if part in whole)) for run in runs]
    names = Names(parts)
    best, best_rank = runs, _rank(_played(parts, names, sheets, ways, runs))
    order, tries, most = begun, 0, min(TRIES, work // STATES_PER_TRY)
    improved = True
    while improved:
        improved = False
        for gap in range(1, 4):
            for place in range(len(order) - gap):
                if tries == most:
                    return best
                tries += 1
                changed = [*order[:place], *order[place + 1 : place + gap + 1], order[place], *order[place + gap + 1 :]]
                trial = _everything(parts, sheets, changed, cap)
                if trial is None or _stops(trial) > best_rank[0]:
                    continue
                table = _played(parts, names, sheets, ways, trial)
                if _rank(table) < best_rank:
                    best, best_rank, order, improved = trial, _rank(table), changed, True
    return best


def _stops(runs: tuple[Run, ...]) -> int:
    """How often the stop is set; the same setting twice in a row is one."""
    return sum(run.setting != before.setting for before, run in pairwise(runs)) + bool(runs)


def _rank(table: Table) -> tuple[int, ...]:
    """Settings, pieces in which too many errors add up, turns, pieces in which any add up, and the work."""
    errors = [leaf.error_steps for leaf in table.leaves if leaf.part.what is What.PIECE]
    unsure = sum(steps > table.ways.most_error_steps for steps in errors)
    turns = sum(line.turned for line in table.passes)
    work = sum(line.strokes for line in table.passes) + len(table.passes)
    return table.number, unsure, turns, sum(steps > 1 for steps in errors), work


def _played(
    parts: Parts, names: Names, sheets: tuple[Sheets, ...], ways: WaysOfWork, runs: tuple[Run, ...]
) -> Table:
    table = Table(parts, names, ways)
    for sheet in sheets:
        table.bring(sheet)
    for run in runs:
        table.play(run)
    return table


def _everything(
    parts: Parts, sheets: tuple[Sheets, ...], begun: list[tuple[int, tuple[int, ...]]], cap: int
) -> tuple[Run, ...] | None:
    """The runs that begin these sheets at these settings and cut all that lies there.

    None where any is left, or where more piles lie about than the cap allows.
    """
    piles: set[int] = set()
    whole = {sheet.part for sheet in sheets if parts.is_block(sheet.part)}
    runs = []
    for setting, sheets_begun in begun:
        chosen = [part for part in sheets_begun if part in whole and parts.cut(part, setting) is not None]
        whole.difference_update(chosen)
        chosen += [part for part in sorted(piles) if parts.cut(part, setting) is not None]
        if not chosen:
            continue
        runs.append(Run(setting, tuple(chosen)))
        piles.difference_update(chosen)
        todo = list(chosen)
        while todo:
            part = todo.pop()
            cutting = parts.cut(part, setting)
            if cutting is None:
                piles.add(part)
                continue
            came = (*cutting.off, *(() if cutting.left is None else (cutting.left,)))
            todo += sorted({number for number in came if parts.is_block(number)})
        if len(piles) > cap:
            return None
    return None if piles or whole else tuple(runs)
