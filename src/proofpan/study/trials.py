"""Trials: versions made once, as planned and as cooked."""

from __future__ import annotations

import re
from typing import Annotated, Any

from pydantic import PlainSerializer, PlainValidator

from proofpan.study.brief import Brief
from proofpan.study.errors import TrialError, quoted
from proofpan.study.fields import Doc
from proofpan.study.frames import NO, YES, Table, given, read_table
from proofpan.study.versions import Version, VersionFault, read_version

TRIAL_COLUMNS = ("round", "trial", "version", "size", "draft", "load", "tray", "place", "lot", "day", "start", "out",
                 "core_c", "weighed", "blind", "failed", "note")
_WEIGHED = re.compile(r"\s*(.+?)\s+(\d.*)$")
_CLOCK = re.compile(r"^(\d{1,2}):(\d{2})$")
_ISO = re.compile(r"^\d{4}-\d{2}-\d{2}([T ]\d{1,2}:\d{2}(:\d{2})?)?$")


def _version(value: Any) -> Version:
    if isinstance(value, Version):
        return value
    if isinstance(value, str):
        return Version(tuple(tuple(p.strip() for p in part.split("=", 1)) for part in value.split(";")))  # type: ignore[misc]
    return Version({str(k): str(v) for k, v in value.items()})


VersionField = Annotated[Version, PlainValidator(_version), PlainSerializer(str, return_type=str)]


class Trial(Doc):
    """One version made once."""

    round: int
    trial: int
    version: VersionField
    size: str = "test"
    draft: int = 1
    load: int | None = None
    tray: int | None = None
    place: int | None = None
    lot: str = ""
    day: int | None = None
    start: str = ""
    out: str = ""
    core_c: float | None = None
    weighed: str = ""
    blind: bool | None = None
    failed: str = ""
    note: str = ""
    why: str = ""
    planned: bool = False
    recorded: bool = False

    @property
    def key(self) -> tuple[int, int]:
        """What a trial is known by."""
        return (self.round, self.trial)

    def weighed_amounts(self) -> tuple[tuple[str, str], ...]:
        """`fine salt 12 g; water 108 g` as (item, amount) pairs."""
        out = []
        for part in self.weighed.split(";"):
            match = _WEIGHED.match(part)
            if match:
                out.append((match.group(1).strip(), match.group(2).strip()))
        return tuple(out)


class _Row:
    """One row of a table of trials, with the sentences for what is wrong in it."""

    def __init__(self, table: Table, row: int) -> None:
        self.table, self.row = table, row

    def text(self, column: str) -> str:
        value = self.table.get(column, self.row)
        return value if given(value) else ""

    def fail(self, says: str, column: str) -> TrialError:
        return TrialError(says, file=self.table.file, line=self.table.line(self.row), field=column)

    def whole(self, column: str, least: int = 1) -> int | None:
        text = self.text(column)
        if not text:
            return None
        try:
            number = int(float(text))
            exact = float(text) == number
        except (ValueError, OverflowError):
            exact = False
        if not exact or number < least:
            raise self.fail(f"{quoted(text)} isn't a whole number of {least} or more.", column)
        return number

    def number(self, column: str, low: float, high: float) -> float | None:
        text = self.text(column)
        if not text:
            return None
        try:
            value = float(text)
        except ValueError:
            raise self.fail(f"{quoted(text)} isn't a number.", column) from None
        if not low <= value <= high:
            raise self.fail(f"{quoted(text)} isn't between {low:g} and {high:g}.", column)
        return value

    def yes_no(self, column: str) -> bool | None:
        text = self.text(column).casefold()
        if not text:
            return None
        if text in YES or text in NO:
            return text in YES
        raise self.fail(f"{quoted(text)} is neither yes nor no.", column)

    def weights(self, column: str) -> str:
        """`fine salt 12 g; water 108 g`, each part an ingredient and what was weighed of it."""
        text = self.text(column)
        for part in filter(str.strip, text.split(";")):
            if not _WEIGHED.match(part):
                raise self.fail(f"{quoted(part.strip())} isn't an ingredient and its weight: write fine salt 12 g; water 108 g.", column)
        return text

    def clock(self, column: str) -> str:
        text = self.text(column)
        match = _CLOCK.match(text)
        fine = not text or _ISO.match(text) or (match and int(match.group(1)) < 24 and int(match.group(2)) < 60)
        if not fine:
            raise self.fail(f"{quoted(text)} isn't a time: write 09:05, or 2026-05-03T09:05.", column)
        return text


def read_trials(brief: Brief, known: dict[tuple[int, int], Trial], frame: Any) -> dict[tuple[int, int], Trial]:
    """The trials after a frame's rows were filled in, by (round, trial).

    Raises: TrialError for an unknown option, a bad cell, or another version at a trial that is known.
    """
    table = read_table(frame, TRIAL_COLUMNS, TrialError, required=("round", "trial"))
    out = dict(known)
    versions: dict[str, Version] = {}
    for i in range(table.length):
        row = _Row(table, i)
        trial = _read_row(brief, row, out, versions)
        out[trial.key] = trial
    _numbers_run_over_the_study(out, table)
    return out


def _numbers_run_over_the_study(trials: dict[tuple[int, int], Trial], table: Table) -> None:
    rounds: dict[int, int] = {}
    for round_, number in trials:
        if number in rounds and rounds[number] != round_:
            says = (f"Trial {number} stands in rounds {rounds[number]} and {round_}: trial numbers run over the study, "
                    "so each is used once.")
            raise TrialError(says, file=table.file)
        rounds[number] = round_


def _read_row(
    brief: Brief, row: _Row, known: dict[tuple[int, int], Trial], versions: dict[str, Version]
) -> Trial:
    round_, number = row.whole("round"), row.whole("trial")
    if round_ is None or number is None:
        raise row.fail("A trial needs its round and its number.", "trial" if round_ else "round")
    before = known.get((round_, number))
    version = _version_of(brief, row, before, versions)
    failed = row.text("failed")
    failed = "" if failed.casefold() in NO else "failed" if failed.casefold() in YES else failed
    size = row.text("size").casefold()
    if size not in ("", "full", "test", "test batch"):
        raise row.fail(f"{quoted(size)} isn't a size: full, or test.", "size")
    blind = row.yes_no("blind")
    old = before or Trial(round=round_, trial=number, version=version, draft=brief.draft)
    draft = row.whole("draft")
    if draft is not None and draft > brief.draft:
        raise row.fail(f"Draft {draft} isn't there: the newest is draft {brief.draft}.", "draft")
    changes: dict[str, Any] = {
        "size": size.replace("test batch", "test") or None, "draft": draft, "load": row.whole("load"),
        "tray": row.whole("tray"), "place": row.whole("place"), "lot": row.text("lot") or None,
        "day": row.whole("day"), "start": row.clock("start") or None, "out": row.clock("out") or None,
        "core_c": row.number("core_c", -60, 300), "weighed": row.weights("weighed") or None, "blind": blind,
        "note": row.text("note") or None,
    }
    update = {k: v for k, v in changes.items() if v is not None}
    if "failed" in row.table.columns:
        update["failed"] = failed
    return old.model_copy(update={**update, "version": version, "recorded": True})


def _version_of(brief: Brief, row: _Row, before: Trial | None, versions: dict[str, Version]) -> Version:
    text = row.text("version")
    if not text:
        if before is None:
            raise row.fail("A trial that wasn't planned needs its version, such as fat=olive oil; oven=190.", "version")
        return before.version
    if text not in versions:
        try:
            versions[text] = read_version(brief, text)
        except VersionFault as fault:
            raise row.fail(str(fault), "version") from None
    version = versions[text]
    if before is not None and before.version != version:
        says = (f"Trial {before.trial} of round {before.round} is {quoted(before.version)}, not {quoted(version)}: "
                "record what was cooked instead as a new trial.")
        raise row.fail(says, "version")
    return version
