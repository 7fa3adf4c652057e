"""What happened, in the order in which it was written down. Rows are added and, but for private ones, never removed."""

import json
from collections.abc import Iterable, Mapping
from typing import Any

import sqlalchemy as sa
from sqlalchemy.dialects import postgresql, sqlite
from sqlalchemy.engine import Connection, Row

from . import studies, tastings
from .entries import Event, NewEvent
from .errors import Conflict, NotebookError
from .tables import event
from .texts import as_json, checked, named, stamp

FIELDS = {"kind", "payload", "key", "person", "at"}


def checked_events(new: Iterable[NewEvent | Mapping[str, Any]], now: str) -> list[dict[str, Any]]:
    """Events as rows, each checked before anything is written.

    Raises:
        NotebookError: a field is missing, unknown or can't be kept.
    """
    rows = []
    for item in new:
        if isinstance(item, Mapping):
            if unknown := set(item) - FIELDS:
                raise NotebookError(f'An event has no field "{min(map(str, unknown))}".')
            if missing := {"kind", "payload", "key"} - set(item):
                raise NotebookError(f"An event needs a {min(missing)}.")
            item = NewEvent(**item)
        rows.append(
            {
                "kind": named(item.kind, "kind of an event"),
                "key": named(item.key, "key of an event"),
                "payload": as_json(item.payload, "payload of an event"),
                "person": None if item.person is None else named(item.person, "person of an event"),
                "at": now if item.at is None else stamp(item.at),
            }
        )
    return rows


def append(connection: Connection, study_id: str, rows: list[dict[str, Any]], while_open: int | None) -> tuple[Event, ...]:
    """Add rows to a study that is held (`studies.hold`).

    Raises:
        Conflict: something else stands under a key, or the tasting of the round is closed.
    """
    shut = while_open is not None and tastings.is_closed(connection, study_id, while_open)
    added = []
    for row in rows:
        there = _under(connection, study_id, row["key"]) if shut else None
        if shut and there is None:
            raise Conflict(f"The tasting of round {while_open} is closed, so this answer came too late.")
        added.append(_add(connection, study_id, row))
    return tuple(added)


def _add(connection: Connection, study_id: str, row: dict[str, Any]) -> Event:
    # the two dialects write this alike but don't share the construct
    dialect: Any = sqlite if connection.dialect.name == "sqlite" else postgresql
    adding = dialect.insert(event).values(study_id=study_id, **row)
    adding = adding.on_conflict_do_nothing(index_elements=["study_id", "key"]).returning(event.c.id)
    number = connection.scalar(adding)
    if number is not None:
        return Event(number, study_id, row["kind"], row["key"], json.loads(row["payload"]), row["at"], row["person"])
    there = _under(connection, study_id, row["key"])
    assert there is not None
    if (there.kind, there.payload, there.person) != (row["kind"], row["payload"], row["person"]):
        raise Conflict(
            f'Under the key "{row["key"]}" the study "{study_id}" already has another entry, of {there.at}; the first one stands.'
        )
    return _event(there)


def _under(connection: Connection, study_id: str, key: str) -> Row[Any] | None:
    return connection.execute(sa.select(event).where(event.c.study_id == study_id, event.c.key == key)).first()


def _event(row: Row[Any]) -> Event:
    return Event(row.id, row.study_id, row.kind, row.key, json.loads(row.payload), row.at, row.person)


def listing(connection: Connection, study_id: str, kind: str | Iterable[str] | None, after: int, limit: int | None) -> tuple[Event, ...]:
    """A study's events in order."""
    studies.entry(connection, study_id)
    asked = sa.select(event).where(event.c.study_id == study_id, event.c.id > after).order_by(event.c.id)
    if kind is not None:
        kinds = [kind] if isinstance(kind, str) else [checked(k, "kind of an event") for k in kind]
        asked = asked.where(event.c.kind.in_(kinds))
    return tuple(_event(row) for row in connection.execute(asked.limit(limit)))
