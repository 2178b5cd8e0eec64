"""What is seen of a card when it lies shut on the table: the panels that face up, and what is stuck on them.

In: a Project and one of its designs. Out: a CardFace for the cover. The fact of the trade: the cards of a batch are
told apart by their fronts, and a front is what the folds leave on top.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from nesting.describe.designs import Area, Base, CardDesign, Panel
from nesting.describe.folding import NotFlat, fold_shut
from nesting.describe.project import Project
from nesting.lengths import ZERO, Length
from nesting.pieces.spots import Spot, find_spots, fullest_panel
from nesting.reports.cover import CardFace, Patch

_Stuck = Sequence[tuple[Spot, str]]  # each spot with its paper


@dataclass(frozen=True, slots=True)
class _Lying:
    """A panel in the shut card: its rectangle, seen with the largest panel lying inside up."""

    panel: Panel
    area: Area
    outside_up: bool


def card_face(project: Project, design: CardDesign, make: int) -> CardFace | None:
    """The shut card from its front; the panel that carries the most where nothing is on the front, or it stays open."""
    if not make or design.base is None:
        return None
    papers = {part.name: part.paper for part in design.parts}
    stuck = [
        (spot, papers[name])
        for name, found in find_spots(design, project.unit, []).items()
        for spot, _ in found
        if spot.panel and papers[name]
    ]
    lying = _shut(design.base)
    front = [each for each in lying if each.outside_up and _on(each.panel, stuck)]
    if not front or design.base.slits:  # what stands up between slits is seen when the card is open
        fullest = fullest_panel(design, (spot for spot, _ in stuck))
        return fullest and _open(design, make, stuck, *fullest)
    ordered = [each for each in lying if not each.outside_up] + [each for each in lying if each.outside_up]
    left, top = min(each.area.x for each in lying), min(each.area.y for each in lying)
    patches: list[Patch] = []
    for each in ordered:
        patches += _patches(design.base, each.panel, each.area.x - left, each.area.y - top,
                            _on(each.panel, stuck) if each.outside_up else [])  # fmt: skip
    right = max(each.area.x + each.area.width for each in lying) - left
    foot = max(each.area.y + each.area.height for each in lying) - top
    return CardFace(design.name, make, right, foot, tuple(patches))


def _on(panel: Panel, stuck: _Stuck) -> _Stuck:
    """What lies on a panel's outside: words like "inside right" name the other face."""
    return [(spot, paper) for spot, paper in stuck if spot.panel == panel.number and "inside" not in spot.panels]


def _patches(base: Base, panel: Panel, x: Length, y: Length, stuck: _Stuck) -> list[Patch]:
    found = [Patch(x, y, panel.width, panel.height, base.paper)]
    found += [
        Patch(x + spot.x - panel.x, y + spot.y - panel.y, spot.width, spot.height, paper) for spot, paper in stuck
    ]
    return found


def _shut(base: Base) -> list[_Lying]:
    """Every panel of the shut card, the largest one below; nothing where it cannot be shut."""
    try:
        moved = fold_shut(base)
    except NotFlat:
        return []
    below = max(base.panels, key=lambda panel: (panel.width.ticks * panel.height.ticks, -panel.number))
    under = moved[below.number]
    found = []
    for panel in base.panels:
        move = moved[panel.number]
        area = move.area(panel.x, panel.y, panel.width, panel.height)
        x, y = area.x, area.y
        if under.sign_x < 0:
            x = -(area.x + area.width)
        if under.sign_y < 0:
            y = -(area.y + area.height)
        over = move.sign_x * move.sign_y != under.sign_x * under.sign_y
        found.append(_Lying(panel, Area(x, y, area.width, area.height), over))
    return found


def _open(design: CardDesign, make: int, stuck: _Stuck, base: Base, panel: Panel) -> CardFace:
    """One panel with what lies on it."""
    mine = [(spot, paper) for spot, paper in stuck if spot.panel == panel.number]
    patches = _patches(base, panel, ZERO, ZERO, mine)
    return CardFace(design.name, make, panel.width, panel.height, tuple(patches))
