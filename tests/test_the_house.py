"""Data flows one way: a module imports only what stands above it, and each heavy library has one door.

The rule is read from the code itself with `ast`, and is fed wrong imports to see that it catches them.
"""

from __future__ import annotations

import ast
import subprocess
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parent.parent / "nesting"

# From the top down: a line may import the lines above it and its own room.
ROOMS = (
    ("nesting.errors", "nesting.quoting"),
    ("nesting.lengths", "nesting.money", "nesting.files", "nesting.cells", "nesting.hands"),
    ("nesting.standards",),
    ("nesting.describe",),
    ("nesting.pieces",),
    ("nesting.packing",),
    ("nesting.buying",),
    ("nesting.cutting",),
    ("nesting.plan",),
    ("nesting.cost", "nesting.fit", "nesting.questions"),
    ("nesting.stash",),
    ("nesting.reports",),
    ("nesting.desk",),
    ("nesting.command_parts",),
    ("nesting.stash_commands", "nesting.question_commands", "nesting.packet_commands", "nesting.desk_commands"),
    ("nesting.command_line",),
    ("nesting.__main__",),
)
# The one module each that may import these.
DOORS = {
    "highspy": {"nesting.packing.master"},
    "matplotlib": {"nesting.reports.pages"},
    "rectpack": {"nesting.packing.portfolio"},
    "sqlite3": {"nesting.stash"},
    "tomllib": {"nesting.describe.toml_file"},
    "click": {
        "nesting.command_line", "nesting.stash_commands", "nesting.question_commands", "nesting.packet_commands",
        "nesting.desk_commands", "nesting.command_parts",
    },
    "tomlkit": {"nesting.desk.toml_edit"},
    "werkzeug": {"nesting.desk"},
    "jinja2": {"nesting.desk", "nesting.reports.web_page"},
}
# Rooms that know less than their place allows.
ONLY = {
    "nesting.packing.check": {
        "nesting.packing.layout", "nesting.packing.check_bound", "nesting.packing.check_offcut",
        "nesting.packing.check_trimmer",
    },
    "nesting.packing.check_offcut": {"nesting.packing.layout", "nesting.packing.check_bound"},
    "nesting.packing.check_bound": {
        "nesting.packing.layout", "nesting.packing.check_worth", "nesting.packing.recheck",
    },
    "nesting.packing.check_worth": {
        "nesting.packing.layout", "nesting.packing.check_trimmer", "nesting.packing.recheck",
    },
    "nesting.packing.check_trimmer": {"nesting.packing.layout"},
    "nesting.packing.recheck": set(),
    "nesting.cutting.replay": {"nesting.packing.layout", "nesting.cutting.passes"},
}
# The modules of the packing room that know paper and cards.
NAMING = (
    "nesting.packing.pack", "nesting.packing.choose_papers", "nesting.packing.stand_ins", "nesting.packing.shares",
)  # fmt: skip


def room_of(module: str) -> int:
    for rank, names in enumerate(ROOMS):
        if any(module == name or module.startswith(name + ".") for name in names):
            return rank
    raise AssertionError(f"{module} stands in no room; give it one in ROOMS")


def imports_of(source: str) -> set[str]:
    found = set()
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            found.add(node.module)
            if node.module == "nesting" or (PACKAGE.parent / node.module.replace(".", "/")).is_dir():
                found |= {f"{node.module}.{alias.name}" for alias in node.names}
    return found


def wrongs(module: str, source: str) -> list[str]:
    """What this module imports against the rule."""
    wrong = []
    for name in sorted(imports_of(source)):
        top = name.partition(".")[0]
        if top in DOORS and not any(module == door or module.startswith(door + ".") for door in DOORS[top]):
            wrong.append(f"{module} imports {top}, whose door is {', '.join(sorted(DOORS[top]))}")
        if top != "nesting" or name == "nesting":
            continue
        if module in ONLY and name not in ONLY[module] | {m.rpartition(".")[0] for m in ONLY[module]}:
            wrong.append(f"{module} imports {name}, and may only import {', '.join(sorted(ONLY[module]))}")
        elif room_of(name) > room_of(module):
            wrong.append(f"{module} imports {name}, which stands below it")
        elif (
            module.startswith("nesting.packing.")
            and module not in NAMING
            and name.startswith(("nesting.describe", "nesting.pieces", "nesting.lengths", *NAMING))
        ):
            wrong.append(f"{module} imports {name}, but packing knows whole numbers only")
    return wrong


def modules() -> dict[str, str]:
    found = {}
    for path in sorted(PACKAGE.rglob("*.py")):
        parts = path.relative_to(PACKAGE.parent).with_suffix("").parts
        name = ".".join(parts[:-1] if parts[-1] == "__init__" else parts)
        found[name] = path.read_text("utf-8")
    found.pop("nesting")
    return found


def test_every_module_imports_only_what_stands_above_it() -> None:
    assert [wrong for name, source in modules().items() for wrong in wrongs(name, source)] == []


def test_the_rule_catches_an_import_from_below() -> None:
    assert wrongs("nesting.describe.papers", "from nesting.plan import Plan")
    assert wrongs("nesting.packing.solve", "from nesting.describe import papers")
    assert wrongs("nesting.lengths", "import nesting.describe.papers")


def test_the_rule_catches_a_check_that_borrows_from_the_search() -> None:
    assert wrongs("nesting.packing.check", "from nesting.packing.points import reachable")
    assert wrongs("nesting.packing.check_worth", "from nesting.packing.patterns import patterns")
    assert wrongs("nesting.cutting.replay", "from nesting.cutting.sequence import order_cuts")
    assert wrongs("nesting.packing.recheck", "from nesting.packing.exhaust import largest")
    assert not wrongs("nesting.packing.check", "from nesting.packing.layout import Use")


def test_the_rule_catches_a_library_that_comes_in_by_another_door() -> None:
    assert wrongs("nesting.plan", "def f():\n    import matplotlib.figure")
    assert wrongs("nesting.cost", "from click import echo")
    assert not wrongs("nesting.command_line", "import click")


def test_the_top_of_the_project_holds_what_it_may_and_nothing_else() -> None:
    """Only what is kept in version control counts: a trial's folder beside it is nobody's business."""
    if not (PACKAGE.parent / ".git").exists():
        pytest.skip("This copy has no record of what belongs to it.")
    kept = subprocess.run(
        ["git", "ls-files"], cwd=PACKAGE.parent, capture_output=True, encoding="utf-8", check=True
    ).stdout
    tops = {line.split("/")[0] for line in kept.splitlines()}
    assert {top for top in tops if not top.startswith(".")} == {
        "README.md", "DEVELOPERS.md", "LICENSE", "pyproject.toml", "nesting", "tests", "demo_projects", "benchmarks",
    }  # fmt: skip
