"""The demo projects, each read and planned once for all tests that look at it, in whichever process they run."""

from __future__ import annotations

import functools
import os
import pickle
from pathlib import Path

from nesting.describe.project_file import read_project
from nesting.plan import Plan, make_plan

DEMOS = Path(__file__).parent.parent / "demo_projects"
NAMES = sorted(path.name for path in DEMOS.iterdir() if path.is_dir())


KEPT = "NESTING_TEST_PLANS"  # names the folder of this run in which the processes of the tests find each other's plans


@functools.cache
def plan_of(name: str) -> Plan:
    kept = Path(os.environ[KEPT]) / name
    if kept.exists():
        found: Plan = pickle.loads(kept.read_bytes())
        return found
    plan = make_plan(read_project(DEMOS / name))
    own = kept.with_name(f"{name}.{os.getpid()}")
    own.write_bytes(pickle.dumps(plan))
    own.replace(kept)
    return plan
