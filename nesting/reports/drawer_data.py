"""The drawer, and what a check found, as plain data for JSON.

In: lots, entries of the history, or a checked project. Out: dicts and lists; sizes in words, as they were given.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from nesting.describe.project import Project
from nesting.errors import Problem
from nesting.fit import fits_of, sentences
from nesting.lengths import write_size
from nesting.pieces.piece_list import PieceList, grain_notes
from nesting.stash.items import Entry, Item


def items_data(items: Iterable[Item]) -> list[dict[str, Any]]:
    """The lots of a drawer; print is None where its direction is not known."""
    return [
        {
            "number": item.number,
            "paper": item.details.paper,
            "size": write_size(item.details.sheet.width, item.details.sheet.height, item.details.unit, with_unit=True),
            "count": item.count,
            "print": None if item.details.direction is None else item.details.direction.value,
            "grain": item.details.grain.value,
            "kept": item.details.kept,
            "added": item.added,
            "label": item.details.label,
        }
        for item in items
    ]


def history_data(entries: Iterable[Entry]) -> list[dict[str, Any]]:
    """The entries of a drawer's history, oldest first; undoes and undone_by are None where there is none."""
    return [
        {
            "entry": entry.number,
            "at": entry.at,
            "what": entry.act.value,
            "changes": [{"item": change.item, "count": change.count} for change in entry.changes],
            "corrected": list(entry.corrected),
            "undoes": entry.undoes or None,
            "undone_by": entry.undone_by or None,
            "note": entry.note,
        }
        for entry in entries
    ]


def check_data(project: Project, pieces: PieceList, *, fit: bool) -> dict[str, Any]:
    """What a project without mistakes holds, with its notes; with `fit`, what envelopes and posts say of each card."""
    data: dict[str, Any] = {
        "mistakes": [],
        "cards": sum(line.count for line in project.batch),
        "pieces": sum(piece.count for piece in pieces.pieces),
        "papers": len(project.papers),
        "notes": [f"{design}: {note}" for design, note in grain_notes(pieces)],
    }
    if fit:
        data["fit"] = [{"design": one.design, "said": list(sentences(one, project.unit))} for one in fits_of(project)]
    return data


def mistakes_data(problems: Iterable[Problem]) -> dict[str, Any]:
    """All mistakes: where, what, and what to do."""
    return {
        "mistakes": [
            {"file": p.place.file, "line": p.place.line or None, "of": p.place.subject, "what": p.what, "do": p.todo}
            for p in problems
        ]
    }
