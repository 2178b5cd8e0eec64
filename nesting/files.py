"""Files are written beside their place and renamed into it, so that nobody ever reads half a file.

In: a path, and its content or whoever writes it. Out: the file, whole or not at all.
"""

from __future__ import annotations

import os
import tempfile
from collections.abc import Callable
from pathlib import Path


def write_whole(path: Path, content: str | bytes) -> None:
    """Write a file in one step; what stood there before stays until the new content is safely on disk."""
    data = content.encode("utf-8") if isinstance(content, str) else content

    def write(beside: Path) -> None:
        with beside.open("wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())

    write_beside(path, write)


def write_beside(path: Path, write: Callable[[Path], object]) -> None:
    """Let `write` fill a file beside the path, of the same suffix, and rename it into place once it is whole."""
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.stem}-", suffix=path.suffix)
    os.close(handle)
    beside = Path(name)
    try:
        write(beside)
        beside.chmod(0o666 & ~_umask())
        beside.replace(path)
    finally:
        beside.unlink(missing_ok=True)


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
