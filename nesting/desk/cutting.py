"""The cutting in progress: the plan that is being cut, how far each paper is, what was spoiled; kept on disk.

In: a plan, steps done and taken back, pieces spoiled. Out: the state of the work, the same after the program was
killed. The fact it serves: what lies on the table cannot be reloaded, so every step is on the disk before the page
moves on; and the plan at the trimmer stays the one that was begun, whatever is changed on the page meanwhile.
"""

from __future__ import annotations

import json
import threading
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from nesting.describe.papers import HeldSheet, Rim, Sheet
from nesting.describe.project import Project, Spares
from nesting.errors import NestingError, Place, Problem
from nesting.files import write_whole
from nesting.lengths import Length
from nesting.plan import PaperPlan, Plan
from nesting.questions.recut import Recut, Spoiled, kinds_by_letter, on_the_table
from nesting.reports.plan_folder import write_plan
from nesting.reports.plan_read import read_plan
from nesting.stash.planning import mark_of

PROGRESS = "progress.json"
_VERSION = 1


@dataclass(frozen=True, slots=True)
class Round:
    """One plan being cut: lines of passes done by paper, and what was spoiled. round 1 is the first plan."""

    number: int
    plan: Plan
    done: dict[str, int]
    spoiled: tuple[Spoiled, ...]

    def paper(self, name: str) -> PaperPlan | None:
        """The plan of one paper."""
        return next((one for one in self.plan.papers if one.paper.name == name), None)

    def lines_done(self, paper: PaperPlan) -> int:
        """How many lines of its passes are cut."""
        return min(self.done.get(paper.paper.name, 0), len(paper.order.passes))

    def finished(self, paper: PaperPlan) -> bool:
        """All its passes are cut."""
        return self.lines_done(paper) == len(paper.order.passes)

    @property
    def all_finished(self) -> bool:
        """Nothing is left to cut."""
        return all(self.finished(paper) for paper in self.plan.papers)

    def so_far(self, paper: PaperPlan) -> PaperPlan:
        """The paper's plan as far as it is cut."""
        passes = paper.order.passes[: self.lines_done(paper)]
        return replace(paper, order=replace(paper.order, passes=passes))

    def cut_so_far(self, paper: PaperPlan) -> dict[str, int]:
        """Good pieces on the table by letter, those spoiled not counted."""
        table = on_the_table(self.so_far(paper), None)
        counts = {letter: table.pieces.get(kind, 0) for letter, kind in kinds_by_letter(paper).items()}
        for one in self.spoiled:
            if one.paper == paper.paper.name:
                counts[one.letter] = counts.get(one.letter, 0) - one.count
        return counts

    def spoiled_of(self, paper: PaperPlan) -> dict[str, int]:
        """Pieces of a paper that are spoiled, by letter."""
        return {one.letter: one.count for one in self.spoiled if one.paper == paper.paper.name}


class Cutting:
    """The work in one folder; every change is on the disk when the method returns."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._lock = threading.RLock()
        self._plans: dict[tuple[int, int], Plan] = {}

    def begin(self, plan: Plan) -> None:
        """Lay this plan beside the trimmer; what was begun before is forgotten."""
        with self._lock:
            self._plans.clear()
            write_plan(plan, self.folder / "1", maps=False)
            self._write([{"done": {}, "spoiled": [], "mark": mark_of(plan), "at_hand": {}}])

    def forget(self) -> None:
        """No cutting is under way any more."""
        with self._lock:
            (self.folder / PROGRESS).unlink(missing_ok=True)

    def now(self, project: Project) -> Round | None:
        """The round that is being cut, None where none was begun; NestingError where its files are damaged."""
        with self._lock:
            rounds = self._read()
            if not rounds:
                return None
            last = rounds[-1]
            spoiled = tuple(
                Spoiled(str(one["paper"]), str(one["letter"]), int(one["count"])) for one in last["spoiled"]
            )
            plan = self._plan(len(rounds), last, project)
            return Round(len(rounds), plan, dict(last["done"]), spoiled)

    def mark(self) -> str:
        """What tells the plan that was begun from others."""
        rounds = self._read()
        return str(rounds[0]["mark"]) if rounds else ""

    def step(self, paper: str, line: int) -> None:
        """Line number `line` (0 up) of a paper was cut; said twice it counts once."""
        with self._lock:
            rounds = self._read()
            if rounds and rounds[-1]["done"].get(paper, 0) == line:
                rounds[-1]["done"][paper] = line + 1
                self._write(rounds)

    def step_back(self, paper: str, line: int) -> None:
        """Line number `line` was not cut after all; its spoiled pieces are not there either."""
        with self._lock:
            rounds = self._read()
            if rounds and line >= 0 and rounds[-1]["done"].get(paper, 0) == line + 1:
                rounds[-1]["done"][paper] = line
                self._write(rounds)

    def spoil(self, paper: str, letter: str, count: int) -> None:
        """So many pieces of a letter are spoiled, in all."""
        with self._lock:
            rounds = self._read()
            if rounds:
                others = [one for one in rounds[-1]["spoiled"] if (one["paper"], one["letter"]) != (paper, letter)]
                more = [{"paper": paper, "letter": letter, "count": count}] if count > 0 else []
                rounds[-1]["spoiled"] = others + more
                self._write(rounds)

    def go_on(self, rest: Recut) -> None:
        """The next round: the plan for the rest."""
        with self._lock:
            rounds = self._read()
            assert rest.plan is not None
            write_plan(rest.plan, self.folder / str(len(rounds) + 1), maps=False)
            there = {paper.name: [_held_data(held) for held in paper.at_hand] for paper in rest.project.papers}
            self._write([*rounds, {"done": {}, "spoiled": [], "mark": mark_of(rest.plan), "at_hand": there}])

    # ------------------------------------------------------------------------------------------ on the disk

    def _plan(self, number: int, said: dict[str, Any], project: Project) -> Plan:
        key = (number, hash(project))
        if key not in self._plans:
            if number > 1:
                papers = tuple(
                    replace(paper, at_hand=tuple(_held(one) for one in said["at_hand"].get(paper.name, ())))
                    for paper in project.papers
                )
                project = replace(project, papers=papers, designs=(), batch=(), spares=Spares(), centres=None)
            self._plans = {key: read_plan(self.folder / str(number), project)}
        return self._plans[key]

    def _read(self) -> list[dict[str, Any]]:
        path = self.folder / PROGRESS
        try:
            data = json.loads(path.read_text("utf-8"))
            rounds = [_whole_round(one) for one in data["rounds"]]
            whole = data["version"] == _VERSION
        except FileNotFoundError:
            return []
        except (OSError, ValueError, KeyError, TypeError, AttributeError):
            whole, rounds = False, []
        if not whole:
            what = "What was written down about the cutting is not whole."
            raise NestingError([Problem(Place(str(path)), what, "Begin the cutting anew, or put a copy of it back.")])
        return rounds

    def _write(self, rounds: list[dict[str, Any]]) -> None:
        self.folder.mkdir(parents=True, exist_ok=True)
        data = {"version": _VERSION, "rounds": rounds}
        write_whole(self.folder / PROGRESS, json.dumps(data, ensure_ascii=False, indent=1) + "\n")


def _whole_round(one: dict[str, Any]) -> dict[str, Any]:
    """A round as it was written; raises ValueError, KeyError or TypeError where anything is not what it should be."""
    return {
        "done": {str(name): int(done) for name, done in one["done"].items()},
        "spoiled": [
            {"paper": str(each["paper"]), "letter": str(each["letter"]), "count": int(each["count"])}
            for each in one["spoiled"]
        ],
        "mark": str(one["mark"]),
        "at_hand": {
            str(name): [{"sides": [int(side) for side in held["sides"]], "count": int(held["count"])} for held in there]
            for name, there in one["at_hand"].items()
        },
    }


def _held_data(held: HeldSheet) -> dict[str, Any]:
    sheet, rim = held.sheet, held.sheet.rim
    sides = (sheet.width, sheet.height, rim.left, rim.top, rim.right, rim.bottom)
    return {"sides": [side.ticks for side in sides], "count": held.count}


def _held(data: dict[str, Any]) -> HeldSheet:
    width, height, *rim = (Length(side) for side in data["sides"])
    return HeldSheet(Sheet(width, height, Rim(*rim)), data["count"], Place(subject="the table"))
