"""What to cut out of the plan's own pieces with the knife before they are glued, as sentences.

In: a PaperPlan. Out: one sentence for each size of centre or cut-out that the plan uses. The fact of the trade: the
hole must come to lie under the layer, so one has to know out of which mat it is cut, and how far from its edges.
"""

from __future__ import annotations

from collections.abc import Iterable

from nesting.describe.project import Project
from nesting.lengths import Length, write_length, write_size
from nesting.pieces.hidden_centres import Whence, whence
from nesting.pieces.supply import SourceKind
from nesting.plan import PaperPlan
from nesting.reports import phrases


def knife_work(plan: PaperPlan, project: Project) -> list[str]:
    """How many of which size, out of which part, and where on it; windows are cut anyway, so nothing is measured."""
    used: dict[int, int] = {}
    for use in plan.uses:
        if plan.packing.sources[use.sheet].kind.from_a_piece:
            used[use.sheet] = used.get(use.sheet, 0) + use.copies
    said = []
    for number, count in used.items():
        source = plan.packing.sources[number]
        size = write_size(source.sheet.width, source.sheet.height, project.unit, with_unit=True)
        places = whence(project, source)
        if source.kind is SourceKind.CENTRE:
            out = f"Before gluing, cut {phrases.plural(count, 'centre')} of {size} out of {_measured(places, project)}"
        else:
            windows = " or ".join(dict.fromkeys(f"{place.design}: {place.part}" for place in places))
            out = f"Keep {phrases.plural(count, 'cut-out')} of {size} from the window in {windows}"
        said.append(f"{out}, for small pieces of {plan.paper.name}.")
    return said


def _measured(places: Iterable[Whence], project: Project) -> str:
    """Mats in which the hole begins at the same place are told together."""
    alike: dict[tuple[Length, Length, Length, Length], list[str]] = {}
    for place in places:
        key = place.width, place.height, place.left, place.top
        alike.setdefault(key, []).append(f"{place.design}: {place.part}")
    said = []
    for (width, height, left, top), names in alike.items():
        edges = "left and top" if left == top else f"left and {write_length(top, project.unit)} from the top"
        size = write_size(width, height, project.unit)
        said.append(f"{' or '.join(names)} ({size}), {write_length(left, project.unit)} from the {edges} edge")
    return ", or ".join(said)
