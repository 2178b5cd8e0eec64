"""Broken files by the hundred thousand: every one must end in a value or in sentences, soon, and never in a traceback.

project: a demo project with one file broken, read; what can be read is listed, now and then planned and written.
list: a piece list. drawer: a list of the drawer. plan: a plan.json that is read back and worked on. words: what is
typed after a command. guided: random bytes led by the lines they reach (atheris), into all of these.

`python benchmarks/fuzz.py [PART ...] [--count N] [--first SEED] [--smoke]`. Memory is capped. Rows go to
benchmarks/results/fuzz.csv; inputs that broke something are kept in --keep.
"""

from __future__ import annotations

import argparse
import random
import re
import resource
import subprocess
import sys
import tempfile
import time
import traceback
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
sys.path.insert(0, str(Path(__file__).parent.parent / "tests"))
sys.path.insert(0, str(Path(__file__).parent.parent / "tests" / "describe"))

from broken_files import NUMBERS, WORDS, broken_json, broken_list, broken_toml, encoded, torn
from fuzzing import faults_of
from results import add_row, table

from nesting.describe.findings import Findings
from nesting.describe.project import Project
from nesting.describe.project_file import read_project
from nesting.describe.sizes import read_pair, read_sheet
from nesting.errors import NestingError, Place
from nesting.lengths import Unit, read_length
from nesting.money import Currency
from nesting.packing.solve import Effort
from nesting.pieces.piece_list import piece_list
from nesting.plan import Plan, make_plan
from nesting.questions.mixes import read_mix
from nesting.questions.recut import recut
from nesting.reports.plan_folder import write_plan
from nesting.reports.plan_read import read_plan
from nesting.reports.question_words import read_cut_to, read_spoiled
from nesting.stash.list_file import read_list

DEMOS = Path(__file__).parent.parent / "demo_projects"
MEMORY = 4 << 30
LED = "led"  # how the program names the program of its own
TOO_LONG = 10.0  # seconds of the processor for one input; the longest that is true takes a tenth of that
ONE_IN = 40  # projects that are read are planned
FULL = {"project": 60_000, "list": 25_000, "drawer": 25_000, "plan": 10_000, "words": 60_000, "guided": 60_000}
SMOKE = {"project": 60, "list": 60, "drawer": 60, "plan": 40, "words": 400, "guided": 0}
DRAWER = (
    "paper,width,height,count,print,grain,rim left,rim top,rim right,rim bottom,kept,added,label\r\n"
    "pine,12 in,12 in,3,none,up,0 in,0 in,0 in,1/2 in,box 2,2024-05-31,\r\n"
    'russet apples,152.5 mm,305 mm,1,one-way,unknown,0 mm,0 mm,0 mm,0 mm,,,"from summer, late"\r\n'
    "kraft,5 1/2,8 1/2,2,unknown,across,,,,,shelf,2024-01-01,'=gift\r\n"
)
Try = Callable[[random.Random, Path], str]


class _Wrong(Exception):
    """A message that is none."""


def _in_words(read: Callable[[], object], *, named: bool = True) -> str:
    """How it ended, "read" or "refused"; a sentence that is none, or a file that is not named, is a fault."""
    try:
        read()
    except NestingError as error:
        faults = [fault for problem in error.problems for fault in faults_of(problem)
                  if named or fault != "names no file"]  # fmt: skip
        if faults:
            raise _Wrong(faults[0]) from error
        return "refused"
    except ValueError as wrong:
        if named:
            raise
        findings = Findings()
        findings.refuse(Place("typed"), str(wrong))
        faults = faults_of(findings.problems[0])
        if faults:
            raise _Wrong(faults[0]) from wrong
        return "refused"
    return "read"


# ----------------------------------------------------------------------------------------- one input each


def _project(chance: random.Random, folder: Path) -> str:
    demo = chance.choice(sorted(path for path in DEMOS.iterdir() if path.is_dir()))
    _fill(folder, demo)
    broken = chance.choice(sorted(folder.glob("*.toml")))
    broken.write_bytes(encoded(broken_toml(broken.read_text("utf-8"), chance), chance))
    return _read_on(folder, chance)


def _list(chance: random.Random, folder: Path) -> str:
    _fill(folder, DEMOS / "class_kit_list")
    path = folder / "kit.csv"
    path.write_bytes(encoded(broken_list(path.read_text("utf-8"), chance), chance))
    return _read_on(folder, chance)


def _fill(folder: Path, demo: Path) -> None:
    for path in [*demo.glob("*.toml"), *demo.glob("*.csv")]:
        (folder / path.name).write_bytes(path.read_bytes())


def _read_on(folder: Path, chance: random.Random) -> str:
    found: list[Project] = []

    def read() -> None:
        found.append(read_project(folder))
        piece_list(found[0])

    said = _in_words(read)
    if said == "read" and chance.randrange(ONE_IN) == 0 and _is_small(found[0]):
        said = _in_words(lambda: write_plan(make_plan(found[0], effort=Effort.QUICK), folder / "plan", maps=False))
        return f"planned, {said}"
    return said


def _is_small(project: Project) -> bool:
    return sum(line.count for line in project.batch) + sum(piece.count for piece in project.pieces) < 2000


def _drawer(chance: random.Random, folder: Path) -> str:
    path = folder / "drawer.csv"
    path.write_bytes(encoded(broken_list(DRAWER, chance), chance))
    return _in_words(lambda: read_list(path, chance.choice(list(Unit))))


class _PlanFile:
    """A true plan of two papers, made once, to be broken again and again."""

    def __init__(self) -> None:
        self.project = read_project(DEMOS / "class_kit_list")
        with tempfile.TemporaryDirectory() as name:
            write_plan(make_plan(self.project, effort=Effort.QUICK), Path(name), maps=False)
            self.text = (Path(name) / "plan.json").read_text("utf-8")
            self.plan = read_plan(Path(name), self.project)

    def __call__(self, chance: random.Random, folder: Path) -> str:
        (folder / "plan.json").write_bytes(encoded(broken_json(self.text, chance), chance))
        found: list[Plan] = []
        said = _in_words(lambda: found.append(read_plan(folder, self.project)))
        if said == "read" and chance.randrange(ONE_IN // 8) == 0:
            said = _in_words(lambda: self._use(found[0], chance), named=False)
            return f"used, {said}"
        return said

    def _use(self, plan: Plan, chance: random.Random) -> None:
        first = plan.papers[0].paper.name if plan.papers else "white"
        stops = read_cut_to(plan, [f"{first} = {chance.randint(0, 4)}"])
        recut(plan, stops, read_spoiled(plan, [f"A of {first} = 1"]))

    def words(self, chance: random.Random, folder: Path) -> str:
        """What is typed after a command."""
        project = self.project
        word = chance.choice((*WORDS, *NUMBERS))
        for _ in range(chance.randint(0, 2)):
            word = torn(word, chance)
        paper = chance.choice(("white", "teal", word, ""))
        readers: tuple[Callable[[], object], ...] = (
            lambda: read_length(word, chance.choice(list(Unit))),
            lambda: read_sheet(word, Unit.INCH),
            lambda: read_pair(word, Unit.MILLIMETRE),
            lambda: Currency().read(word),
            lambda: read_mix(project, word),
            lambda: read_spoiled(self.plan, [f"{word} of {paper} = {word}", word]),
            lambda: read_cut_to(self.plan, [f"{paper} = {word}", word]),
        )
        return _in_words(chance.choice(readers), named=False)


# --------------------------------------------------------------------------------------------- many inputs


def run(part: str, attempt: Try, count: int, first: int, keep: Path | None) -> dict[str, object]:
    """So many seeds of one part."""
    seen: Counter[str] = Counter()
    broken: Counter[str] = Counter()
    slowest = (0.0, 0)
    begin = time.perf_counter()
    for seed in range(first, first + count):
        with tempfile.TemporaryDirectory(dir=_memory_folder()) as name:
            start = time.process_time()
            try:
                seen[attempt(random.Random(f"{part} {seed}"), Path(name))] += 1
            except Exception as fault:
                where = traceback.extract_tb(fault.__traceback__)[-1]
                broken[f"{type(fault).__name__} in {Path(where.filename).name}:{where.lineno}: {str(fault)[:100]}"] += 1
                _kept(keep, part, seed, Path(name))
            slowest = max(slowest, (time.process_time() - start, seed))
    for fault_said, times in broken.most_common():
        print(f"{part}: {times} x {fault_said}", file=sys.stderr)
    return {
        "part": part, "inputs": count, "first seed": first, "broke": broken.total(),
        "too slow": int(slowest[0] > TOO_LONG), "slowest s": round(slowest[0], 2), "slowest seed": slowest[1],
        "seconds": round(time.perf_counter() - begin),
        "ends": "; ".join(f"{n} {word}" for word, n in sorted(seen.items())),
    }  # fmt: skip


def _memory_folder() -> str | None:
    return "/dev/shm" if Path("/dev/shm").is_dir() else None


def _kept(keep: Path | None, part: str, seed: int, folder: Path) -> None:
    if keep is None:
        return
    place = keep / f"{part}-{seed}"
    place.mkdir(parents=True, exist_ok=True)
    for path in folder.iterdir():
        if path.is_file():
            (place / path.name).write_bytes(path.read_bytes())


def guided(count: int, first: int) -> dict[str, object]:
    """Bytes that coverage leads (atheris), into every reader, in a program of its own, which ends when it is done."""
    begin = time.perf_counter()
    with tempfile.TemporaryDirectory() as corpus:
        command = [sys.executable, __file__, LED, str(count), str(first), corpus]
        led = subprocess.run(command, capture_output=True, text=True, check=False)
    done = re.search(r"Done (\d+) runs", led.stderr)
    reached = re.findall(r"cov: (\d+)", led.stderr)
    if led.returncode or not done:
        print(led.stdout[-2000:], led.stderr[-2000:], file=sys.stderr)
    return {
        "part": "guided", "inputs": int(done[1]) if done else 0, "first seed": first,
        "broke": int(led.returncode != 0 or not done), "too slow": 0, "slowest s": "", "slowest seed": "",
        "seconds": round(time.perf_counter() - begin), "ends": f"{reached[-1] if reached else 0} branches reached",
    }  # fmt: skip


def led(count: int, first: int, corpus: Path) -> None:
    """What the program of its own does."""
    import atheris

    plans = _PlanFile()

    def one(data: bytes) -> None:
        kind, rest = (data[0] % 4, data[1:]) if data else (0, b"")
        with tempfile.TemporaryDirectory(dir=_memory_folder()) as name:
            folder = Path(name)
            match kind:
                case 0:
                    (folder / "all.toml").write_bytes(rest)
                    _in_words(lambda: piece_list(read_project(folder)))
                case 1:
                    (folder / "papers.toml").write_bytes(b'[paper.a]\nsheet = "12 x 12"\n')
                    (folder / "list.csv").write_bytes(rest)
                    _in_words(lambda: piece_list(read_project(folder)))
                case 2:
                    (folder / "drawer.csv").write_bytes(rest)
                    _in_words(lambda: read_list(folder / "drawer.csv", Unit.INCH))
                case _:
                    (folder / "plan.json").write_bytes(rest)
                    _in_words(lambda: read_plan(folder, plans.project))

    _first_inputs(corpus, plans.text)
    atheris.instrument_all()
    limits = [f"-runs={count}", f"-seed={first + 1}", "-max_len=3000", "-timeout=20"]
    atheris.Setup([sys.argv[0], *limits, str(corpus)], one)
    atheris.Fuzz()


def _first_inputs(corpus: Path, plan: str) -> None:
    """True files to begin with, each behind the byte that says which reader it is for."""

    def texts() -> Iterator[tuple[int, bytes]]:
        for path in sorted(DEMOS.glob("*/*.toml")):
            yield 0, path.read_bytes()
        yield 1, (DEMOS / "class_kit_list" / "kit.csv").read_bytes()
        yield 2, DRAWER.encode()
        yield 3, plan.encode()[:3000]

    for number, (kind, data) in enumerate(texts()):
        (corpus / str(number)).write_bytes(bytes([kind]) + data)


def main() -> None:
    if sys.argv[1:2] == [LED]:
        led(int(sys.argv[2]), int(sys.argv[3]), Path(sys.argv[4]))
        return
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("parts", nargs="*", help=f"of {', '.join(FULL)}; all but guided, if none is named")
    parser.add_argument("--smoke", action="store_true")
    parser.add_argument("--count", type=int)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--keep", type=Path)
    options = parser.parse_args()
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    plans = _PlanFile()
    tries: dict[str, Try] = {
        "project": _project, "list": _list, "drawer": _drawer, "plan": plans, "words": plans.words,
    }  # fmt: skip
    rows = []
    for part in options.parts or tries:
        count = SMOKE[part] if options.smoke else options.count or FULL[part]
        if part == "guided":
            rows.append(guided(count, options.first))
        else:
            rows.append(run(part, tries[part], count, options.first, options.keep))
        print(table(rows[-1:]), flush=True)
        if not options.smoke:
            add_row("fuzz", rows[-1])
    if any(row["broke"] or row["too slow"] for row in rows):
        sys.exit("some inputs broke the program")


if __name__ == "__main__":
    main()
