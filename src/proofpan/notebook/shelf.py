"""A study taken off the shelf: its document, then every round, trial and ballot that was added since, in order.

The document stays as it was written (byte for byte, comments too) until the brief itself is changed; rounds, trials and ballots are
events, checked against the study before they are appended.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from proofpan.notebook.entries import Event, StudyEntry
from proofpan.study.elsewhere import Changed, marks_of_row
from proofpan.study.errors import StudyError
from proofpan.study.labelled import taster_labels
from proofpan.study.private import no_lists, text_without_no_lists, with_no_lists, without_no_lists
from proofpan.study.rounds import Round
from proofpan.study.sittings import Answer, Sitting
from proofpan.study.study import Study

if TYPE_CHECKING:
    from proofpan.notebook.book import Notebook

ROUND, TRIAL, BALLOT, READING, SITTING, ANSWER = "round", "trial", "ballot", "reading", "sitting", "answer"
CROSS_TEST, TAKEN_BACK, SENT, CHANGE = "cross-test", "cross-test taken back", "tester pack", "changed since"


def read_study(book: Notebook, study_id: str) -> Study:
    """A study with everything recorded since its document was written.

    Raises: NotFound; StudyError when the document can't be read.
    """
    study = Study.from_text(book.document(study_id).text)
    return with_no_lists(replay(study, book.events(study_id)), kept_apart(book, study_id))


def kept_apart(book: Notebook, study_id: str) -> dict[str, tuple[str, ...]]:
    """{taster: what they don't eat}, as kept beside a study and never in its text."""
    return {p.name: tuple(map(str, p.facts["no"])) for p in book.people(study_id) if "no" in p.facts}


def _keep_apart(book: Notebook, study_id: str, lists: Mapping[str, tuple[str, ...]]) -> None:
    known = {p.name: dict(p.facts) for p in book.people(study_id)}
    for name, no in lists.items():
        facts = known.get(name, {})
        if (no or "no" in facts) and tuple(facts.get("no", ())) != no:
            book.keep_person(study_id, name, {**facts, "no": list(no)})


def _known_elsewhere(book: Notebook, study: Study) -> dict[str, tuple[str, ...]]:
    """What this notebook already knows of a new study's tasters: a file that went out without no-lists mustn't come back without them."""
    missing = {n for n, no in no_lists(study).items() if not no}
    out: dict[str, tuple[str, ...]] = {}
    for entry in book.studies() if missing else ():
        for name, no in kept_apart(book, entry.id).items():
            named = not re.fullmatch(r"Taster \d+", name)  # a number is somebody else in every study
            if name in missing and no and (named or entry.title == study.title):
                out[name] = tuple(dict.fromkeys((*out.get(name, ()), *no)))
        if entry.title == study.title:  # a file that went out with labels for names: Taster 2 is whoever was asked second
            labels = taster_labels(Study.from_text(book.document(entry.id).text))
            for name, no in kept_apart(book, entry.id).items():
                if no and (label := labels.get(name)) in missing:
                    out[label] = tuple(dict.fromkeys((*out.get(label, ()), *no)))
    return out


def replay(study: Study, events: Iterable[Event]) -> Study:
    """A study after its events: runs of one kind are taken together."""
    events = tuple(events)
    run: list[Mapping[str, Any]] = []
    kind = ""
    for event in [*(e for e in events if e.kind in (ROUND, TRIAL, BALLOT, READING, SITTING, ANSWER)), None]:
        if run and (event is None or event.kind != kind):
            study = _taken(study, kind, run)
            run = []
        if event is not None:
            kind = event.kind
            run.append(event.payload)
    return _with_elsewhere(study, events)


def _with_elsewhere(study: Study, events: Sequence[Event]) -> Study:
    """The study with what other kitchens marked and what changed since: of a report that was taken back, nothing."""
    reports = [e for e in events if e.kind == CROSS_TEST]
    changes = [Changed.model_validate(e.payload) for e in events if e.kind == CHANGE]
    if not reports and not changes:
        return study
    gone = {str(e.payload["key"]) for e in events if e.kind == TAKEN_BACK}
    control = {e.key: str(e.payload.get("control", "")) for e in events if e.kind == SENT}
    marks = list(study.kitchen_marks)
    for e in reports:
        if e.key in gone:
            continue
        try:
            made = study.version(e.payload["version"])
        except StudyError:  # a version that can't be made any more: its report stays in the notebook
            continue
        beside = control.get(str(e.payload.get("pack", "")), "") or str(e.payload.get("control", ""))
        marks += marks_of_row(study, made, e.payload["row"], beside)
    return study.with_elsewhere(marks, (*study.changes, *changes))


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
    """A study new in the notebook; `text` is the file it came from, kept as it is but for what its tasters don't eat, which is kept apart."""
    document = text if text is not None else without_no_lists(study).to_yaml()
    known = _known_elsewhere(book, study)
    entry = book.create(study.title, text_without_no_lists(document), note=note, search_text=search_text(study))
    _keep_apart(book, entry.id, no_lists(study) | known)
    return entry


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


def with_brief(book: Notebook, study_id: str, study: Study) -> Study:
    """The document with this study's brief and the record that the document itself brought, without what has happened since.

    Raises: StudyError when something was cooked that the brief no longer has.
    """
    document = Study.from_text(book.document(study_id).text).model_copy(update={"brief": study.brief})
    for trial in document.trial_records:
        document.version(trial.version)
    return document


def change_brief(
    book: Notebook, study_id: str, study: Study, *, note: str, base_revision: int | None = None, goes_on: int | None = None,
) -> StudyEntry:
    """Keep a changed brief as the document's next revision. goes_on: as for Notebook.save.

    What was recorded stays: in the events, or in the text that brought it.
    """
    document = without_no_lists(with_brief(book, study_id, study))
    entry = book.save(study_id, document.to_yaml(), note=note, base_revision=base_revision, goes_on=goes_on)
    _keep_apart(book, study_id, no_lists(study))
    return entry


def _digest(payload: Any) -> str:
    return hashlib.sha256(json.dumps(payload, sort_keys=True, default=str).encode()).hexdigest()[:24]
