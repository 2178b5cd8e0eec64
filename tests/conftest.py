"""One flag: `pytest --rewrite` writes the expected output beside the demo projects and golden files anew."""

from __future__ import annotations

import pytest


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--rewrite", action="store_true", help="write expected outputs anew instead of comparing")


@pytest.fixture
def rewrite(request: pytest.FixtureRequest) -> bool:
    return bool(request.config.getoption("--rewrite"))
