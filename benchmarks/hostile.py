"""What nobody means and what goes wrong at the worst moment, each tried from the command line in a folder of its own.

Sizes, encodings and names beyond measure; a full disk, a folder that may not be written, Ctrl-C, kill -9, a clock that
runs backwards, two runs in one folder. For each the processor seconds, the peak memory, how it ended and the sentence.

`python benchmarks/hostile.py [--write] [--smoke]`. Rows go to benchmarks/results/hostile.csv with --write.
"""

from __future__ import annotations

import argparse
import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

from results import add_row, table

DEMOS = Path(__file__).parent.parent / "demo_projects"
BUSY = 3.0  # processor seconds, after which a search is certainly under way
KILLS = 20  # at random moments of one run
SECONDS = 600  # of the processor; then the command is ended and counts as endless
LIMIT = "import resource, sys; resource.setrlimit(resource.{}, ({}, {})); "
START = "import sys; from nesting.command_line import main; main(sys.argv[1:])"
BACKWARDS = """
import time
began, asked = time.time(), [0]
def earlier():
    asked[0] += 1
    return began - 3600 * asked[0]
time.time = time.monotonic = time.perf_counter = earlier
"""
SHEET = '[paper.a]\nsheet = "12 x 12"\nprice = 1\n'
ROLL = '[paper.a]\nsheet = "12 in x 10000 mm"\nprice = 9\n'
HEADER = "paper,width,height,quantity\n"
FORTY = HEADER + "".join(f"a,{17 + 13 * i % 71}/16,{23 + 29 * i % 97}/16,3\n" for i in range(40))


@dataclass(frozen=True)
class Ended:
    """How one command ended."""

    code: int
    said: str
    seconds: float
    megabytes: float

    @property
    def is_fault(self) -> bool:
        """Whether anything but a plan or sentences came out: a traceback, a crash, no end."""
        return self.code not in (0, 1, 2) or "Traceback" in self.said or (self.code > 0 and not self.sentence)

    @property
    def sentence(self) -> str:
        """What was printed to the user: the first problem, or the last line of a plan."""
        lines = [line.strip() for line in self.said.splitlines() if line.strip()]
        if self.code == 0:
            return lines[-1] if lines else ""
        return next((" ".join(lines[at : at + 2]) for at, _ in enumerate(lines)), "")


def ended(started: subprocess.Popen[bytes], out: Path) -> Ended:
    """Wait for a command, and count what it took."""
    _, status, used = os.wait4(started.pid, 0)
    started.returncode = os.waitstatus_to_exitcode(status)
    text = out.read_bytes().decode("utf-8", "replace")
    megabytes = used.ru_maxrss / (1 << 20 if sys.platform == "darwin" else 1 << 10)
    return Ended(started.returncode, text, used.ru_utime + used.ru_stime, megabytes)


def begin(out: Path, words: Sequence[str], before: str = "") -> subprocess.Popen[bytes]:
    """Start one command, what it prints goes to a file."""
    limit = LIMIT.format("RLIMIT_CPU", SECONDS, SECONDS)
    with out.open("wb") as file:
        line = [sys.executable, "-c", limit + before + START, *words]
        return subprocess.Popen(line, stdout=file, stderr=subprocess.STDOUT, env={**os.environ, "COLUMNS": "200"})


def command(folder: Path, words: Sequence[str], before: str = "") -> Ended:
    """One whole command."""
    out = folder.parent / "said"
    return ended(begin(out, words, before), out)


def planned(folder: Path, before: str = "") -> Ended:
    return command(folder, ["plan", str(folder), "--no-maps", "--effort", "quick"], before)


def write(path: Path, head: str | bytes, line: str = "", times: int = 0) -> None:
    """A file of a head and one line many times, never whole in memory: a child's peak counts its parent's."""
    with path.open("wb") as file:
        file.write(head if isinstance(head, bytes) else head.encode())
        for at in range(0, times, 10_000):
            file.write(line.encode() * min(10_000, times - at))


def files(papers: str, pieces: str | bytes, line: str = "", times: int = 0) -> Callable[[Path], Ended]:
    """A project of papers and a piece list, planned."""

    def attempt(folder: Path) -> Ended:
        (folder / "papers.toml").write_text(papers)
        write(folder / "list.csv", pieces, line, times)
        return planned(folder)

    return attempt


def toml(text: str | bytes, line: str = "", times: int = 0) -> Callable[[Path], Ended]:
    """One TOML file, checked."""

    def attempt(folder: Path) -> Ended:
        write(folder / "all.toml", text, line, times)
        return command(folder, ["check", str(folder)])

    return attempt


def many(pieces: int, sizes: int) -> str:
    rows = (f"a,{7 + 5 * i % 61}/16,{9 + 7 * i % 83}/16,{pieces // sizes}\n" for i in range(sizes))
    return HEADER + "".join(rows)


def drawer(folder: Path) -> Ended:
    """A list of the drawer of 50 MB, read into a drawer of its own."""
    write(folder / "drawer.csv", "paper,width,height,count\n", "pine,3,4,1\n", 4_600_000)
    return command(folder, ["stash", "--file", str(folder / "drawer.db"), "import", str(folder / "drawer.csv")])


def names(folder: Path) -> Ended:
    """Papers named like formulas, paths, devices and tags; no file outside the plan's folder, no formula in a cell."""
    some = ["=1+1", "+1", "@SUM(A1)", "../../up", "C:\\CON", "a/b", "<script>alert(1)</script>", "&amp;", "[bold]b"]
    papers = "".join(f"[paper.'{name}']\nsheet = \"6 x 6\"\nprice = 1\n" for name in some)
    (folder / "papers.toml").write_text(papers)
    rows = "".join(f'"{name}",3,4,2,"{name}"\n' for name in some)
    (folder / "list.csv").write_text("paper,width,height,quantity,label\n" + rows)
    done = command(folder, ["packet", str(folder), "--effort", "quick"])
    outside = [path for path in folder.parent.rglob("up*") if folder not in path.parents]
    page = (folder / "packet" / "packet.html").read_text("utf-8")
    if outside or "<script>alert(1)" in page:
        raise AssertionError("a name got out")
    return done


# ----------------------------------------------------------------------------------------------- faults


def demo(folder: Path, name: str = "class_kit_list") -> Path:
    shutil.copytree(DEMOS / name, folder, dirs_exist_ok=True, ignore=shutil.ignore_patterns("plan", "packet"))
    return folder


def parts_left(folder: Path) -> list[Path]:
    return [path for path in folder.rglob("*") if path.name.startswith(".")]


def whole(folder: Path) -> None:
    """The plan in the folder can be worked on: the packet is made from it."""
    done = command(folder, ["pieces", str(folder)])
    again = planned(folder)
    if done.code or again.code or parts_left(folder):
        raise AssertionError(f"after the fault: {again.said[-300:]} {parts_left(folder)}")


def full_disk(folder: Path) -> Ended:
    """No file may grow beyond 2 KB."""
    done = planned(demo(folder), LIMIT.format("RLIMIT_FSIZE", 2000, 2000))
    if (folder / "plan" / "plan.json").exists() or parts_left(folder):
        raise AssertionError("half a plan was left")
    whole(folder)
    return done


@contextmanager
def mounted(folder: Path, options: str) -> Iterator[None]:
    """A small disk of its own in the folder; OSError where this system gives none."""
    line = ["mount", "-t", "tmpfs", "-o", options, "tmpfs", str(folder)]
    if shutil.which("mount") is None or subprocess.run(line, capture_output=True, check=False).returncode:
        raise OSError("no disk of one's own can be mounted here")
    try:
        yield
    finally:
        subprocess.run(["umount", str(folder)], check=True)


def small_disk(folder: Path) -> Ended:
    """A disk of 64 KB, full in the midst of the maps."""
    with mounted(folder, "size=64k"):
        done = command(demo(folder), ["plan", str(folder), "--effort", "quick"])
        left = parts_left(folder)
    if left:
        raise AssertionError(f"half a plan was left: {left}")
    return done


def read_only(folder: Path) -> Ended:
    """A disk that may not be written; not even the superuser may."""
    with mounted(folder, "size=4m"):
        demo(folder)
        subprocess.run(["mount", "-o", "remount,ro", str(folder)], check=True)
        return planned(folder)


def interrupted(folder: Path) -> Ended:
    """Ctrl-C while a better plan is looked for; what was found so far is written and called stopped."""
    done = struck(folder, signal.SIGINT)
    if done.code == 0 and '"stopped"' not in (folder / "plan" / "plan.json").read_text("utf-8"):
        raise AssertionError("a plan that was stopped does not say so")
    return done


def killed(folder: Path) -> Ended:
    """Kill -9, and then a run that is left alone."""
    done = struck(folder, signal.SIGKILL)
    whole(folder)
    return Ended(0, "the next run plans as if nothing had been", done.seconds, done.megabytes)


def killed_anywhen(folder: Path) -> Ended:
    """Kill -9 at random moments from the first to after the last, over the plan of fewer pieces that stood there.

    All of the former plan must stand there then or all of the new one; and the next run plans as if nothing had been.
    """
    chance, list_file = random.Random(1), demo(folder) / "kit.csv"
    text = list_file.read_bytes()
    list_file.write_bytes(text.rstrip().rpartition(b"\n")[0] + b"\n")
    words, out = ["plan", str(folder), "--effort", "quick"], folder.parent / "said"
    command(folder, words)
    former = contents(folder / "plan")
    list_file.write_bytes(text)
    start = time.monotonic()
    done = command(folder, words)
    lasts, wanted, struck_down = time.monotonic() - start, contents(folder / "plan"), 0
    for _ in range(KILLS):
        shutil.rmtree(folder / "plan")
        (folder / "plan").mkdir()
        for name, data in former.items():
            (folder / "plan" / name).write_bytes(data)
        started = begin(out, words)
        time.sleep(chance.uniform(0, 1.2 * lasts))
        os.kill(started.pid, signal.SIGKILL)  # it may have ended, and is not waited for yet
        struck_down += ended(started, out).code != 0
        if contents(folder / "plan") not in (former, wanted):
            raise AssertionError("a plan that is half the former and half the new")
    again = command(folder, words)
    if again.code or contents(folder / "plan") != wanted or parts_left(folder):
        raise AssertionError(f"after the last kill: {again.said[-300:]} {parts_left(folder)}")
    return Ended(0, f"{struck_down} of {KILLS} runs killed; a whole plan each time", done.seconds, done.megabytes)


def contents(folder: Path) -> dict[str, bytes]:
    """The files of a plan's folder; what a killed run was still filling has a name with a dot."""
    return {path.name: path.read_bytes() for path in folder.iterdir() if not path.name.startswith(".")}


def used_by(number: int) -> float:
    """Processor seconds of a program that runs; OSError where this system does not tell."""
    cells = Path(f"/proc/{number}/stat").read_text().rpartition(")")[2].split()
    return (int(cells[11]) + int(cells[12])) / os.sysconf("SC_CLK_TCK")


def struck(folder: Path, sign: signal.Signals) -> Ended:
    (folder / "papers.toml").write_text(
        '[paper.a]\nsold = [{ sheet = "12 x 12", price = 0.95 }, { sheet = "8 1/2 x 11", price = 0.57 }]\n'
    )
    (folder / "list.csv").write_text(FORTY)
    out = folder.parent / "said"
    started = begin(out, ["plan", str(folder), "--effort", "thorough", "--no-maps"])
    while started.poll() is None and used_by(started.pid) < BUSY:
        time.sleep(0.05)
    if started.returncode is not None:
        raise AssertionError("the plan was ready before it could be stopped")
    started.send_signal(sign)
    return ended(started, out)


def backwards(folder: Path) -> Ended:
    """Every look at the clock gives an hour less; the plan must be the same to the letter."""
    done = planned(demo(folder), BACKWARDS)
    first = (folder / "plan" / "plan.json").read_bytes()
    planned(folder)
    if first != (folder / "plan" / "plan.json").read_bytes():
        raise AssertionError("the clock changed the plan")
    return done


def two_runs(folder: Path) -> Ended:
    """Two packets of one folder at once."""
    demo(folder)
    outs = [folder.parent / name for name in ("said", "said too")]
    runs = [begin(out, ["packet", str(folder), "--effort", "quick"]) for out in outs]
    both = [ended(run, out) for run, out in zip(runs, outs, strict=True)]
    whole(folder)
    return max(both, key=lambda one: one.code)


PLANNED: dict[str, Callable[[Path], Ended]] = {
    "1 000 000 pieces of one size": files(SHEET, HEADER + "a,3,4,1000000\n"),
    "1 000 000 pieces in 10 sizes": files(SHEET, many(1_000_000, 10)),
    "1 000 000 pieces in 100 sizes": files(SHEET, many(1_000_000, 100)),
    "strips of 1/64 in, a roll of 10 m": files(ROLL, HEADER + "a,1/64,12,90\na,1/32,1,120\n"),
    "a wall of lines, 50 000": files(SHEET, HEADER, "a,3,4,1\n", 49_999),
    "semicolons, decimal commas, BOM": files(
        '[paper.a]\nsheet = "30 x 30 cm"\nprice = 1\n',
        "\ufeffpaper;width;height;quantity\r\na;7,5 cm;10,5 cm;20\r\n".encode("utf-8"),
    ),
    "tabs in UTF-16, as a spreadsheet saves": files(
        SHEET, "paper\twidth\theight\tquantity\r\na\t3\t4\t20\r\n".encode("utf-16")
    ),
    "names: formulas, paths, devices, tags": names,
    "Ctrl-C": interrupted,
    "kill -9": killed,
    "kill -9 at any moment": killed_anywhen,
    "a clock that runs backwards": backwards,
    "two runs in one folder": two_runs,
}
REFUSED: dict[str, Callable[[Path], Ended]] = {
    "10^9 copies": files(SHEET, HEADER + "a,3,4,1000000000\n"),
    "10^9 copies, a million a line": files(SHEET, HEADER, "a,3,4,1000000\n", 1000),
    "10^9 of a card": toml('[batch]\ncards = { x = 1000000000 }\n[design.x]\nbase = "a"\nsize = "3 x 4"\n' + SHEET),
    "1/64 in squares, a roll of 10 m": files(ROLL, HEADER + "a,1/64,1/64,1000000\n"),
    "zero, less, no number, half a piece": files(
        SHEET, HEADER + "a,0,4,1\na,-3,4,1\na,nan,inf,NaN\na,3,4,0.5\na,1e3,4,1\n"
    ),
    "a list of 50 MB": files(SHEET, HEADER, "a,3,4,1\n", 6_250_000),
    "a TOML file of 50 MB": toml("", "# x\n", 12_500_000),
    "a drawer list of 50 MB": drawer,
    "lists nested 100 000 deep": toml("x = ", "[\n", 100_000),
    "tables nested 300 deep": toml("x = " + "{a=" * 300 + "1" + "}" * 300),
    "one key of a million dots": toml("", "a.", 1_000_000),
    "TOML in UTF-16": toml('note = "für"'.encode("utf-16")),
    "a list in a code page": files(SHEET, HEADER.encode() + "a,3,4,1 für Ännchen\n".encode("cp1252")),
    "NUL and control bytes": files(SHEET, b"paper,width,height,quantity\na,3,4,\x00\x1b[2J\x07\n"),
    "a full disk (no file over 2 KB)": full_disk,
    "a full disk (64 KB in all)": small_disk,
    "a folder that may not be written": read_only,
}
SMOKE = ("semicolons, decimal commas, BOM", "10^9 copies", "a full disk (no file over 2 KB)", "two runs in one folder")


def attempts(names: Sequence[str]) -> Iterator[dict[str, object]]:
    """A row for each case; what is a fault of the program is said in it."""
    for name in names:
        attempt = PLANNED.get(name) or REFUSED[name]
        with tempfile.TemporaryDirectory() as place:
            folder = Path(place) / "project"
            folder.mkdir()
            try:
                done = attempt(folder)
            except OSError as without:
                yield {"input": name, "seconds": "", "MB": "", "ends": "not tried", "says": str(without), "fault": 0}
                continue
            said = done.sentence.replace(place, "").replace("|", "/")[:230]
        fault = done.is_fault or (done.code == 0) != (name in PLANNED)
        yield {
            "input": name, "seconds": round(done.seconds, 1), "MB": round(done.megabytes),
            "ends": "planned" if done.code == 0 else f"refused ({done.code})", "says": said, "fault": int(fault),
        }  # fmt: skip


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("cases", nargs="*", help="words of the cases to try; all, if none is given")
    parser.add_argument("--smoke", action="store_true")
    parser.add_argument("--write", action="store_true")
    options = parser.parse_args()
    chosen = [name for name in (*PLANNED, *REFUSED) if any(word in name for word in options.cases or [""])]
    faults = 0
    for row in attempts(SMOKE if options.smoke else chosen):
        print(table([row]).splitlines()[-1], flush=True)
        faults += bool(row["fault"])
        if options.write:
            add_row("hostile", row)
    if faults:
        sys.exit(f"{faults} ended as they should not")


if __name__ == "__main__":
    main()
