"""The file format told where the user is: one short text for each topic.

In: a topic. Out: its text, whose indented examples are read by a test.
"""

from __future__ import annotations

from importlib.resources import files

from nesting.describe.findings import Findings
from nesting.errors import NestingError, Place
from nesting.quoting import quoted

TOPICS = (
    "papers", "printing", "shops", "designs", "families", "parts", "shapes", "choosing", "batch", "trimmer", "costs",
    "fit", "lengths", "pieces",
)  # fmt: skip


def topics() -> tuple[str, ...]:
    """The topics, in the order in which a newcomer needs them."""
    return TOPICS


def explain(topic: str) -> str:
    """The text of a topic; NestingError for one that is not there."""
    if topic not in TOPICS:
        findings = Findings()
        todo = findings.hint(topic, TOPICS, f"choose one of {', '.join(TOPICS)}.")
        findings.add(Place(), f"There is no topic {quoted(topic)}.", todo)
        raise NestingError(findings.problems)
    return files("nesting.describe").joinpath("explained", f"{topic}.txt").read_text(encoding="utf-8")
