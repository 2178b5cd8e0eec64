"""Files are written beside their place and renamed into it, so that nobody ever reads half a file.

In: a path, and its content or whoever writes it. Out: the file, whole or not at all; or many files of one folder, all
of them or none.
"""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from threading import Lock

_ASKING = Lock()
_NEW = ".new-"  # how a folder of files not yet all whole begins


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


def write_together(folder: Path, fill: Callable[[Path], object]) -> None:
    """Let `fill` write files into a new folder, and move them into this one once all of them are whole.

    Where that fails, what stood there before stands there still. Two programs at once take turns; what a killed one
    left behind is taken away.
    """
    folder.mkdir(parents=True, exist_ok=True)
    with _alone_in(folder) as alone:
        if alone:
            for left in folder.glob(f"{_NEW}*"):
                shutil.rmtree(left, ignore_errors=True)
        with tempfile.TemporaryDirectory(dir=folder, prefix=_NEW, ignore_cleanup_errors=True) as name:
            fill(Path(name))
            for path in sorted(Path(name).iterdir()):
                path.replace(folder / path.name)


@contextmanager
def _alone_in(folder: Path) -> Iterator[bool]:
    """Hold a folder until done; whoever comes second waits. False where the system knows no such thing."""
    try:
        import fcntl
    except ImportError:  # Windows
        yield False
        return
    handle = os.open(folder, os.O_RDONLY)
    held = False
    try:
        with suppress(OSError):  # some file servers cannot
            fcntl.flock(handle, fcntl.LOCK_EX)
            held = True
        yield held
    finally:
        os.close(handle)


def _umask() -> int:
    with _ASKING:  # it is changed for a moment
        mask = os.umask(0)
        os.umask(mask)
    return mask
