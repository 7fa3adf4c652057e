"""What a notebook gives back: plain frozen records. Times are ISO 8601 in UTC, as text."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, NamedTuple


@dataclass(frozen=True)
class StudyEntry:
    """One line of the list of studies.

    `changed` is the latest save or event; `deleted` is when it was put away, or None; `revision` is the newest.
    """

    id: str
    title: str
    step: str
    created: str
    changed: str
    deleted: str | None
    revision: int


@dataclass(frozen=True)
class StudyText:
    """A study's document as one revision has it."""

    study: str
    revision: int
    text: str
    note: str
    at: str


@dataclass(frozen=True)
class RevisionEntry:
    """One line of a study's history.

    `same_as` is the earlier revision that an undo or redo went back to, None for a change of its own; `parent` the one that an undo of
    this change goes back to.
    """

    study: str
    revision: int
    note: str
    at: str
    title: str
    same_as: int | None
    parent: int | None = None


@dataclass(frozen=True)
class Undone:
    """What an undo took back (or a redo brought back): the note of that change, and how the study stands now."""

    what: str
    change: int
    entry: StudyEntry


@dataclass(frozen=True, eq=False)
class NewEvent:
    """An event to append: see `Notebook.append`."""

    kind: str
    payload: Mapping[str, Any]
    key: str
    person: str | None = None
    at: str | None = None


@dataclass(frozen=True)
class Event:
    """Something that happened to a study; never changed afterwards.

    `id` grows with each event of the notebook, `person` is set for an event that is private to that person.
    """

    id: int
    study: str
    kind: str
    key: str
    payload: Mapping[str, Any]
    at: str
    person: str | None = None


@dataclass(frozen=True)
class MediaEntry:
    """An original file, known by the SHA-256 of its bytes."""

    digest: str
    name: str
    media_type: str
    size: int
    at: str


@dataclass(frozen=True)
class Found:
    """A study that a search found; `snippet` is the piece of text around the first hit, hits between « and »."""

    study: str
    title: str
    step: str
    changed: str
    snippet: str


@dataclass(frozen=True)
class PersonEntry:
    """What is private about one person in one study."""

    study: str
    name: str
    facts: Mapping[str, Any]
    changed: str


@dataclass(frozen=True)
class TastingEntry:
    """A tasting: opened once, closed once."""

    study: str
    round: int
    tasters: tuple[str, ...]
    opened: str
    closed: str | None


class Seat(NamedTuple):
    """Whose token it is."""

    study_id: str
    round_number: int
    taster: str
