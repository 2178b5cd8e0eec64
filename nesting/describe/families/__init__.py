"""Families of cards by name. To add one: write its file beside these, and put its FAMILY into the list below."""

from __future__ import annotations

from nesting.describe.families import (
    accordion,
    box_ended,
    double_gate,
    easel,
    envelope,
    flat_card,
    gate_fold,
    half_fold,
    letter_fold,
    pocket,
    roll_fold,
    standing_card,
    stepped_card,
    tri_fold,
    tunnel,
)
from nesting.describe.families.family import CannotBe, Family, Given, Parameter, Shape, Takes

FAMILIES: dict[str, Family] = {
    module.FAMILY.name: module.FAMILY
    for module in (
        flat_card, half_fold, tri_fold, letter_fold, roll_fold, gate_fold, double_gate, accordion, pocket,
        stepped_card, standing_card, easel, box_ended, tunnel, envelope,
    )
}  # fmt: skip

__all__ = ["FAMILIES", "CannotBe", "Family", "Given", "Parameter", "Shape", "Takes"]
