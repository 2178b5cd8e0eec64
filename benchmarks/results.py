"""Rows of figures: printed as a table, and kept by version in benchmarks/results/."""

from __future__ import annotations

import csv
import platform
import subprocess
from collections.abc import Mapping, Sequence
from pathlib import Path

RESULTS = Path(__file__).parent / "results"


def version() -> str:
    """The commit that was measured, with a plus where files had been changed since."""
    root = Path(__file__).parent.parent
    described = subprocess.run(
        ["git", "describe", "--always", "--dirty=+"], cwd=root, capture_output=True, text=True, check=False
    )
    return described.stdout.strip() or "unknown"


def add_row(name: str, row: Mapping[str, object]) -> None:
    """Add one row, with version and machine, to benchmarks/results/NAME.csv."""
    RESULTS.mkdir(exist_ok=True)
    path = RESULTS / f"{name}.csv"
    full = {"version": version(), "python": platform.python_version(), "machine": platform.machine(), **row}
    new = not path.exists()
    with path.open("a", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, fieldnames=list(full))
        if new:
            writer.writeheader()
        writer.writerow(full)


def table(rows: Sequence[Mapping[str, object]]) -> str:
    """The rows as a Markdown table."""
    heads = list(rows[0])
    lines = ["| " + " | ".join(heads) + " |", "|" + "---|" * len(heads)]
    lines += ["| " + " | ".join(str(row[head]) for head in heads) + " |" for row in rows]
    return "\n".join(lines)
