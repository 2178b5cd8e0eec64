"""The commands as people use them: a project of one's own in a fresh folder, mistakes, files, exit codes."""

from __future__ import annotations

import csv
import json
import subprocess
import sys
from pathlib import Path

import jsonschema
import pytest
from click.testing import CliRunner, Result
from demos import DEMOS, plan_of

from nesting.command_line import main
from nesting.reports.plan_data import schema


def run(*words: str | Path) -> Result:
    return CliRunner().invoke(main, [str(word) for word in words], catch_exceptions=False)


@pytest.fixture
def project(tmp_path: Path) -> Path:
    folder = tmp_path / "autumn"
    assert run("new", folder).exit_code == 0
    return folder


def run_on(folder: Path, papers: str, row: str) -> Result:
    """Plan one row of a piece list from these papers."""
    (folder / "papers.toml").write_text(papers, "utf-8")
    (folder / "list.csv").write_text(f"paper,width,height,quantity,label\n{row}\n", "utf-8")
    return run("plan", folder)


def test_a_new_project_plans_at_once(project: Path) -> None:
    result = run("plan", project)
    assert result.exit_code == 0
    assert "proven best" in result.output
    assert "Buy" in result.output
    data = json.loads((project / "plan" / "plan.json").read_text("utf-8"))
    jsonschema.Draft202012Validator(schema()).validate(data)
    names = {path.name for path in (project / "plan").iterdir()}
    assert {*data["files"], "plan.json"} == names
    assert any(name.endswith(".png") for name in data["files"])
    assert any(name.endswith(".svg") for name in data["files"])


def test_new_never_writes_over_what_is_there(project: Path) -> None:
    before = {path: path.read_bytes() for path in project.iterdir()}
    result = run("new", project)
    assert result.exit_code == 1
    assert {path: path.read_bytes() for path in project.iterdir()} == before


def test_a_second_plan_takes_away_only_what_the_first_one_wrote(project: Path) -> None:
    run("plan", project)
    own = project / "plan" / "my-notes.txt"
    own.write_text("mine", "utf-8")
    run("plan", project, "--no-maps")
    names = {path.name for path in (project / "plan").iterdir()}
    assert names == {"plan.json", "pieces.csv", "sheets.csv", "cuts.csv", "my-notes.txt"}


def test_check_counts_what_it_read(project: Path) -> None:
    result = run("check", project)
    assert result.exit_code == 0
    assert "20 cards" in result.output


def test_check_says_all_as_json_too_mistakes_as_well(project: Path) -> None:
    found = json.loads(run("check", project, "--json", "--fit").output)
    assert (found["mistakes"], found["cards"]) == ([], 20)
    assert [one["design"] for one in found["fit"]] == ["autumn"]
    batch = project / "batch.toml"
    batch.write_text(batch.read_text("utf-8").replace("autumn = 20", "autum = 20"), "utf-8")
    result = run("check", project, "--json")
    (mistake,) = json.loads(result.output)["mistakes"]
    assert result.exit_code == 1
    assert mistake["file"].endswith("batch.toml")
    assert mistake["line"] > 0
    assert "autum" in mistake["what"] + mistake["of"]


def test_the_packet_is_made_from_the_shell(project: Path) -> None:
    result = run("packet", project, "--no-pictures")
    assert result.exit_code == 0
    assert {"packet.pdf", "packet.html", "packet.json"} <= {path.name for path in (project / "packet").iterdir()}
    assert "\x1b" not in result.output  # no colour where it is piped
    run("plan", project, "--no-maps")
    batch = project / "batch.toml"
    batch.write_text(batch.read_text("utf-8").replace("autumn = 20", "autumn = 12"), "utf-8")
    assert "is of another plan" in run("plan", project, "--no-maps").output


def test_all_mistakes_of_all_files_are_said_in_one_go_and_nothing_is_written(project: Path) -> None:
    papers = project / "papers.toml"
    papers.write_text(papers.read_text("utf-8").replace('"12 x 12"', '"12 x twelve"', 1), "utf-8")
    batch = project / "batch.toml"
    batch.write_text(batch.read_text("utf-8").replace("autumn = 20", "autum = 20"), "utf-8")
    result = run("plan", project)
    assert result.exit_code == 1
    assert "twelve" in result.stderr
    assert "papers.toml, line" in result.stderr
    assert "autum" in result.stderr
    assert "Traceback" not in result.stderr
    assert not (project / "plan").exists()


def test_a_piece_too_large_for_its_paper_says_by_how_much_and_what_to_do(tmp_path: Path) -> None:
    result = run_on(tmp_path, '[paper.red]\nsheet = "12 x 12"\nprint = "one-way"\n', "red,13 1/2,3,2,banner")
    assert result.exit_code == 1
    assert "banner" in result.stderr
    assert "1 1/2 in too wide" in result.stderr
    assert "larger sheet" in result.stderr


def test_a_piece_that_would_fit_turned_says_so(tmp_path: Path) -> None:
    result = run_on(tmp_path, '[paper.red]\nsheet = "8 x 12"\nprint = "one-way"\n', "red,10,3,2,banner")
    assert result.exit_code == 1
    assert "turn = true" in result.stderr


def test_a_trimmer_that_is_too_short_is_named(tmp_path: Path) -> None:
    result = run_on(tmp_path, '[paper.red]\nsheet = "13 x 19"\n[trimmer]\nlongest_cut = 12\n', "red,5,7,2,card")
    assert result.exit_code == 1
    assert "trimmer" in result.stderr


def test_too_little_paper_plans_what_can_be_cut_and_says_what_is_missing(tmp_path: Path) -> None:
    result = run_on(tmp_path, '[paper.red]\nat_hand = ["6 x 6"]\n', "red,3,3,6,tile")
    assert result.exit_code == 3
    assert "2 missing" in result.output
    assert "2 x tile" in result.output


def test_a_piece_list_plans_without_any_design_and_by_its_own_name(tmp_path: Path) -> None:
    (tmp_path / "papers.toml").write_text('[paper.red]\nsheet = "12 x 12"\n', "utf-8")
    listed = tmp_path / "list.csv"
    listed.write_text("Label;Quantity;Height;Width;Paper\ntile;9;3,5;3,5;red\n", "utf-8")
    for words in (("plan", tmp_path), ("plan", listed)):
        result = run(*words)
        assert result.exit_code == 0
        assert "proven best" in result.output


def test_the_json_on_the_terminal_is_the_plan_and_writes_nothing(project: Path) -> None:
    result = run("plan", project, "--json")
    data = json.loads(result.stdout)
    jsonschema.Draft202012Validator(schema()).validate(data)
    assert not (project / "plan").exists()


def test_the_costs_in_json_add_up_line_by_line_and_design_by_design(monkeypatch: pytest.MonkeyPatch) -> None:
    for demo in ("lantern_walk", "spring_market"):
        monkeypatch.setattr("nesting.plan.make_plan", lambda *_, name=demo, **__: plan_of(name))
        data = json.loads(run("plan", DEMOS / demo, "--cost", "--json").stdout)
        jsonschema.Draft202012Validator(schema()).validate(data)
        cost = data["cost"]
        assert cost["cash_cents"] == data["totals"]["price_cents"]
        assert cost["total_cents"] == sum(line["cents"] for line in cost["lines"]) > 0
        assert cost["total_cents"] == sum(design["cents"] for design in cost["designs"])
        assert {design["design"]: design["cards"] for design in cost["designs"]} == data["cards"]
        for line in cost["lines"]:
            assert sum(line["designs_cents"].values()) == line["cents"]
        for design in cost["designs"]:
            name = design["design"]
            assert sum(line["designs_cents"][name] for line in cost["lines"]) == design["cents"]
        for paper in cost["papers"]:
            taken = paper["bought_cents"] + paper["at_hand_cents"]
            assert taken == paper["pieces_cents"] + paper["waste_cents"] + paper["kept_cents"]
        in_cards = sum(line["cents"] for line in cost["lines"] if line["kind"] in ("paper in pieces", "paper wasted"))
        postage = sum(line["cents"] for line in cost["lines"] if line["kind"] == "postage")
        paid = cost["cash_cents"] + cost["at_hand_cents"]
        assert paid == in_cards + postage + cost["kept_cents"] + cost["beyond_need_cents"]
        assert {one["design"] for one in cost["one_more"]} == set(data["cards"])


def test_the_piece_list_as_csv_can_be_planned_again(project: Path, tmp_path: Path) -> None:
    again = tmp_path / "again"
    again.mkdir()
    (again / "papers.toml").write_text((project / "papers.toml").read_text("utf-8"), "utf-8")
    listed = run("pieces", project, "--csv").stdout
    (again / "list.csv").write_bytes(listed.encode("utf-8"))
    rows = list(csv.DictReader(listed.splitlines()))
    assert sum(int(row["quantity"]) for row in rows) == 105
    first, second = (json.loads(run("plan", folder, "--json").stdout) for folder in (project, again))
    assert first["totals"]["sheets"] == second["totals"]["sheets"]


def test_names_that_a_spreadsheet_would_run_are_written_behind_an_apostrophe(tmp_path: Path) -> None:
    (tmp_path / "papers.toml").write_text('[paper."=1+1"]\nsheet = "12 x 12"\n', "utf-8")
    (tmp_path / "list.csv").write_text("paper,width,height,quantity,label\n=1+1,3,3,6,@tile\n", "utf-8")
    rows = list(csv.reader(run("pieces", tmp_path, "--csv").stdout.splitlines()))
    assert rows[1][0] == "'=1+1"
    assert rows[1][4] == "'@tile"


def test_every_topic_can_be_explained_and_an_unknown_one_is_refused() -> None:
    listed = run("explain")
    topics = listed.output.split(":")[1].split(".")[0].replace(" ", "").split(",")
    assert {"papers", "designs", "batch", "trimmer", "lengths"} <= set(topics)
    for topic in topics:
        text = run("explain", topic)
        assert text.exit_code == 0
        assert max(len(line) for line in text.output.splitlines()) <= 80
    assert run("explain", "weather").exit_code == 2


def test_asking_for_help_loads_no_heavy_library() -> None:
    code = (
        "import sys, nesting.command_line;"
        "print(sorted(m for m in ('numpy', 'matplotlib', 'highspy', 'rich', 'rectpack') if m in sys.modules))"
    )
    out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert out.stdout.strip() == "[]"


def test_the_cost_table_adds_up_and_is_only_shown_when_asked_for(project: Path) -> None:
    (project / "costs.toml").write_text('[costs]\nhour = 12\nminutes = 5\nonce = { "stall fee" = 10 }\n', "utf-8")
    assert "What the cards cost" not in run("plan", project, "--no-maps").output
    output = run("plan", project, "--no-maps", "--cost").output
    lines = output[output.index("What the cards cost") :].splitlines()[2:]
    sums = {line.rsplit(maxsplit=2)[0].strip(): line.split()[-1] for line in lines if line[-1:].isdigit()}
    parts = [float(value) for name, value in sums.items() if name not in ("together", "cards", "a card")]
    assert sums["once: stall fee"] == "10.00"
    assert round(sum(parts), 2) == float(sums["together"])


def test_check_says_which_envelope_takes_the_card(project: Path) -> None:
    output = run("check", project, "--fit").output
    assert "closed: 4 1/4 x 5 1/2 in" in output
    assert "check with the" in output
