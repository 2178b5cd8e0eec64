"""A person at the desk: real typing and clicks in a real browser, with everything that goes wrong at a real table.

Accessibility is judged by axe-core's own rules (WCAG 2.1, A and AA, as the library has them); what counts as seen and
pressed is what the browser says.
"""

from __future__ import annotations

import os
import re
import shutil
import signal
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, HTTPServer
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from desks import served, starter

from nesting.describe.project_file import read_project

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

BROWSERS = ("chromium", "chromium-browser", "google-chrome")
PHONE = {"width": 390, "height": 844}
PATIENCE = 60_000  # milliseconds; a machine that does other things besides is slow


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """Chromium without a window."""
    driver = pytest.importorskip("playwright.sync_api", reason="playwright is not installed: no browser is driven")
    found = next((path for name in BROWSERS if (path := shutil.which(name))), None)
    if found is None:
        pytest.skip(f"none of {', '.join(BROWSERS)} is installed: no browser is driven")
    with driver.sync_playwright() as started:
        browser = started.chromium.launch(executable_path=found, args=["--no-sandbox"])
        yield browser
        browser.close()


@contextmanager
def at_the_desk(browser: Browser, address: str, size: dict[str, int] | None = None) -> Iterator[Page]:
    """A fresh browser window at this address; whatever its script or its security rules complain of is a fault."""
    window = browser.new_context(viewport=size or {"width": 1280, "height": 860})  # type: ignore[arg-type]
    page = window.new_page()
    page.set_default_timeout(PATIENCE)
    wrong: list[str] = []
    page.on("pageerror", lambda error: wrong.append(str(error)))
    page.on("console", lambda said: wrong.append(said.text) if "Content Security Policy" in said.text else None)
    page.goto(address)
    page.wait_for_selector("h1")
    page.wait_for_load_state()  # its script listens
    yield page
    window.close()
    assert wrong == []


def planned(page: Page) -> None:
    """Wait until the full plan is there."""
    page.wait_for_selector("a[href='/packet'].button, a[href='/cut'].button")


def follow(page: Page, name: str) -> None:
    """Press the first link beginning with this name; wait until the page behind it is loaded and its script has run."""
    with page.expect_navigation():
        page.get_by_role("link", name=re.compile(f"^{re.escape(name)}\\b")).first.click()


def add_a_part(page: Page, name: str, paper: str) -> None:
    """Type a mat of this paper for the front into a new row, and wait until it is drawn."""
    page.get_by_role("button", name="Add a part").click()
    page.keyboard.type(name)
    page.keyboard.press("Tab")
    page.keyboard.type("front")
    page.keyboard.press("Tab")
    page.keyboard.type(paper)
    page.wait_for_selector(f"#drawing [data-part={name}]")


IDS_TWICE = """
Array.from(document.querySelectorAll("[id]"), one => one.id).filter((name, at, all) => all.indexOf(name) !== at)
"""


def test_a_newcomer_makes_a_card_a_batch_and_a_packet(browser: Browser, tmp_path: Path) -> None:
    """From an empty folder, without touching a file."""
    folder = tmp_path / "first"
    folder.mkdir()
    with served(folder) as desk, at_the_desk(browser, desk.address) as page:
        page.get_by_role("button", name="Lay out a first card").click()
        follow(page, "Papers")
        page.get_by_label("Name").fill("rose")
        page.get_by_label("Sheet", exact=True).fill("12 x 12")
        page.get_by_label("Price of a sheet").fill("0.70")
        page.get_by_role("button", name="Add").click()
        page.wait_for_url("**/paper/rose")
        follow(page, "Cards")
        page.get_by_label("Name").fill("thank you")
        page.get_by_label("Base").fill("cream")
        page.get_by_label("Size").fill("4 1/4 x 5 1/2")
        page.get_by_label("How many").fill("6")
        page.get_by_role("button", name="Begin").click()
        page.wait_for_url("**/card/thank%20you")
        add_a_part(page, "frame", "rose")
        page.get_by_role("button", name="Save").click()
        page.get_by_text("Saved.", exact=True).wait_for()  # the page is shown anew, with the row as it was saved
        assert not page.evaluate("rowsDirty(document.querySelector('form[data-check]'))")
        follow(page, "Table")
        count = page.get_by_label("how many of thank you")
        count.fill("8")
        page.get_by_role("button", name="one thank you more").click()
        planned(page)
        follow(page, "Packet to print")
        page.get_by_role("button", name="Make the packet").click()
        with page.expect_download() as taken:
            page.locator("#packet-file").click()
        assert Path(taken.value.path()).read_bytes().startswith(b"%PDF")
    project = read_project(folder)
    assert {line.design: line.count for line in project.batch} == {"autumn": 20, "thank you": 9}
    (part,) = project.design("thank you").parts
    assert (part.name, part.paper) == ("frame", "rose")


@pytest.mark.parametrize("on_the_way", [True, False])
def test_whoever_saves_and_leaves_at_once_is_not_asked_and_loses_nothing(
    browser: Browser, tmp_path: Path, on_the_way: bool
) -> None:
    """on_the_way: the answer to the save comes after the link is pressed, not before."""
    folder = starter(tmp_path / "p")
    with served(folder) as desk, at_the_desk(browser, desk.address) as page:
        page.on("dialog", lambda asked: pytest.fail(asked.message))
        page.goto(page.url + "card/autumn")
        add_a_part(page, "inlay", "cream")
        leave = "document.querySelector('a[href=\"/\"]').click()"
        if on_the_way:
            page.evaluate(f"document.querySelector('[data-save]').click(); {leave}")
        else:
            page.evaluate(f"save(document.querySelector('form[data-check]')).then(() => {leave})")
        page.wait_for_url(desk.address.rsplit("/", 1)[0] + "/")
        planned(page)
    assert "inlay" in [part.name for part in read_project(folder).design("autumn").parts]


ONE_MORE = "document.querySelector('#counts [data-step=\"1\"]').click();"  # a press on the table


@pytest.mark.parametrize("on_the_way", [True, False])
def test_the_last_count_is_kept_by_whoever_leaves_at_once(browser: Browser, tmp_path: Path, on_the_way: bool) -> None:
    """on_the_way: an earlier count is being saved while the last one is pressed and the page is left."""
    folder = starter(tmp_path / "p")
    with served(folder) as desk, at_the_desk(browser, desk.address) as page:
        planned(page)
        first = f"{ONE_MORE} save(document.querySelector('#counts'));" if on_the_way else ONE_MORE
        leave = "document.querySelector('a[href=\"/cards\"]').click()"
        page.evaluate(f"{first} setTimeout(() => {{ {ONE_MORE} {leave} }}, 5)")
        page.wait_for_url("**/cards")
        page.wait_for_function("async () => (await (await fetch('/state')).json()).undo !== ''")
    assert [line.count for line in read_project(folder).batch] == [22]


def test_a_count_pressed_while_the_one_before_is_being_saved_is_saved_too(browser: Browser, tmp_path: Path) -> None:
    folder = starter(tmp_path / "p")
    with served(folder) as desk, at_the_desk(browser, desk.address) as page:
        planned(page)
        page.evaluate(f"{ONE_MORE} save(document.querySelector('#counts')); {ONE_MORE}")
        page.wait_for_function("() => !dirty(document.querySelector('#counts'))")
        assert page.locator("dialog[open]").count() == 0
    assert [line.count for line in read_project(folder).batch] == [22]


def test_the_drawing_follows_what_is_typed_and_mistakes_stand_at_their_fields(browser: Browser, tmp_path: Path) -> None:
    with served(starter(tmp_path / "p")) as desk, at_the_desk(browser, desk.address) as page:
        page.goto(page.url + "card/autumn")
        flat = page.get_by_label("Flat size")
        before = page.locator("#drawing").inner_html()
        flat.fill("9 x 5 1/2")
        page.wait_for_function("before => document.querySelector('#drawing').innerHTML !== before", arg=before)
        flat.press("End")
        flat.type("oops")
        wrong = page.locator("#field-size-wrong")
        wrong.wait_for()
        assert "5 1/2oops" in wrong.inner_text()
        assert flat.get_attribute("aria-invalid") == "true"
        assert page.locator("#stale").is_visible()
        amount = page.locator("[data-row] [data-key=amount]").first
        flat.fill("9 x 5 1/2")
        amount.fill("1 1/8 x")
        page.wait_for_selector("[data-row] [data-key=amount][aria-invalid=true]")
        amount.fill("1/4")
        page.wait_for_function("() => !document.querySelector('[aria-invalid]')")
    assert "9 x" not in (tmp_path / "p" / "designs.toml").read_text("utf-8")


def test_two_windows_do_not_overwrite_each_other(browser: Browser, tmp_path: Path) -> None:
    folder = starter(tmp_path / "p")
    with served(folder) as desk, at_the_desk(browser, desk.address) as one, at_the_desk(browser, desk.address) as two:
        planned(one)
        planned(two)  # from here on nothing moves below a finger that presses
        two.route("**/state", lambda route: route.abort())  # the second window has not heard of the first one's save
        two.get_by_label("Title").fill("Mine")
        one.get_by_label("Title").fill("Theirs")
        one.get_by_label("Title").press("Enter")
        one.get_by_text("Saved.", exact=True).wait_for()
        two.get_by_label("Title").press("Enter")
        two.get_by_role("button", name="Write my change into it").wait_for()
        assert 'title = "Theirs"' in two.locator("dialog").inner_text()
        assert read_project(folder).title == "Theirs"
        two.get_by_role("button", name="Write my change into it").click()
        two.get_by_text("Saved.", exact=True).wait_for()
        assert read_project(folder).title == "Mine"
        one.get_by_role("link", name="Mine").first.wait_for()  # the first window follows by itself


def test_an_edit_in_another_program_is_seen_and_the_form_is_kept(browser: Browser, tmp_path: Path) -> None:
    folder = starter(tmp_path / "p")
    with served(folder) as desk, at_the_desk(browser, desk.address) as page:
        page.goto(page.url + "paper/pine")
        page.get_by_label("Note").fill("my own words")
        text = (folder / "papers.toml").read_text("utf-8")
        (folder / "papers.toml").write_text(text.replace("0.80", "0.85"), "utf-8")
        page.get_by_text("The files were changed outside of this page.").wait_for()
        assert page.get_by_label("Note").input_value() == "my own words"


def test_a_broken_file_is_mended_on_the_page(browser: Browser, tmp_path: Path) -> None:
    folder = starter(tmp_path / "p")
    text = (folder / "papers.toml").read_text("utf-8")
    (folder / "papers.toml").write_text(text.replace('"80 lb cover"', '"80 lb cover'), "utf-8")
    with served(folder) as desk, at_the_desk(browser, desk.address) as page:
        follow(page, "papers.toml, line 6")
        area = page.get_by_label("The text of papers.toml")
        chosen = area.evaluate("area => area.value.slice(area.selectionStart, area.selectionEnd)")
        assert chosen.startswith("weight")
        area.fill(text)
        page.get_by_role("button", name="Save").click()
        page.get_by_text("Saved.", exact=True).wait_for()
        follow(page, "Table")
        planned(page)
    assert (folder / "papers.toml").read_text("utf-8") == text


def test_a_number_that_cannot_be_is_said_and_not_saved(browser: Browser, tmp_path: Path) -> None:
    folder = starter(tmp_path / "p")
    before = (folder / "batch.toml").read_bytes()
    with served(folder) as desk, at_the_desk(browser, desk.address) as page:
        count = page.get_by_label("how many of autumn")
        for text, words in (("many", "“many” is not a whole number"), ("0", "No card is wanted.")):
            count.fill(text)
            page.get_by_text(words).wait_for()
        assert (folder / "batch.toml").read_bytes() == before
        count.fill("7")
        page.wait_for_function("() => !document.querySelector('#undo').disabled")
        assert page.locator("#counts [data-wrong]").inner_text() == ""
    assert read_project(folder).batch[0].count == 7


def test_undo_from_the_page(browser: Browser, tmp_path: Path) -> None:
    folder = starter(tmp_path / "p")
    before = (folder / "batch.toml").read_bytes()
    with served(folder) as desk, at_the_desk(browser, desk.address) as page:
        page.get_by_role("button", name="one autumn more").click()
        page.wait_for_function("() => !document.querySelector('#undo').disabled")
        assert read_project(folder).batch[0].count == 21
        page.get_by_role("button", name="Undo").click()
        page.wait_for_function("() => document.querySelector('[name=autumn]').value === '20'")
        assert (folder / "batch.toml").read_bytes() == before


def test_the_keyboard_is_enough(browser: Browser, tmp_path: Path) -> None:
    """From the number of cards to the last pass of a paper without a pointer."""
    folder = starter(tmp_path / "p")
    with served(folder) as desk, at_the_desk(browser, desk.address) as page:
        _tab_to(page, lambda: page.evaluate("document.activeElement.name") == "autumn")
        page.keyboard.press("Control+A")
        page.keyboard.type("4")
        page.wait_for_function("() => !document.querySelector('#undo').disabled")
        page.wait_for_selector("#progress:not([data-busy=yes])", state="attached")
        planned(page)
        _tab_to(page, lambda: page.evaluate("document.activeElement.getAttribute('href')") == "/cut")
        page.keyboard.press("Enter")
        page.get_by_role("button", name="Begin to cut").wait_for()
        _ready_for_keys(page)
        page.keyboard.press("Enter")
        page.get_by_role("link", name="pine").wait_for()
        _tab_to(page, lambda: page.evaluate("document.activeElement.getAttribute('href')") == "/cut/pine")
        page.keyboard.press("Enter")
        for _ in range(60):
            page.wait_for_selector(".hand, .all-done")
            if page.locator(".all-done").count():
                break
            shown = page.locator(".bench-head p").inner_text()
            _ready_for_keys(page)
            assert page.evaluate("getComputedStyle(document.activeElement).outlineStyle") == "solid"
            page.keyboard.press("Enter")
            page.wait_for_function("shown => document.querySelector('.bench-head p')?.textContent !== shown", arg=shown)
        assert page.locator(".all-done").count() == 1
    assert read_project(folder).batch[0].count == 4


def _ready_for_keys(page: Page) -> None:
    """A page is seen before its script has run; the script gives the main button the keys."""
    page.wait_for_function("() => document.activeElement.matches('[data-focus]')")


def _tab_to(page: Page, there: Callable[[], bool]) -> None:
    for _ in range(60):
        page.keyboard.press("Tab")
        if there():
            return
    raise AssertionError("the keyboard does not get there")


def test_the_cutting_survives_a_killed_server(browser: Browser, tmp_path: Path) -> None:
    folder = starter(tmp_path / "p")
    first, address = _started(folder)
    with at_the_desk(browser, address) as page:
        planned(page)
        follow(page, "Cut")
        page.get_by_role("button", name="Begin to cut").click()
        follow(page, "pine")
        for number in (1, 2):
            page.get_by_text(f"pass {number} of").wait_for()
            page.get_by_role("button", name="Done, next").click()
        page.get_by_text("pass 3 of").wait_for()
        stop = page.locator(".hand .stop").inner_text()
        page.goto(address.split("/open")[0])
        planned(page)
        first.send_signal(signal.SIGKILL)
        first.wait()
        page.get_by_text("The desk does not answer.").wait_for()
    second, address = _started(folder)
    try:
        with at_the_desk(browser, address) as page:
            page.goto(address.split("/open")[0] + "/cut/pine")
            page.get_by_text("pass 3 of").wait_for()
            assert page.locator(".hand .stop").inner_text() == stop
            page.get_by_role("button", name="Step back").click()
            page.get_by_text("pass 2 of").wait_for()
    finally:
        second.send_signal(signal.SIGINT)
        assert second.wait(20) == 0


def _started(folder: Path) -> tuple[subprocess.Popen[str], str]:
    """The command itself, in a process of its own; and the address it prints."""
    program = "from nesting.command_line import main; main()"
    command = [sys.executable, "-c", program, "desk", str(folder), "--no-browser", "--file", f"{folder}.sqlite"]
    started = subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env={**os.environ, "PYTHONUNBUFFERED": "1"})
    assert started.stdout is not None
    line = started.stdout.readline()
    return started, line.split()[-1]


def test_a_spoiled_piece_is_planned_anew_from_the_table(browser: Browser, tmp_path: Path) -> None:
    folder = starter(tmp_path / "p")
    with served(folder) as desk, at_the_desk(browser, desk.address) as page:
        planned(page)
        follow(page, "Cut")
        page.get_by_role("button", name="Begin to cut").click()
        follow(page, "cream")
        while not page.locator(".pieces .stepper button[value='1']:not(:disabled)").count():
            shown = page.locator(".bench-head p").inner_text()
            page.get_by_role("button", name="Done, next").click()
            page.wait_for_function("shown => document.querySelector('.bench-head p')?.textContent !== shown", arg=shown)
        page.get_by_text("Pieces on the table").click()
        page.locator(".pieces .stepper button[value='1']:not(:disabled)").first.click()
        page.get_by_text("1 spoiled").first.wait_for()
        page.get_by_role("button", name="Plan the rest").click()
        page.get_by_text("This is the plan for the rest").wait_for()


PAGES = ("/", "/cards", "/card/autumn", "/papers", "/paper/pine", "/cut", "/cut/pine", "/cost", "/drawer", "/drawer/1",
         "/packet", "/files", "/file/batch.toml", "/trimmer", "/nowhere")  # fmt: skip
PRESSED = (
    "main button, main .button, main select, main input:not([type=hidden], [type=radio], [type=checkbox])"  # in labels
)


@pytest.mark.parametrize(("scheme", "size"), [("light", None), ("dark", PHONE)], ids=["light, wide", "dark, phone"])
def test_every_page_is_open_to_all(browser: Browser, tmp_path: Path, scheme: str, size: dict[str, int] | None) -> None:
    """axe-core finds nothing serious; on a phone nothing is wider than it, and a finger hits every button.

    44 px each way: WCAG 2.1, success criterion 2.5.5, where links within sentences are excepted.
    """
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe-core is not installed").Axe()
    with served(starter(tmp_path / "p")) as desk, at_the_desk(browser, desk.address, size) as page:
        page.emulate_media(color_scheme=scheme)  # type: ignore[arg-type]
        home = page.url.rstrip("/")
        planned(page)
        own = {"Origin": home}
        # what depends on colour and width is looked at again, the rest is the same
        rules = {"runOnly": {"type": "rule", "values": ["color-contrast", "target-size"]}} if size else {}
        page.request.post(f"{home}/cut-begin", headers=own)
        page.request.post(f"{home}/drawer-add", form={"paper": "pine", "size": "5 x 7"}, headers=own)
        wrong: list[tuple[str, object]] = []
        for address in PAGES:
            page.goto(home + address)
            page.wait_for_selector("h1")
            result = axe.run(page, options={"resultTypes": ["violations"], **rules})
            wrong += [
                (address, (one["id"], [node["html"][:120] for node in one["nodes"][:3]]))
                for one in result.response["violations"]
                if one["impact"] in ("serious", "critical")
            ]
            wrong += [(address, f"{name} twice") for name in page.evaluate(IDS_TWICE)]
            if size:
                wide = page.evaluate("document.documentElement.scrollWidth")
                boxes = page.locator(PRESSED).evaluate_all(
                    "all => all.map(one => [one.outerHTML.slice(0, 80), one.offsetWidth, one.offsetHeight])"
                )
                wrong += [(address, one) for one in boxes if one[1] and min(one[1:]) < 44]
                wrong += [(address, wide)] if wide > size["width"] else []
        assert wrong == []


def test_axe_would_find_a_field_without_a_label(browser: Browser, tmp_path: Path) -> None:
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe-core is not installed").Axe()
    with served(starter(tmp_path / "p")) as desk, at_the_desk(browser, desk.address) as page:
        page.evaluate("document.querySelector('[name=autumn]').removeAttribute('aria-label')")
        assert "label" in {one["id"] for one in axe.run(page).response["violations"]}


class _Elsewhere(BaseHTTPRequestHandler):
    """A page of somebody else's, on another port of the same machine."""

    def do_GET(self) -> None:
        self.send_response(200)
        self.end_headers()
        self.wfile.write(b"<!doctype html><title>elsewhere</title><h1>elsewhere</h1>")

    def log_message(self, *words: object) -> None:
        """Nothing is printed."""


def test_another_site_cannot_use_the_browser_against_the_desk(browser: Browser, tmp_path: Path) -> None:
    """Cookies know no ports, so the browser sends the secret along; the desk must refuse all the same."""
    folder = starter(tmp_path / "p")
    elsewhere = HTTPServer(("127.0.0.1", 0), _Elsewhere)
    threading.Thread(target=elsewhere.serve_forever, daemon=True).start()
    with served(folder) as desk, at_the_desk(browser, desk.address) as page:
        home = page.url.rstrip("/")
        page.get_by_role("button", name="one autumn more").click()
        page.wait_for_function("() => !document.querySelector('#undo').disabled")
        before = {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file()}
        page.goto(f"http://127.0.0.1:{elsewhere.server_port}/")
        seen = page.evaluate(
            """async home => {
                const said = {method: "POST", mode: "no-cors", credentials: "include", body: "{}"};
                await fetch(`${home}/undo`, said).catch(() => 0);
                const look = fetch(`${home}/file/batch.toml`, {credentials: "include"});
                return await look.then(r => r.text()).catch(() => "");
            }""", home,
        )  # fmt: skip
        assert seen == ""
        with page.expect_navigation() as answer:
            page.evaluate(
                """home => {
                    const form = document.createElement("form");
                    form.method = "post"; form.action = `${home}/undo`;
                    document.body.append(form); form.submit();
                }""", home,
            )  # fmt: skip
        assert answer.value is not None
        assert answer.value.status == 403
    elsewhere.shutdown()
    elsewhere.server_close()
    assert {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file()} == before
