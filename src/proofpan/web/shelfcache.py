"""Studies as they stand, read once for each change: a study and its verdict are kept while neither text nor events have changed."""

from __future__ import annotations

import threading
import time
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Any

from proofpan.notebook import Event, Notebook
from proofpan.notebook.shelf import ROUND, SITTING, TRIAL, kept_apart, replay
from proofpan.study.leaving import of_those_asked
from proofpan.study.private import with_no_lists
from proofpan.study.study import Study
from proofpan.study.verdict import Verdict
from proofpan.study.wording import spoken

MOST = 24
LATE = "late taster"


@dataclass
class Standing:
    """A study at one revision and one last event."""

    study_id: str
    revision: int
    study: Study
    events: tuple[Event, ...]
    apart: dict[str, tuple[str, ...]] = field(default_factory=dict)
    _verdicts: dict[str, Verdict] = field(default_factory=dict)
    _kept: dict[Any, Any] = field(default_factory=dict)
    _lasting: dict[Any, Any] = field(default_factory=dict)
    _lock: threading.RLock = field(default_factory=threading.RLock)
    _making: dict[Any, threading.RLock] = field(default_factory=dict)

    @property
    def stamp(self) -> tuple[int, int]:
        """What changes when the study does."""
        return (self.revision, self.events[-1].id if self.events else 0)

    @property
    def verdict(self) -> Verdict:
        """What its trials say, judged once."""
        from proofpan.steps.verdict import judge

        verdict: Verdict = self._once(self._verdicts, spoken().locale, lambda: judge(self.study))
        return verdict

    def kept(self, key: Any, make: Any) -> Any:
        """Anything worked out from this study, once for each language."""
        return self._once(self._kept, (spoken().locale, key), make)

    def lasting(self, key: Any, make: Any) -> Any:
        """Anything worked out from its text and its rounds alone, once for each language: an event more doesn't have it worked out again."""
        return self._once(self._lasting, (spoken().locale, key), make)

    def _once(self, held: dict[Any, Any], key: Any, make: Callable[[], Any]) -> Any:
        """What is held, or is made now: by one thread, but no page waits for what only another page needs."""
        with self._lock:
            if key in held:
                return held[key]
            making = self._making.setdefault((id(held), key), threading.RLock())
        with making:
            if key not in held:
                held[key] = make()
            return held[key]

    def of_kind(self, kind: str) -> tuple[Event, ...]:
        """Its events of a kind, in order."""
        return tuple(e for e in self.events if e.kind == kind)


def _says_the_same(one: Standing, other: Standing) -> bool:
    """Whether two standings differ in nothing but what was declined, on which no figure hangs."""
    briefs = [s.study.brief.model_copy(update={"declined": ()}) for s in (one, other)]
    return briefs[0] == briefs[1] and one.apart == other.apart and [e.id for e in one.events] == [e.id for e in other.events]


class Shelf:
    """Reads studies from a notebook and keeps the last few."""

    def __init__(self, book: Notebook) -> None:
        self.book = book
        self._held: OrderedDict[str, Standing] = OrderedDict()
        self._served: dict[str, tuple[tuple[int, int], Study, frozenset[tuple[int, str]]]] = {}
        self._looked: dict[str, float] = {}
        self._lock = threading.Lock()

    def serving(self, study_id: str, at_most_old: float = 0.0) -> tuple[Study, frozenset[tuple[int, str]]]:
        """A study with its rounds and test sheets alone, and its late tasters as (round, taster): all that a ballot needs, however many marks there are.

        Parameters: at_most_old, seconds within which the last look is trusted.
        """
        if at_most_old:
            with self._lock:
                held, looked = self._served.get(study_id), self._looked.get(study_id, -at_most_old)
            if held is not None and time.monotonic() - looked < at_most_old:
                return held[1], held[2]
        with self._lock:
            self._looked[study_id] = time.monotonic()  # before the look: of many who ask at once one looks, the others take what stood
        return self._serving(study_id)

    def is_fresh(self, study_id: str, at_most_old: float) -> bool:
        """Whether `serving` would answer without looking into the notebook."""
        with self._lock:
            return study_id in self._served and time.monotonic() - self._looked.get(study_id, -at_most_old) < at_most_old

    def _serving(self, study_id: str) -> tuple[Study, frozenset[tuple[int, str]]]:
        entry = self.book.study(study_id)
        with self._lock:
            held = self._served.get(study_id)
        if (
            held is not None
            and held[0][0] == entry.revision
            and not self.book.events(study_id, kind=(ROUND, TRIAL, SITTING, LATE), after=held[0][1], limit=1)
        ):
            return held[1], held[2]
        events = self.book.events(study_id, kind=(ROUND, TRIAL, SITTING, LATE))
        stamp = (entry.revision, events[-1].id if events else 0)
        study = replay(Study.from_text(self.book.document(study_id, entry.revision).text), (e for e in events if e.kind != LATE))
        study = with_no_lists(study, kept_apart(self.book, study_id))
        late = frozenset((int(e.payload["round"]), str(e.payload["taster"])) for e in events if e.kind == LATE)
        with self._lock:
            if len(self._served) > MOST:
                self._served.clear()
            self._served[study_id] = (stamp, study, late)
        return study, late

    def standing(self, study_id: str) -> Standing:
        """A study as it stands now.

        Raises: NotFound; StudyError when its text can't be read.
        """
        entry = self.book.study(study_id)
        with self._lock:
            held = self._held.get(study_id)
        apart = kept_apart(self.book, study_id)
        if held is not None and held.revision == entry.revision and held.apart == apart:
            new = self.book.events(study_id, after=held.events[-1].id if held.events else 0)
            if not new:
                return held
            events = (*held.events, *new)
            # private events may have been removed meanwhile, and those of several connections may end out of order
            fresh = self.book.events(study_id)
            events = events if len(fresh) == len(events) else fresh
        else:
            events = self.book.events(study_id)
        text = self.book.document(study_id, entry.revision).text
        study = of_those_asked(with_no_lists(replay(Study.from_text(text), events), apart))
        standing = Standing(study_id, entry.revision, study, tuple(events), apart)
        if held is not None and _says_the_same(held, standing):
            standing = replace(standing, _verdicts=held._verdicts, _kept=held._kept, _lasting=held._lasting, _lock=held._lock, _making=held._making)
        if held is not None and held.revision == entry.revision and held.apart == apart and held.study.rounds == study.rounds:
            standing._lasting = held._lasting
        with self._lock:
            self._held[study_id] = standing
            self._held.move_to_end(study_id)
            while len(self._held) > MOST:
                self._held.popitem(last=False)
        return standing

    def forget(self, study_id: str) -> None:
        """Read a study anew next time (after someone was removed)."""
        with self._lock:
            self._held.pop(study_id, None)
