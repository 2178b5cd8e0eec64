"""Shops as the user describes them: what they sell singly, in packs, in mixed packs and pads, and their postage.

In: nothing. Out: frozen types that the reader fills. The fact of the trade: a pack is often cheaper than the few sheets
that are wanted from it, a pad brings sheets of several papers at once, and postage is paid once a shop.
"""

from __future__ import annotations

from dataclasses import dataclass

from nesting.describe.papers import Sheet
from nesting.errors import Place


@dataclass(frozen=True, slots=True)
class Ware:
    """Sheets of one paper and one size."""

    paper: str
    sheet: Sheet


@dataclass(frozen=True, slots=True)
class Offer:
    """A single sheet, a pack or a pad: what it holds, cents for one, in which shop, and how many can be had."""

    name: str
    cents: int
    holds: tuple[tuple[Ware, int], ...]
    shop: str = ""
    limit: int | None = None


@dataclass(frozen=True, slots=True)
class Shop:
    """One shop: cents for postage, paid once where anything is bought there; and what it sells."""

    name: str
    place: Place
    postage: int
    sells: tuple[Offer, ...]
