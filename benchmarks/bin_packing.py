"""The 500 open bin packing instances, each piece needed once: sheets after 1, 5 and 20 seconds, and the bound.

Data: classes 1 to 6 by Berkey and Wang 1987, 7 to 10 by Martello and Vigo 1998, in the numbering of 2DPackLib (Iori,
de Lima, Martello, Monaci 2022). It is read from ../shared/data, or from the folder that NESTING_DATA names.

Run `python benchmarks/bin_packing.py --seconds 5`, with `--turning oriented` or `rotated` for one half, `--smoke` for a
minute's worth. The clock is the processor's time of one thread, so other work on the machine does not count. An
instance ends where its plan meets its bound. Every plan and every bound goes through the independent checker.
No parameter was chosen on these instances. One line per instance, as it ends, goes to a file of its own in
benchmarks/results (bin_packing_rotated_20s.csv for 20 seconds), the sums of the whole set to bin_packing.csv there.
"""

from __future__ import annotations

import argparse
import csv
import os
import sys
import time
from collections.abc import Callable, Iterable
from concurrent.futures import ProcessPoolExecutor
from dataclasses import asdict, dataclass, fields
from pathlib import Path
from typing import TextIO

sys.path.insert(0, str(Path(__file__).parent))

from dual_functions import by_dual_functions
from results import RESULTS, add_row, table

from nesting.packing.bounds import Proof, as_bound
from nesting.packing.check import check
from nesting.packing.columns import PRECISION, Columns
from nesting.packing.engine import is_compiled
from nesting.packing.exhaust import Steps, Verdict, exhaust
from nesting.packing.guided import guided
from nesting.packing.improve import improve
from nesting.packing.layout import Allowed, Answer, Outcome, PackingTask, PieceKind, Reason, SheetKind, Use, sheets_of
from nesting.packing.portfolio import portfolio
from nesting.packing.stock import stock

DATA = Path(os.environ.get("NESTING_DATA", Path(__file__).parents[2] / "shared" / "data"))
MARKS = (1, 5, 20)  # seconds at which the best number of sheets is noted
FIRST_SHARE, BOUND_SHARE, TRIAL_SHARE, GUIDED_SHARE = 0.1, 0.3, 0.5, 0.9  # of the time: until then each step lasts
FEW = 5  # sheets: ruin and recreate alone does better with so few, each of many pieces
FEW_SHARE = 0.4  # of the time until each step lasts; bounds seldom rise there
MOST_STEPS = 4_000_000  # of trying all ways, as in the planner at its most thorough
TURNINGS = ("rotated", "oriented")
# Gardeyn & Wauters 2022, European Journal of Operational Research, Tables 1 and 2; the bound is added up from
# theirs and from Becker's thesis of 2022
PUBLISHED = (
    ("proven lower bound", 6968, 7215, ""),
    ("best of everything published", 6977, 7233, ""),
    ("Gardeyn & Wauters 2022", 6986, 7233, "600 s x 8 threads"),
    ("Cui, Yao & Zhang 2018", 6989, 7238, "about a minute"),
    ("Cui, Cui & Tang 2015", 7035, "-", "about a minute"),
    ("Charalambous & Fleszar 2011", 7064, 7311, "about a minute"),
    ("Fleszar 2013", 7080, 7325, "about a minute"),
)


@dataclass(frozen=True)
class Run:
    """What came out for one instance; `seconds`: until its end, `last`: until its last improvement."""

    instance: str
    turning: str
    bound: int
    first: int
    at_1: int
    at_5: int
    at_20: int
    best: int
    last: float
    seconds: float
    wrong: str


def read_task(path: Path, *, may_turn: bool) -> PackingTask:
    """An instance: a line of headings each, then `1`, `length width`, the number of kinds, `length width demand`."""
    rows = [[int(word) for word in line.split()] for line in path.read_text().splitlines() if _is_numbers(line)]
    (length, width), (count,) = rows[1], rows[2]
    allowed = (Allowed(0, may_turn),)
    pieces = tuple(PieceKind(row[0], row[1], row[2], allowed) for row in rows[3 : 3 + count])
    return PackingTask(pieces, (SheetKind(length, width),))


def _is_numbers(line: str) -> bool:
    words = line.split()
    return bool(words) and all(word.isdigit() for word in words)


def solve_one(job: tuple[Path, str, float]) -> Run:
    """One instance for at most so many seconds of processor time."""
    path, turning, seconds = job
    task = read_task(path, may_turn=turning == "rotated")
    start = time.process_time()
    uses = portfolio(task)
    history = [(time.process_time() - start, sheets_of(uses))]
    columns = Columns(stock(task), PRECISION)
    proof = by_dual_functions(columns.stock, columns.needs)
    seed = 0  # the search at the end goes on where the one at first stopped, it does not do the same again

    def search(until: float) -> None:
        nonlocal uses, seed
        late = _clock(start, until)
        while sheets_of(uses) > proof.cost and not late():
            seed += 1
            better = improve(task, uses, target_cost=sheets_of(uses) - 1, work=10**9, seed=seed, stop=late)
            if sheets_of(better) < sheets_of(uses):
                history.append((time.process_time() - start, sheets_of(better)))
                uses = better

    search(seconds * FIRST_SHARE)
    if sheets_of(uses) > proof.cost:
        before = seconds * (FEW_SHARE if sheets_of(uses) <= FEW else 1)
        columns.add_uses(uses)
        columns.run(enough=sheets_of(uses), stop=_clock(start, before * BOUND_SHARE), fully=True)
        proof = max(proof, columns.proof, key=lambda one: one.cost)
        late = _clock(start, before * TRIAL_SHARE)
        while sheets_of(uses) > proof.cost and not late():
            fewer = sheets_of(uses) - 1
            columns.centre(fewer, late)
            tried = exhaust(columns.stock, columns, fewer, Steps(MOST_STEPS, late))
            if tried.verdict is Verdict.NONE:
                shown = Proof(fewer + 1, fewer + 1, tuple(columns.whole_prices()), Reason.EXHAUSTIVE)
                if not _wrong(task, uses, shown):  # the checker may know less: only what both say is claimed
                    proof = shown
            if tried.verdict is not Verdict.FOUND:
                break
            history.append((time.process_time() - start, sheets_of(tried.uses)))
            uses = tried.uses
        late = _clock(start, seconds * GUIDED_SHARE)
        while sheets_of(uses) > max(proof.cost, FEW) and not late():
            better = guided(task, columns, sheets_of(uses) - 1, attempts=10**9, seed=0, stop=late)
            if not better:
                break
            history.append((time.process_time() - start, sheets_of(better)))
            uses = better
    search(seconds)
    end = time.process_time() - start
    at = [min(sheets for when, sheets in history if when <= mark or when == history[0][0]) for mark in MARKS]
    return Run(path.name, turning, proof.cost, history[0][1], at[0], at[1], at[2], sheets_of(uses),
               round(history[-1][0], 2), round(end, 2), " ".join(_wrong(task, uses, proof)))  # fmt: skip


def _clock(start: float, seconds: float) -> Callable[[], bool]:
    return lambda: time.process_time() - start >= seconds


def _wrong(task: PackingTask, uses: tuple[Use, ...], proof: Proof) -> tuple[str, ...]:
    """What the independent checker says of the plan and of the bound."""
    bound = as_bound([(proof, range(len(task.pieces)))], len(task.pieces), PRECISION)
    outcome = Outcome.PROVEN if sheets_of(uses) == proof.cost else Outcome.OPEN
    return check(task, Answer(uses, (0,) * len(task.pieces), outcome, bound))


def run_all(jobs: Iterable[tuple[Path, str, float]], processes: int, file: TextIO) -> list[Run]:
    """All jobs, each kept in the file as it ends, with a line to the terminal now and then."""
    runs = []
    jobs = list(jobs)
    writer = csv.DictWriter(file, [field.name for field in fields(Run)])
    writer.writeheader()
    with ProcessPoolExecutor(processes) as pool:
        for number, run in enumerate(pool.map(solve_one, jobs), start=1):
            runs.append(run)
            writer.writerow(asdict(run))
            file.flush()
            if run.wrong:
                print(f"{run.instance}: {run.wrong}", file=sys.stderr)
            if number % 25 == 0:
                print(f"{number} of {len(jobs)}", file=sys.stderr, flush=True)
    return runs


def keep(runs: list[Run], turning: str, seconds: float, *, whole: bool) -> dict[str, object]:
    """The sums of one turning; kept in the results if it was the whole set."""
    some = [run for run in runs if run.turning == turning]
    sums: dict[str, object] = {
        "turning": turning,
        "instances": len(some),
        "seconds": seconds,
        "compiled": is_compiled(),
        "first": sum(run.first for run in some),
        **{f"at {mark} s": sum(getattr(run, f"at_{mark}") for run in some) if seconds >= mark else ""
           for mark in MARKS},
        "own bound": sum(run.bound for run in some),
        "proven": sum(run.best == run.bound for run in some),
        "wrong": sum(bool(run.wrong) for run in some),
        "total s": round(sum(run.seconds for run in some)),
    }  # fmt: skip
    if whole:
        add_row("bin_packing", sums)
    return sums


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--seconds", type=float, default=5, help="processor time per instance")
    parser.add_argument("--jobs", type=int, choices=(1, 2), default=1, help="processes")
    parser.add_argument("--turning", choices=(*TURNINGS, "both"), default="both")
    parser.add_argument("--only", default="cl_", help="names that begin so, for instance cl_03_")
    parser.add_argument("--every", type=int, default=1, help="every so manieth instance")
    parser.add_argument("--smoke", action="store_true", help="every fiftieth instance for one second")
    given = parser.parse_args()
    every, seconds = (50, 1.0) if given.smoke else (given.every, given.seconds)
    paths = sorted((DATA / "bwmv" / "instances").glob(f"{given.only}*"))[::every]
    if not paths:
        print(f"There are no bin packing instances in {DATA / 'bwmv' / 'instances'}; NESTING_DATA can name another"
              " folder.", file=sys.stderr)  # fmt: skip
        return 1
    turnings = TURNINGS if given.turning == "both" else (given.turning,)
    sums = []
    for turning in turnings:
        whole = len(paths) == 500
        kept = RESULTS / f"bin_packing_{turning}_{seconds:g}s.csv" if whole else Path(os.devnull)
        with kept.open("w", encoding="utf-8", newline="") as file:
            runs = run_all([(path, turning, seconds) for path in paths], given.jobs, file)
        sums.append(keep(runs, turning, seconds, whole=whole))
    print(table(sums))
    print()
    print(table([dict(zip(("published", "rotated", "oriented", "time"), row, strict=True)) for row in PUBLISHED]))
    return 1 if any(row["wrong"] for row in sums) else 0


if __name__ == "__main__":
    sys.exit(main())
