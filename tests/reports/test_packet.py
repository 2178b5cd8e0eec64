"""The packet: every page numbered once, every paper, map, pass and base in it, nothing left out."""

from __future__ import annotations

import functools
import io
import json
import re
import tempfile
from collections import Counter
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from demos import NAMES, plan_of
from piece_counts import random_plan

from nesting.cost.sheet import cost_sheet
from nesting.errors import NestingError
from nesting.packet_commands import packet_command
from nesting.plan import Plan
from nesting.reports import packet_folder
from nesting.reports.drawing import Drawing, Label, Text, every_group, every_shape
from nesting.reports.kits import kits
from nesting.reports.lettering import TIMES
from nesting.reports.packet import packet
from nesting.reports.packet_folder import is_of_another_plan, write_packet
from nesting.reports.page_frame import A4, LETTER, PageSize
from nesting.reports.pages import save_pages
from nesting.reports.plan_folder import write_plan
from nesting.reports.text_pages import kit_title


@functools.cache
def pages_of(name: str, size: PageSize) -> tuple[Drawing, ...]:
    return packet(plan_of(name), size)


def words_of(page: Drawing) -> list[str]:
    said = []
    for shape in every_shape(page.shapes):
        if isinstance(shape, Text):
            said.append(shape.text)
        elif isinstance(shape, Label):
            said.append("".join(run.text for run in shape.ink() if isinstance(run, Text)))
    return said


@pytest.mark.parametrize(("name", "size"), [("lantern_walk", LETTER), ("class_kit_list", A4), ("folding_theatre", A4)])
def test_pages_are_numbered_from_one_to_the_last_and_all_of_one_size(name: str, size: PageSize) -> None:
    pages = pages_of(name, size)
    found = [re.search(r"page (\d+) of (\d+)", " ".join(words_of(page))) for page in pages]
    assert [match and match[0] for match in found] == [f"page {n} of {len(pages)}" for n in range(1, len(pages) + 1)]
    assert {(page.width, page.height) for page in pages} == {(size.width, size.height)}


def test_every_paper_has_pages_with_all_its_layouts() -> None:
    plan = plan_of("lantern_walk")
    pages = pages_of("lantern_walk", LETTER)
    for paper in plan.papers:
        said = [" ".join(words_of(page)) for page in pages if paper.paper.name in words_of(page)[:1]]
        assert said
        for number in range(1, len(paper.uses) + 1):
            assert any(f"Layout {number}" in text for text in said)


@pytest.mark.parametrize("name", NAMES)
def test_the_maps_of_a_pass_are_on_its_page_or_the_page_says_where(name: str) -> None:
    lines = 0
    for page in pages_of(name, LETTER):
        maps = {group.get("layout") for group in every_group(page.shapes, "map")}
        pointed = set(re.findall(r"[Ll]ayout (\d+): see", " ".join(words_of(page))))
        for group in every_group(page.shapes, "pass"):
            assert set(group.get("layouts").split()) <= maps | pointed
            lines += 1
    assert lines == sum(len(paper.order.passes) for paper in plan_of(name).papers)


@pytest.mark.parametrize("name", NAMES)
def test_no_page_holds_the_last_row_or_two_of_a_kit_alone(name: str) -> None:
    for page in pages_of(name, LETTER):
        if words_of(page)[:1] == ["Kits"]:
            assert sum(1 for _ in every_group(page.shapes, "kit-part")) > 2


def test_every_scored_base_has_its_fold_sheet() -> None:
    plan = plan_of("lantern_walk")
    said = [" ".join(words_of(page)) for page in pages_of("lantern_walk", LETTER)]
    for design in plan.project.designs:
        assert any(design.name in text and "fold sheet" in text for text in said)


def test_the_cover_says_how_to_keep_ones_fingers() -> None:
    assert "makers' instructions" in " ".join(words_of(pages_of("class_kit_list", A4)[0]))


def test_a_window_cut_into_the_front_of_a_card_is_on_its_fold_sheet() -> None:
    pages = pages_of("harvest_stall", LETTER)
    sheet, to_lay_under = [words_of(page) for page in pages if words_of(page)[:1] == ["cottage window"]]
    assert "cut out with a knife" in sheet
    assert "window" in sheet
    assert "window" in to_lay_under


def test_eight_papers_have_room_on_one_cover() -> None:
    assert len(plan_of("harvest_stall").papers) == 8
    second = words_of(pages_of("harvest_stall", LETTER)[1])
    assert second[0] == "Shopping list"


def test_what_is_cut_out_of_mats_first_is_said_with_the_paper_and_among_the_cautions() -> None:
    pages = [words_of(page) for page in pages_of("winter_window", LETTER)]
    spruce = [words for words in pages if words[:1] == ["spruce"]]
    plan = plan_of("winter_window")
    (paper,) = [one for one in plan.papers if one.paper.name == "spruce"]
    (number,) = [n for n, use in enumerate(paper.uses, 1) if paper.packing.sources[use.sheet].kind.from_a_piece]
    assert all(f"knife first: layout {number}" in " ".join(words) for words in spruce)
    (cautions,) = [" ".join(words) for words in pages if words[:1] == ["Cautions"]]
    assert "Before gluing, cut 1 centre of 4 x 4 in out of" in cautions


def test_the_packet_cautions_as_schools_and_makers_do() -> None:
    """Knives and trimmers: nsead.org's page for makers; glue and sprays: makers' safety sheets (130 to 200 °C)."""
    (cautions,) = [words for words in map(words_of, pages_of("harvest_stall", LETTER)) if words[:1] == ["Cautions"]]
    said = " ".join(word for line in cautions for word in line.split() if word != "•")
    for words in (
        "instructions of the makers", "sharp blade: a blunt one slips", "metal safety ruler", "a mat larger than",
        "free hand behind the blade", "out of the line of the cut", "Cap or draw in the blade", "hard box",
        "guard fitted", "fingers off the rail and out of the slot", "blade down", "children away", "130 to 200 °C",
        "heat-proof mat", "Never touch", "away from flames", "Good light, a clear table",
    ):  # fmt: skip
        assert words in said, words


# ------------------------------------------------------------------------------------------ the printed file


@functools.cache
def pdf_of(name: str, page: str) -> Any:
    pypdf = pytest.importorskip("pypdf", reason="pypdf is not installed: the PDF is not read")
    with tempfile.TemporaryDirectory() as folder:
        save_pages(pages_of(name, A4 if page == "A4" else LETTER), Path(folder) / "packet.pdf")
        return pypdf.PdfReader(io.BytesIO((Path(folder) / "packet.pdf").read_bytes()))


def text_of(page: Any) -> str:
    return " ".join(str(page.extract_text()).split())


def lines_of(page: Any) -> list[float]:
    """The length of every straight stroke of a page, in points of the paper."""
    from pypdf.generic import ContentStream

    scale, kept, lengths = (1.0, 1.0), [], []
    start = (0.0, 0.0)
    for numbers, sign in ContentStream(page.get_contents(), page.pdf).operations:
        if sign == b"q":
            kept.append(scale)
        elif sign == b"Q":
            scale = kept.pop()
        elif sign == b"cm":
            scale = (scale[0] * float(numbers[0]), scale[1] * float(numbers[3]))
        elif sign == b"m":
            start = (float(numbers[0]), float(numbers[1]))
        elif sign == b"l":
            end = (float(numbers[0]), float(numbers[1]))
            across, up = (end[0] - start[0]) * scale[0], (end[1] - start[1]) * scale[1]
            lengths.append((across**2 + up**2) ** 0.5)
            start = end
    return lengths


@pytest.mark.parametrize(("name", "page"), [("folding_theatre", "letter"), ("folding_theatre", "A4"),
                                            ("lantern_walk", "letter")])  # fmt: skip
def test_a_line_of_4_in_and_one_of_100_mm_measure_that_on_every_fold_sheet(name: str, page: str) -> None:
    sheets = [each for each in pdf_of(name, page).pages if "measure these lines" in text_of(each)]
    bases = sum(len(design.bases) for design in plan_of(name).project.designs)
    assert bases == sum("fold sheet" in text_of(each) for each in sheets)
    assert len(sheets) == bases + sum("to lay under" in text_of(each) for each in sheets)
    for each in sheets:
        lengths = lines_of(each)
        assert any(abs(length - 4 * 72) < 0.01 for length in lengths)  # a point is 1/72 in
        assert any(abs(length - 100 / 25.4 * 72) < 0.01 for length in lengths)


@pytest.mark.parametrize("page", ["letter", "A4"])
def test_the_sheets_have_the_size_they_are_printed_on(page: str) -> None:
    wide, high = (8.5 * 72, 11 * 72) if page == "letter" else (210 / 25.4 * 72, 297 / 25.4 * 72)
    for each in pdf_of("folding_theatre", page).pages:
        assert float(each.mediabox.width) == pytest.approx(wide, abs=0.02)
        assert float(each.mediabox.height) == pytest.approx(high, abs=0.02)


@pytest.mark.parametrize("name", NAMES)
def test_the_text_of_the_pdf_has_the_numbers_of_the_plan(name: str) -> None:
    numbers_of_the_plan(plan_of(name), [text_of(each) for each in pdf_of(name, "letter").pages])


@pytest.mark.parametrize("seed", range(2))
def test_the_words_of_the_packet_of_any_plan_are_its_numbers(seed: int) -> None:
    plan = random_plan(seed)
    numbers_of_the_plan(plan, [" ".join(" ".join(words_of(page)).split()) for page in packet(plan, A4)])


def numbers_of_the_plan(plan: Plan, texts: list[str]) -> None:
    """What is said on the pages of a packet, against the plan."""
    shop = " ".join(text for text in texts if text.startswith("Shopping list"))
    sheet = cost_sheet(plan, plan.project.costs)
    for line in sheet.to_buy if plan.purchase is None else ():
        price = "?" if line.cents is None else plan.project.currency.amount(line.cents)
        assert re.search(rf"\b{line.count} {re.escape(line.paper)} .*{re.escape(price)}", shop)
    for bought in plan.purchase.lines if plan.purchase else ():
        price = plan.project.currency.amount(bought.offer.cents * bought.count)
        assert re.search(rf"\b{bought.count} .*{re.escape(price)}", shop)
    if plan.price is not None and plan.to_buy:
        assert plan.project.currency.write(plan.price) in shop
    for paper in plan.papers:
        mine = [text for text in texts if text.startswith(f"{paper.paper.name} ") and "pass, in this order" in text]
        strokes = sum(line.strokes for line in paper.order.passes)
        assert all(f"{strokes} cut{'' if strokes == 1 else 's'}" in text for text in mine)
        assert any(re.search(rf"{paper.sheets} sheets?\b", text) for text in mine)
    costs = " ".join(text for text in texts if text.startswith("Cost sheet"))
    wanted = [cents for line in sheet.lines for cents in (*line.shares, line.cents)]
    wanted += [design.cents for design in sheet.designs] + [sheet.total]
    for cents, count in Counter(wanted).items():
        assert len(re.findall(rf"(?<![\d.]){re.escape(plan.project.currency.amount(cents))}(?![\d.])", costs)) >= count


@pytest.mark.parametrize("name", NAMES)
def test_the_totals_below_the_maps_are_the_pieces_of_the_plan(name: str) -> None:
    """Every piece is on one map: parts drawn times copies, counted paper by paper, are what was to be cut."""
    plan = plan_of(name)
    pages = pages_of(name, LETTER)
    for paper in plan.papers:
        drawn: Counter[str] = Counter()
        seen: set[str] = set()
        for page in pages:
            if words_of(page)[:1] != [paper.paper.name]:
                continue
            for group in every_group(page.shapes, "map"):
                number = group.get("layout")
                if number not in seen:
                    seen.add(number)
                    for part in every_group(group.shapes, "part"):
                        if part.get("what") == "piece":
                            drawn[part.get("letter")] += paper.uses[int(number) - 1].copies
        wanted = Counter({
            letter: sum(piece.count for piece in paper.packing.kinds[kind]) for kind, letter in paper.letters.items()
        })  # fmt: skip
        assert drawn == wanted
        assert seen == {str(n + 1) for n in range(len(paper.uses))}


def test_every_kit_and_every_label_has_its_place_in_the_print() -> None:
    plan = plan_of("lantern_walk")
    texts = [text_of(each) for each in pdf_of("lantern_walk", "letter").pages]
    said = " ".join(text for text in texts if text.startswith("Kits"))
    for kit in kits(plan).kits:
        assert kit_title(kit) in said
    drawings = [page for page in pages_of("lantern_walk", LETTER) if words_of(page)[:1] == ["Labels"]]
    labels = sum(len(list(every_group(page.shapes, "label"))) for page in drawings)
    lots = {(paper.paper.name, *offcut.sides) for paper in plan.papers for offcut in paper.offcuts}
    assert labels == len(lots)
    texts = [text for page in drawings for text in words_of(page)]
    counts = [int(found[1]) for text in texts if (found := re.fullmatch(rf"{TIMES} (\d+)", text))]
    assert sum(counts) + labels - len(counts) == sum(c.count for paper in plan.papers for c in paper.offcuts)


# ------------------------------------------------------------------------------------------ the folder


@functools.cache
def small_plan(number: int) -> Plan:
    """One paper, so that a packet of it is quickly drawn; each number gives another plan."""
    plan = plan_of("folding_theatre")
    return replace(plan, papers=plan.papers[number : number + 1])


def names_in(folder: Path) -> set[str]:
    return {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}


def test_a_later_packet_takes_away_what_an_earlier_one_wrote_and_nothing_else(tmp_path: Path) -> None:
    write_packet(small_plan(0), tmp_path)
    before = names_in(tmp_path)
    (tmp_path / "maps" / "mine.png").write_text("mine")
    (tmp_path / "notes.txt").write_text("mine")
    written = write_packet(small_plan(1), tmp_path, "A4")
    now = names_in(tmp_path)
    assert now == {path.relative_to(tmp_path).as_posix() for path in written} | {"maps/mine.png", "notes.txt"}
    gone = {name for name in before if name.startswith("maps/")}
    assert gone
    assert before - now == gone
    assert {"packet.pdf", "packet.html", "full_size/theatre-base.svg"} <= now
    assert not [name for name in now if Path(name).name.startswith(".")]


@pytest.fixture
def one_page(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where only the folder is looked at, one page stands for the whole PDF."""
    monkeypatch.setattr(packet_folder, "packet", lambda plan, size: pages_of("folding_theatre", size)[:1])


@pytest.mark.usefixtures("one_page")
def test_a_packet_of_another_plan_or_not_whole_is_told_apart(tmp_path: Path) -> None:
    assert not is_of_another_plan(small_plan(0), tmp_path)  # there is none
    write_packet(small_plan(0), tmp_path, pictures=False)
    assert not is_of_another_plan(small_plan(0), tmp_path)
    assert is_of_another_plan(small_plan(1), tmp_path)
    data = json.loads((tmp_path / "packet.json").read_text())
    (tmp_path / "packet.json").write_text(json.dumps(data | {"plan": ""}))
    assert is_of_another_plan(small_plan(0), tmp_path)


@pytest.mark.usefixtures("one_page")
def test_a_list_that_names_foreign_files_is_not_believed(tmp_path: Path) -> None:
    outside = tmp_path / "outside.png"
    outside.write_text("mine")
    folder = tmp_path / "packet"
    folder.mkdir()
    evil = ["../outside.png", str(outside), "maps/../../outside.png", "notes.txt", 7]
    (folder / "notes.txt").write_text("mine")
    (folder / "packet.json").write_text(json.dumps({"format": "sheet packet", "files": evil}))
    write_packet(small_plan(0), folder, pictures=False)
    assert outside.exists()
    assert (folder / "notes.txt").exists()


@pytest.mark.usefixtures("one_page")
@pytest.mark.parametrize("text", ["no list at all", "[]", '{"format": "sheet packet", "files": 7}', '{"format": 7}'])
def test_a_list_that_is_none_is_written_anew(tmp_path: Path, text: str) -> None:
    (tmp_path / "packet.json").write_text(text)
    written = write_packet(small_plan(0), tmp_path, pictures=False)
    assert {path.relative_to(tmp_path).as_posix() for path in written} == names_in(tmp_path)
    assert not (tmp_path / "maps").exists()


def test_a_folder_that_cannot_be_written_is_said_in_a_sentence(tmp_path: Path) -> None:
    (tmp_path / "packet").write_text("a file where the folder should be")
    with pytest.raises(NestingError, match="the packet could not be written"):
        write_packet(small_plan(0), tmp_path / "packet")


@pytest.mark.usefixtures("one_page")
def test_the_command_writes_the_packet_and_says_where_it_is(tmp_path: Path) -> None:
    command = packet_command(lambda call: call, lambda project, effort, order, drawer, file: small_plan(0))
    words = [str(tmp_path), "--page", "A4", "--no-pictures"]
    result = CliRunner().invoke(command, words, catch_exceptions=False)
    assert result.exit_code == 0
    assert re.fullmatch(r"\d+ files in .*packet: print packet\.pdf, open packet\.html on the tablet\.\n", result.output)
    result = CliRunner().invoke(command, [*words, "--json"], catch_exceptions=False)
    listed = json.loads(result.output)
    assert listed["folder"] == str(tmp_path / "packet")
    assert set(listed["files"]) == names_in(tmp_path / "packet")


@pytest.mark.usefixtures("one_page")
def test_plan_and_packet_say_when_they_are_not_of_one_plan(tmp_path: Path) -> None:
    command = packet_command(lambda call: call, lambda project, effort, order, drawer, file: small_plan(0))
    write_plan(small_plan(1), tmp_path / "plan", maps=False)
    result = CliRunner().invoke(command, [str(tmp_path), "--no-pictures"], catch_exceptions=False)
    assert f"The plan in {tmp_path / 'plan'} is another one" in result.output
    write_plan(small_plan(0), tmp_path / "plan", maps=False)
    result = CliRunner().invoke(command, [str(tmp_path), "--no-pictures"], catch_exceptions=False)
    assert "another" not in result.output
