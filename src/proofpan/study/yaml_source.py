"""YAML 1.2 (core schema) to plain values with the line of each, in one pass over the parser's events.

The event stream is all that is taken from the YAML library: names stay as written (`NO`, `1:30`), aliases, tags and
further documents are refused before anything is built, and each value keeps its line.
Source: YAML 1.2.2, section 10.3.2 (core schema tag resolution).
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from typing import Any

from proofpan.study.errors import StudyError, quoted
from proofpan.study.source import DEEPEST, PathKey, Source

_NULL = re.compile(r"(?:null|Null|NULL|~|)\Z")
_BOOL = re.compile(r"(?:true|True|TRUE|false|False|FALSE)\Z")
_INT = re.compile(r"[-+]?[0-9]+\Z")
_OCT_HEX = re.compile(r"0o[0-7]+\Z|0x[0-9a-fA-F]+\Z")
_FLOAT = re.compile(r"[-+]?(?:\.[0-9]+|[0-9]+(?:\.[0-9]*)?)(?:[eE][-+]?[0-9]+)?\Z")
_INF = re.compile(r"[-+]?\.(?:inf|Inf|INF)\Z")
_NAN = re.compile(r"\.(?:nan|NaN|NAN)\Z")


def core_scalar(text: str) -> Any:
    """What a plain scalar means under the core schema; most are text."""
    if _NULL.match(text):
        return None
    if _BOOL.match(text):
        return text.lower() == "true"
    if _INT.match(text):
        return int(text) if len(text) < 19 else text
    if _OCT_HEX.match(text):
        return int(text, 0)
    if _FLOAT.match(text):
        return float(text)
    if _INF.match(text):
        return -math.inf if text.startswith("-") else math.inf
    if _NAN.match(text):
        return math.nan
    return text


class Number(float):
    """A float that remembers how it was written, so that a name such as 190.50 stays one."""

    written: str

    def __new__(cls, value: float, written: str) -> Number:
        """Keep the text beside the value."""
        self = super().__new__(cls, value)
        self.written = written
        return self


def read_yaml(text: str, file: str | None = None) -> Source:
    """Parse one YAML document.

    Raises: StudyError naming the line of a syntax slip, a repeated key, an alias, a tag or a second document.
    """
    import yaml

    loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    source = Source(None, file=file)
    try:
        _Builder(yaml.parse(text, Loader=loader), source, yaml).document()
    except yaml.MarkedYAMLError as error:
        raise _syntax(error, text, file) from None
    except yaml.YAMLError:
        raise StudyError("The text can't be read as YAML.", file=file) from None
    return source


class _Builder:
    def __init__(self, events: Iterator[Any], source: Source, yaml: Any) -> None:
        self.events, self.source, self.yaml = events, source, yaml

    def fail(self, says: str, event: Any) -> StudyError:
        return StudyError(says, file=self.source.file, line=event.start_mark.line + 1)

    def document(self) -> None:
        documents = 0
        for event in self.events:
            if isinstance(event, self.yaml.DocumentStartEvent):
                documents += 1
                if documents > 1:
                    raise self.fail("A second document starts here (---): one file holds one study.", event)
            elif isinstance(event, self.yaml.NodeEvent):
                self.source.value = self.node(event, ())

    def node(self, event: Any, path: PathKey) -> Any:
        if isinstance(event, self.yaml.AliasEvent):
            raise self.fail(f"The alias *{event.anchor} isn't taken: write the text out.", event)
        if event.tag is not None and event.tag not in ("!",):
            tag = event.tag.replace("tag:yaml.org,2002:", "!!")
            raise self.fail(f"The tag {quoted(tag)} isn't taken: plain text and numbers only.", event)
        if len(path) > DEEPEST:
            raise self.fail(f"Brackets are nested deeper than {DEEPEST} levels.", event)
        self.source.lines.setdefault(path, event.start_mark.line + 1)
        if isinstance(event, self.yaml.ScalarEvent):
            return self.scalar(event)
        if isinstance(event, self.yaml.SequenceStartEvent):
            return self.sequence(path)
        return self.mapping(path)

    def scalar(self, event: Any) -> Any:
        if not event.implicit[0]:
            return event.value
        value = core_scalar(event.value)
        return Number(value, event.value) if isinstance(value, float) else value

    def sequence(self, path: PathKey) -> list[Any]:
        out: list[Any] = []
        for event in self.events:
            if isinstance(event, self.yaml.SequenceEndEvent):
                break
            out.append(self.node(event, (*path, len(out))))
        return out

    def mapping(self, path: PathKey) -> dict[str, Any]:
        out: dict[str, Any] = {}
        for event in self.events:
            if isinstance(event, self.yaml.MappingEndEvent):
                break
            if not isinstance(event, self.yaml.ScalarEvent):
                raise self.fail("A key is a word followed by a colon; here a list or brackets stand for one.", event)
            key = event.value
            if key == "<<" and event.implicit[0]:
                raise self.fail("The merge key << isn't taken: write the keys out.", event)
            here = (*path, key)
            if key in out:
                first = self.source.lines.get(here)
                raise self.fail(f"The key {quoted(key)} stands twice (first in line {first}): keep one.", event)
            self.source.lines[here] = event.start_mark.line + 1
            out[key] = self.node(next(self.events), here)
        return out


def _syntax(error: Any, text: str, file: str | None) -> StudyError:
    """The parser's complaint in a cook's words."""
    mark = error.problem_mark or error.context_mark
    line = (mark.line if mark else 0) + 1
    rows = text.split("\n")
    start = (error.context_mark.line if error.context_mark else line - 1) + 1
    problem = f"{error.context or ''} {error.problem or ''}"
    tabbed = next((n for n, row in enumerate(rows[:line], 1) if re.match(r" *\t", row)), None)
    if "quoted scalar" in problem or "unexpected end of stream" in problem or _open_quote(rows, start):
        return StudyError("A quotation mark is opened here and never closed.", file=file, line=start)
    if tabbed is not None and (r"'\t'" in problem or "tab" in problem or tabbed >= line - 1):
        return StudyError("A tab stands at the start of the line: indent with spaces.", file=file, line=tabbed)
    if "mapping values are not allowed" in problem:
        says = "A colon inside plain text: put the text in quotes."
        return StudyError(says, file=file, line=line)
    if "undefined alias" in problem:
        name = problem.split("undefined alias")[-1].strip()
        return StudyError(f"The alias *{name} isn't taken: write the text out.", file=file, line=line)
    if "expected" in problem and ("','" in problem or "']'" in problem or "'}'" in problem):
        says = "A comma or a closing bracket is missing, or a quotation mark is never closed."
        return StudyError(says, file=file, line=start)
    return StudyError("The line can't be read: check its indent, colons and brackets.", file=file, line=line)


def _open_quote(rows: list[str], line: int) -> bool:
    row = rows[line - 1] if 0 < line <= len(rows) else ""
    return row.count('"') % 2 == 1
