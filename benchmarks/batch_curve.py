"""How long the whole curve of batch sizes takes, against one plan of the largest size.

    python benchmarks/batch_curve.py [--project FOLDER] [--up-to 60] [--smoke]

Layouts and bounds found for one size are used for the next; without that the curve would take as long as all its plans.
Time is of this process alone. The promise is at most 5 plans for 60 sizes; --smoke does a small curve and fails when
its shape is wrong.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from time import process_time

from nesting.describe.project_file import read_project
from nesting.packing.solve import Effort
from nesting.plan import make_plan
from nesting.questions.batch_curve import batch_curve
from nesting.questions.mixes import read_mix

DEMO = Path(__file__).parent.parent / "demo_projects" / "harvest_stall"
PROMISED = 5


def main() -> int:
    """Measure and print; 1 where the curve is wrong."""
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    asked.add_argument("--project", type=Path, default=DEMO)
    asked.add_argument("--up-to", type=int, default=60)
    asked.add_argument("--smoke", action="store_true")
    said = asked.parse_args()
    most = 6 if said.smoke else said.up_to
    project = read_project(said.project)
    mix = read_mix(project, "")
    start = process_time()
    make_plan(mix.project(project, most), effort=Effort.QUICK)
    one = process_time() - start
    start = process_time()
    curve = batch_curve(project, mix, range(1, most + 1))
    whole = process_time() - start
    proven = sum(point.proven for point in curve.points)
    print(f"{project.title}: one plan of {most} cards {one:.2f} s, the curve of {most} sizes {whole:.2f} s,"
          f" {whole / one:.1f} plans (promised: {PROMISED}); {proven} sizes proven best.")  # fmt: skip
    rising = [point.price or 0 for point in curve.points]
    return int(len(curve.points) != most or rising != sorted(rising))


if __name__ == "__main__":
    sys.exit(main())
