"""What is changed on the page lands in the files, and nothing else does: comments, order and spelling stay."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
from desks import demo, starter, visiting

from nesting.describe.project_file import read_project
from nesting.desk.edits import shown_fields, shown_rows
from nesting.desk.toml_edit import read_document

PAPERS = """# my papers

[paper.pine]   # the green one
sheet = "12 x 12"   # big
price = 0.80

# next one
[paper.kraft]
sheet = "A4"
at_hand = 2
"""


def test_a_field_changes_its_line_and_no_other(tmp_path: Path) -> None:
    folder = starter(tmp_path / "p")
    (folder / "papers.toml").write_text(
        (folder / "papers.toml").read_text("utf-8") + "\n" + PAPERS.replace("pine", "oak")
    )
    before = (folder / "papers.toml").read_text("utf-8")
    with visiting(folder) as visitor:
        answer = visitor.save("paper", "oak", fields={"price": "0.95", "grain": "up"})
        assert answer.json is not None
        assert answer.json["saved"] == ["papers.toml"]
    expected = before.replace("big\nprice = 0.80\n", 'big\nprice = 0.95\ngrain = "up"\n')
    assert (folder / "papers.toml").read_text("utf-8") == expected


@pytest.mark.parametrize("ends", ["\n", "\r\n"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
def test_saving_what_is_there_changes_no_byte(tmp_path: Path, ends: str, mark: str) -> None:
    """Every form of every demo, sent back as it was shown."""
    for name in ("harvest_stall", "folding_theatre", "winter_window", "lantern_walk"):
        folder = demo(name, tmp_path / f"{name}{len(ends)}{len(mark)}")
        for path in folder.glob("*.toml"):
            path.write_bytes((mark + path.read_text("utf-8").replace("\n", ends)).encode("utf-8"))
        before = {path.name: path.read_bytes() for path in folder.iterdir()}
        with visiting(folder) as visitor:
            for path in sorted(folder.glob("*.toml")):
                document = read_document(path.read_text("utf-8-sig"))
                assert document is not None
                for what in ("paper", "design"):
                    for one, table in (document.get(what) or {}).items():
                        fields = {f.key: now.text for f, now in shown_fields(what, table)}
                        rows = [_as_sent(row) for row in shown_rows(table)] if what == "design" else None
                        assert visitor.save(what, one, fields=fields, rows=rows).status_code == 200
        assert {path.name: path.read_bytes() for path in folder.iterdir()} == before


def _rows(file: Path, design: str) -> list[dict[str, str]]:
    """A design's parts as the page sends them back."""
    document = read_document(file.read_text("utf-8"))
    assert document is not None
    return [_as_sent(row) for row in shown_rows(document["design"][design])]


def _as_sent(row: dict[str, object]) -> dict[str, str]:
    return {key: value if isinstance(value, str) else getattr(value, "text", "") for key, value in row.items()}


def _new_part(**said: str) -> dict[str, str]:
    """A row that is not in the file yet."""
    return {"was": "", **said}


def test_parts_are_changed_added_and_taken_out_with_their_comments(tmp_path: Path) -> None:
    folder = demo("harvest_stall", tmp_path / "p")
    with visiting(folder) as visitor:
        rows = _rows(folder / "cottage_window.toml", "cottage window")
        rows = [row for row in rows if row["name"] != "sill"]
        rows[1]["amount"] = "1/4"
        new = _new_part(kind="tab", name="pull", paper="moss", rule="size", amount="1 x 1/2", count="2")
        assert visitor.save("design", "cottage window", rows=[*rows, new]).status_code == 200
    text = (folder / "cottage_window.toml").read_text("utf-8")
    assert "# behind the window" in text
    assert "sill" not in text
    parts = tomllib.loads(text)["design"]["cottage window"]["parts"]
    assert parts[1] == {"mat": "wall", "on": "front", "paper": "kraft", "smaller_by": "1/4"}
    assert parts[-1] == {"tab": "pull", "paper": "moss", "count": 2, "size": "1 x 1/2"}
    read_project(folder)


def test_parts_written_line_by_line_stay_so(tmp_path: Path) -> None:
    folder = starter(tmp_path / "p")
    (folder / "more.toml").write_text(
        '[design.tall]\nfamily = "half fold"\nbase = "cream"\nsize = "4 x 5"\n\n[[design.tall.parts]]\n'
        'layer = "view"  # the view\non = "front"\npaper = "pine"\nborder = { left = "1/8", top = "1/8",'
        ' right = "1/8", bottom = "3/4" }\n', "utf-8",
    )  # fmt: skip
    with visiting(folder) as visitor:
        rows = _rows(folder / "more.toml", "tall")
        rows[0]["paper"] = "cream"
        new = _new_part(kind="mat", name="m", on="view", paper="pine", rule="smaller_by", amount="1/8")
        assert visitor.save("design", "tall", rows=[*rows, new]).status_code == 200
    text = (folder / "more.toml").read_text("utf-8")
    assert text.count("[[design.tall.parts]]") == 2
    assert 'layer = "view"  # the view' in text
    assert tomllib.loads(text)["design"]["tall"]["parts"][0]["border"]["bottom"] == "3/4"
    read_project(folder)


def test_a_new_card_comes_with_its_number_and_goes_again(tmp_path: Path) -> None:
    folder = starter(tmp_path / "p")
    before = {path.name: path.read_text("utf-8") for path in folder.iterdir()}
    with visiting(folder) as visitor:
        fields = {"family": "gate fold", "base": "cream", "size": "4 x 5", "count": "7"}
        assert visitor.save("new design", "gates of may", fields=fields).status_code == 200
        project = read_project(folder)
        assert project.design("gates of may").family == "gate fold"
        assert [line.count for line in project.batch] == [20, 7]
        assert visitor.save("new design", "gates of may", fields=fields).status_code == 400
        assert visitor.save("no design", "gates of may").status_code == 200
        after = {path.name: path.read_text("utf-8") for path in folder.iterdir()}
        assert {name: text.rstrip() for name, text in after.items()} == {
            name: text.rstrip() for name, text in before.items()
        }


def test_a_card_gets_another_name_everywhere(tmp_path: Path) -> None:
    folder = starter(tmp_path / "p")
    more = (
        '[design."a b"]  # second\nbase = "cream"\nsize = "4 x 5"\n\n[design."a b".costs]\nminutes = 3\n\n'
        '[[design.\'a b\'.parts]]\nblank = "a b"\npaper = "pine"\nsize = "1 x 1"\n'
    )
    (folder / "more.toml").write_text(more, "utf-8")
    (folder / "batch.toml").write_text('[batch]\ncards = { autumn = 2, "a b" = 3 }  # so many\n', "utf-8")
    with visiting(folder) as visitor:
        assert visitor.save("rename design", "a b", fields={"to": "fern"}).status_code == 200
        assert visitor.save("rename design", "autumn", fields={"to": "herbst 2"}).status_code == 200
        for wrong in ("", "fern", "  "):
            assert visitor.save("rename design", "herbst 2", fields={"to": wrong}).status_code == 400
    assert (folder / "batch.toml").read_text("utf-8") == '[batch]\ncards = { "herbst 2" = 2, fern = 3 }  # so many\n'
    text = (folder / "more.toml").read_text("utf-8")
    assert text == more.replace('[design."a b"', "[design.fern").replace("[[design.'a b'", "[[design.fern")
    project = read_project(folder)
    assert [design.name for design in project.designs] == ["herbst 2", "fern"]
    assert [line.count for line in project.batch] == [2, 3]


def test_a_paper_taken_out_leaves_the_comment_of_the_next(tmp_path: Path) -> None:
    folder = starter(tmp_path / "p")
    (folder / "more.toml").write_text(PAPERS.replace("pine", "oak"), "utf-8")
    with visiting(folder) as visitor:
        assert visitor.save("no paper", "oak").status_code == 200
    assert (folder / "more.toml").read_text(
        "utf-8"
    ) == '# my papers\n\n# next one\n[paper.kraft]\nsheet = "A4"\nat_hand = 2\n'


def test_a_table_that_is_not_there_yet_is_made(tmp_path: Path) -> None:
    folder = starter(tmp_path / "p")
    (folder / "trimmer.toml").unlink()
    with visiting(folder) as visitor:
        assert visitor.save("trimmer", fields={"longest_cut": "", "kerf": ""}).status_code == 200
        assert not (folder / "trimmer.toml").exists()
        assert visitor.save("trimmer", fields={"longest_cut": "12"}).status_code == 200
        assert visitor.save("costs", fields={"hour": "15", "margin": "35 %"}).status_code == 200
    project = read_project(folder)
    assert project.trimmer.longest_cut is not None
    assert project.costs.hour == 1500


def test_an_outside_edit_is_not_written_over(tmp_path: Path) -> None:
    folder = starter(tmp_path / "p")
    with visiting(folder) as visitor:
        seen = visitor.seen()
        theirs = (folder / "batch.toml").read_text("utf-8").replace("autumn = 20", "autumn = 33")
        (folder / "batch.toml").write_text(theirs, "utf-8")
        answer = visitor.save("counts", seen=seen, fields={"autumn": "21"})
        assert answer.status_code == 409
        assert answer.json is not None
        assert "33" in answer.json["conflict"]
        assert "21" in answer.json["conflict"]
        assert (folder / "batch.toml").read_text("utf-8") == theirs
        assert visitor.save("batch", seen=seen, over=True, fields={"title": "Mine"}).status_code == 200
    assert (folder / "batch.toml").read_text("utf-8") == theirs.replace("My first batch", "Mine")


def test_another_file_that_changed_does_not_stand_in_the_way(tmp_path: Path) -> None:
    folder = starter(tmp_path / "p")
    with visiting(folder) as visitor:
        seen = visitor.seen()
        (folder / "papers.toml").write_text((folder / "papers.toml").read_text("utf-8") + "# more\n", "utf-8")
        assert visitor.save("counts", seen=seen, fields={"autumn": "21"}).status_code == 200
    assert "# more" in (folder / "papers.toml").read_text("utf-8")


def test_every_save_is_undone_and_done_again(tmp_path: Path) -> None:
    folder = starter(tmp_path / "p")
    states = [_bytes(folder)]
    with visiting(folder) as visitor:
        for number in ("21", "22"):
            visitor.save("counts", fields={"autumn": number})
            states.append(_bytes(folder))
        visitor.save("costs", fields={"hour": "15"})
        assert (folder / "costs.toml").exists()
        for state in states[::-1]:
            assert visitor.post("/undo").status_code == 200
            assert _bytes(folder) == state
        assert visitor.post("/undo").status_code == 400
        for state in states[1:]:
            assert visitor.post("/redo").status_code == 200
            assert _bytes(folder) == state


def test_undo_does_not_write_over_an_outside_edit(tmp_path: Path) -> None:
    folder = starter(tmp_path / "p")
    with visiting(folder) as visitor:
        visitor.save("counts", fields={"autumn": "21"})
        (folder / "batch.toml").write_text("[batch]\ncards = { autumn = 5 }\n", "utf-8")
        answer = visitor.post("/undo")
        assert answer.status_code == 400
        assert "changed outside" in answer.text
    assert (folder / "batch.toml").read_text("utf-8") == "[batch]\ncards = { autumn = 5 }\n"


def test_a_draft_gets_the_readers_own_sentences_and_is_not_saved(tmp_path: Path) -> None:
    folder = starter(tmp_path / "p")
    before = _bytes(folder)
    with visiting(folder) as visitor:
        answer = visitor.post("/check", {"what": "design", "name": "autumn", "fields": {"size": "8 1/3 x oops"}})
        assert answer.json is not None
        (problem,) = answer.json["problems"]
        assert problem["subject"] == "design “autumn”, size"
        assert "8 1/3" in problem["what"]
        good = visitor.post("/check", {"what": "design", "name": "autumn", "fields": {"size": "9 x 5 1/2"}})
        assert good.json is not None
        assert good.json["problems"] == []
        assert "<svg" in good.json["drawing"]
    assert _bytes(folder) == before


def test_a_broken_file_is_shown_with_its_mistake_and_mended_on_the_page(tmp_path: Path) -> None:
    folder = starter(tmp_path / "p")
    whole = (folder / "papers.toml").read_text("utf-8")
    (folder / "papers.toml").write_text(whole.replace("[paper.cream]", "[paper.cream"), "utf-8")
    with visiting(folder) as visitor:
        page = visitor.get("/").text
        assert "papers.toml, line" in page
        assert "the heading does not end with ]" in page
        for address in ("/cards", "/papers", "/card/autumn", "/cost", "/files", "/cut", "/packet", "/drawer"):
            assert visitor.get(address).status_code in (200, 404), address
        assert visitor.save("file", "papers.toml", fields={"text": whole}).status_code == 200
        assert "to mend" not in visitor.get("/").text


def _bytes(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file()}
