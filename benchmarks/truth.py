"""Are the plans true? Random batches, tiny jobs and changed tasks, held against what shares nothing with the planner.

batches: made-up projects are read and planned; every paper's layouts go through the checker, the order of cuts through
the replay, the written plan is read back, pieces are counted anew, and the costs are added up.
exhaustive: bounds and plans of tiny jobs against a search through every cut there is.
model: those of small jobs, with a trimmer's limits, against an independent model in OR-tools' CP-SAT.
changes: what a piece more, leave to turn, another scale and the like must not do; counted where none is proven.

`python benchmarks/truth.py` runs them all, a part by its name; `--smoke` takes a few seconds. Rows go to
benchmarks/results/truth.csv with the version they were measured on.
"""

from __future__ import annotations

import argparse
import itertools
import random
import signal
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterator
from fractions import Fraction
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
sys.path.insert(0, str(Path(__file__).parent.parent / "tests" / "packing"))
sys.path.insert(0, str(Path(__file__).parent.parent / "tests" / "reports"))

from one_cut_model import least_cost
from piece_counts import astray
from random_projects import project_files
from random_tasks import random_task
from relations import CHANGES, solved
from results import add_row, table
from small_jobs import small_job
from tiny import best_cost, ruled_job, tiny_job

from nesting.cost.sheet import cost_sheet
from nesting.cutting.replay import replay
from nesting.describe.project_file import read_project
from nesting.errors import Fault, NestingError
from nesting.packing.check import check
from nesting.packing.layout import Outcome, PackingTask, PiecePart, leaves
from nesting.packing.solve import Effort, solve
from nesting.pieces.piece_list import piece_list
from nesting.plan import Plan, make_plan
from nesting.reports.plan_folder import write_plan
from nesting.reports.plan_read import read_plan

Row = dict[str, object]
FULL = {"batches": 10_000, "exhaustive": 1_000, "model": 200, "changes": 500}
SMOKE = {"batches": 12, "exhaustive": 40, "model": 6, "changes": 3}


# ----------------------------------------------------------------------------------------------- batches


def batches(count: int, first: int) -> list[Row]:
    """Plan made-up projects until so many are planned."""
    seen: Counter[str] = Counter()
    wrong: list[str] = []
    slowest = (0.0, 0)
    asked = _Asked()
    for seed in itertools.count(first):
        if seen["planned"] >= count or asked.stop:
            break
        with tempfile.TemporaryDirectory() as name:
            folder = Path(name)
            for file, text in project_files(seed).items():
                (folder / file).write_bytes(text.encode())
            start = time.perf_counter()
            try:
                plan = make_plan(read_project(folder), effort=Effort.QUICK)
            except NestingError:
                seen["refused"] += 1
                continue
            except Fault as fault:
                wrong.append(f"seed {seed}: {fault}")
                continue
            slowest = max(slowest, (time.perf_counter() - start, seed))
            found = list(_faults(plan, folder))
        seen["planned"] += 1
        seen["short"] += not plan.complete
        seen["papers"] += len(plan.papers)
        seen["proven"] += sum(paper.outcome is Outcome.PROVEN for paper in plan.papers)
        seen["pieces"] += sum(piece.count for piece in plan.pieces.pieces)
        wrong += [f"seed {seed}: {text}" for text in found]
        _tick(seen["planned"], count, wrong)
    row: Row = {
        "part": "batches", "tried": seen["planned"], "wrong": len(wrong), "refused with sentences": seen["refused"],
        "papers": seen["papers"], "proven": seen["proven"], "not proven": seen["papers"] - seen["proven"],
        "note": f"{seen['pieces']} pieces; {seen['short']} short of paper; "
                f"slowest {slowest[0]:.1f} s (seed {slowest[1]})",
        "first wrong": wrong[0] if wrong else "",
    }  # fmt: skip
    return [row]


def _faults(plan: Plan, folder: Path) -> Iterator[str]:
    """Everything that is not as it must be."""
    for paper in plan.papers:
        yield from check(paper.packing.task, paper.packing.answer)
        yield from replay(paper.packing.task, paper.uses, paper.ways, paper.order)
    wanted = Counter({piece.title: 0 for piece in plan.pieces.pieces})
    for piece in piece_list(plan.project).pieces:
        wanted[piece.title] += piece.count
    for paper in plan.papers:
        given: Counter[int] = Counter()
        for use in paper.uses:
            for leaf in leaves(use.root):
                if isinstance(leaf, PiecePart):
                    given[leaf.kind] += use.copies
        for kind, same in enumerate(paper.packing.kinds):
            asked, missing = sum(piece.count for piece in same), paper.packing.answer.missing[kind]
            if given[kind] + missing != asked:
                yield f"{paper.paper.name}: kind {kind} is cut {given[kind]} times, {missing} missing, of {asked}."
            for piece in same:
                wanted[piece.title] -= piece.count
    if any(wanted.values()):
        yield f"The papers together are not asked for what the cards need: {wanted}."
    yield from astray(plan)
    write_plan(plan, folder / "plan", maps=False)
    again = read_plan(folder / "plan", plan.project)
    if [paper.uses for paper in again.papers] != [paper.uses for paper in plan.papers]:
        yield "The plan that was written is not the plan that is read."
    yield from _money(plan)


def _money(plan: Plan) -> Iterator[str]:
    costs = cost_sheet(plan, plan.project.costs)
    for line in costs.lines:
        if sum(line.shares) != line.cents:
            yield f"The shares of {line.kind.value} {line.name} do not add up."
    if sum(design.cents for design in costs.designs) != costs.total:
        yield "The designs do not add up to the total."
    for value in costs.papers:
        if value.bought + value.at_hand != value.pieces + value.waste + value.kept:
            yield f"The value of {value.paper} does not add up."
    for paper in plan.papers:
        if not 0 <= paper.waste <= 1:
            yield f"{paper.paper.name} wastes {Fraction(paper.waste)} of its area."


# ------------------------------------------------------------------------------------ bounds of small tasks


def exhaustive(count: int, first: int) -> list[Row]:
    """Tiny jobs against every cut there is, every other one with margins, blocks and a trimmer's limits."""

    def best(task: PackingTask) -> tuple[Outcome, int]:
        found = best_cost(task)
        return (Outcome.SHORT, 0) if found is None else (Outcome.PROVEN, found)

    seeds = range(10_000 + first, 10_000 + first + count)
    jobs = (ruled_job(seed, papers=1 + seed // 2 % 3) if seed % 2 else tiny_job(seed) for seed in seeds)
    return [_against("exhaustive", jobs, best)]


def model(count: int, first: int) -> list[Row]:
    """Small jobs against CP-SAT."""
    return [_against("model", (small_job(first + seed) for seed in range(count)), least_cost)]


def _against(part: str, tasks: Iterator[PackingTask], best: Callable[[PackingTask], tuple[Outcome, int]]) -> Row:
    wrong: list[str] = []
    seen: Counter[str] = Counter()
    for number, task in enumerate(tasks):
        seen["tried"] += 1
        known, least = best(task)
        answer = solve(task)
        bound = answer.bound.cost
        cost = sum(use.copies * task.sheets[use.sheet].cost for use in answer.uses)
        short = any(answer.missing)
        if short:
            seen["short"] += 1
            if known is Outcome.PROVEN:
                seen["short though there is a plan"] += 1
                wrong.append(f"job {number}: said to be short of paper, and a plan of {least} exists.")
            continue
        if known is Outcome.SHORT:
            wrong.append(f"job {number}: a plan of {cost} where there is none.")
        elif known is Outcome.PROVEN:
            if not bound <= least <= cost:
                wrong.append(f"job {number}: bound {bound}, best {least}, plan {cost}.")
            seen["best, not proven"] += answer.outcome is not Outcome.PROVEN and cost == least
            seen["not best"] += cost > least
            seen["bound is best"] += bound == least
        else:
            seen["model gave up"] += 1
            if cost < least:
                wrong.append(f"job {number}: a plan of {cost} under the model's bound of {least}.")
        seen["proven"] += answer.outcome is Outcome.PROVEN
    return {
        "part": part, "tried": seen["tried"], "wrong": len(wrong), "refused with sentences": 0,
        "papers": seen["tried"], "proven": seen["proven"],
        "not proven": seen["tried"] - seen["proven"] - seen["short"],
        "note": f"{seen['short']} short of paper; bound is the best in {seen['bound is best']}; best but not proven "
                f"{seen['best, not proven']}; not best {seen['not best']}; model gave up {seen['model gave up']}",
        "first wrong": wrong[0] if wrong else "",
    }  # fmt: skip


# ----------------------------------------------------------------------------------------------- changes


def changes(count: int, first: int) -> list[Row]:
    """What must hold between a task and what is made of it."""
    seen: dict[str, Counter[str]] = {name: Counter() for name in CHANGES}
    wrong: dict[str, list[str]] = {name: [] for name in CHANGES}
    for seed in range(first, first + count):
        chance = random.Random(seed)
        task = random_task(seed, ruled=seed % 2 == 0, kinds=chance.randint(2, 7), need=chance.choice((3, 12, 40)))
        before = solved(task)
        for name, change in CHANGES.items():
            found = change(before, chance, Effort.QUICK)
            wrong[name] += [f"seed {seed}: {text}" for text in found.wrong]
            if found.compared:
                figures = {"tried": 1, "missed": found.missed, "same": found.same, "proven": before.proven}
                seen[name].update({key: int(value) for key, value in figures.items()})
    return [
        {
            "part": f"changes: {name}", "tried": counts["tried"], "wrong": len(wrong[name]),
            "refused with sentences": 0, "papers": counts["tried"], "proven": counts["proven"],
            "not proven": counts["tried"] - counts["proven"],
            "note": f"same figures {counts['same']}; not proven and the worse for it {counts['missed']}",
            "first wrong": wrong[name][0] if wrong[name] else "",
        }
        for name, counts in seen.items()
    ]  # fmt: skip


def _tick(done: int, count: int, wrong: list[str]) -> None:
    if done % 250 == 0:
        print(f"{done} of {count} planned, {len(wrong)} wrong {wrong[:1]}", file=sys.stderr, flush=True)


class _Asked:
    """Whether Ctrl-C was asked for; what is done by then is counted."""

    def __init__(self) -> None:
        self.stop = False
        signal.signal(signal.SIGINT, self._ask)

    def _ask(self, number: int, frame: object) -> None:
        self.stop = True


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("parts", nargs="*", choices=[*FULL, []], help="all of them, if none is named")
    parser.add_argument("--smoke", action="store_true")
    parser.add_argument("--count", type=int, help="so many instead of the full number")
    parser.add_argument("--first", type=int, default=0, help="the first seed")
    options = parser.parse_args()
    rows: list[Row] = []
    for part in options.parts or FULL:
        count = SMOKE[part] if options.smoke else options.count or FULL[part]
        start = time.perf_counter()
        run: Callable[[int, int], list[Row]] = {
            "batches": batches,
            "exhaustive": exhaustive,
            "model": model,
            "changes": changes,
        }[part]
        try:
            found = run(count, options.first)
        except ModuleNotFoundError as missing:
            print(f"{part}: left out, {missing.name} is not installed")
            continue
        rows += [{**row, "seconds": round(time.perf_counter() - start)} for row in found]
    print(table(rows))
    if not options.smoke:
        for row in rows:
            add_row("truth", row)
    if any(row["wrong"] for row in rows):
        sys.exit("something is not true")


if __name__ == "__main__":
    main()
