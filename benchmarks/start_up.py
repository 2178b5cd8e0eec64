"""How long the first answers take, and in how much memory, beside a Python that does nothing.

The story of a newcomer: help, a starter project, its check, its pieces, its first plan, the packet. Processor seconds
and peak memory, the median of some runs, and their ratio to `python -c pass` on the same machine at the same time.

`python benchmarks/start_up.py [--runs N] [--write] [--smoke]`. Rows go to benchmarks/results/start_up.csv.
"""

from __future__ import annotations

import argparse
import os
import statistics
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

from results import add_row, table

NOTHING = ["-c", "pass"]
STEPS: dict[str, list[str]] = {
    "nesting --help": ["--help"],
    "nesting new": ["new", "FOLDER"],
    "nesting check": ["check", "FOLDER"],
    "nesting pieces": ["pieces", "FOLDER"],
    "nesting plan, no maps": ["plan", "FOLDER", "--no-maps"],
    "nesting plan, maps drawn": ["plan", "FOLDER"],
    "nesting packet": ["packet", "FOLDER"],
}


def measured(words: Sequence[str]) -> tuple[float, float]:
    """Processor seconds and peak megabytes of one whole program."""
    started = subprocess.Popen([sys.executable, *words], stdout=subprocess.DEVNULL)
    _, status, used = os.wait4(started.pid, 0)
    started.returncode = os.waitstatus_to_exitcode(status)
    if started.returncode:
        raise SystemExit(f"{' '.join(words)} ended with {started.returncode}")
    megabytes = used.ru_maxrss / (1 << 20 if sys.platform == "darwin" else 1 << 10)
    return used.ru_utime + used.ru_stime, megabytes


def story(folder: Path) -> dict[str, tuple[float, float]]:
    """All steps once, in one new folder."""
    steps = {name: ["-m", "nesting", *(str(folder) if word == "FOLDER" else word for word in words)]
             for name, words in STEPS.items()}  # fmt: skip
    return {name: measured(words) for name, words in {"python -c pass": NOTHING, **steps}.items()}


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--runs", type=int, default=5)
    parser.add_argument("--write", action="store_true")
    parser.add_argument("--smoke", action="store_true")
    options = parser.parse_args()
    runs = []
    for _ in range(1 if options.smoke else options.runs):
        with tempfile.TemporaryDirectory() as place:
            runs.append(story(Path(place) / "autumn"))
    middle = {
        name: tuple(statistics.median(run[name][at] for run in runs) for at in (0, 1)) for name in runs[0]
    }  # fmt: skip
    least = middle["python -c pass"]
    rows = [
        {
            "command": name, "seconds": round(seconds, 3), "times": round(seconds / least[0], 1),
            "MB": round(megabytes), "times the memory": round(megabytes / least[1], 1),
        }
        for name, (seconds, megabytes) in middle.items()
    ]  # fmt: skip
    print(table(rows))
    if options.write:
        for row in rows:
            add_row("start_up", row)


if __name__ == "__main__":
    main()
