"""The command: what it refuses, and what it says where it can."""

from __future__ import annotations

import socket
from pathlib import Path

import pytest
from click.testing import CliRunner
from desks import starter

from nesting.command_line import main
from nesting.desk.serve import HOME, Serving
from nesting.errors import NestingError


def test_a_port_that_is_taken_is_a_sentence(tmp_path: Path) -> None:
    folder = starter(tmp_path / "p")
    with socket.create_server((HOME, 0)) as taken:
        port = taken.getsockname()[1]
        answer = CliRunner().invoke(main, ["desk", str(folder), "--no-browser", "--port", str(port)])
    assert answer.exit_code == 1
    assert f"Port {port} cannot be used" in answer.output
    assert "Leave --port out" in answer.output


def test_a_file_is_no_project_to_open(tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_text("x", "utf-8")
    answer = CliRunner().invoke(main, ["desk", str(tmp_path / "a.csv"), "--no-browser"])
    assert answer.exit_code == 1
    assert "This is a file, not a folder." in answer.output


def test_it_answers_to_this_machine_alone(tmp_path: Path) -> None:
    serving = Serving(starter(tmp_path / "p"), tmp_path / "drawer.sqlite")
    try:
        assert serving.host == "127.0.0.1"
        assert serving.address.startswith(f"http://127.0.0.1:{serving.guard.port}/open?token=")
        with pytest.raises(NestingError):
            Serving(tmp_path / "p", tmp_path / "drawer.sqlite", serving.guard.port)
    finally:
        serving.leave()
