"""Studies as open files: text as it is, everything else as JSON lines."""

import json
import shutil
from collections.abc import Iterable
from dataclasses import asdict
from pathlib import Path
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from proofpan.study.private import text_without_no_lists

from . import events, originals, people, studies, tastings
from .tables import revision

READ_ME = """A notebook's studies as open files.

studies/ID/study.json       title, step, times, newest revision
studies/ID/document.yaml    the study's newest text (.json where it is JSON)
studies/ID/revisions/       its text at each revision
studies/ID/history.jsonl    what each revision changed, one a line
studies/ID/events.jsonl     ballots, readings and what else happened, in order
studies/ID/tastings.jsonl   rounds, tasters, when opened and closed
studies/ID/people.jsonl     what is private about people; only where asked for
files/, files.jsonl         original files by the SHA-256 of their bytes
"""


def write_all(connection: Connection, folder: Path, media_folder: Path, with_people: bool) -> None:
    """Write every study, deleted ones too, and the originals."""
    (folder / "README.txt").write_text(READ_ME, encoding="utf-8")
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
    texts = sa.select(revision.c.number, revision.c.text).where(revision.c.study_id == study_id)
    for number, text in connection.execute(texts.order_by(revision.c.number)):
        text = text if with_people else text_without_no_lists(text)
        suffix = ".json" if text.lstrip().startswith("{") else ".yaml"
        (folder / "revisions" / f"{number:04d}{suffix}").write_bytes(text.encode())
        if number == entry.revision:
            (folder / f"document{suffix}").write_bytes(text.encode())
    _write_lines(folder / "history.jsonl", studies.history(connection, study_id))
    happened = events.listing(connection, study_id, None, 0, None)
    _write_lines(folder / "events.jsonl", (e for e in happened if with_people or e.person is None))
    _write_lines(folder / "tastings.jsonl", tastings.listing(connection, study_id))
    if with_people:
        _write_lines(folder / "people.jsonl", people.listing(connection, study_id))


def _write_lines(path: Path, records: Iterable[Any]) -> None:
    path.write_bytes("".join(_json(asdict(record)) + "\n" for record in records).encode("utf-8", "backslashreplace"))


def _json(record: dict[str, Any]) -> str:
    return json.dumps(record, ensure_ascii=False, sort_keys=True)
