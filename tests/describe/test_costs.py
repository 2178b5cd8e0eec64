"""What the user says of costs, read to exact cents, and every slip answered with its place."""

from __future__ import annotations

import re
from fractions import Fraction
from pathlib import Path

import pytest
from test_explain import examples

from nesting.describe.cost_tables import fine_price, read_costs
from nesting.describe.costs import Adhesive, Costs, DesignCosts, Measure, NamedRate, NamedSum, Rate
from nesting.describe.designs import CardDesign, CardPart, OwnSize, PartKind
from nesting.describe.findings import Findings
from nesting.describe.project_file import read_project
from nesting.describe.toml_file import TomlFile, read_toml
from nesting.describe.values import Said
from nesting.errors import NestingError, Place
from nesting.lengths import Unit, inches

METRE = 3_200_000
PARTS = tuple(
    CardPart(PartKind.MAT, name, Place(), OwnSize(inches(1), inches(1)), "pine", (1,)) for name in ("frame", "Picture")
)
ROBIN = CardDesign("robin", Place(), parts=PARTS)


def _read(tmp_path: Path, text: str) -> tuple[Costs, Findings]:
    path = tmp_path / "costs.toml"
    path.write_text(text, "utf-8")
    findings = Findings()
    file = read_toml(path, findings)
    assert isinstance(file, TomlFile)
    root = Said(file.words, file, Unit.INCH)
    costs = file.words.get("costs")
    said = None if costs is None else root.inside("costs", costs)
    own = {}
    designs = file.words.get("design", {})
    assert isinstance(designs, dict)
    for name, table in designs.items():
        own[name] = root.inside("design", designs).inside(name, table).inside("costs", table["costs"])
    return read_costs(said, own, (ROBIN,), findings), findings


def test_everything_that_can_be_said_is_read_exactly(tmp_path: Path) -> None:
    text = """
[costs]
hour = "18.00"
minutes = 6
minutes_once = 22.5
tape = { price = "4.50", length = "25 m" }
glue = { price = 6, covers = "100 x 200 cm" }
foam = { price = "2.95", length = "12 yd" }
stuck_with = "tape"
each_card = { envelope = { price = "6.00", count = 50 }, ink = "0.035" }
once = { "stall fee" = 12 }
overheads = "12.5 %"
margin = "40 %"
price_step = 0.50

[design.robin.costs]
minutes = 9
foam = ["picture"]
glue = "frame"
each_card = { pearls = 0.40 }
once = { "die plate" = "3.99" }
"""
    costs, findings = _read(tmp_path, text)
    assert findings.problems == []
    assert costs == Costs(
        hour=1800,
        minutes=Fraction(6),
        minutes_once=Fraction(45, 2),
        adhesives=(
            (Adhesive.TAPE, Rate(Fraction(450), 25 * METRE, Measure.LENGTH)),
            (Adhesive.GLUE, Rate(Fraction(600), 2 * METRE * METRE, Measure.AREA)),
            (Adhesive.FOAM, Rate(Fraction(295), inches(12 * 36).ticks, Measure.LENGTH)),
        ),
        stuck_with=Adhesive.TAPE,
        each_card=(NamedRate("envelope", Rate(Fraction(600), 50)), NamedRate("ink", Rate(Fraction("3.5")))),
        once=(NamedSum("stall fee", 1200),),
        overheads=Fraction(1, 8),
        margin=Fraction(2, 5),
        price_step=50,
        designs=(
            DesignCosts(
                "robin",
                Fraction(9),
                (("frame", Adhesive.GLUE), ("Picture", Adhesive.FOAM)),
                (NamedRate("pearls", Rate(Fraction(40))),),
                (NamedSum("die plate", 399),),
            ),
        ),
    )


def test_nothing_said_costs_nothing(tmp_path: Path) -> None:
    costs, findings = _read(tmp_path, "")
    assert costs == Costs()
    assert findings.problems == []


def test_the_only_adhesive_with_a_price_holds_everything(tmp_path: Path) -> None:
    costs, _ = _read(tmp_path, '[costs]\nglue = { price = 6, covers = "100 x 200 cm" }')
    assert costs.stuck_with is Adhesive.GLUE


@pytest.mark.parametrize(
    ("text", "line", "sentence"),
    [
        ("hour = true", 2, "“true” is not a price"),
        ("minutes = 6", 2, "Minutes are given, but not what an hour costs"),
        ("minutes = -1\nhour = 5", 2, "“-1” is not a number of minutes"),
        ("minutes = nan\nhour = 5", 2, "is not a number of minutes"),
        ("tape = 4", 2, "“4” does not say how far it reaches"),
        ("tape = { price = 4 }", 2, "It is not said how far it reaches"),
        ('tape = { length = "2 m" }', 2, "The key “price” is missing"),
        ('tape = { price = 4, length = "2 m", covers = "2 x 2" }', 2, "Both a length and an area"),
        ('tape = { price = 4, length = "0 m" }', 2, "is not the length of a roll"),
        ('tape = { price = 4, lenght = "2 m" }', 2, "Nothing is known by the key “lenght”"),
        ('stuck_with = "foam"', 2, "Pieces are stuck with foam, which has no price"),
        ("each_card = { envelope = { price = 6 } }", 2, "The key “count” is missing"),
        ("each_card = { envelope = { price = 6, count = 0 } }", 2, "“0” is not a whole number"),
        ("each_card = { ink = 0.0000001 }", 2, "is not a price"),
        ("each_card = 5", 2, "“5” is no table"),
        ('each_card = { Ink = 1, ink = 2 }', 2, "differs only by case"),
        ('margin = "100 %"', 2, "With this margin no price would be high enough"),
        ("margin = 0.4", 2, "“0.4” is not a share"),
        ('ovrheads = "4 %"', 2, "Nothing is known by the key “ovrheads”"),
        ('[design.robin.costs]\nfoam = "frame"', 3, "Foam has no price"),
        ('tape = { price = 4, length = "2 m" }\n[design.robin.costs]\ntape = "farme"', 4, "There is no part “farme”"),
        ('tape = { price = 4, length = "2 m" }\n[design.robin.costs]\ntape = ["frame", "frame"]', 4, "stuck on twice"),
    ],
)
def test_a_slip_is_answered_at_its_place(tmp_path: Path, text: str, line: int, sentence: str) -> None:
    _, findings = _read(tmp_path, f"[costs]\n{text}")
    said = [(problem.place.line, problem.what) for problem in findings.problems]
    assert any(number == line and sentence in what for number, what in said), said


def test_a_project_folder_may_say_its_costs_in_any_file(tmp_path: Path) -> None:
    (tmp_path / "a.toml").write_text(
        '[paper.pine]\nsheet = "12 x 12"\n[batch]\ncards = { robin = 2 }\n[costs]\nhour = 12\nfoam = '
        '{ price = 1, length = "1 m" }\n[design.robin]\nparts = [{ piece = "tag", paper = "pine", size = "2 x 3" }]\n'
        '[design.robin.costs]\nminutes = 5\nfoam = "tag"\n',
        "utf-8",
    )
    costs = read_project(tmp_path).costs
    assert (costs.hour, costs.of_design("robin").minutes) == (1200, Fraction(5))
    assert costs.of_design("robin").stuck == (("tag", Adhesive.FOAM),)
    (tmp_path / "b.toml").write_text("[costs]\nhour = 13\n[design.wren]\ncosts = 5\n", "utf-8")
    with pytest.raises(NestingError) as error:
        read_project(tmp_path)
    said = str(error.value)
    assert "A second table “costs”; the first is in a.toml, line 5" in said
    assert "“5” is not a table. Write it under the heading [design.wren.costs]." in said


def test_the_example_that_is_explained_belongs_to_the_design_that_is_explained(tmp_path: Path) -> None:
    for topic in ("papers", "designs", "batch"):
        (tmp_path / f"{topic}.toml").write_text("\n".join(examples(topic)), "utf-8")
    for_all, for_one = re.split(r"(?=\[design)", "\n".join(examples("costs")))
    (tmp_path / "costs.toml").write_text(for_all, "utf-8")
    with (tmp_path / "designs.toml").open("a", encoding="utf-8") as file:
        file.write(for_one)
    costs = read_project(tmp_path).costs
    assert [kind for kind, _ in costs.adhesives] == list(Adhesive)
    assert costs.of_design("robin").stuck == (("art", Adhesive.FOAM),)


def test_a_price_may_be_parts_of_a_cent_and_nothing_else_odd() -> None:
    file = TomlFile("costs.toml", {})
    findings = Findings()
    for value, cents in (("0.035", Fraction(7, 2)), (12, Fraction(1200)), ("1,5", Fraction(150)), ("0", Fraction(0))):
        assert fine_price(Said(value, file, Unit.INCH), findings) == cents
    assert not findings.problems
    odd: tuple[object, ...] = ("-1", "1e3", "1.2.3", "", "five", True, [], "9" * 99, "Infinity", "1,200", "²")
    for wrong in odd:
        assert fine_price(Said(wrong, file, Unit.INCH), findings) is None
    assert len(findings.problems) == 11
