"""Stand-ins: used only where a paper runs short, as little as can be, and planned with the stand-in's own pieces."""

from __future__ import annotations

import random
from itertools import product
from pathlib import Path

import pytest

from nesting.describe.project import Project
from nesting.describe.project_file import read_project
from nesting.lengths import inches
from nesting.packing.layout import Answer, PackingTask, cost_of
from nesting.packing.pack import paper_tasks, task_of
from nesting.packing.shares import shared_out
from nesting.packing.solve import solve
from nesting.packing.stand_ins import Moved, use_stand_ins
from nesting.pieces.piece_list import piece_list
from nesting.pieces.supply import supply
from nesting.plan import Plan, make_plan
from nesting.reports.words import notes

BLUE = '[paper.blue]\nsheet = "12 x 12"\nprice = 1.00\n'


def project(at: Path, papers: str, parts: str, cards: int = 1) -> Project:
    at.mkdir(exist_ok=True)
    (at / "all.toml").write_text(
        f"{papers}[design.card]\nparts = [\n{parts}\n]\n[batch]\ncards = {{ card = {cards} }}\n"
    )
    return read_project(at)


def red(at_hand: str) -> str:
    return f'[paper.red]\nstand_in = "blue"\nat_hand = [{at_hand}]\n'


def part(name: str, paper: str, size: str, count: int) -> str:
    return f'  {{ mat = "{name}", paper = "{paper}", size = "{size}", count = {count} }},\n'


def cut(plan: Plan, name: str) -> dict[str, int]:
    return {piece.paper: piece.count for piece in plan.pieces.pieces if piece.part == name}


def test_which_pieces_are_moved_saves_a_sheet_of_the_stand_in(tmp_path: Path) -> None:
    """On the one red sheet of 8 x 8 lie four of 4 x 4 or one of 8 x 7; beside each blue 8 x 12 is room for 4 x 12 only.

    Most red is used with the four, but then the 8 x 7 takes a third blue sheet.
    """
    parts = part("large", "red", "8 x 7", 1) + part("small", "red", "4 x 4", 4) + part("own", "blue", "8 x 12", 2)
    made = make_plan(project(tmp_path, red('"8 x 8"') + BLUE, parts))
    assert made.complete
    assert (cut(made, "large"), cut(made, "small")) == ({"red": 1}, {"blue": 4})
    assert made.to_buy == 2
    assert made.choices == (Moved("red", "blue", 4, 5),)
    assert "red runs short: 4 pieces of 5 are cut from blue, which stands in for it." in notes(made)


def test_where_it_saves_nothing_as_much_as_can_be_is_cut_from_the_paper_itself(tmp_path: Path) -> None:
    parts = part("large", "red", "8 x 7", 1) + part("small", "red", "4 x 4", 4)
    made = make_plan(project(tmp_path, red('"8 x 8"') + BLUE, parts))
    assert (cut(made, "large"), cut(made, "small"), made.to_buy) == ({"blue": 1}, {"red": 4}, 1)


def test_a_stand_in_with_room_to_spare_is_left_alone_where_the_paper_suffices(tmp_path: Path) -> None:
    """The small ones would fit beside the blue 8 x 12 for nothing, and spare a red sheet."""
    parts = part("small", "red", "4 x 4", 3) + part("own", "blue", "8 x 12", 1)
    made = make_plan(project(tmp_path, red('"12 x 12"') + BLUE, parts))
    assert (cut(made, "small"), made.choices, made.sheets) == ({"red": 3}, (), 2)


def test_a_moved_base_lies_along_the_grain_of_its_new_paper(tmp_path: Path) -> None:
    papers = (
        '[paper.red]\nstand_in = "blue"\ngrain = "up"\nat_hand = ["12 x 12"]\n'
        '[paper.blue]\ngrain = "across"\nsheet = "12 x 12"\n'
    )
    design = '[design.card]\nfamily = "half fold"\nbase = "red"\nsize = "4 x 7"\n[batch]\ncards = { card = 2 }\n'
    (tmp_path / "all.toml").write_text(papers + design)
    made = make_plan(read_project(tmp_path))
    assert {piece.paper: (piece.need, piece.must_turn) for piece in made.pieces.pieces} == {
        "red": (1, False), "blue": (1, True),
    }  # fmt: skip
    assert not notes(made)[1:]  # nothing runs across the grain
    lying = {paper.paper.name: paper.packing.task.pieces[0] for paper in made.papers}
    assert (lying["red"].width, lying["blue"].width) == (inches(8).ticks, inches(7).ticks)


def test_a_stand_in_whose_grain_would_be_crossed_is_not_used_where_the_grain_is_required(tmp_path: Path) -> None:
    papers = (
        '[paper.red]\nstand_in = "blue"\ngrain = "up"\nat_hand = ["9 x 7"]\nweight = "270 gsm"\n'
        '[paper.blue]\ngrain = "across"\nsheet = "9 x 7"\nweight = "270 gsm"\n'
    )
    text = papers + '[design.card]\nfamily = "half fold"\nbase = "red"\nsize = "4 x 7"\n[batch]\ncards = { card = 2 }\n'
    (tmp_path / "all.toml").write_text(text)
    warned = make_plan(read_project(tmp_path))
    assert warned.complete
    assert "runs across the grain of blue" in notes(warned)[1]
    (tmp_path / "all.toml").write_text(text + 'grain_required_from = "250 gsm"\n')
    assert not make_plan(read_project(tmp_path)).complete


@pytest.mark.parametrize("ring", [False, True])
def test_stand_ins_follow_each_other_and_a_ring_ends(tmp_path: Path, ring: bool) -> None:
    papers = (
        f'[paper.blue]\nstand_in = "green"\nat_hand = ["6 x 6"]\n{red(chr(34) + "6 x 6" + chr(34))}'
        f"[paper.green]\n" + ('stand_in = "red"\nat_hand = ["6 x 6"]\n' if ring else 'sheet = "6 x 6"\n')
    )
    made = make_plan(project(tmp_path, papers, part("m", "red", "6 x 6", 3)))
    assert cut(made, "m") == {"red": 1, "blue": 1, "green": 1}
    assert made.complete


def best_of_all(found: Project) -> tuple[int, int, int]:
    """Every way to move pieces to the stand-in that red can bear: fewest missing, cheapest, least area moved."""
    pieces, sources = piece_list(found), supply(found)
    red, blue = found.paper("red"), found.paper("blue")
    kinds, _, task = task_of(found, (red,), pieces, sources)
    needs = [kind.need for kind in task.pieces]
    worths = []
    for way in product(*(range(need + 1) for need in needs)):
        counts = [{0: need - gone, 1: gone} for need, gone in zip(needs, way, strict=True)]
        shared = shared_out(pieces, (red, blue), kinds, counts)
        tasks = [task_of(found, (paper,), shared, sources)[2] for paper in (red, blue)]
        answers = [solve(one) for one in tasks]
        missing = sum(sum(answer.missing) for answer in answers)
        area = sum(kind.width * kind.height * gone for kind, gone in zip(task.pieces, way, strict=True))
        worths.append((missing, cost_of(tasks[1], answers[1].uses), area))
    return min(worths)


@pytest.mark.parametrize("seed", range(6))
def test_no_other_way_to_share_out_needs_less_of_the_stand_in(tmp_path: Path, seed: int) -> None:
    chance = random.Random(seed)
    sizes = [f"{chance.randint(3, 8)} x {chance.randint(3, 8)}" for _ in range(3)]
    parts = "".join(part(f"m{i}", "red", size, chance.randint(1, 2)) for i, size in enumerate(sizes))
    parts += part("own", "blue", f"{chance.randint(6, 9)} x {chance.randint(9, 12)}", 2)
    found = project(tmp_path, red(f'"{chance.randint(7, 9)} x {chance.randint(7, 9)}"') + BLUE, parts)
    made = make_plan(found)
    blue = next(paper for paper in made.papers if paper.paper.name == "blue")
    missing, cost, _ = best_of_all(found)
    assert sum(sum(paper.packing.answer.missing) for paper in made.papers) == missing == 0
    assert cost_of(blue.packing.task, blue.uses) == cost


def test_what_was_planned_to_share_pieces_out_is_not_planned_again(tmp_path: Path) -> None:
    parts = part("large", "red", "8 x 7", 1) + part("small", "red", "4 x 4", 4) + part("own", "blue", "8 x 12", 2)
    said = project(tmp_path, red('"8 x 8"') + BLUE, parts)
    known: dict[PackingTask, Answer] = {}
    pieces, moved = use_stand_ins(said, piece_list(said), supply(said), known=known)
    assert moved
    asked = paper_tasks(said, pieces, supply(said))
    assert [one.paper.name for one in asked] == ["red", "blue"]
    assert all(one.task in known for one in asked)
