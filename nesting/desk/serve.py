"""The page is served to this machine alone, for as long as the command runs.

In: a project folder and a port. Out: nothing; the address is printed, and the browser is opened where that is wanted.
The fact it serves: a craft table has no server room; what is started with one word ends with one key.
"""

from __future__ import annotations

import socket
import threading
import webbrowser
from collections.abc import Callable
from pathlib import Path

from werkzeug.serving import BaseWSGIServer, WSGIRequestHandler, make_server

from nesting.desk.app import App
from nesting.desk.desk import Desk
from nesting.desk.guard import Guard
from nesting.errors import NestingError, Place, Problem

HOME = "127.0.0.1"


class _Quiet(WSGIRequestHandler):
    """Answers without a line on the terminal for each, and keeps a browser's line open between two questions."""

    protocol_version = "HTTP/1.1"
    timeout = 60

    def log_request(self, code: int | str = "-", size: int | str = "-") -> None:
        """Nothing is said of what went well."""


class Serving:
    """A desk that answers; `address` opens it."""

    def __init__(self, folder: Path, drawer: Path, port: int = 0, token: str = "") -> None:
        self.desk = Desk(folder, drawer)
        try:
            with socket.create_server((HOME, port)) as taken:
                self._server: BaseWSGIServer = make_server(
                    HOME, port, _later, threaded=True, request_handler=_Quiet, fd=taken.fileno()
                )
        except (OSError, OverflowError) as wrong:
            what = f"Port {port} cannot be used ({getattr(wrong, 'strerror', None) or 'there is no such port'})."
            raise NestingError([Problem(Place(), what, "Leave --port out to use a free one.")]) from None
        self._server.daemon_threads = True  # type: ignore[attr-defined]
        guard = Guard(self._server.port, token)
        self._server.app = App(self.desk, guard)
        self.address = guard.address
        self.guard = guard

    def run(self) -> None:
        """Answer until `close`, or until the program is ended."""
        self.desk.planner.warm_up()
        try:
            self._server.serve_forever()
        finally:
            self.desk.planner.close()
            self.leave()

    @property
    def host(self) -> str:
        """The address of this machine that it answers on."""
        return str(self._server.server_address[0])

    def close(self) -> None:
        """End `run`; from another thread."""
        self._server.shutdown()

    def leave(self) -> None:
        """Give the port back; `run` must have ended, or never begun."""
        self._server.server_close()


def _later(environ: object, start: object) -> list[bytes]:
    """Stands where the page will be until its port is known."""
    return []


def serve(serving: Serving, *, browser: bool, say: Callable[[str], None]) -> None:
    """Serve until Ctrl-C."""
    say(f"The desk is at {serving.address}")
    say("Only this machine can see it. Leave it with Ctrl-C.")
    if browser:
        threading.Thread(target=webbrowser.open, args=(serving.address,), daemon=True).start()
    try:
        serving.run()
    except KeyboardInterrupt:
        say("")
