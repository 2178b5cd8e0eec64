"""Many pictures at once are the same, byte for byte, as each by itself, and none is lost without a word."""

from pathlib import Path

import pytest

from nesting.reports.drawing import Drawing, Rectangle
from nesting.reports.pages import save, save_all


def drawings(folder: Path) -> list[tuple[Drawing, Path]]:
    """Thirty small drawings, each with a box of its own, as dots and lines in turn."""
    made = []
    for number in range(30):
        box = Rectangle(0.1, 0.1, 0.2 + number / 40, 0.5, fill="#336699")
        made.append((Drawing(1.5, 1.0, (box,)), folder / f"{number}.{'svg' if number % 3 == 2 else 'png'}"))
    return made


def test_all_are_as_each_by_itself(tmp_path: Path) -> None:
    together, alone = tmp_path / "together", tmp_path / "alone"
    for folder in (together, alone):
        folder.mkdir()
    save_all(iter(drawings(together)))
    for drawing, path in drawings(alone):
        save(drawing, path)
    assert sorted(path.name for path in together.iterdir()) == sorted(path.name for path in alone.iterdir())
    assert len({path.read_bytes() for path in together.iterdir()}) == 30
    for path in alone.iterdir():
        assert (together / path.name).read_bytes() == path.read_bytes()
        assert (together / path.name).stat().st_mode == path.stat().st_mode


def test_what_cannot_be_written_is_said(tmp_path: Path) -> None:
    with pytest.raises(OSError, match="nowhere"):
        save_all((drawing, tmp_path / "nowhere" / path.name) for drawing, path in drawings(tmp_path)[:2])
