"""The text files of a project as the page sees them: read, saved whole, and every save undone.

In: a folder. Out: texts by file name, each with a mark of its content. The fact it serves: the same files are edited
by hand in other programs, so a file that is no longer what the page showed is never written over without asking.
"""

from __future__ import annotations

import hashlib
import threading
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from nesting.errors import NestingError, Place, Problem
from nesting.files import write_whole

SUFFIXES = (".toml", ".csv")
MOST_STEPS = 200  # that can be undone


@dataclass(frozen=True, slots=True)
class Sheaf:
    """All files of a project at one moment: bytes by name."""

    files: Mapping[str, bytes]

    def mark(self, name: str) -> str:
        """What tells this content of a file from any other; "" for a file that is not there."""
        return hashlib.sha256(self.files[name]).hexdigest()[:24] if name in self.files else ""

    @property
    def marks(self) -> dict[str, str]:
        """The marks of all files by name."""
        return {name: self.mark(name) for name in self.files}

    @property
    def whole_mark(self) -> str:
        """What tells this state of all files from any other."""
        return hashlib.sha256(repr(sorted(self.marks.items())).encode()).hexdigest()[:24]

    def text(self, name: str) -> str | None:
        """A file as text, None where it is not in UTF-8."""
        try:
            return self.files[name].decode("utf-8-sig")
        except (KeyError, UnicodeDecodeError):
            return None

    def with_texts(self, texts: Mapping[str, str]) -> Sheaf:
        """The same with other texts in some files; a byte order mark stays."""
        bom = b"\xef\xbb\xbf"
        files = dict(self.files)
        for name, text in texts.items():
            files[name] = (bom if files.get(name, b"").startswith(bom) else b"") + text.encode("utf-8")
        return Sheaf(files)


@dataclass(frozen=True, slots=True)
class Step:
    """One save in words, and what each of its files held before and after; None: it was not there."""

    words: str
    before: Mapping[str, bytes | None]
    after: Mapping[str, bytes | None]


class ChangedOutside(Exception):
    """Files are no longer what the page showed. `names`: which."""

    def __init__(self, names: tuple[str, ...]) -> None:
        self.names = names
        super().__init__(", ".join(names))


class Shelf:
    """The files of one project folder, and the steps of this sitting."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._lock = threading.RLock()
        self._done: list[Step] = []
        self._undone: list[Step] = []

    def read(self) -> Sheaf:
        """All files as they are now; links that lead out of the folder are left out."""
        with self._lock:
            home = self.folder.resolve()
            found = {}
            for path in sorted(self.folder.iterdir()) if self.folder.is_dir() else ():
                if _is_ours(path.name) and path.is_file() and path.resolve().parent == home:
                    found[path.name] = path.read_bytes()
            return Sheaf(found)

    def save(self, new: Sheaf, seen: Mapping[str, str], words: str) -> tuple[str, ...]:
        """Write the files that differ from what is there, and give their names.

        seen: the marks that the page showed, of those files at least. Raises ChangedOutside where one differs.
        """
        with self._lock:
            now = self.read()
            names = tuple(name for name in new.files if new.files[name] != now.files.get(name))
            changed = tuple(name for name in names if seen.get(name, "") != now.mark(name))
            if changed:
                raise ChangedOutside(changed)
            if names:
                step = Step(
                    words, {name: now.files.get(name) for name in names}, {name: new.files[name] for name in names}
                )
                self._write(step.after)
                self._done = [*self._done, step][-MOST_STEPS:]
                self._undone = []
            return names

    @property
    def last(self) -> str:
        """What undo would take back, in words; "" for nothing."""
        return self._done[-1].words if self._done else ""

    @property
    def next(self) -> str:
        """What redo would do again, in words; "" for nothing."""
        return self._undone[-1].words if self._undone else ""

    def undo(self) -> str:
        """Take the last step back and say which; NestingError where a file was changed since by somebody else."""
        return self._back(self._done, self._undone, forward=False)

    def redo(self) -> str:
        """Do the step again that was undone last."""
        return self._back(self._undone, self._done, forward=True)

    def _back(self, source: list[Step], target: list[Step], *, forward: bool) -> str:
        with self._lock:
            if not source:
                raise NestingError([Problem(Place(), "There is nothing to take back.", "Change something first.")])
            step = source[-1]
            then, now = (step.before, step.after) if forward else (step.after, step.before)
            there = self.read().files
            changed = [name for name, content in then.items() if there.get(name) != content]
            if changed:
                raise NestingError([
                    Problem(Place(name), "This file was changed outside of this page since.",
                            "Look at it first; nothing was taken back.")
                    for name in changed
                ])  # fmt: skip
            self._write(now)
            target.append(source.pop())
            return step.words

    def _write(self, files: Mapping[str, bytes | None]) -> None:
        for name, content in files.items():
            if not _is_ours(name):
                raise NestingError([Problem(Place(name), "This is no name of a project's file.", "End it in .toml.")])
            path = self.folder / name
            try:
                if content is None:
                    path.unlink(missing_ok=True)
                else:
                    self.folder.mkdir(parents=True, exist_ok=True)
                    write_whole(path, content)
            except OSError as wrong:
                reason = wrong.strerror or "the system gave no reason"
                raise NestingError([
                    Problem(Place(name), f"This file cannot be written ({reason}).", "Check that you may write to it.")
                ]) from wrong  # fmt: skip


def _is_ours(name: str) -> bool:
    """A plain file name of the kinds that a project is read from; no path can hide in it."""
    plain = not name.startswith((".", "~")) and not any(sign in name for sign in '/\\\0:"')
    return plain and name.lower().endswith(SUFFIXES)
