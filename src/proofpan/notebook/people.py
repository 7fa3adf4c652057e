"""What is private about people stands in a table of its own, stays out of exports and can be removed for good."""

import json
from collections.abc import Mapping
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from . import studies
from .entries import PersonEntry
from .tables import event, people, revision, seat
from .texts import as_json, named


def keep(connection: Connection, study_id: str, name: str, facts: Mapping[str, Any], at: str) -> PersonEntry:
    """Keep a person's facts in place of those that were kept."""
    studies.hold(connection, study_id)
    row = {"name": named(name, "name of a person"), "facts": as_json(facts, "facts about a person"), "changed": at}
    connection.execute(people.delete().where(people.c.study_id == study_id, people.c.name == name))
    connection.execute(people.insert().values(study_id=study_id, **row))
    return PersonEntry(study_id, name, json.loads(row["facts"]), at)


def listing(connection: Connection, study_id: str) -> tuple[PersonEntry, ...]:
    """The people of a study, by name."""
    studies.entry(connection, study_id)
    rows = connection.execute(sa.select(people).where(people.c.study_id == study_id).order_by(people.c.name))
    return tuple(PersonEntry(study_id, row.name, json.loads(row.facts), row.changed) for row in rows)


def remove(connection: Connection, study_id: str, name: str) -> int:
    """Remove facts, private events and tokens of a person; says how many rows went."""
    studies.entry(connection, study_id)  # a deleted study, too, must let people go
    gone = 0
    for table, column in ((people, people.c.name), (event, event.c.person), (seat, seat.c.taster)):
        gone += connection.execute(table.delete().where(table.c.study_id == study_id, column == name)).rowcount
    return gone + _out_of_texts(connection, study_id, name)


def _out_of_texts(connection: Connection, study_id: str, name: str) -> int:
    """Older notebooks kept no-lists in the study's own text: take a person's out of every revision."""
    from proofpan.study.private import text_without_no_lists

    gone = 0
    asked = sa.select(revision.c.number, revision.c.text).where(revision.c.study_id == study_id, revision.c.text.contains("no"))
    for number, text in connection.execute(asked).all():
        bare = text_without_no_lists(text, only=name)
        if bare != text:
            here = sa.and_(revision.c.study_id == study_id, revision.c.number == number)
            gone += connection.execute(revision.update().where(here).values(text=bare)).rowcount
    return gone
