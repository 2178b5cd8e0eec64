"""The largest offcut that craft jobs leave: before gathering, after it, and the most that is possible at all.

Run `python benchmarks/leftovers.py` for 100 papers, `--smoke` for a few. Shares are of one sheet's area; the number of
sheets is asserted to stay the same. At thorough effort each larger offcut is asked for as one more piece.
"""

from __future__ import annotations

import argparse
import statistics
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

from craft_jobs import craft_batch
from results import add_row, table

from nesting.packing.fill import fill
from nesting.packing.ground import ground
from nesting.packing.layout import Answer, Outcome, PackingTask, Use, sheets_of
from nesting.packing.solve import Effort, solve
from nesting.packing.trees import largest_free_of


def share(task: PackingTask, uses: tuple[Use, ...]) -> float:
    """The largest free rectangle as a share of one sheet."""
    return largest_free_of(uses) / (task.sheets[0].width * task.sheets[0].height)


def is_largest(answer: Answer) -> bool:
    """Whether the plan's largest offcut is proven to be the largest there is."""
    return answer.offcut is not None and largest_free_of(answer.uses) == answer.offcut.area


def jobs(count: int) -> list[PackingTask]:
    """The first papers of batches of one and of five cards."""
    found: list[PackingTask] = []
    seed = 0
    while len(found) < count:
        found += [paper.task for paper in craft_batch(seed, 1 if seed % 2 else 5)]
        seed += 1
    return found[:count]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--smoke", action="store_true")
    options = parser.parse_args()
    before, after, known, had, bounds, proven, seconds = [], [], [], [], [], [], []
    tasks = jobs(6 if options.smoke else 100)
    for task in tasks:
        first = fill(ground(task))
        answer = solve(task, effort=Effort.NORMAL)
        assert sheets_of(answer.uses) <= sheets_of(first)
        if sheets_of(answer.uses) == sheets_of(first):
            assert answer.outcome is Outcome.PROVEN
            start = time.process_time()
            thorough = solve(task, effort=Effort.THOROUGH)
            seconds.append(time.process_time() - start)
            before.append(share(task, first))
            after.append(share(task, answer.uses))
            had.append(share(task, thorough.uses))
            known.append(is_largest(answer))
            proven.append(is_largest(thorough))
            sheet = task.sheets[0].width * task.sheets[0].height
            bounds.append(thorough.offcut.area / sheet if thorough.offcut else 1.0)
    row = {
        "papers": len(tasks),
        "same sheets as the first plan": len(before),
        "first plan, median %": round(100 * statistics.median(before), 1),
        "gathered, median %": round(100 * statistics.median(after), 1),
        "bound, median %": round(100 * statistics.median(bounds), 1),
        "proven largest": sum(known),
        "largest known, median %": round(100 * statistics.median(had), 1),
        "known to be the largest": sum(proven),
        "median s": round(statistics.median(seconds), 2),
        "worst s": round(max(seconds), 1),
    }
    print(table([row]))
    if not options.smoke:
        add_row("leftovers", row)


if __name__ == "__main__":
    main()
