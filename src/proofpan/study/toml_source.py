"""TOML to plain values with the line of each.

The standard library reads the values; a second, small walk over the text (already known to be good) finds the lines.
Source: TOML 1.0.0.
"""

from __future__ import annotations

import re
import tomllib
from typing import Any

from proofpan.study.errors import StudyError, quoted
from proofpan.study.source import DEEPEST, PathKey, Source

_BARE = re.compile(r"[A-Za-z0-9_-]+")
_SPACE = re.compile(r"(?:[ \t\n]|#[^\n]*)*")
_SCALAR = re.compile(r"[^,\]\}\n#]+")
_STRINGS = (
    re.compile(r'"""(?:[^\\]|\\.)*?"{3,5}', re.S),
    re.compile(r"'''.*?'{3,5}", re.S),
    re.compile(r'"(?:[^"\\\n]|\\.)*"'),
    re.compile(r"'[^'\n]*'"),
)


def read_toml(text: str, file: str | None = None) -> Source:
    """Parse a TOML document.

    Raises: StudyError naming the line of a syntax slip.
    """
    depth = 0
    for c in text:
        depth += (c in "[{") - (c in "]}")
        if depth > 4 * DEEPEST:
            raise StudyError(f"Brackets are nested deeper than {DEEPEST} levels.", file=file)
    try:
        value = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise _syntax(error, text, file) from None
    source = Source(_plain(value), file=file)
    _Lines(text, source).document()
    return source


def _plain(value: Any) -> Any:
    """Dates as text, so that both formats hand on the same."""
    if isinstance(value, dict):
        return {k: _plain(v) for k, v in value.items()}
    if isinstance(value, list):
        return [_plain(v) for v in value]
    return value.isoformat() if hasattr(value, "isoformat") else value


class _Lines:
    """Walks good TOML and notes where each key and item stands."""

    def __init__(self, text: str, source: Source) -> None:
        self.text, self.at, self.lines = text, 0, source.lines
        self.counts: dict[PathKey, int] = {}

    def note(self, path: PathKey) -> None:
        self.lines.setdefault(path, self.text.count("\n", 0, self.at) + 1)

    def skip(self) -> None:
        match = _SPACE.match(self.text, self.at)
        self.at = match.end() if match else self.at

    def document(self) -> None:
        table: PathKey = ()
        self.lines[()] = 1
        while True:
            self.skip()
            if self.at >= len(self.text):
                return
            if self.text[self.at] == "[":
                table = self.header()
            else:
                self.pair(table)

    def header(self) -> PathKey:
        many = self.text.startswith("[[", self.at)
        start = self.at
        self.at += 2 if many else 1
        path: PathKey = ()
        keys = self.keys()
        self.at = self.text.index("]", self.at) + (2 if many else 1)
        for i, key in enumerate(keys):
            path = (*path, key)
            if many and i == len(keys) - 1:
                self.counts[path] = self.counts.get(path, -1) + 1
            if path in self.counts:
                path = (*path, self.counts[path])
        for end in range(1, len(path) + 1):
            self.lines.setdefault(path[:end], self.text.count("\n", 0, start) + 1)
        for nested in [p for p in self.counts if len(p) > len(path) and p[: len(path)] == path]:
            del self.counts[nested]
        return path

    def keys(self) -> list[str]:
        out = []
        while True:
            self.skip()
            for pattern in _STRINGS[2:]:
                if match := pattern.match(self.text, self.at):
                    out.append(match.group()[1:-1])
                    break
            else:
                match = _BARE.match(self.text, self.at)
                if not match:
                    return out
                out.append(match.group())
            self.at = match.end()
            self.skip()
            if not self.text.startswith(".", self.at):
                return out
            self.at += 1

    def pair(self, table: PathKey) -> None:
        start = self.at
        path = (*table, *self.keys())
        here, self.at = self.at, start
        self.note(path)
        self.at = self.text.index("=", here) + 1
        self.value(path)

    def value(self, path: PathKey) -> None:
        self.skip()
        self.note(path)
        for pattern in _STRINGS:
            if match := pattern.match(self.text, self.at):
                self.at = match.end()
                return
        if self.text[self.at] == "[":
            self.array(path)
        elif self.text[self.at] == "{":
            self.inline(path)
        elif match := _SCALAR.match(self.text, self.at):
            self.at = match.end()

    def array(self, path: PathKey) -> None:
        self.at += 1
        index = 0
        while True:
            self.skip()
            if self.text[self.at] == "]":
                self.at += 1
                return
            if self.text[self.at] == ",":
                self.at += 1
                continue
            self.value((*path, index))
            index += 1

    def inline(self, path: PathKey) -> None:
        self.at += 1
        while True:
            self.skip()
            if self.text[self.at] == "}":
                self.at += 1
                return
            if self.text[self.at] == ",":
                self.at += 1
                continue
            self.pair(path)


def _syntax(error: tomllib.TOMLDecodeError, text: str, file: str | None) -> StudyError:
    said = str(error)
    match = re.search(r"line (\d+)", said)
    line = int(match.group(1)) if match else text.count("\n") + 1
    row = text.split("\n")[line - 1] if line <= text.count("\n") + 1 else ""
    if "Cannot overwrite" in said or "twice" in said or "Cannot declare" in said:
        key = row.split("=")[0].strip().strip("[]")
        return StudyError(f"The key {quoted(key)} stands twice: keep one.", file=file, line=line)
    if row.count('"') % 2 or row.count("'") % 2 or "Illegal character '\\n'" in said:
        says = "A quotation mark is opened here and never closed before the line ends."
        return StudyError(says, file=file, line=line)
    return StudyError("The line can't be read as TOML: check its quotes, commas and brackets.", file=file, line=line)
