"""The drawer under kill -9 at any moment and under two programs at once: nothing lost, nothing counted twice.

NESTING_STASH_KILLS and NESTING_STASH_STEPS set how often; 500 kills and 1000 steps by two writers are the full run.
"""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from stash_steps import details, lived

from nesting.stash.drawer import Lot, Stash

TESTS = Path(__file__).parent
KILLS = int(os.environ.get("NESTING_STASH_KILLS", "25"))
STEPS = int(os.environ.get("NESTING_STASH_STEPS", "120"))
STEPS_A_FILE = 60  # then a new file is begun, so that writers are also killed while they make one


def _start(arguments: list[str]) -> subprocess.Popen[str]:
    return subprocess.Popen([sys.executable, *arguments], stdout=subprocess.PIPE, text=True, cwd=TESTS)


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="this system has no kill -9")
def test_a_writer_killed_at_any_moment_leaves_whole_steps_and_loses_none_it_reported(tmp_path: Path) -> None:
    chance = random.Random(7)
    seed, done, written = 0, 0, 0
    path = tmp_path / "drawer-0.sqlite"
    for kill in range(KILLS):
        if done >= STEPS_A_FILE:
            written += done
            seed, done = kill, 0
            path = tmp_path / f"drawer-{kill}.sqlite"
        writer = _start([str(TESTS / "stash_steps.py"), str(path), str(seed)])
        assert writer.stdout is not None
        if chance.random() < 0.7:  # in the midst of writing; otherwise while it starts, and may be making the file
            writer.stdout.readline()
            writer_said = 1
        else:
            writer_said = 0
        time.sleep(chance.uniform(0, 0.12 if writer_said else 0.3))
        writer.send_signal(signal.SIGKILL)
        rest, _ = writer.communicate()
        reported = done + writer_said + rest.count("\n")
        if not path.exists():
            assert reported == 0
            continue
        with Stash(path, new=True) as stash:
            assert stash.faults() == ()
            done = len(stash.history())
            assert reported <= done <= reported + 1
            assert lived(seed, done).agrees(stash)
    written += done
    print(f"{KILLS} kills, {written} steps on disk")
    assert written > 0


TWO_WRITERS = """
import sys
from pathlib import Path
from nesting.stash.drawer import Lot, Stash
from nesting.stash.items import Change
from stash_steps import details
path, mine, steps = Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3])
for step in range(steps):
    with Stash(path) as stash:
        match step % 4:
            case 0: stash.add([Lot(details(mine)), Lot(details(5), 3)])
            case 1: stash.take_out(1)
            case 2: stash.record_cut(f"plan {mine} {step}", [Change(1, 2)], [Lot(details(9))])
            case _: stash.put_back(1)
    print(step, flush=True)
"""


def test_two_writers_at_once_lose_nothing_and_count_nothing_twice(tmp_path: Path) -> None:
    path = tmp_path / "drawer.sqlite"
    with Stash(path, new=True) as stash:
        assert stash.add([Lot(details(5), 10)]) == (1,)
    steps = -(-STEPS // 8) * 4  # each
    writers = [_start(["-c", TWO_WRITERS, str(path), str(kind), str(steps)]) for kind in (1, 2)]
    said = [writer.communicate()[0].count("\n") for writer in writers]
    assert [writer.returncode for writer in writers] == [0, 0]
    assert said == [steps, steps]
    with Stash(path) as stash:
        assert stash.faults() == ()
        assert [entry.number for entry in stash.history()] == list(range(1, 2 * steps + 2))
        counts = {item.details: item.count for item in stash.items()}
    # each round of four steps: +3 -1 -2 +1 of the first item, one of the writer's own, one offcut
    assert counts == {
        details(5): 10 + 2 * (steps // 4),
        details(1): steps // 4,
        details(2): steps // 4,
        details(9): 2 * (steps // 4),
    }


def test_two_takers_of_the_last_sheets_never_take_more_than_there_are(tmp_path: Path) -> None:
    path = tmp_path / "drawer.sqlite"
    with Stash(path, new=True) as stash:
        stash.add([Lot(details(5), 15)])
    taker = (
        "import sys; from pathlib import Path; from nesting.errors import NestingError\n"
        "from nesting.stash.drawer import Stash\n"
        "for _ in range(12):\n"
        "    with Stash(Path(sys.argv[1])) as stash:\n"
        "        try: stash.take_out(1); print('took', flush=True)\n"
        "        except NestingError as none_left: assert 'Only 0 are in the drawer' in str(none_left)\n"
    )
    takers = [_start(["-c", taker, str(path)]) for _ in range(2)]
    took = [writer.communicate()[0].count("took") for writer in takers]
    assert [writer.returncode for writer in takers] == [0, 0]
    assert sum(took) == 15
    with Stash(path) as stash:
        assert stash.faults() == ()
        assert stash.item(1).count == 0
