"""A desk for tests: served by this process on a free port, or asked without a browser and without a port."""

from __future__ import annotations

import shutil
import threading
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from werkzeug.test import Client, TestResponse

from nesting.describe.starter import write_starter
from nesting.desk.app import App
from nesting.desk.desk import Desk
from nesting.desk.guard import Guard
from nesting.desk.serve import Serving

DEMOS = Path(__file__).parent.parent.parent / "demo_projects"
PORT = 8765
HOST = f"127.0.0.1:{PORT}"
SETTLED = ("done", "wrong")


def starter(folder: Path) -> Path:
    """The small example in a folder of its own."""
    write_starter(folder)
    return folder


def demo(name: str, folder: Path) -> Path:
    """A copy of a demo project."""
    shutil.copytree(DEMOS / name, folder, ignore=shutil.ignore_patterns("plan", "expected.txt"))
    return folder


class Visitor:
    """Asks a desk as its own page would."""

    def __init__(self, folder: Path) -> None:
        self.desk = Desk(folder, folder.parent / "drawer.sqlite")
        self.guard = Guard(PORT)
        self.client = Client(App(self.desk, self.guard))
        self.client.set_cookie(self.guard.cookie, self.guard.token, domain="127.0.0.1")

    def get(self, address: str, **headers: str) -> TestResponse:
        """Look at an address."""
        return self.client.get(address, base_url=f"http://{HOST}", headers=_named(headers))

    def post(self, address: str, said: Mapping[str, Any] | None = None, **headers: str) -> TestResponse:
        """Send something as the page's script does."""
        own = {"origin": f"http://{HOST}", "x_desk": "script", **headers}
        return self.client.post(address, base_url=f"http://{HOST}", headers=_named(own), json=said or {})

    def send(self, address: str, form: Mapping[str, str]) -> TestResponse:
        """Send a form as a browser does."""
        headers = {"Origin": f"http://{HOST}"}
        return self.client.post(address, base_url=f"http://{HOST}", headers=headers, data=dict(form))

    def seen(self) -> dict[str, str]:
        """The marks of all files now."""
        sheaf = self.desk.shelf.read()
        return {name: sheaf.mark(name) for name in sheaf.files}

    def save(self, what: str, name: str = "", seen: Mapping[str, str] | None = None, **said: Any) -> TestResponse:
        """Save a change."""
        return self.post("/save", {"what": what, "name": name, "seen": dict(seen or self.seen()), **said})

    def close(self) -> None:
        """End the worker."""
        self.desk.planner.close()


def _named(headers: Mapping[str, str]) -> dict[str, str]:
    return {key.replace("_", "-").title(): value for key, value in headers.items()}


@contextmanager
def visiting(folder: Path) -> Iterator[Visitor]:
    """A visitor, whose worker is ended afterwards."""
    visitor = Visitor(folder)
    try:
        yield visitor
    finally:
        visitor.close()


@contextmanager
def served(folder: Path, port: int = 0, token: str = "") -> Iterator[Serving]:
    """A desk that answers on a port of this machine."""
    serving = Serving(folder, folder.parent / "drawer.sqlite", port, token)
    thread = threading.Thread(target=serving.run, daemon=True)
    thread.start()
    try:
        yield serving
    finally:
        serving.close()
        thread.join()
