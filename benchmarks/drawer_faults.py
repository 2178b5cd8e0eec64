"""The drawer under kill -9 at any moment, and under two writers at once: nothing lost, nothing counted twice.

    python benchmarks/drawer_faults.py [--kills 500] [--steps 1000] [--smoke]

Runs the same tests as CI does with a few (tests/test_stash_faults.py), as often as is asked: writers that are killed
in the midst of a step or while they make the file, whose ledger must then hold every step that was reported and at
most one more; and two writers whose steps must all be there, with every count right.
"""

from __future__ import annotations

import argparse
import os
import re
import subprocess
import sys
from pathlib import Path
from time import perf_counter

sys.path.insert(0, str(Path(__file__).parent))

from results import add_row

TESTS = Path(__file__).parent.parent / "tests" / "test_stash_faults.py"


def main() -> int:
    """Run the tests, say and record how often; their exit code."""
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    asked.add_argument("--kills", type=int, default=500)
    asked.add_argument("--steps", type=int, default=1000)
    asked.add_argument("--smoke", action="store_true")
    said = asked.parse_args()
    kills, steps = (4, 16) if said.smoke else (said.kills, said.steps)
    often = {"NESTING_STASH_KILLS": str(kills), "NESTING_STASH_STEPS": str(steps)}
    start = perf_counter()
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "-s", "-n", "0", str(TESTS)], env={**os.environ, **often},
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    seconds = perf_counter() - start
    told = re.search(r"(\d+) kills, (\d+) steps on disk", done.stdout)
    if done.returncode or told is None:
        print(done.stdout + done.stderr)
        return done.returncode or 1
    print(f"{told[1]} kills with {told[2]} steps on disk, {steps} steps by two writers, in {seconds:.0f} s:"
          " every step that was reported is there, every count is right.")  # fmt: skip
    if not said.smoke:
        row = {"kills": told[1], "steps on disk": told[2], "steps by two writers": steps, "lost or counted twice": 0}
        add_row("drawer_faults", row)
    return 0


if __name__ == "__main__":
    sys.exit(main())
