"""What a person at the table says of a plan: which pieces are spoiled, how far each paper is cut.

In: the plan that hangs there, words like "A of cream = 2" and "cream = 3". Out: values, or all mistakes at once. The
fact of the trade: on the table a piece is known by its letter, or by what it is for.
"""

from __future__ import annotations

from collections.abc import Iterable

from nesting.describe.findings import Findings, same_word
from nesting.errors import NestingError, Place
from nesting.plan import Plan
from nesting.questions.recut import Spoiled, kinds_by_letter
from nesting.quoting import quoted

SPOILED = Place(subject="spoiled")
CUT_TO = Place(subject="cut to")


def read_spoiled(plan: Plan, said: Iterable[str]) -> tuple[Spoiled, ...]:
    """Words like "A of cream = 2", or with the piece's name "robin: mat = 1"; without a number it is one."""
    findings, found = Findings(), []
    for words in said:
        what, _, number = words.rpartition("=") if "=" in words else (words, "", "1")
        matches = _matches(plan, what)
        if not matches:
            known = [f"{letter} of {paper.paper.name}" for paper in plan.papers for letter in kinds_by_letter(paper)]
            todo = findings.hint(what.strip(), known, "write it like “A of PAPER = 2”, with a letter of the plan.")
            findings.add(SPOILED, f"The plan has no piece {quoted(what.strip())}.", todo)
        elif len(matches) > 1:
            each = " or ".join(f"“{letter} of {paper}”" for paper, letter in matches)
            findings.add(SPOILED, f"{quoted(what.strip())} is cut from more than one paper.", f"Say {each}.")
        elif (count := _whole(number)) is None or not count:
            findings.add(SPOILED, f"{quoted(number.strip())} does not say how many.", "Write a number from 1 up.")
        else:
            found.append(Spoiled(*matches[0], count))
    if findings.problems:
        raise NestingError(findings.problems)
    return tuple(found)


def read_cut_to(plan: Plan, said: Iterable[str]) -> dict[str, int]:
    """Words like "cream = 3": the last stop setting that is done on a paper."""
    findings, found = Findings(), {}
    for words in said:
        name, _, number = words.rpartition("=")
        paper = next((one.paper.name for one in plan.papers if same_word(one.paper.name) == same_word(name)), None)
        if paper is None:
            known = [one.paper.name for one in plan.papers]
            todo = findings.hint(name.strip(), known, "write it like “PAPER = 3”, with a paper of the plan.")
            findings.add(CUT_TO, f"The plan cuts no paper {quoted(name.strip() or words)}.", todo)
        elif (count := _whole(number)) is None:
            findings.add(CUT_TO, f"{quoted(number.strip())} is not the number of a stop.", f"Write it like {paper}=3.")
        else:
            found[paper] = count
    if findings.problems:
        raise NestingError(findings.problems)
    return found


def _matches(plan: Plan, words: str) -> list[tuple[str, str]]:
    """Papers and letters that are meant, by letter or by the piece's name."""
    letter, _, name = words.partition(" of ")
    by_letter = [
        (paper.paper.name, known)
        for paper in plan.papers
        for known in kinds_by_letter(paper)
        if same_word(known) == same_word(letter) and same_word(paper.paper.name) == same_word(name)
    ]
    if by_letter:
        return by_letter
    return [
        (paper.paper.name, letter)
        for paper in plan.papers
        for letter, kind in kinds_by_letter(paper).items()
        if any(same_word(piece.title) == same_word(words) for piece in paper.packing.kinds[kind])
    ]


def _whole(words: str) -> int | None:
    word = words.strip()
    return int(word) if word.isascii() and word.isdigit() and len(word) < 7 else None
