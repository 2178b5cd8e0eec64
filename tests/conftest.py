"""One flag: `pytest --rewrite` writes the expected output beside the demo projects and golden files anew.

And one folder for each run, in which the plans of the demo projects are kept for all of its processes.
"""

from __future__ import annotations

import os
import tempfile

import pytest
from demos import KEPT


def pytest_configure(config: pytest.Config) -> None:
    if KEPT not in os.environ:  # the processes of a run take it over from the one that starts them
        folder = tempfile.TemporaryDirectory(prefix="nesting-tests-")
        os.environ[KEPT] = folder.name
        config.add_cleanup(folder.cleanup)


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--rewrite", action="store_true", help="write expected outputs anew instead of comparing")


@pytest.fixture
def rewrite(request: pytest.FixtureRequest) -> bool:
    return bool(request.config.getoption("--rewrite"))
