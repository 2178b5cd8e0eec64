"""How long it takes to decide layouts and purchases together, and how often the cheapest is proven.

    python benchmarks/purchases.py [--batches 20] [--smoke]

The papers and designs are those of two demo projects; every paper is sold singly in two shops, in packs of one, and
with two others in a mixed pack or a pad of smaller sheets, at prices drawn from the seed. Times are of this process.
"""

from __future__ import annotations

import argparse
import random
import statistics
import sys
from dataclasses import replace
from pathlib import Path
from time import process_time

sys.path.insert(0, str(Path(__file__).parent))

from results import add_row, table

from nesting.buying.decide import decide
from nesting.describe.papers import Sheet
from nesting.describe.project import Project
from nesting.describe.project_file import read_project
from nesting.describe.shops import Offer, Shop, Ware
from nesting.errors import Place
from nesting.lengths import inches
from nesting.packing.solve import Effort
from nesting.pieces.piece_list import piece_list
from nesting.pieces.supply import supply
from nesting.questions.mixes import read_mix

DEMOS = Path(__file__).parent.parent / "demo_projects"
SMALL = Sheet(inches(6), inches(6))


def with_shops(project: Project, seed: int) -> Project:
    """The project with two shops that sell its papers."""
    chance, nowhere = random.Random(seed), Place("shops.toml", 1)
    sheets = {
        paper.name: paper.sold[0].sheet if paper.sold else Sheet(inches(12), inches(12)) for paper in project.papers
    }
    near, far = [], []
    for name, sheet in sheets.items():
        ware, cents = Ware(name, sheet), chance.randint(60, 120)
        near.append(Offer("sheet", cents, ((ware, 1),), "near"))
        far.append(Offer("sheet", cents * chance.randint(75, 105) // 100, ((ware, 1),), "far"))
        packed = chance.choice((5, 10, 20))
        far.append(Offer("pack", cents * packed * chance.randint(50, 80) // 100, ((ware, packed),), "far"))
    for _ in range(2):
        some = chance.sample(sorted(sheets), min(3, len(sheets)))
        small = chance.random() < 0.5
        wares = [Ware(name, SMALL if small else sheets[name]) for name in some]
        cents = 4 * len(some) * chance.randint(*((12, 25) if small else (45, 80)))
        near.append(Offer("pad", cents, tuple((ware, 4) for ware in wares), "near"))
    papers = tuple(replace(paper, sold=()) for paper in project.papers)
    shops = (Shop("near", nowhere, 0, tuple(near)), Shop("far", nowhere, 350, tuple(far)))
    return replace(project, papers=papers, shops=shops)


def main() -> None:
    """Decide and print."""
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    asked.add_argument("--batches", type=int, default=20)
    asked.add_argument("--smoke", action="store_true")
    said = asked.parse_args()
    batches = 2 if said.smoke else said.batches
    rows = []
    demos = [read_project(DEMOS / name) for name in ("harvest_stall", "spring_market")]
    for cards in (5,) if said.smoke else (5, 20, 60, 200):
        times, proven, cents, bounds = [], 0, 0, 0
        for seed in range(batches):
            demo = demos[seed % 2]
            project = with_shops(read_mix(demo, "").project(demo, cards), seed)
            start = process_time()
            found = decide(project, piece_list(project), supply(project), effort=Effort.QUICK)
            times.append(process_time() - start)
            proven += found.purchase.proven
            cents += found.purchase.cents
            bounds += found.purchase.bound
        row = {
            "cards": cards, "batches": batches, "proven cheapest": f"{100 * proven / batches:.1f} %",
            "over the bound": f"{100 * (cents - bounds) / cents:.2f} %",
            "median s": f"{statistics.median(times):.2f}", "worst s": f"{max(times):.2f}",
        }  # fmt: skip
        rows.append(row)
        if not said.smoke:
            add_row("purchases", row)
    print(table(rows))


if __name__ == "__main__":
    main()
