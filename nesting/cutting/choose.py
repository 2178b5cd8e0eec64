"""Among plans that take the same sheets, one that is quicker to cut: fewer and plainer layouts, each more often.

In: the uses of one paper, other layouts found on the way, the ways of work. Out: uses that cut exactly the same
pieces from exactly the same sheets, with their order of cuts, never more work than the first ones. Work is minutes at
the trimmer, with pieces to be measured added and offcuts taken off at the user's own prices. The fact of the trade:
twenty sheets of one layout are stacked and cut as one; twenty layouts of one sheet are twenty jobs.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from nesting.cutting.few_layouts import with_fewer_layouts
from nesting.cutting.layout_work import worth
from nesting.cutting.passes import CutOrder, Order, WaysOfWork, What
from nesting.cutting.sequence import WORK, order_cuts, seconds_to_true
from nesting.packing.layout import PackingTask, Use
from nesting.packing.solve import Effort


@dataclass(frozen=True, slots=True)
class Choice:
    """The uses chosen with their order of cuts, and the order of cuts of the uses that were given."""

    uses: tuple[Use, ...]
    order: CutOrder
    before: CutOrder

    @property
    def seconds_saved(self) -> int:
        """How much quicker the choice is; less than nothing where larger offcuts or surer pieces are worth the time."""
        return self.before.seconds - self.order.seconds


def quicker(
    task: PackingTask,
    uses: tuple[Use, ...],
    pool: tuple[Use, ...],
    ways: WaysOfWork,
    *,
    order: Order = Order.BY_SETTING,
    effort: Effort = Effort.NORMAL,
    work: int = WORK,
    stop: Callable[[], bool] | None = None,
) -> Choice:
    """Uses of one paper that are less work, or those given where none are found.

    Sheets taken of each kind and pieces cut of each kind stay the same, so the cost does. Surplus pieces of a
    layout that is used more often become waste; the packer's own check should see the result like any other.
    effort: how long layouts are looked for. stop: asked often; True ends with the best so far.
    """
    before = order_cuts(task, uses, ways, order=order, work=work, stop=stop)
    best = Choice(uses, before, before)
    if stop is not None and stop():
        return best
    changed = with_fewer_layouts(task, uses, pool, ways, effort, stop)
    if changed != uses:
        found = order_cuts(task, changed, ways, order=order, work=work, stop=stop)
        if _price(task, changed, ways, found) < _price(task, uses, ways, before):
            best = Choice(changed, found, before)
    return best


def _price(task: PackingTask, uses: tuple[Use, ...], ways: WaysOfWork, order: CutOrder) -> tuple[int, int]:
    """Seconds in all: at the trimmer, truing what is doubtful, less what the offcuts are worth; then settings."""
    offcuts = (leaf for leaf in order.parts if leaf.part.what is What.KEEP)
    kept = sum(uses[leaf.layout].copies * worth(task, ways, leaf.width, leaf.height) for leaf in offcuts)
    return order.seconds + seconds_to_true(uses, order, ways) - kept, order.settings
