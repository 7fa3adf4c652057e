"""What is private about people stands in a table of its own, stays out of exports and can be removed for good."""

import json
import re
from collections.abc import Mapping
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from . import finding, studies
from .entries import PersonEntry
from .tables import event, people, revision, seat
from .texts import as_json, named

LEFT_OUT = "left a taster out"


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


def remove(connection: Connection, study_id: str, name: str, at: str) -> int:
    """Remove facts, private events, tokens, marks and the name of a person, as if never asked; says how many rows went or were changed."""
    studies.entry(connection, study_id)  # a deleted study, too, must let people go
    gone = 0
    for table, column in ((people, people.c.name), (event, event.c.person), (seat, seat.c.taster)):
        gone += connection.execute(table.delete().where(table.c.study_id == study_id, column == name)).rowcount
    return gone + _out_of_events(connection, study_id, name) + _out_of_texts(connection, study_id, name, at)


def _out_of_events(connection: Connection, study_id: str, name: str) -> int:
    """Their marks, answers and choices go; rounds and other ballots lose their plates, codes and orders."""
    from proofpan.study.leaving import without_taster

    gone = 0
    named_so = as_json({"taster": name}, "name")[len('{"taster":') : -1]
    asked = sa.select(event.c.id, event.c.payload).where(event.c.study_id == study_id, event.c.payload.contains(named_so, autoescape=True))
    for number, payload in connection.execute(asked).all():
        said = json.loads(payload)
        if said.get("taster") == name:
            gone += connection.execute(event.delete().where(event.c.id == number)).rowcount
        elif (bare := as_json(without_taster(said, name), "event")) != payload:
            gone += connection.execute(event.update().where(event.c.id == number).values(payload=bare)).rowcount
    return gone


def _out_of_texts(connection: Connection, study_id: str, name: str, at: str) -> int:
    """Take a person out of every revision's text and note; a next revision, the same in all else, tells whoever holds the text that it changed."""
    from proofpan.study.leaving import text_never_asked

    gone = 0
    word = re.compile(rf"(?<!\w){re.escape(name)}(?!\w)")
    for row in connection.execute(sa.select(revision).where(revision.c.study_id == study_id)).all():
        text, note = text_never_asked(row.text, name), word.sub("a taster", row.note)
        if (text, note) != (row.text, row.note):
            here = sa.and_(revision.c.study_id == study_id, revision.c.number == row.number)
            words = row.words if text == row.text else None
            gone += connection.execute(revision.update().where(here).values(text=text, note=note, words=words)).rowcount
    if gone:
        studies.same_again(connection, study_id, LEFT_OUT, at)
        finding.forget(connection)
    return gone
