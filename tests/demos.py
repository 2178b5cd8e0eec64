"""The demo projects, each read and planned once for all tests that look at it."""

from __future__ import annotations

import functools
from pathlib import Path

from nesting.describe.project_file import read_project
from nesting.plan import Plan, make_plan

DEMOS = Path(__file__).parent.parent / "demo_projects"
NAMES = sorted(path.name for path in DEMOS.iterdir() if path.is_dir())


@functools.cache
def plan_of(name: str) -> Plan:
    return make_plan(read_project(DEMOS / name))
