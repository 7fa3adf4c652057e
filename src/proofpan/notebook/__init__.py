"""Keeps documents and events.

A notebook holds every study as versioned text, what happened to it as events that are only ever added, original files
by their content, and, kept apart, what is private about people. It doesn't know what a document means.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

from .entries import (
    Event,
    Found,
    MediaEntry,
    NewEvent,
    PersonEntry,
    RevisionEntry,
    Seat,
    StudyEntry,
    StudyText,
    TastingEntry,
    Undone,
)
from .errors import Busy, Conflict, NoRoom, NotebookError, NotFound

if TYPE_CHECKING:
    from .book import Notebook

__all__ = [
    "Busy",
    "Conflict",
    "Event",
    "Found",
    "MediaEntry",
    "NewEvent",
    "NoRoom",
    "NotFound",
    "Notebook",
    "NotebookError",
    "PersonEntry",
    "RevisionEntry",
    "Seat",
    "StudyEntry",
    "StudyText",
    "TastingEntry",
    "Undone",
]


def __getattr__(name: str) -> Any:
    # the database library costs half a second, so it comes with the first notebook, not with the errors
    if name == "Notebook":
        return import_module(".book", __name__).Notebook
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
