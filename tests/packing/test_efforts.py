"""More work never gives less, and a search that is cut off anywhere still gives a plan that holds."""

from __future__ import annotations

import random
from collections.abc import Callable

import pytest
from random_tasks import random_task

from nesting.packing.check import check
from nesting.packing.layout import Answer, Outcome, PackingTask, SheetKind, cost_of, sheets_of
from nesting.packing.solve import Effort, solve

TRIES = 1  # interruptions of one search, besides the first and the last moment


def shortfall(task: PackingTask, answer: Answer) -> tuple[int, int, int]:
    """The less the better: area that is missing, then cost, then sheets."""
    pairs = zip(answer.missing, task.pieces, strict=True)
    area = sum(count * piece.width * piece.height for count, piece in pairs)
    return area, cost_of(task, answer.uses), sheets_of(answer.uses)


@pytest.mark.parametrize("seed", range(6))
def test_more_effort_is_never_worse(seed: int) -> None:
    task = random_task(seed, ruled=seed % 2 == 1, kinds=4 + seed % 3, need=6)
    answers = [solve(task, effort=effort) for effort in Effort]
    assert [check(task, answer) for answer in answers] == [(), (), ()]
    quick, normal, thorough = (shortfall(task, answer) for answer in answers)
    assert quick >= normal >= thorough
    bounds = [answer.bound.cost for answer in answers if answer.outcome is not Outcome.SHORT]
    assert all(bound <= normal[1] for bound in bounds)


def ending_at(number: int, asked: list[int]) -> Callable[[], bool]:
    """A question that is answered with yes from the given time on; it counts how often it is asked."""

    def stop() -> bool:
        asked.append(1)
        return len(asked) > number

    return stop


def hard(seed: int) -> PackingTask:
    """A task that is not proven at once."""
    task = random_task(seed, ruled=seed % 3 == 0, kinds=9, need=12, sheets=1)
    return PackingTask(task.pieces, (SheetKind(190, 160, 0), SheetKind(120, 130, 1)), task.rules)


@pytest.mark.parametrize("seed", range(4))
def test_stopped_anywhere_it_gives_a_plan_that_holds_and_says_so(seed: int) -> None:
    task, asked, chance = hard(seed), list[int](), random.Random(seed)
    whole = solve(task, stop=ending_at(10**9, asked))
    often = len(asked)
    assert often > 1
    for moment in {0, often - 1, *(chance.randrange(often) for _ in range(TRIES))}:
        again: list[int] = []
        answer = solve(task, stop=ending_at(moment, again))
        assert check(task, answer) == ()
        assert len(again) > moment
        if cost_of(task, answer.uses) != answer.bound.cost or any(answer.missing):
            assert answer.outcome is Outcome.STOPPED
        assert shortfall(task, whole)[0] <= shortfall(task, answer)[0]
        assert answer.bound.cost <= cost_of(task, whole.uses) or any(whole.missing) or any(answer.missing)


class Interrupted(KeyboardInterrupt):
    """Ctrl-C in the midst of a search."""


@pytest.mark.parametrize("seed", range(4))
def test_an_interrupt_out_of_a_callback_leaves_nothing_behind(seed: int) -> None:
    """A second Ctrl-C leaves at once: it comes out as it is, and the next search finds what it would have found."""
    task, told, chance = hard(seed), list[str](), random.Random(seed)
    whole = solve(task, effort=Effort.QUICK, progress=told.append)
    moment = chance.randrange(len(told)) if told else 0

    def tell(sentence: str) -> None:
        if sentence == told[moment]:
            raise Interrupted

    if told:
        with pytest.raises(Interrupted):
            solve(task, effort=Effort.QUICK, progress=tell)
    assert solve(task, effort=Effort.QUICK) == whole
