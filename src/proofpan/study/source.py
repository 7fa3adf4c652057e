"""A study file as plain values with the line of each: what both readers (YAML, TOML) hand on.

The path of a value is a tuple of keys and indices, `("factors", 0, "options", 1, "name")`.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from proofpan.study.errors import StudyError

PathKey = tuple[str | int, ...]
LARGEST_BYTES = 1_000_000
DEEPEST = 64


@dataclass
class Source:
    """Plain values and where each stands."""

    value: Any
    lines: dict[PathKey, int] = field(default_factory=dict)
    file: str | None = None

    def line(self, path: PathKey) -> int | None:
        """The line of a value, or of the nearest thing around it that stands in the file."""
        for end in range(len(path), -1, -1):
            if path[:end] in self.lines:
                return self.lines[path[:end]]
        return 1 if self.file else None


def dotted(path: PathKey) -> str:
    """`factors[0].options[1].name`."""
    out = ""
    for key in path:
        out += f"[{key}]" if isinstance(key, int) else (f".{key}" if out else str(key))
    return out


def read_source(path: str | Path) -> Source:
    """Read a study file, refusing in one sentence what can't be one.

    Raises: StudyError for a missing, huge, binary or misspelt file.
    """
    path = Path(path)
    return parse_source(read_text(path), str(path), toml=path.suffix.lower() == ".toml")


def read_text(path: Path) -> str:
    """A file's text: there, not too large, UTF-8, printable."""
    name = path.name
    if not path.exists():
        raise StudyError(f"There is no file {name}: look for it with its full path.", file=path)
    if path.is_dir():
        raise StudyError(f"{name} is a folder; a study is one YAML or TOML file.", file=path)
    size = path.stat().st_size
    if size > LARGEST_BYTES:
        raise StudyError(f"The file is too large ({size / 1e6:.0f} MB); a study is at most 1 MB.", file=path)
    raw = path.read_bytes()
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        raise StudyError("The text isn't UTF-8: save the file as UTF-8 in the editor.", file=path, line=line) from None


def parse_source(text: str, file: str | None = None, *, toml: bool = False) -> Source:
    """Text to plain values with lines."""
    if len(text.encode("utf-8", "replace")) > LARGEST_BYTES:
        raise StudyError(f"The text is too large ({len(text) / 1e6:.0f} MB); a study is at most 1 MB.", file=file)
    text = text.replace("\r\n", "\n").removeprefix("\ufeff")
    for number, row in enumerate(text.split("\n"), 1):
        odd = next((c for c in row if (ord(c) < 32 and c != "\t") or ord(c) == 127), None)
        if odd is not None:
            says = f"A control character (byte {ord(odd)}) stands in the text: delete it."
            raise StudyError(says, file=file, line=number)
    if toml:
        from proofpan.study.toml_source import read_toml as read
    else:
        from proofpan.study.yaml_source import read_yaml as read
    source = read(text, file)
    if source.value is None or source.value == {}:
        raise StudyError("The file is empty: a study needs at least a title, attributes and factors.", file=file)
    if not isinstance(source.value, dict):
        kind = "a list" if isinstance(source.value, list) else "plain text"
        raise StudyError(f"The file holds {kind}; a study has keys such as title and factors.", file=file, line=1)
    return source
