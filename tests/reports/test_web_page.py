"""The tablet page: valid, safe, the plan's own numbers, and tapped and typed at in a real browser.

The accessibility rules are those of axe-core (WCAG 2.0 to 2.2, levels A and AA, and best practices).
"""

from __future__ import annotations

import base64
import functools
import hashlib
import re
import shutil
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import html5lib
import pytest
from demos import NAMES, plan_of

from nesting.lengths import Length, Unit, inches, mm
from nesting.reports.kits import kits
from nesting.reports.plan_data import fingerprint
from nesting.reports.web_lengths import length_html, spoken
from nesting.reports.web_page import web_page

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

BROWSERS = ("chromium", "chromium-browser", "google-chrome")
CHROMIUM = next((found for name in BROWSERS if (found := shutil.which(name))), "")
PHONE, TABLET = (360, 740), (1024, 768)


@functools.cache
def html_of(name: str) -> str:
    return web_page(plan_of(name))


def tree_of(html: str) -> Any:
    return html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(html)


def words(element: Any) -> str:
    """What is read out: hidden figures left out."""
    if element.get("aria-hidden") == "true":
        return str(element.tail or "")
    return "".join([element.text or "", *map(words, element), element.tail or ""])


# ------------------------------------------------------------------------------------------ the text of the page


@pytest.mark.parametrize("name", NAMES)
def test_the_page_is_valid_and_every_id_is_there_once(name: str) -> None:
    tree = tree_of(html_of(name))
    ids = Counter(element.get("id") for element in tree.iter() if element.get("id"))
    assert [each for each, count in ids.items() if count > 1] == []
    assert all(link.get("href", "#").lstrip("#") in ids for link in tree.iter("a"))


def test_an_unclosed_tag_would_be_found() -> None:
    with pytest.raises(html5lib.html5parser.ParseError):
        tree_of(html_of("folding_theatre").replace("</main>", "</mian>"))


@pytest.mark.parametrize("name", NAMES)
def test_the_page_asks_nobody_for_anything(name: str) -> None:
    html = html_of(name)
    assert not re.search(r"""(src|href|url)\s*[=(]\s*["']?(https?:|//)""", html)
    assert not re.search(r"\bon[a-z]+=|\bstyle=|javascript:|@import|fetch\(|XMLHttpRequest", html)
    policy = re.search(r'http-equiv="Content-Security-Policy" content="([^"]+)"', html)
    assert policy is not None
    said = policy[1].replace("&#39;", "'")
    assert "default-src 'none'" in said
    assert "unsafe" not in said
    for tag, what in (("style", "style-src"), ("script", "script-src")):
        (text,) = re.findall(rf"<{tag}>(.*?)</{tag}>", html, re.DOTALL)
        digest = base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()
        assert f"{what} 'sha256-{digest}'" in said


@pytest.mark.parametrize("name", NAMES)
def test_every_pass_is_in_the_list_with_its_numbers_and_marked_on_its_maps(name: str) -> None:
    plan = plan_of(name)
    tree = tree_of(html_of(name))
    items = [item for item in tree.iter("li") if "pass" in item.get("class", "").split()]
    lines = [line for paper in plan.papers for line in paper.order.passes]
    assert len(items) == len(lines)
    for item, line in zip(items, lines, strict=True):
        said = " ".join(words(item).split())
        assert f"stop setting number {line.number} " in said
        assert spoken(Length(line.setting), plan.project.unit) in said
        assert f"{line.cuts} cut{'' if line.cuts == 1 else 's'}" in said
        assert len(list(item.iter("input"))) == len(line.stacks)
    marked = {group.get("data-pass") for group in tree.iter() if group.get("class") == "mark"}
    assert marked == {item.get("id") for item in items}


@pytest.mark.parametrize("name", NAMES)
def test_every_layout_has_one_map_and_every_card_one_kit_to_tick(name: str) -> None:
    plan = plan_of(name)
    tree = tree_of(html_of(name))
    maps = [figure for figure in tree.iter("figure") if figure.get("class") == "map"]
    assert len(maps) == sum(len(paper.uses) for paper in plan.papers)
    boxes = [box.get("id") for box in tree.iter("input") if box.get("id", "").startswith("kit-")]
    assert len(boxes) == len(set(boxes)) == sum(kit.cards for kit in kits(plan).kits)


def test_what_is_cut_out_of_mats_first_is_said_above_the_passes() -> None:
    (spruce,) = re.findall(r'data-name="spruce".*?<ol class="passes"', html_of("winter_window"), re.DOTALL)
    assert "Before gluing, cut 1 centre of 4 x 4 in out of" in spruce


def test_what_the_user_wrote_is_never_taken_for_the_page() -> None:
    plan = plan_of("folding_theatre")
    evil = "</title><script>alert(1)</script><b onclick=x>\"'&"
    first = plan.papers[0]
    named = replace(first, packing=replace(first.packing, paper=replace(first.packing.paper, name=evil)))
    html = web_page(replace(plan, project=replace(plan.project, title=evil), papers=(named, *plan.papers[1:])))
    tree = tree_of(html)
    assert len(list(tree.iter("script"))) == 1
    assert not [element for element in tree.iter() if element.get("onclick")]
    assert tree.findtext(".//title") == f"{evil}: cut list"


def test_ticks_belong_to_one_plan_and_the_page_is_the_same_every_time() -> None:
    plan = plan_of("folding_theatre")
    assert web_page(plan) == html_of("folding_theatre")
    assert fingerprint(plan) == fingerprint(plan_of("folding_theatre"))
    assert fingerprint(plan) != fingerprint(replace(plan, project=replace(plan.project, title="another")))


@pytest.mark.parametrize(("length", "unit", "said"), [
    (inches("83/16"), Unit.INCH, "5 and 3 sixteenths inches"), (inches("1/2"), Unit.INCH, "1 half inch"),
    (inches("3/4"), Unit.INCH, "3 quarters inch"), (inches(1), Unit.INCH, "1 inch"), (inches(4), Unit.INCH, "4 inches"),
    (mm("47.5"), Unit.MILLIMETRE, "47.5 millimetres"), (mm(1), Unit.MILLIMETRE, "1 millimetre"),
    (mm("47.5"), Unit.INCH, "47.5 millimetres"),
])  # fmt: skip
def test_a_length_is_stacked_for_the_eye_and_words_for_the_ear(length: Length, unit: Unit, said: str) -> None:
    assert spoken(length, unit) == said
    html = html5lib.parseFragment(str(length_html(length, unit)), namespaceHTMLElements=False)
    assert "".join(map(words, html)) == said


# ------------------------------------------------------------------------------------------ in a browser


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed: no browser is driven")
    if not CHROMIUM:
        pytest.skip("no Chromium is on this machine: the page is not tapped at")
    with playwright.sync_playwright() as driver:
        found = driver.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield found
        found.close()


@pytest.fixture
def open_page(browser: Browser, tmp_path: Path) -> Iterator[Any]:
    """Open a demo's page in a window of some size; every message of the browser's is a fault."""
    contexts, faults = [], []

    def opened(name: str, size: tuple[int, int] = TABLET, dark: bool = False) -> Page:
        path = tmp_path / f"{name}.html"
        path.write_text(html_of(name), encoding="utf-8")
        context = browser.new_context(
            viewport={"width": size[0], "height": size[1]}, color_scheme="dark" if dark else "light",
            has_touch=True, reduced_motion="reduce",
        )  # fmt: skip
        contexts.append(context)
        page = context.new_page()
        page.on("console", lambda said: faults.append(said.text) if said.type in ("error", "warning") else None)
        page.on("pageerror", lambda error: faults.append(str(error)))
        page.on("request", lambda asked: faults.append(asked.url) if not asked.url.startswith("file:") else None)
        page.goto(path.as_uri())
        return page

    yield opened
    for context in contexts:
        context.close()
    assert faults == []


def lit(page: Page) -> set[str]:
    """The passes that are lit on the maps that are seen."""
    found = page.eval_on_selector_all(
        "g.mark.lit", "all => all.filter(g => g.getClientRects().length).map(g => g.dataset.pass)"
    )
    return set(found)


def test_what_is_seen_first_is_paper_stack_edge_stop_cuts_and_what_comes_off(open_page: Any) -> None:
    for size in (PHONE, TABLET):
        page = open_page("harvest_stall", size)
        now = page.locator("#now")
        box = now.bounding_box()
        assert box["y"] == 0
        assert box["height"] < size[1] / 2
        said = " ".join(now.inner_text().split())
        for word in ("cream", "stack 1 of 11", "left edge to stop", "1 cut each", "2 A"):
            assert word in said
        assert page.locator("#now .stop .heard").inner_text() == "5 and 1 half inches"


def test_a_tick_greys_the_pass_out_lights_the_next_and_survives_a_reload(open_page: Any) -> None:
    page = open_page("folding_theatre")
    page.evaluate("document.querySelectorAll('.papers button')[1].click()")  # gold
    before = page.locator("#pass-2-1").evaluate("e => getComputedStyle(e.querySelector('.what')).color")
    assert lit(page) == {"pass-2-1"}
    page.locator("#pass-2-1 label.tick").first.tap()
    first = page.locator("#pass-2-1")
    assert "done" in first.get_attribute("class").split()
    after = first.evaluate("e => getComputedStyle(e.querySelector('.what')).color")
    assert after != before
    struck = first.evaluate("e => getComputedStyle(e.querySelector('.facts')).textDecorationLine")
    assert struck == "line-through"  # not told by colour alone
    assert lit(page) == {"pass-2-2"}
    assert page.locator("li.pass.next").get_attribute("id") == "pass-2-2"
    page.reload()
    assert page.locator("#pass-2-1 input").first.is_checked()
    page.evaluate("document.querySelectorAll('.papers button')[1].click()")
    assert lit(page) == {"pass-2-2"}
    page.locator("#pass-2-1 label.tick").first.tap()  # taken back
    assert lit(page) == {"pass-2-1"}


def test_a_pass_of_several_stacks_is_done_with_its_last_tick(open_page: Any) -> None:
    page = open_page("harvest_stall")
    for _ in range(10):
        page.locator("#tick").tap()
        assert lit(page) == {"pass-1-1"}
    page.locator("#tick").tap()
    assert lit(page) == {"pass-1-2"}
    page.locator("#back").tap()
    assert lit(page) == {"pass-1-1"}
    assert page.locator("#pass-1-1 input:checked").count() == 10


def test_all_papers_can_be_cut_with_one_button(open_page: Any) -> None:
    page = open_page("folding_theatre")
    total = page.locator("li.pass input").count()
    for _ in range(total + 20):
        if page.locator("#tick").is_disabled():
            break
        page.locator("#tick").click()
    assert page.locator("li.pass input:checked").count() == total
    assert page.locator("#tick").inner_text() == "All papers are cut"


def test_the_page_is_worked_with_keys_alone(open_page: Any) -> None:
    page = open_page("folding_theatre")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.id") == "tick"
    page.locator("#pass-1-1 input").first.focus()
    page.keyboard.press("Space")
    assert page.locator("#pass-1-1 input").first.is_checked()
    page.keyboard.press("Enter")
    assert not page.locator("#pass-1-1 input").first.is_checked()
    page.evaluate("document.querySelectorAll('.papers button')[1].click()")
    page.locator("#pass-2-1 input").first.focus()
    page.keyboard.press("ArrowDown")
    assert page.evaluate("document.activeElement.id") == "pass-2-2-1"
    page.keyboard.press("Enter")
    assert page.locator("#pass-2-2-1").is_checked()
    page.keyboard.press("ArrowUp")
    assert page.evaluate("document.activeElement.id") == "pass-2-1-1"


def test_the_next_pass_is_said_aloud(open_page: Any) -> None:
    page = open_page("folding_theatre")
    aloud = page.locator("#aloud")
    assert aloud.get_attribute("aria-live") == "polite"
    page.evaluate("document.querySelectorAll('.papers button')[1].click()")
    page.locator("#tick").click()
    said = aloud.text_content()
    line = plan_of("folding_theatre").papers[1].order.passes[1]
    assert said.startswith("Next: gold, ")
    assert f"stop at {spoken(Length(line.setting), Unit.INCH)}" in said


def test_a_phone_is_never_scrolled_sideways_and_targets_are_large(open_page: Any) -> None:
    for name in NAMES:
        page = open_page(name, PHONE)
        page.locator("summary").tap()
        assert page.evaluate("document.documentElement.scrollWidth") <= PHONE[0]
        small = page.eval_on_selector_all(
            "button, label.tick, label.line, summary, .jump a",
            """all => all.map(e => [e.id || e.textContent.trim(), e.getBoundingClientRect()])
                      .filter(([, r]) => r.width && (r.height < 47.5 || r.width < 47.5)).map(([name]) => name)""",
        )
        assert small == []


def test_dark_follows_the_device_and_the_button_and_is_kept(open_page: Any) -> None:
    ground = "getComputedStyle(document.body).backgroundColor"
    page = open_page("folding_theatre", dark=True)
    dark = page.evaluate(ground)
    assert page.locator("#look").get_attribute("aria-pressed") == "true"
    page.locator("#look").tap()
    light = page.evaluate(ground)
    assert (dark, light) == ("rgb(20, 23, 26)", "rgb(255, 255, 255)")
    page.reload()
    assert page.evaluate(ground) == light


def test_without_a_place_to_keep_ticks_the_page_works_and_says_so(open_page: Any) -> None:
    page = open_page("folding_theatre")
    page.add_init_script("Storage.prototype.setItem = () => { throw new Error('full'); };")
    page.reload()
    page.locator("#tick").click()
    assert page.locator("li.pass input:checked").count() == 1
    assert page.locator("#kept").is_visible()


@pytest.mark.parametrize(("name", "n"), [(name, n) for n, name in enumerate(NAMES)])
def test_axe_finds_nothing(open_page: Any, name: str, n: int) -> None:
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe-core is not installed")
    page = open_page(name, (PHONE, TABLET)[n % 2], n % 4 > 1)
    page.locator("summary").click()
    for _ in range(3):
        page.locator("#tick").click()
    found = axe.Axe().run(page).response["violations"]
    assert [(each["id"], each["impact"], each["nodes"][0]["html"][:120]) for each in found] == []
    assert page.evaluate("document.documentElement.scrollWidth") <= page.evaluate("innerWidth")


def test_axe_would_find_a_box_without_a_label(open_page: Any) -> None:
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe-core is not installed")
    page = open_page("folding_theatre")
    page.evaluate("document.querySelector('label.tick span').remove()")
    assert "label" in {each["id"] for each in axe.Axe().run(page).response["violations"]}


def test_on_paper_all_is_there_and_nothing_is_greyed(open_page: Any, tmp_path: Path) -> None:
    pypdf = pytest.importorskip("pypdf", reason="pypdf is not installed")
    page = open_page("folding_theatre", dark=True)
    page.locator("#tick").click()
    page.pdf(path=tmp_path / "print.pdf", format="Letter")
    text = " ".join(each.extract_text() for each in pypdf.PdfReader(tmp_path / "print.pdf").pages)
    for paper in plan_of("folding_theatre").papers:
        assert paper.paper.name in text
    assert "Done, show the next" not in text
    page.emulate_media(media="print")
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(255, 255, 255)"
    assert page.locator("section.paper:visible").count() == len(plan_of("folding_theatre").papers)
