"""What happened, in the order in which it was written down. Rows are added and, but for private ones, never removed."""

import json
from collections.abc import Iterable, Mapping, Sequence, Set
from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection, Row

from . import studies, tastings
from .entries import Event, NewEvent
from .errors import Conflict, NotebookError, NotFound
from .tables import event
from .texts import as_json, checked, named, stamp

AT_ONCE = 500
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


@dataclass(frozen=True, eq=False)
class Asked:
    """Rows of one caller, all of them to be added or none.

    `while_open` is a round whose tasting must be open; `token` a digest that must still be some taster's.
    """

    rows: list[dict[str, Any]]
    while_open: int | None = None
    token: str | None = None


def append(connection: Connection, study_id: str, rows: list[dict[str, Any]], while_open: int | None) -> tuple[Event, ...]:
    """Add rows to a study that is held (`studies.hold`).

    Raises:
        Conflict: something else stands under a key, or the tasting of the round is closed.
    """
    (result,) = append_all(connection, study_id, [Asked(rows, while_open)])
    if isinstance(result, NotebookError):
        raise result
    return result


class NotAllNew(Exception):  # noqa: N818 - read as a sentence: except NotAllNew
    """Something of it stands already, comes twice or isn't welcome: the transaction is given up and each is looked at."""


def append_new(connection: Connection, study_id: str, asked: Sequence[Asked]) -> None:
    """Add what several callers ask to a study that is held, without a look at what stands there: the database itself refuses a key twice.

    Raises:
        NotAllNew: nothing may be kept of this transaction.
    """
    shut = _shut(connection, study_id, {one.while_open for one in asked if one.while_open is not None})
    tokens = {one.token for one in asked if one.token is not None}
    if any(closed is not False for closed in shut.values()) or tastings.standing_tokens(connection, tokens) != tokens:
        raise NotAllNew
    rows = [{"study_id": study_id, **row} for one in asked for row in one.rows]
    try:
        if rows:
            connection.execute(event.insert(), rows)
    except sa.exc.IntegrityError:
        raise NotAllNew from None


def append_all(connection: Connection, study_id: str, asked: Sequence[Asked]) -> list[tuple[Event, ...] | NotebookError]:
    """Add what several callers ask to a study that is held, in as many statements for a hundred callers as for one.

    The study is held, so what stands under the keys can't change between the look and the writing.
    """
    there = _standing(connection, study_id, [row["key"] for one in asked for row in one.rows])
    shut = _shut(connection, study_id, {one.while_open for one in asked if one.while_open is not None})
    seated = tastings.standing_tokens(connection, {one.token for one in asked if one.token is not None})
    results: list[NotebookError | None] = []
    fresh: dict[str, dict[str, Any]] = {}
    for one in asked:
        fault = _fault(study_id, one, there, fresh, shut, seated)
        results.append(fault)
        if fault is None:
            fresh |= {row["key"]: row for row in one.rows if row["key"] not in there and row["key"] not in fresh}
    if fresh:
        connection.execute(event.insert(), [{"study_id": study_id, **row} for row in fresh.values()])
        there |= _standing(connection, study_id, list(fresh))
    return [tuple(there[row["key"]] for row in one.rows) if fault is None else fault for one, fault in zip(asked, results, strict=True)]


def _fault(
    study_id: str,
    one: Asked,
    there: Mapping[str, Event],
    fresh: Mapping[str, Mapping[str, Any]],
    shut: Mapping[int, bool | NotebookError],
    seated: Set[str],
) -> NotebookError | None:
    """Why a caller's rows can't be added; None when they can."""
    if one.token is not None and one.token not in seated:
        return NotFound("These words are nobody's any more.")
    closed = shut[one.while_open] if one.while_open is not None else False
    if isinstance(closed, NotebookError):
        return closed
    own: dict[str, Mapping[str, Any]] = {}
    for row in one.rows:
        before = there.get(row["key"])
        said = fresh.get(row["key"]) or own.get(row["key"])
        if before is None and said is None:
            if closed:
                return Conflict(f"The tasting of round {one.while_open} is closed, so this answer came too late.")
            own[row["key"]] = row
            continue
        first = (before.kind, as_json(before.payload, "payload of an event"), before.person) if before is not None else _said(said)
        if first != _said(row):
            at = before.at if before is not None else (said or row)["at"]
            return Conflict(f'Under the key "{row["key"]}" the study "{study_id}" already has another entry, of {at}; the first one stands.')
    return None


def _said(row: Mapping[str, Any] | None) -> tuple[Any, Any, Any]:
    assert row is not None
    return (row["kind"], row["payload"], row["person"])


def _shut(connection: Connection, study_id: str, rounds: Set[int]) -> dict[int, bool | NotebookError]:
    out: dict[int, bool | NotebookError] = {}
    for number in rounds:
        try:
            out[number] = tastings.is_closed(connection, study_id, number)
        except NotFound as fault:
            out[number] = fault
    return out


def _standing(connection: Connection, study_id: str, keys: Sequence[str]) -> dict[str, Event]:
    """What stands under keys, in pieces that a statement can hold."""
    out: dict[str, Event] = {}
    for start in range(0, len(keys), AT_ONCE):
        piece = keys[start : start + AT_ONCE]
        rows = connection.execute(sa.select(event).where(event.c.study_id == study_id, event.c.key.in_(piece)))
        out |= {row.key: _event(row) for row in rows}
    return out


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
