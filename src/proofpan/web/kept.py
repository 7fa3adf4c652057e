"""What is with the kitchen, plate by plate: followed from event to event, so that a page of three hundred tasters reads each mark once."""

from __future__ import annotations

import threading
from dataclasses import dataclass, field
from typing import Any

from proofpan.notebook import Event, Notebook
from proofpan.notebook.shelf import ANSWER, BALLOT

MOST = 24
Who = tuple[str, int, str]  # ballot or answer, the round's or the sitting's number, the taster


@dataclass
class KeptMarks:
    """One study's marks: which plates of whom are here, and when the last one came. Marks go only with the person who made them."""

    revision: int = 0
    last: int = 0
    plates: dict[Who, set[Any]] = field(default_factory=dict)
    heard: dict[Who, str] = field(default_factory=dict)

    def take(self, event: Event) -> None:
        """Follow one event."""
        said = event.payload
        if event.kind == ANSWER:
            who, plate = (ANSWER, said.get("sitting", 0), said.get("taster", "")), said.get("code")
        else:
            who, plate = (BALLOT, said.get("round", 1), said.get("taster", "")), (said.get("trial"), said.get("pass", 1))
        self.plates.setdefault(who, set()).add(plate)
        self.heard[who] = event.at
        self.last = max(self.last, event.id)


class Kept:
    """The marks of the last few studies."""

    def __init__(self, book: Notebook) -> None:
        self._book = book
        self._held: dict[str, KeptMarks] = {}
        self._lock = threading.Lock()

    def forget(self, study_id: str) -> None:
        """Follow a study's marks anew next time (after someone was removed)."""
        with self._lock:
            self._held.pop(study_id, None)

    def of(self, study_id: str) -> KeptMarks:
        """A study's marks as they stand: followed anew when its text has changed, as another process may have removed somebody's."""
        revision = self._book.study(study_id).revision
        with self._lock:
            if study_id in self._held and self._held[study_id].revision != revision:
                del self._held[study_id]
            if study_id not in self._held and len(self._held) >= MOST:
                self._held.clear()
            marks = self._held.setdefault(study_id, KeptMarks(revision))
            for event in self._book.events(study_id, kind=(BALLOT, ANSWER), after=marks.last):
                marks.take(event)
            return marks
