"""How long the page lets one wait: from the command to the page, from a keystroke to the card, from a number to a plan.

    python benchmarks/desk.py [--project FOLDER] [--times 5] [--smoke]

Measured on the clock, in a browser where there is one (from the key to the drawing in the page), else over HTTP alone.
The aims, on a machine that does nothing else: page within 2 s, card within 0.3 s, first plan within 1 s. --smoke does
all of it once and fails when something does not come at all; times are printed and judge nothing there.
"""

from __future__ import annotations

import argparse
import os
import shutil
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path
from time import perf_counter, sleep
from typing import Any

DEMO = Path(__file__).parent.parent / "demo_projects" / "harvest_stall"
BROWSERS = ("chromium", "chromium-browser", "google-chrome")
PROGRAM = "from nesting.command_line import main; main()"
PATIENCE = 120


def main() -> int:
    """Measure and print; 1 where something does not come."""
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    asked.add_argument("--project", type=Path, default=DEMO)
    asked.add_argument("--times", type=int, default=5)
    asked.add_argument("--smoke", action="store_true")
    said = asked.parse_args()
    times = 1 if said.smoke else said.times
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / said.project.name
        shutil.copytree(said.project, folder, ignore=shutil.ignore_patterns("plan", "packet", "expected.txt"))
        found = _measured(folder, times)
    for what, seconds in found.items():
        print(f"{what}: {statistics.median(seconds):.2f} s (median of {len(seconds)}, worst {max(seconds):.2f} s)")
    return int(not all(found.values()))


def _measured(folder: Path, times: int) -> dict[str, list[float]]:
    visit = _Browser() if _browser() else _Plain()
    found: dict[str, list[float]] = {}
    with visit:
        for number in range(times):
            began = perf_counter()
            program, address = _started(folder)
            try:
                visit.open(address)
                found.setdefault(f"from the command to the page ({visit.name})", []).append(perf_counter() - began)
                if number == times - 1:
                    visit.settle()
                    keys = [visit.key(n) for n in range(times)]
                    found[f"from a keystroke to the redrawn card ({visit.name})"] = keys
                    found["from a number of cards to the first plan"] = [visit.number(n + 30) for n in range(times)]
            finally:
                program.terminate()
                program.wait()
    return found


def _browser() -> str | None:
    try:
        import playwright.sync_api  # noqa: F401
    except ImportError:
        return None
    return next((path for name in BROWSERS if (path := shutil.which(name))), None)


def _started(folder: Path) -> tuple[subprocess.Popen[str], str]:
    command = [sys.executable, "-c", PROGRAM, "desk", str(folder), "--no-browser", "--file", f"{folder}.sqlite"]
    environment = {**os.environ, "PYTHONUNBUFFERED": "1"}
    program = subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=environment)
    assert program.stdout is not None
    return program, program.stdout.readline().split()[-1]


class _Plain:
    """Asks over HTTP as the page's script does, without drawing anything."""

    name = "HTTP alone"

    def __init__(self) -> None:
        self.home = self.cookie = ""
        self.card = ""
        self.seen: dict[str, str] = {}

    def __enter__(self) -> _Plain:
        return self

    def __exit__(self, *error: object) -> None:
        pass

    def open(self, address: str) -> None:
        from urllib.request import urlopen

        self.home = address.partition("/open")[0]
        with urlopen(address) as answer:
            self.cookie = answer.headers["Set-Cookie"].partition(";")[0]
        assert "<h1>" in self.ask("/")

    def ask(self, path: str, said: object = None) -> str:
        import json
        from urllib.request import Request, urlopen

        headers = {"Cookie": self.cookie, "Origin": self.home, "X-Desk": "script"}
        data = None if said is None else json.dumps(said).encode()
        with urlopen(Request(self.home + path, data, headers)) as answer:
            return str(answer.read().decode())

    def state(self) -> dict[str, Any]:
        import json

        found: dict[str, Any] = json.loads(self.ask("/state"))
        return found

    def settle(self) -> None:
        import html
        import json
        import re

        end = perf_counter() + PATIENCE
        while self.state()["busy"] and perf_counter() < end:
            sleep(0.1)
        page = self.ask("/cards")
        self.card = re.findall(r'href="/card/([^"]+)"', page)[0]
        self.seen = json.loads(html.unescape(re.findall(r'data-seen="([^"]+)"', page)[0]))

    def key(self, number: int) -> float:
        from urllib.parse import unquote

        began = perf_counter()
        edit = {"what": "design", "name": unquote(self.card), "fields": {"base": "cream"}, "seen": self.seen}
        assert "<svg" in self.ask("/check", edit)
        return perf_counter() - began

    def number(self, cards: int) -> float:
        import json
        from urllib.parse import unquote

        began = perf_counter()
        edit = {"what": "counts", "fields": {unquote(self.card): str(cards)}, "seen": self.seen}
        self.seen = json.loads(self.ask("/save", edit))["seen"]
        while self.state()["stage"] == "first":
            sleep(0.01)
        return perf_counter() - began


class _Browser(_Plain):
    """A real browser: what counts is when the page has changed."""

    name = "in a browser"

    def __enter__(self) -> _Browser:
        from playwright.sync_api import sync_playwright

        self.driver = sync_playwright().start()
        self.browser = self.driver.chromium.launch(executable_path=_browser(), args=["--no-sandbox"])
        self.page = self.browser.new_page()
        return self

    def __exit__(self, *error: object) -> None:
        self.browser.close()
        self.driver.stop()

    def open(self, address: str) -> None:
        self.page.goto(address)
        self.page.wait_for_selector("h1")
        self.home = address.partition("/open")[0]
        self.cookie = "; ".join(f"{one['name']}={one['value']}" for one in self.page.context.cookies())

    def settle(self) -> None:
        super().settle()
        self.page.goto(f"{self.home}/card/{self.card}")
        self.page.wait_for_selector("#drawing svg")
        self.page.locator("[data-row] [data-key=name]").first.focus()

    def key(self, number: int) -> float:
        """From the key to the drawing that holds the new name, seen by the page itself."""
        self.page.evaluate(
            """() => {
                const drawing = document.querySelector("#drawing"), field = document.activeElement;
                window.took = null;
                field.addEventListener("keydown", () => { window.began = performance.now(); }, {once: true});
                new MutationObserver((changes, watch) => {
                    window.took = performance.now() - window.began; watch.disconnect();
                }).observe(drawing, {childList: true});
            }"""
        )
        self.page.keyboard.press("x")
        self.page.wait_for_function("() => window.took !== null", timeout=PATIENCE * 1000)
        return float(self.page.evaluate("window.took")) / 1000


if __name__ == "__main__":
    sys.exit(main())
