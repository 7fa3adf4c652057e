"""A study taken off the shelf: its document, then every round, trial and ballot that was added since, in order.

The document stays as it was written (byte for byte, comments too) until the brief itself is changed; rounds, trials and ballots are
events, checked against the study before they are appended.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from proofpan.notebook.entries import Event, StudyEntry
from proofpan.study.rounds import Round
from proofpan.study.sittings import Answer, Sitting
from proofpan.study.study import Study

if TYPE_CHECKING:
    from proofpan.notebook.book import Notebook

ROUND, TRIAL, BALLOT, READING, SITTING, ANSWER = "round", "trial", "ballot", "reading", "sitting", "answer"


def read_study(book: Notebook, study_id: str) -> Study:
    """A study with everything recorded since its document was written.

    Raises: NotFound; StudyError when the document can't be read.
    """
    study = Study.from_text(book.document(study_id).text)
    return replay(study, book.events(study_id))


def replay(study: Study, events: Iterable[Event]) -> Study:
    """A study after its events: runs of one kind are taken together."""
    run: list[Mapping[str, Any]] = []
    kind = ""
    for event in [*(e for e in events if e.kind in (ROUND, TRIAL, BALLOT, READING, SITTING, ANSWER)), None]:
        if run and (event is None or event.kind != kind):
            study = _taken(study, kind, run)
            run = []
        if event is not None:
            kind = event.kind
            run.append(event.payload)
    return study


def _taken(study: Study, kind: str, rows: Sequence[Mapping[str, Any]]) -> Study:
    import pandas as pd

    if kind == ROUND:
        for row in rows:
            study = study.with_round(Round.model_validate(row))
        return study
    if kind == SITTING:
        for row in rows:
            study = study.with_sitting(Sitting.model_validate(row))
        return study
    if kind == ANSWER:
        return study.with_answers([Answer.model_validate(row) for row in rows])
    frame = pd.DataFrame([dict(r) for r in rows]).astype(object)
    frame = frame.where(frame.notna(), "")
    if kind == READING:
        return study.with_readings(frame)
    return study.with_trials(frame) if kind == TRIAL else study.with_ballots(frame)


def keep_study(book: Notebook, study: Study, *, note: str = "", text: str | None = None) -> StudyEntry:
    """A study new in the notebook; `text` is the file it came from, kept as it is."""
    document = text if text is not None else study.to_yaml()
    return book.create(study.title, document, note=note, search_text=search_text(study))


def search_text(study: Study) -> str:
    """The words a study is found by: title, question, what varies, what is judged, the recipe's lines."""
    words = [study.title, study.question]
    words += [o.name for f in study.brief.factors for o in f.options] + [f.name for f in study.brief.factors]
    words += [a.name for a in study.attributes] + [c.words for c in study.claims]
    if study.brief.base is not None:
        words += [i.text for i in study.brief.base.ingredients] + [study.brief.base.title]
    words += [b.words for b in study.ballot_records if b.words] + [t.note for t in study.trial_records if t.note]
    return "\n".join(words)


def add_round(book: Notebook, study_id: str, round_: Round) -> Study:
    """Plan a round: the study with it."""
    study = read_study(book, study_id).with_round(round_)
    payload = round_.model_dump(mode="json")
    book.append(study_id, ROUND, payload, key=f"round:{round_.number}:{_digest(payload)}")
    return study


def add_sitting(book: Notebook, study_id: str, sitting: Sitting) -> None:
    """Lay another ballot for a round's plates; laid again before it is opened, the last one counts."""
    payload = sitting.model_dump(mode="json")
    there = len(book.events(study_id, SITTING))
    book.append(study_id, SITTING, payload, key=f"sitting:{sitting.number}:{there}:{_digest(payload)}")


def add_trials(book: Notebook, study_id: str, rows: Sequence[Mapping[str, Any]]) -> Study:
    """Record what was cooked; rows with the columns of a table of trials.

    Raises: TrialError, and nothing is kept of a table that doesn't fit.
    """
    return _add(book, study_id, TRIAL, rows)


def add_ballots(book: Notebook, study_id: str, rows: Sequence[Mapping[str, Any]]) -> Study:
    """Record what was tasted; rows with the columns of a table of ballots.

    Raises: BallotError, and nothing is kept of a table that doesn't fit.
    """
    return _add(book, study_id, BALLOT, rows)


def add_readings(book: Notebook, study_id: str, rows: Sequence[Mapping[str, Any]]) -> Study:
    """Record what was measured; rows with the columns of a table of readings.

    Raises: TrialError, and nothing is kept of a table that doesn't fit.
    """
    return _add(book, study_id, READING, rows)


def _add(book: Notebook, study_id: str, kind: str, rows: Sequence[Mapping[str, Any]]) -> Study:
    from proofpan.notebook.entries import NewEvent

    clean = [{k: v for k, v in row.items() if v is not None and v == v and v != ""} for row in rows]
    study = _taken(read_study(book, study_id), kind, clean)
    known = book.events(study_id, kind)
    latest = {_about(e.payload): dict(e.payload) for e in known}
    new = [row for row in clean if latest.get(_about(row)) != row]
    book.append_many(study_id, [
        NewEvent(kind=kind, payload=row, key=f"{kind}:{len(known) + i}:{_digest(row)}") for i, row in enumerate(new)
    ])
    return study


def _about(row: Mapping[str, Any]) -> tuple[str, ...]:
    """What a row speaks of: the same row again is nothing new, an earlier wording after another one is."""
    return tuple(str(row.get(k, "")) for k in ("round", "trial", "code", "version", "taster", "attribute", "pass", "set"))


def change_brief(book: Notebook, study_id: str, study: Study, *, note: str, base_revision: int | None = None) -> StudyEntry:
    """Keep a changed brief as the document's next revision; what was recorded stays in the events."""
    bare = Study(brief=study.brief)
    return book.save(study_id, bare.to_yaml(), note=note, base_revision=base_revision)


def _digest(payload: Any) -> str:
    return hashlib.sha256(json.dumps(payload, sort_keys=True, default=str).encode()).hexdigest()[:24]
