"""One request and its answer: what every view has in its hands.

In: a request. Out: pages, data, files and ways on. The fact it serves: the same bar with the plan's progress and the
way back stands over every page.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any, NamedTuple
from urllib.parse import quote

from jinja2 import Environment
from werkzeug.exceptions import BadRequest
from werkzeug.wrappers import Request, Response

from nesting.desk.desk import Desk, Look
from nesting.desk.edits import Edit
from nesting.errors import Problem


class Sent(NamedTuple):
    """A change that a script sent, and how to save it.

    seen: the marks of the files as its page showed them. over: write it whatever the files hold now. only_right: only
    where it makes no mistake that is not in the files already.
    """

    edit: Edit
    seen: dict[str, str]
    over: bool
    only_right: bool


class Page:
    """A request at a desk."""

    def __init__(self, desk: Desk, pages: Environment, request: Request) -> None:
        self.desk = desk
        self.request = request
        self._pages = pages

    @property
    def wants_data(self) -> bool:
        """A script asks, not a person."""
        return self.request.headers.get("X-Desk") == "script"

    def html(self, template: str, code: int = 200, **values: Any) -> Response:
        """A page from its template, with what the bar above it shows."""
        look = values.pop("look", None) or self.desk.look()
        values.setdefault("here", template.partition(".")[0])
        title = look.checked.read.title if look.checked.read else self.desk.name
        return Response(self.fragment(template, look, title=title, **values), code, mimetype="text/html")

    def fragment(self, template: str, look: Look, **values: Any) -> str:
        """A part of a page."""
        return self._pages.get_template(template).render(
            look=look, state=look.state, project=look.checked.read, desk=self.desk, looks=look.checked.looks, link=link,
            **values,
        )  # fmt: skip

    def part(self, template: str, look: Look, **values: Any) -> Response:
        """A part of a page as an answer of its own."""
        return Response(self.fragment(template, look, **values), mimetype="text/html")

    def data(self, what: Mapping[str, Any], code: int = 200) -> Response:
        """An answer for a script."""
        return Response(json.dumps(what, ensure_ascii=False), code, mimetype="application/json")

    def on(self, address: str) -> Response:
        """The way on after something was done."""
        return Response("", 303, headers={"Location": address})

    def kept(self, content: bytes, kind: str, name: str) -> Response:
        """A file to keep."""
        headers = {"Content-Disposition": f"attachment; filename*=UTF-8''{quote(name, safe='')}"}
        return Response(content, mimetype=kind, headers=headers)

    def edit(self) -> Sent:
        """The change that a script sent."""
        try:
            said = json.loads(self.request.get_data(as_text=True))
            rows = said.get("rows")
            edit = Edit(
                str(said["what"]), str(said.get("name", "")), _texts(said.get("fields", {})),
                None if rows is None else [_texts(row) for row in rows],
            )  # fmt: skip
            return Sent(edit, _texts(said.get("seen", {})), said.get("over") is True, said.get("onlyRight") is True)
        except (ValueError, KeyError, TypeError, AttributeError):
            raise BadRequest from None


def _texts(table: Any) -> dict[str, str]:
    return {str(key): str(value) for key, value in table.items()}


def link(*steps: str) -> str:
    """The address of a page; names in it are written so that nothing in them counts."""
    return "/" + "/".join(quote(step, safe="") for step in steps)


def problem_data(problems: tuple[Problem, ...]) -> list[dict[str, Any]]:
    """Mistakes for the script, which puts them beside their fields."""
    return [
        {"file": one.place.file, "line": one.place.line, "subject": one.place.subject, "what": one.what,
         "todo": one.todo}
        for one in problems
    ]  # fmt: skip


def marks(look: Look) -> str:
    """The marks of all files, for the page to give back."""
    return json.dumps(look.sheaf.marks)
