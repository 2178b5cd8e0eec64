"""Craft batches: sheets, proofs and seconds of the planner, beside rectpack's best and shelves cut by hand.

Run `python benchmarks/craft_batches.py` for all of it, `--smoke` for a few seconds' worth. One row per number of
copies; the row also goes to benchmarks/results/craft_batches.csv with the version it was measured on. Seconds are those
of the processor, so that other work on the machine does not count.
"""

from __future__ import annotations

import argparse
import statistics
import sys
import time
from collections.abc import Sequence
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

from craft_jobs import CraftPaper, craft_batch
from results import add_row, table

from nesting.packing.check import check
from nesting.packing.layout import Outcome, PackingTask, sheets_of
from nesting.packing.portfolio import rectpack_best
from nesting.packing.solve import Effort, solve

MOST_COPIES = 20  # rectpack packs piece by piece in some 180 runs; beyond so many copies it is not run


def shelves_by_hand(task: PackingTask) -> int:
    """Sheets of next-fit shelves by falling height, pieces as described: how a careful person starts by hand."""
    width, height = task.sheets[0].usable
    ordered = sorted(task.pieces, key=lambda kind: (-min(kind.height, height), -kind.width))
    sheets, used, shelf, left = 1, 0, 0, width
    for kind in ordered:
        across, up = kind.width, kind.height
        if across > width or up > height:
            across, up = up, across
        for _ in range(kind.need):
            if across > left or up > shelf:
                used, shelf, left = used + shelf, up, width
                if used + up > height:
                    sheets, used = sheets + 1, 0
            left -= across
    return sheets


def run(seeds: Sequence[int], copies: int, effort: Effort, peers: int) -> dict[str, object]:
    """Plan every seed's batch; the first `peers` of them also with rectpack, for the same sheets side by side."""
    seconds, ours, theirs, beside, shelves, proven, papers, peer_seconds, wrong = [], 0, 0, 0, 0, 0, 0, 0.0, 0
    open_seeds: list[int] = []
    for place, seed in enumerate(seeds):
        batch = craft_batch(seed, copies)
        start = time.process_time()
        answers = [solve(paper.task, effort=effort) for paper in batch]
        seconds.append(time.process_time() - start)
        papers += len(batch)
        for paper, answer in zip(batch, answers, strict=True):
            wrong += bool(check(paper.task, answer))
            ours += sheets_of(answer.uses)
            proven += answer.outcome is Outcome.PROVEN
            shelves += shelves_by_hand(paper.task)
        if any(answer.outcome is not Outcome.PROVEN for answer in answers):
            open_seeds.append(seed)
        if place < peers:
            beside += sum(sheets_of(answer.uses) for answer in answers)
            start = time.process_time()
            theirs += sum(_rectpack(paper) for paper in batch)
            peer_seconds += time.process_time() - start
    return {
        "copies": copies,
        "effort": effort.value,
        "batches": len(seeds),
        "papers": papers,
        "proven %": round(100 * proven / papers, 2),
        "median s": round(statistics.median(seconds), 3),
        "worst s": round(max(seconds), 2),
        "sheets": ours,
        "rectpack batches": peers,
        "ours there": beside if peers else "",
        "rectpack": theirs if peers else "",
        "saved %": round(100 * (theirs - beside) / theirs, 1) if peers else "",
        "rectpack s a batch": round(peer_seconds / peers, 2) if peers else "",
        "shelves": shelves,
        "saved % of shelves": round(100 * (shelves - ours) / shelves, 1),
        "failed checks": wrong,
        "open seeds": " ".join(map(str, open_seeds[:12])),
    }


def _rectpack(paper: CraftPaper) -> int:
    uses = rectpack_best(paper.task)
    return sheets_of(uses)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--smoke", action="store_true")
    parser.add_argument("--seeds", type=int, default=200)
    parser.add_argument("--copies", type=int, nargs="*", default=[1, 5, 20, 100, 1000, 20000])
    parser.add_argument("--effort", choices=[effort.value for effort in Effort], default="normal")
    parser.add_argument("--peers", type=int, default=20, help="seeds that rectpack is run on as well")
    options = parser.parse_args()
    seeds = range(3) if options.smoke else range(options.seeds)
    copies = [1, 5] if options.smoke else options.copies
    options.peers = 1 if options.smoke else min(options.peers, len(seeds))
    rows = [run(seeds, n, Effort(options.effort), options.peers if n <= MOST_COPIES else 0) for n in copies]
    print(table(rows))
    if any(row["failed checks"] for row in rows):
        sys.exit("some answers failed their check")
    if not options.smoke:
        for row in rows:
            add_row("craft_batches", row)


if __name__ == "__main__":
    main()
