"""What is asked for, and who answers: addresses to views, mistakes to sentences.

In: requests. Out: responses, every one with the headers that keep other sites out. The fact it serves: whatever goes
wrong, the person at the table reads a sentence and what to do, never a traceback.
"""

from __future__ import annotations

import sys
import traceback
from collections.abc import Callable, Iterable
from importlib.resources import files
from importlib.util import find_spec
from pathlib import Path
from wsgiref.types import StartResponse, WSGIEnvironment

from werkzeug.exceptions import HTTPException, NotFound
from werkzeug.routing import Map, Rule
from werkzeug.wrappers import Request, Response

from nesting.desk import card_views, cut_views, drawer_views, file_views, packet_views, table_views
from nesting.desk.desk import Desk
from nesting.desk.guard import HEADERS, Guard
from nesting.desk.looks import make_pages
from nesting.desk.page import Page
from nesting.errors import NestingError, Place, Problem

LARGEST_REQUEST = 2_000_000  # bytes
_KINDS = {".css": "text/css", ".js": "text/javascript", ".svg": "image/svg+xml"}
_FONTS = ("DejaVuSans.ttf", "DejaVuSans-Bold.ttf")
_ENTER = "<!doctype html><meta charset='utf-8'><meta http-equiv='refresh' content='0; url=/'><title>The desk</title>"


class App:
    """The desk as a WSGI application."""

    def __init__(self, desk: Desk, guard: Guard) -> None:
        self.desk = desk
        self.guard = guard
        self.pages = make_pages()
        views: dict[str, Callable[..., Response]] = {}
        rules = [Rule("/assets/<name>", endpoint="asset"), Rule("/font/<name>", endpoint="font")]
        for room in (table_views, card_views, cut_views, drawer_views, packet_views, file_views):
            for address, method, view in room.VIEWS:
                endpoint = f"{room.__name__}.{view.__name__}"
                rules.append(Rule(address, endpoint=endpoint, methods=[method]))
                views[endpoint] = view
        self.views = views
        self.map = Map(rules)

    def __call__(self, environ: WSGIEnvironment, start: StartResponse) -> Iterable[bytes]:
        """Answer one request."""
        request = Request(environ)
        request.max_content_length = LARGEST_REQUEST
        request.max_form_memory_size = LARGEST_REQUEST
        response = self._answer(request)
        for key, value in HEADERS.items():
            response.headers[key] = value
        response.headers.setdefault("Cache-Control", "no-store")
        return response(environ, start)

    def _answer(self, request: Request) -> Response:
        refusal = self.guard.refusal(request)
        if refusal is not None:
            return Response(refusal + "\n", 403, mimetype="text/plain")
        if request.path == "/open":
            response = Response(_ENTER, mimetype="text/html")
            self.guard.let_in(response)
            return response
        try:
            endpoint, values = self.map.bind_to_environ(request.environ).match()
            if endpoint == "asset":
                return _asset(str(values["name"]))
            if endpoint == "font":
                return _font(str(values["name"]))
            return self.views[endpoint](Page(self.desk, self.pages, request), **values)
        except NestingError as error:
            return self._wrong(request, error.problems, 400)
        except HTTPException as wrong:
            code = wrong.code or 500
            what = "There is no such page." if code == 404 else f"This was not understood ({wrong.name})."
            return self._wrong(request, (Problem(Place(), what, "Go back to the table."),), code)
        except Exception as fault:
            traceback.print_exc(file=sys.stderr)
            what = f"This program made a fault: {type(fault).__name__}."
            return self._wrong(request, (Problem(Place(), what, "Nothing was changed; go back to the table."),), 500)

    def _wrong(self, request: Request, problems: tuple[Problem, ...], code: int) -> Response:
        page = Page(self.desk, self.pages, request)
        if page.wants_data:
            return page.data({"problems": [str(problem) for problem in problems]}, code)
        return page.html("wrong.html", code, problems=problems)


def _asset(name: str) -> Response:
    """A file that came with this program."""
    suffix = Path(name).suffix
    found = next((one for one in files("nesting.desk").joinpath("assets").iterdir() if one.name == name), None)
    if found is None or suffix not in _KINDS:
        raise NotFound
    return Response(found.read_bytes(), mimetype=_KINDS[suffix], headers={"Cache-Control": "no-cache"})


def _font(name: str) -> Response:
    """The typeface that the drawings are measured with; it ships with the library that prints them."""
    spec = find_spec("matplotlib")
    if name not in _FONTS or spec is None or spec.origin is None:
        raise NotFound
    path = Path(spec.origin).parent / "mpl-data" / "fonts" / "ttf" / name
    if not path.is_file():
        raise NotFound
    headers = {"Cache-Control": "private, max-age=86400"}
    return Response(path.read_bytes(), mimetype="font/ttf", headers=headers)
