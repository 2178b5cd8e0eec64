"""The files as they are: every one can be read and edited as text, with its mistakes beside it.

In: requests. Out: pages. The fact it serves: a file that is broken cannot be shown as a form, and must not be a dead
end for somebody who has no other editor.
"""

from __future__ import annotations

from werkzeug.exceptions import NotFound
from werkzeug.wrappers import Response

from nesting.desk.page import Page, marks


def all_files(page: Page) -> Response:
    """All files of the project, and what is wrong with which."""
    return page.html("files.html", look=page.desk.look())


def one_file(page: Page, name: str) -> Response:
    """One file as text."""
    look = page.desk.look()
    if name not in look.sheaf.files:
        raise NotFound
    mine = [one for one in look.checked.problems if one.place.file == name]
    return page.html("file.html", look=look, name=name, text=look.sheaf.text(name), marks=marks(look), mine=mine)


VIEWS = (("/files", "GET", all_files), ("/file/<name>", "GET", one_file))
