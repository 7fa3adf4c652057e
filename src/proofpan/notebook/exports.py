"""Studies as open files: text as it is, everything else as JSON lines."""

import json
import shutil
from collections.abc import Iterable
from dataclasses import asdict
from pathlib import Path
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from . import events, originals, people, studies, tastings
from .passing_on import PassingOn
from .tables import revision

READ_ME = """A notebook's studies as open files, to read with any other program.

studies/ID/study.json       title, step, times, newest revision
studies/ID/document.yaml    the study's newest text (.json where it is JSON)
studies/ID/revisions/       its text at each revision
studies/ID/history.jsonl    what each revision changed, one a line
studies/ID/events.jsonl     ballots, readings and what else happened, in order
studies/ID/tastings.jsonl   rounds, tasters, when opened and closed
studies/ID/people.jsonl     what is private about people; only where asked for
files/, files.jsonl         original files by the SHA-256 of their bytes

{people}

This is no backup: nothing is put back from it. A whole copy of the notebook, people and all, is made by: proofpan backup FILE
"""
WITHOUT_PEOPLE = """Tasters and testers stand under labels (Taster 1, Kitchen 1). What they don't eat, their contacts and their words are left out; an invented
study's people keep their names. What somebody wrote by hand in a study's text, and what a photograph or a recording shows, is as it was:
look before you pass it on."""
WITH_PEOPLE = "Names, contacts, what tasters don't eat and what they wrote are in here: keep it to yourself, or ask them first."


def write_all(connection: Connection, folder: Path, media_folder: Path, with_people: bool) -> None:
    """Write every study, deleted ones too, and the originals."""
    (folder / "README.txt").write_text(READ_ME.format(people=WITH_PEOPLE if with_people else WITHOUT_PEOPLE), encoding="utf-8")
    for entry in sorted(studies.listing(connection, with_deleted=True), key=lambda e: e.id):
        _write_study(connection, folder / "studies" / entry.id, entry.id, with_people)
    files = originals.listing(connection)
    _write_lines(folder / "files.jsonl", files)
    (folder / "files").mkdir()
    for file in files:
        original = originals.lies_at(media_folder, file.digest)
        if original.is_file():
            shutil.copyfile(original, folder / "files" / file.digest)


def _write_study(connection: Connection, folder: Path, study_id: str, with_people: bool) -> None:
    entry = studies.entry(connection, study_id)
    (folder / "revisions").mkdir(parents=True)
    (folder / "study.json").write_text(_json(asdict(entry)) + "\n", encoding="utf-8")
    asked = sa.select(revision.c.number, revision.c.text).where(revision.c.study_id == study_id).order_by(revision.c.number)
    texts: dict[int, str] = {number: text for number, text in connection.execute(asked)}
    happened = events.listing(connection, study_id, None, 0, None)
    changed, seated = studies.history(connection, study_id), tastings.listing(connection, study_id)
    if not with_people:
        others = PassingOn(texts.values(), happened, seated, people.listing(connection, study_id))
        texts = {number: others.text(text) for number, text in texts.items()}
        happened = tuple(others.event(e) for e in happened if e.person is None)
        changed, seated = tuple(map(others.revision, changed)), tuple(map(others.tasting, seated))
    for number, text in texts.items():
        suffix = ".json" if text.lstrip().startswith("{") else ".yaml"
        (folder / "revisions" / f"{number:04d}{suffix}").write_bytes(text.encode())
        if number == entry.revision:
            (folder / f"document{suffix}").write_bytes(text.encode())
    _write_lines(folder / "history.jsonl", changed)
    _write_lines(folder / "events.jsonl", happened)
    _write_lines(folder / "tastings.jsonl", seated)
    if with_people:
        _write_lines(folder / "people.jsonl", people.listing(connection, study_id))


def _write_lines(path: Path, records: Iterable[Any]) -> None:
    path.write_bytes("".join(_json(asdict(record)) + "\n" for record in records).encode("utf-8", "backslashreplace"))


def _json(record: dict[str, Any]) -> str:
    return json.dumps(record, ensure_ascii=False, sort_keys=True)
