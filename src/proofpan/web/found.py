"""What each study of the notebook found, in a line or two for its list: worked out when there is time, kept until the study changes."""

from __future__ import annotations

import threading
import time
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from proofpan.notebook.entries import StudyEntry
from proofpan.study.errors import ProofpanError
from proofpan.study.verdict import NOT_SETTLED
from proofpan.study.words import counted, version_words
from proofpan.web.editions import EDITION

if TYPE_CHECKING:
    from proofpan.web.shelfcache import Shelf, Standing

MOST_ANSWERS = 3
KEPT = 2000


@dataclass(frozen=True)
class Finding:
    """A study's question, its answers as (outcome, headline), what it would publish, and how far it is."""

    question: str
    answers: tuple[tuple[str, str], ...]
    publish: str
    state: str


class Findings:
    """Findings of a kitchen's studies, by study and last change. Any number of threads may ask."""

    def __init__(self, shelf: Shelf) -> None:
        self._shelf = shelf
        self._known: dict[str, tuple[str, Finding | None]] = {}
        self._lock = threading.Lock()

    def of(self, entries: Sequence[StudyEntry], seconds: float) -> dict[str, Finding]:
        """What is known of these studies, working out more, first ones first, as long as there is time; one more always."""
        until, more = time.monotonic() + seconds, 0
        out: dict[str, Finding] = {}
        for entry in entries:
            with self._lock:
                changed, finding = self._known.get(entry.id, ("", None))
            if changed != entry.changed:
                if more and time.monotonic() > until:
                    continue
                finding, more = self._work_out(entry), more + 1
            if finding is not None:
                out[entry.id] = finding
        return out

    def _work_out(self, entry: StudyEntry) -> Finding | None:
        try:
            finding = finding_of(self._shelf.standing(entry.id))
        except ProofpanError:
            finding = None  # a study whose text can't be read now still has its title in the list
        with self._lock:
            if len(self._known) >= KEPT:
                self._known.clear()
            self._known[entry.id] = (entry.changed, finding)
        return finding


def finding_of(standing: Standing) -> Finding:
    """What one study found, as it stands."""
    study = standing.study
    if not study.ballot_records:
        cooked = len(study.cooked)
        state = f"{counted(cooked, 'trial')} cooked" if cooked else "Planned" if study.rounds else "A brief"
        return Finding(study.question, (), "", state)
    verdict = standing.verdict
    settled_first = sorted(verdict.answers, key=lambda a: a.outcome == NOT_SETTLED)
    answers = tuple((a.outcome, a.headline) for a in settled_first[:MOST_ANSWERS])
    state = "Published" if standing.of_kind(EDITION) else "Verdict reached" if verdict.next.stop else f"{counted(verdict.trials, 'trial')} tasted"
    return Finding(study.question, answers, version_words(verdict.publish.version), state)
