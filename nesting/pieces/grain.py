"""How a base lies on the sheet, so that its main fold runs along the grain, and where that cannot be.

In: a Project, a Base and a Paper. Out: whether it may turn or must lie turned, and a sentence where the fold crosses
the grain. The fact of the trade: a fold across the grain of cardstock cracks; thin paper folds either way.
"""

from __future__ import annotations

from dataclasses import dataclass

from nesting.describe.designs import Base
from nesting.describe.folding import main_fold_runs_down
from nesting.describe.papers import Grain, Paper, PrintDirection
from nesting.describe.project import Project
from nesting.lengths import write_size
from nesting.pieces.supply import sheets_of


@dataclass(frozen=True, slots=True)
class Lie:
    """How a piece lies on the sheet: it may turn by a quarter, or must; `across_grain` says why a fold is crossed.

    refused: the fold must not be crossed at this weight.
    """

    may_turn: bool
    must_turn: bool = False
    across_grain: str = ""
    refused: bool = False


def lie_of(project: Project, base: Base, paper: Paper) -> Lie:
    """How a base lies on a paper: what was said of it comes first, then the print, then the grain.

    Where the grain is required, it comes before what was said.
    """
    fold_down = main_fold_runs_down(base)
    plain = paper.direction is PrintDirection.NONE
    may_turn = plain if base.may_turn is None else base.may_turn
    heavy = paper.weight is None or paper.weight >= project.grain_from
    least = project.grain_required_from
    required = least is not None and paper.weight is not None and paper.weight >= least
    if fold_down is None or paper.grain is Grain.UNKNOWN or not (heavy or required):
        return Lie(may_turn)
    turned = fold_down is not (paper.grain is Grain.UP)  # the quarter turn that lays the fold along the grain
    if not may_turn and not turned:
        return Lie(False)
    if may_turn and (base.may_turn is None or required) and _fits(project, paper, base, turned):
        return Lie(may_turn=False, must_turn=turned)
    if base.may_turn and not required:
        return Lie(True)
    return Lie(may_turn, across_grain=_why(project, base, paper, plain), refused=required)


def _why(project: Project, base: Base, paper: Paper, plain: bool) -> str:
    size = write_size(base.width, base.height, project.unit, with_unit=True)
    if base.may_turn is False:
        because = "it is said that it must not turn"
    elif not plain:
        because = f"the print of {paper.name} must stand upright"
    else:
        because = f"no sheet of {paper.name} takes it the other way"
    return (
        f"The main fold of the {base.name} ({size}) runs across the grain of {paper.name}, since {because}: it may"
        " crack. Score it deeply and fold it slowly, or choose another sheet."
    )


def _fits(project: Project, paper: Paper, base: Base, turned: bool) -> bool:
    width, height = (base.height, base.width) if turned else (base.width, base.height)
    sides = (sheet.usable for sheet in sheets_of(project, paper))
    return any(across >= width and up >= height for across, up in sides)
