"""The open cutting stock instances gcut1d to gcut12d: sheets and costs beside the published ones.

Data: Cintra, Miyazawa, Wakabayashi and Xavier 2008, European Journal of Operational Research 191, 61-85, from
../shared/data or from the folder that NESTING_DATA names. One sheet size, pieces fixed or turned; and three sheet
sizes that cost their area. Run `python benchmarks/cutting_stock.py`, `--smoke` for a few small ones; `--effort` is
quick, normal or thorough. Seconds are the processor's. Every plan and every bound goes through the independent checker.
No parameter was chosen on these instances. One line per instance goes to benchmarks/results/.
"""

from __future__ import annotations

import argparse
import csv
import os
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

from results import add_row, table

from nesting.packing.check import check
from nesting.packing.layout import Allowed, PackingTask, PieceKind, SheetKind, cost_of, sheets_of
from nesting.packing.solve import Effort, solve

DATA = Path(os.environ.get("NESTING_DATA", Path(__file__).parents[1] / ".." / "shared" / "data"))
# One sheet size. Fixed: proven optima. Turned: proven lower bounds. As gathered beside the data.
FIXED = (294, 345, 332, 836, 197, 343, 591, 690, 131, 293, 330, 672)
TURNED = (291, 282, 313, 836, 174, 301, 542, 650, 122, 270, 298, 601)


def read(folder: str, number: int, *, turn: bool) -> PackingTask:
    """One instance as a task; raises FileNotFoundError where the data are not at hand."""
    name = DATA / "gcut_d" / folder / f"gcut{number}d.txt"
    with open(f"{name}_bins.csv", newline="") as file:
        rows = [[int(row.get(head) or 1) for head in ("WIDTH", "HEIGHT", "COST")] for row in csv.DictReader(file)]
        sheets = tuple(SheetKind(width, height, cost=cost) for width, height, cost in rows)
    with open(f"{name}_items.csv", newline="") as file:
        pieces = tuple(
            PieceKind(int(row["WIDTH"]), int(row["HEIGHT"]), int(row["COPIES"]), (Allowed(0, turn),))
            for row in csv.DictReader(file)
        )
    return PackingTask(pieces, sheets)


def measure(folder: str, number: int, effort: Effort, *, turn: bool) -> dict[str, object]:
    """One line of the table."""
    task = read(folder, number, turn=turn)
    begin = time.process_time()
    answer = solve(task, effort=effort)
    seconds = time.process_time() - begin
    assert check(task, answer) == ()
    cost, bound = cost_of(task, answer.uses), answer.bound.cost
    published = (TURNED if turn else FIXED)[number - 1] if folder == "one_sheet_size" else ""
    return {
        "instance": f"gcut{number}d", "sizes": len(task.sheets), "turned": "yes" if turn else "no",
        "sheets": sheets_of(answer.uses), "cost": cost, "bound": bound, "published": published,
        "gap %": f"{100 * (cost - bound) / bound:.3f}", "outcome": answer.outcome.value, "seconds": f"{seconds:.2f}",
    }  # fmt: skip


def main() -> int:
    """Run all, print the table, keep the lines."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--smoke", action="store_true", help="a small instance only")
    parser.add_argument("--effort", default="normal", choices=[effort.value for effort in Effort])
    parser.add_argument("--only", type=int, nargs="*", help="numbers of instances")
    given = parser.parse_args()
    if not (DATA / "gcut_d").is_dir():
        print(f"The set gcut_d is missing: it is not in {DATA}. Name its folder with NESTING_DATA.")
        return 1
    numbers = given.only or ([1] if given.smoke else list(range(1, 13)))
    lines = []
    for folder, turn in (("one_sheet_size", False), ("one_sheet_size", True), ("three_sheet_sizes", False),
                         ("three_sheet_sizes", True)):  # fmt: skip
        for number in numbers:
            line = measure(folder, number, Effort(given.effort), turn=turn)
            print("  ".join(str(value) for value in line.values()), flush=True)
            lines.append(line)
    print(table(lines))
    if not given.smoke and not given.only:
        for line in lines:
            add_row("cutting_stock", {**line, "effort": given.effort})
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
