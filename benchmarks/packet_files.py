"""What a packet takes: processor seconds, memory and bytes, beside the least that drawing one page can take.

In: a demo of twenty cards (or, with --smoke, a small one). Out: a table, and a row in results/. Each measure is of a
process of its own. The yardstick is a process that imports matplotlib and saves one empty page as PDF. Planning is
left out: the plan is made before and handed over.
"""

from __future__ import annotations

import argparse
import pickle
import resource
import subprocess
import sys
import tempfile
from pathlib import Path

from results import add_row, table

from nesting.describe.project_file import read_project
from nesting.plan import make_plan

DEMOS = Path(__file__).parent.parent / "demo_projects"


def empty_page(folder: Path) -> None:
    """The yardstick."""
    from matplotlib.backends.backend_pdf import FigureCanvasPdf
    from matplotlib.figure import Figure

    figure = Figure(figsize=(8.5, 11))
    FigureCanvasPdf(figure)
    figure.savefig(folder / "empty.pdf")


def packet_files(folder: Path, pictures: bool) -> None:
    """The packet of the plan that lies in the folder."""
    from nesting.reports.packet_folder import write_packet

    plan = pickle.loads((folder / "plan.pickle").read_bytes())  # written by this script a moment ago
    write_packet(plan, folder, pictures=pictures)


def measured(what: str, folder: Path) -> tuple[float, float]:
    """Processor seconds and peak MB of a process that does only this."""
    command = [sys.executable, __file__, "--do", what, "--in", str(folder)]
    seconds, peak = subprocess.run(command, check=True, capture_output=True, text=True).stdout.split()
    return float(seconds), int(peak) / 1024


def _size(*paths: Path) -> float:
    return sum(path.stat().st_size for path in paths) / 1024


def _rows(name: str, folder: Path) -> list[dict[str, object]]:
    (folder / "plan.pickle").write_bytes(pickle.dumps(make_plan(read_project(DEMOS / name))))
    base = (*measured("empty", folder), _size(folder / "empty.pdf"))
    rows = [_row("an empty page", base, base)]
    seconds, memory = measured("pages", folder)
    rows.append(_row("PDF and page for the tablet", (seconds, memory, _size(folder / "packet.pdf")), base))
    seconds, memory = measured("all", folder)
    files = [path for path in folder.rglob("*") if path.is_file() and path.suffix in (".pdf", ".html", ".png", ".svg")]
    rows.append(_row("the whole folder", (seconds, memory, _size(*files) - base[2]), base))
    rows[1]["tablet KB"] = rows[2]["tablet KB"] = round(_size(folder / "packet.html"))
    rows[0]["tablet KB"] = ""
    return rows


def _row(what: str, found: tuple[float, float, float], base: tuple[float, float, float]) -> dict[str, object]:
    row: dict[str, object] = {"what": what}
    for name, value, least in zip(("seconds", "peak MB", "KB"), found, base, strict=True):
        row |= {name: round(value, 2 if name == "seconds" else None), f"{name} x": round(value / least, 1)}
    return row


def main() -> None:
    """Measure, print, keep."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--smoke", action="store_true", help="the small demo, and no row is kept")
    parser.add_argument("--do", choices=["empty", "pages", "all"], help=argparse.SUPPRESS)
    parser.add_argument("--in", dest="folder", type=Path, help=argparse.SUPPRESS)
    said = parser.parse_args()
    if said.do:
        empty_page(said.folder) if said.do == "empty" else packet_files(said.folder, said.do == "all")
        used = resource.getrusage(resource.RUSAGE_SELF)
        print(used.ru_utime + used.ru_stime, used.ru_maxrss)
        return
    name = "folding_theatre" if said.smoke else "harvest_stall"
    with tempfile.TemporaryDirectory() as folder:
        rows = _rows(name, Path(folder))
    print(f"{name}\n{table(rows)}")
    if not said.smoke:
        for row in rows[1:]:
            add_row("packet_files", row)


if __name__ == "__main__":
    main()
