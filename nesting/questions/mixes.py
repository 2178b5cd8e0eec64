"""A wanted mix of designs, and how many cards of each make up any number of cards.

In: weights by design. Out: counts by design. The fact of the trade: "two of these for each of those" has to hold as
nearly as can be for 17 cards as well, and with one card more no design may lose one. Each next card goes to the design
that is furthest behind its share (highest averages with odd divisors; Sainte-Laguë 1910, Annales scientifiques de
l'École normale supérieure 27): where the weights go into n evenly, the counts are exactly in proportion.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from nesting.describe.findings import Findings, same_word
from nesting.describe.project import BatchLine, Project
from nesting.errors import NestingError, Place
from nesting.quoting import quoted

MOST_CARDS = 10_000  # no larger batch is looked at


@dataclass(frozen=True, slots=True)
class Mix:
    """Designs with their weights, all of them 1 or more."""

    weights: tuple[tuple[str, int], ...]

    def counts(self, cards: int) -> dict[str, int]:
        """Cards of each design, `cards` in all; never fewer of any design than for a smaller number."""
        total = sum(weight for _, weight in self.weights)
        rounds = cards // total
        counts = [rounds * weight for _, weight in self.weights]
        for _ in range(cards - rounds * total):
            behind = [Fraction(weight, 2 * n + 1) for (_, weight), n in zip(self.weights, counts, strict=True)]
            counts[behind.index(max(behind))] += 1
        return {name: count for (name, _), count in zip(self.weights, counts, strict=True)}

    def project(self, project: Project, cards: int) -> Project:
        """The project with a batch of so many cards; loose pieces of a list are left out."""
        lines = tuple(BatchLine(name, count, _place(project, name)) for name, count in self.counts(cards).items())
        return replace(project, batch=lines, pieces=())


def _place(project: Project, design: str) -> Place:
    return next((line.place for line in project.batch if line.design == design), project.design(design).place)


def read_mix(project: Project, words: str) -> Mix:
    """What the user wants: one design, "robin=2, wren=1", or "" for the project's own batch.

    Raises NestingError with all that is wrong.
    """
    findings, place = Findings(), Place(subject="the wanted mix")
    if not project.designs:
        findings.add(place, "The project has no card design, only a list of pieces.", "Ask about a project of cards.")
        raise NestingError(findings.problems)
    weights: dict[str, int] = {}
    if words.strip():
        for part in words.split(","):
            name, _, number = part.partition("=") if _design(project, part) is None else (part, "", "1")
            design = _design(project, name)
            if design is None:
                known = [one.name for one in project.designs]
                todo = findings.hint(name, known, f"choose from {', '.join(known)}.")
                findings.add(place, f"There is no design {quoted(name.strip())}.", todo)
            elif not (number.strip() or "1").isascii() or not (number.strip() or "1").isdigit():
                findings.add(place, f"{quoted(part.strip())} does not say how many.", f"Write it like {design}=2.")
            else:
                weights[design] = weights.get(design, 0) + int(number.strip()[:9] or "1")
    else:
        for line in project.batch:
            weights[line.design] = weights.get(line.design, 0) + line.count
    wanted = tuple((name, weight) for name, weight in weights.items() if weight)
    if not wanted and not findings.problems:
        findings.add(place, "No card is wanted.", "Name a design, or give it a number above 0.")
    if findings.problems:
        raise NestingError(findings.problems)
    return Mix(wanted)


def _design(project: Project, word: str) -> str | None:
    return next((one.name for one in project.designs if same_word(one.name) == same_word(word)), None)
