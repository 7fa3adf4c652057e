"""Studies as versioned text. Revisions are only ever added: an undo, too, is a new revision with an older text."""

from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection, Row

from . import finding
from .entries import RevisionEntry, StudyEntry, StudyText, Undone
from .errors import Conflict, NotebookError, NotFound
from .tables import event, revision, study
from .texts import checked, slug

CREATING = 0x5050  # the lock under which a server hands out ids


@dataclass(frozen=True)
class Change:
    """What a save brings; None keeps what there is (or, for search_text, means the document).

    goes_on, the revision whose change this one carries on: an undo then takes both back at once.
    """

    document: str
    note: str
    title: str | None
    step: str | None
    search_text: str | None
    goes_on: int | None = None


def _latest_event() -> sa.ScalarSelect[Any]:
    latest = sa.select(event.c.at).where(event.c.study_id == study.c.id)
    return latest.order_by(event.c.id.desc()).limit(1).scalar_subquery()


def _entry(row: Row[Any]) -> StudyEntry:
    changed = max(row.changed, row.last_event or "")
    return StudyEntry(row.id, row.title, row.step, row.created, changed, row.deleted, row.revision)


def listing(connection: Connection, *, with_deleted: bool) -> tuple[StudyEntry, ...]:
    """All studies, the one that changed last first."""
    asked = sa.select(study, _latest_event().label("last_event"))
    if not with_deleted:
        asked = asked.where(study.c.deleted.is_(None))
    entries = sorted((_entry(row) for row in connection.execute(asked)), key=lambda e: e.id)
    return tuple(sorted(entries, key=lambda e: e.changed, reverse=True))


def entry(connection: Connection, study_id: str) -> StudyEntry:
    """One study's line.

    Raises:
        NotFound: there is none.
    """
    asked = sa.select(study, _latest_event().label("last_event")).where(study.c.id == study_id)
    row = connection.execute(asked).first()
    if row is None:
        raise NotFound(f'There is no study "{study_id}" in the notebook.')
    return _entry(row)


def hold(connection: Connection, study_id: str) -> Row[Any]:
    """A study's row, held until the transaction ends, so that what is added to it comes in one order.

    Raises:
        NotFound: there is none.
        NotebookError: it is deleted.
    """
    # SQLite's writer already has the whole file; a server holds the row and lets other studies go on
    row = connection.execute(sa.select(study).where(study.c.id == study_id).with_for_update(key_share=True)).first()
    if row is None:
        raise NotFound(f'There is no study "{study_id}" in the notebook.')
    if row.deleted is not None:
        raise NotebookError(f'The study "{study_id}" is deleted; restore it to go on with it.')
    return row


def create(connection: Connection, title: str, document: str, note: str, step: str, search_text: str | None, at: str) -> StudyEntry:
    """Start a study."""
    title = checked(title, "title").strip() or "Untitled"
    words = None if search_text is None else checked(search_text, "search text")
    if connection.dialect.name == "postgresql":
        connection.execute(sa.select(sa.func.pg_advisory_xact_lock(CREATING)))
    study_id = _free_id(connection, slug(title))
    row = {"id": study_id, "title": title, "step": checked(step, "step"), "created": at, "changed": at, "revision": 1}
    connection.execute(study.insert().values(row))
    connection.execute(
        revision.insert().values(
            study_id=study_id,
            number=1,
            at=at,
            note=checked(note, "note"),
            title=title,
            step=step,
            text=checked(document, "document"),
            words=words,
        )
    )
    finding.index(connection, study_id, title, document if words is None else words)
    return StudyEntry(study_id, title, step, at, at, None, 1)


def _free_id(connection: Connection, wanted: str) -> str:
    number, tried = 1, wanted
    while connection.scalar(sa.select(study.c.id).where(study.c.id == tried)) is not None:
        number += 1
        tried = f"{wanted}-{number}"
    return tried


def _revision(connection: Connection, study_id: str, number: int) -> Row[Any]:
    asked = sa.select(revision).where(revision.c.study_id == study_id, revision.c.number == number)
    row = connection.execute(asked).first()
    if row is None:
        newest = entry(connection, study_id).revision  # says so when there is no such study
        raise NotFound(f'The study "{study_id}" has no revision {number}; its newest is {newest}.')
    return row


def document(connection: Connection, study_id: str, number: int | None) -> StudyText:
    """The text of one revision, the newest when none is named."""
    row = _revision(connection, study_id, entry(connection, study_id).revision if number is None else number)
    return StudyText(study_id, row.number, row.text, row.note, row.at)


def history(connection: Connection, study_id: str) -> tuple[RevisionEntry, ...]:
    """All revisions, oldest first."""
    entry(connection, study_id)
    rows = connection.execute(sa.select(revision).where(revision.c.study_id == study_id).order_by(revision.c.number))
    return tuple(RevisionEntry(study_id, row.number, row.note, row.at, row.title, row.same_as, row.parent) for row in rows)


def _check_base(held: Row[Any], base: int | None) -> None:
    if base is not None and base != held.revision:
        raise Conflict(
            f'The study "{held.id}" was changed meanwhile: this change was made upon revision {base}, the newest is {held.revision}.'
        )


def _add(connection: Connection, held: Row[Any], at: str, **values: Any) -> StudyEntry:
    """Write the next revision and make it the current one."""
    number = held.revision + 1
    connection.execute(revision.insert().values(study_id=held.id, number=number, at=at, **values))
    _set_current(connection, held.id, values, at=at, number=number)
    return entry(connection, held.id)


def _set_current(connection: Connection, study_id: str, values: dict[str, Any], *, at: str, number: int) -> None:
    connection.execute(
        study.update().where(study.c.id == study_id).values(title=values["title"], step=values["step"], changed=at, revision=number)
    )
    words = values["words"]
    finding.index(connection, study_id, values["title"], values["text"] if words is None else words)


def save(connection: Connection, study_id: str, change: Change, base: int | None, at: str) -> StudyEntry:
    """Keep a new revision unless the text is the newest's."""
    held = hold(connection, study_id)
    current = _revision(connection, study_id, held.revision)
    text = checked(change.document, "document")
    given_title = None if change.title is None else checked(change.title, "title").strip()
    values = {
        "title": given_title or held.title,
        "step": held.step if change.step is None else checked(change.step, "step"),
        "text": text,
        "words": None if change.search_text is None else checked(change.search_text, "search text"),
    }
    if text == current.text:
        # a device that sends the same save twice has lost nothing, so this comes before the check of its base
        about = {name: values[name] for name in ("title", "step", "words")}
        if about != {name: getattr(current, name) for name in about}:
            same = sa.and_(revision.c.study_id == study_id, revision.c.number == held.revision)
            connection.execute(revision.update().where(same).values(about))
            _set_current(connection, study_id, values, at=at, number=held.revision)
        return entry(connection, study_id)
    _check_base(held, base)
    carries_on = change.goes_on == current.number and current.same_as is None and current.parent is not None
    parent = current.parent if carries_on else _change_of(current)
    return _add(connection, held, at, note=checked(change.note, "note"), parent=parent, **values)


def _change_of(row: Row[Any]) -> int:
    """The change whose text a revision has: its own, or the one that an undo or redo went to."""
    return row.number if row.same_as is None else row.same_as


def undo(connection: Connection, study_id: str, base: int | None, at: str) -> Undone:
    """Go back to the change that the current one was made upon."""
    held = hold(connection, study_id)
    _check_base(held, base)
    change = _revision(connection, study_id, _change_of(_revision(connection, study_id, held.revision)))
    if change.parent is None:
        raise Conflict(f'There is nothing to undo in the study "{study_id}".')
    return _go_to(connection, held, change.parent, at, what=change, verb="Undid")


def redo(connection: Connection, study_id: str, base: int | None, at: str) -> Undone:
    """Go forward again to the latest change made upon the current one."""
    held = hold(connection, study_id)
    _check_base(held, base)
    now = _change_of(_revision(connection, study_id, held.revision))
    upon = sa.select(sa.func.max(revision.c.number)).where(revision.c.study_id == study_id, revision.c.parent == now)
    later = connection.scalar(upon)
    if later is None:
        raise Conflict(f'There is nothing to bring back in the study "{study_id}".')
    return _go_to(connection, held, later, at, what=_revision(connection, study_id, later), verb="Redid")


def _go_to(connection: Connection, held: Row[Any], number: int, at: str, *, what: Row[Any], verb: str) -> Undone:
    goal = _revision(connection, held.id, number)
    name = what.note or f"revision {what.number}"
    values = {"title": goal.title, "step": goal.step, "text": goal.text, "words": goal.words}
    after = _add(connection, held, at, note=f"{verb}: {name}", same_as=goal.number, **values)
    return Undone(name, what.number, after)


def same_again(connection: Connection, study_id: str, note: str, at: str) -> None:
    """The newest text once more as the next revision, after something was taken out of all of them: it can't be undone."""
    row = connection.execute(sa.select(study).where(study.c.id == study_id)).one()
    now = _revision(connection, study_id, row.revision)
    _add(connection, row, at, note=note, same_as=_change_of(now), title=now.title, step=now.step, text=now.text, words=now.words)


def set_deleted(connection: Connection, study_id: str, at: str | None) -> StudyEntry:
    """Put a study away (at a time) or bring it back (None); doing so twice changes nothing."""
    was = entry(connection, study_id)
    if (was.deleted is None) != (at is None):
        connection.execute(study.update().where(study.c.id == study_id).values(deleted=at))
    return entry(connection, study_id)
