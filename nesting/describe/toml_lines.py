"""Where each key of a TOML text stands: a small scanner that maps key paths to line numbers.

In: a text that the TOML parser has accepted. Out: {("design", "robin", "parts", 2, "size"): 14, ...}. It reads
no values; it only has to find its way past them. TOML 1.0, toml.io.
"""

from __future__ import annotations

import re
from bisect import bisect_right

Step = str | int
KeyPath = tuple[Step, ...]

_BLANK = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*+")
_BARE_OR_QUOTED = r"""[A-Za-z0-9_-]+|"(?:[^"\\\n]|\\.)*+"|'[^'\n]*+'"""
_KEY = re.compile(rf"[ \t]*({_BARE_OR_QUOTED})[ \t]*")
_TEXT = re.compile(
    r'''(?s:"""(?:[^"\\]|\\.|"{1,2}(?!"))*+"{3,5})'''
    r"""|(?s:\'\'\'(?:[^']|'{1,2}(?!'))*+'{3,5})"""
    r"""|"(?:[^"\\\n]|\\.)*+"|'[^'\n]*+'"""
)
_OTHER = re.compile(r"[^,\]}#\n]*+")
_ESCAPES = {"b": "\b", "t": "\t", "n": "\n", "f": "\f", "r": "\r", "e": "\x1b", '"': '"', "\\": "\\"}


def key_lines(text: str) -> dict[KeyPath, int]:
    """The line, from 1 up, of every table, key and list entry; RecursionError where lists lie too deep."""
    return _Scanner(text).lines


class _Scanner:
    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.lines: dict[KeyPath, int] = {}
        self.counts: dict[KeyPath, int] = {}  # entries so far of each list of tables
        self.starts = [0] + [match.end() for match in re.finditer("\n", text)]
        self._whole()

    def _whole(self) -> None:
        table: KeyPath = ()
        self._skip()
        while self.at < len(self.text):
            if self.text[self.at] == "[":
                table = self._header()
            else:
                self._pair(table)
            self._skip()

    def _skip(self) -> None:
        match = _BLANK.match(self.text, self.at)
        self.at = match.end() if match else self.at

    def _note(self, path: KeyPath) -> None:
        self.lines.setdefault(path, bisect_right(self.starts, self.at))

    def _header(self) -> KeyPath:
        double = self.text.startswith("[[", self.at)
        start = self.at
        self.at += 2 if double else 1
        path: KeyPath = ()
        keys = self._keys()
        end, self.at = self.at, start
        for step in keys[:-1]:
            path = (*path, step)
            self._note(path)
            path = self._last_entry(path)
        path = (*path, keys[-1])
        self._note(path)
        if double:
            self.counts[path] = self.counts.get(path, 0) + 1
            path = self._last_entry(path)
            self._note(path)
        self.at = end + (2 if double else 1)
        return path

    def _last_entry(self, path: KeyPath) -> KeyPath:
        return (*path, self.counts[path] - 1) if path in self.counts else path

    def _keys(self) -> list[str]:
        keys = []
        while match := _KEY.match(self.text, self.at):
            keys.append(_unquoted(match[1]))
            self.at = match.end()
            if not self.text.startswith(".", self.at):
                break
            self.at += 1
        return keys

    def _pair(self, table: KeyPath) -> None:
        start = self.at
        keys = self._keys()
        end, self.at = self.at, start
        for step in keys:
            table = (*table, step)
            self._note(table)
        self.at = end + 1  # past the equals sign
        self._value(table)

    def _value(self, path: KeyPath) -> None:
        self._skip()
        opening = self.text[self.at : self.at + 1]
        if opening == "[":
            self._list(path)
        elif opening == "{":
            self._inline_table(path)
        else:
            match = _TEXT.match(self.text, self.at) or _OTHER.match(self.text, self.at)
            self.at = match.end() if match else len(self.text)

    def _list(self, path: KeyPath) -> None:
        self.at += 1
        entry = 0
        self._skip()
        while self.at < len(self.text) and self.text[self.at] != "]":
            self._note((*path, entry))
            self._value((*path, entry))
            entry += 1
            self._past_comma()
        self.at += 1

    def _inline_table(self, path: KeyPath) -> None:
        self.at += 1
        self._skip()
        while self.at < len(self.text) and self.text[self.at] != "}":
            self._pair(path)
            self._past_comma()
        self.at += 1

    def _past_comma(self) -> None:
        self._skip()
        if self.text.startswith(",", self.at):
            self.at += 1
            self._skip()


def _unquoted(key: str) -> str:
    if key.startswith("'"):
        return key[1:-1]
    if not key.startswith('"'):
        return key
    pattern = r"\\(?:u([0-9A-Fa-f]{4})|U([0-9A-Fa-f]{8})|x([0-9A-Fa-f]{2})|(.))"

    def plain(match: re.Match[str]) -> str:
        code = match[1] or match[2] or match[3]
        return chr(int(code, 16)) if code else _ESCAPES.get(match[4], match[4])

    return re.sub(pattern, plain, key[1:-1])
