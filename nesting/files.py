"""Files are written beside their place and renamed into it, so that nobody ever reads half a file.

In: a path and its content. Out: the file, whole or not at all.
"""

from __future__ import annotations

import os
import tempfile
from pathlib import Path


def write_whole(path: Path, content: str | bytes) -> None:
    """Write a file in one step; what stood there before stays until the new content is safely on disk."""
    data = content.encode("utf-8") if isinstance(content, str) else content
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=".part")
    beside = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        beside.chmod(0o666 & ~_umask())
        beside.replace(path)
    except BaseException:
        beside.unlink(missing_ok=True)
        raise


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
