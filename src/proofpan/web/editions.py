"""Editions as the notebook keeps them: frozen texts, approvals, copies elsewhere, what readers ask and complain of, what changed since."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from proofpan.notebook.shelf import CHANGE
from proofpan.steps.copies import warning_on
from proofpan.steps.making import recipe_of
from proofpan.study.afterwards import Question
from proofpan.study.edition import Copy, Edition, seal_holds
from proofpan.study.elsewhere import Changed
from proofpan.study.errors import StudyError
from proofpan.study.versions import Version
from proofpan.web.shelfcache import Standing

EDITION, APPROVAL, COPY, QUESTION, COMPLAINT, RETEST = (
    "edition", "approval", "copy elsewhere", "reader's question", "complaint", "re-test")
BROKEN = ("Edition {number} doesn’t match its seal: what the notebook holds isn’t what was frozen. Don’t print from it; take the text from a "
          "backup or from a copy that went out, and publish again.")


@dataclass(frozen=True)
class KeptComplaint:
    """A complaint as it was told and what it is put down to now."""

    id: str
    words: str
    cause: str
    line: str


def editions_of(standing: Standing) -> tuple[Edition, ...]:
    """Every edition with who approved it, in order."""
    approvals = {int(e.payload["edition"]): e.payload for e in standing.of_kind(APPROVAL)}
    out = []
    for event in standing.of_kind(EDITION):
        edition = Edition.model_validate(event.payload)
        given = approvals.get(edition.number)
        if given is not None:
            edition = edition.approved(str(given["by"]), date.fromisoformat(str(given["on"])))
        out.append(edition)
    return tuple(out)


def edition_of(standing: Standing, number: int) -> Edition:
    """One edition.

    Raises: StudyError when there is none of that number.
    """
    found = next((e for e in editions_of(standing) if e.number == number), None)
    if found is None:
        raise StudyError(f"There is no edition {number} of this study.")
    return found


def newest_of(standing: Standing, version: Version | None = None) -> Edition | None:
    """The newest edition; with a version, only if it prints that version."""
    held = editions_of(standing)
    found = held[-1] if held else None
    return found if found is not None and (version is None or found.version == version) else None


def copies_of(standing: Standing) -> tuple[Copy, ...]:
    """Copies elsewhere as they stand now; one that was taken off the list is left out."""
    out: dict[str, Copy] = {}
    for event in standing.of_kind(COPY):
        p = dict(event.payload)
        if p.pop("gone", False):
            out.pop(str(p["id"]), None)
        else:
            out[str(p["id"])] = Copy.model_validate(p)
    return tuple(out.values())


def questions_of(standing: Standing) -> tuple[Question, ...]:
    """Readers' questions in order."""
    return tuple(Question.model_validate(e.payload) for e in standing.of_kind(QUESTION))


def complaints_of(standing: Standing) -> tuple[KeptComplaint, ...]:
    """Complaints, each as it was last sorted."""
    out: dict[str, KeptComplaint] = {}
    for event in standing.of_kind(COMPLAINT):
        p = event.payload
        out[str(p["id"])] = KeptComplaint(str(p["id"]), str(p["words"]), str(p["cause"]), str(p.get("line", "")))
    return tuple(out.values())


def changes_of(standing: Standing) -> tuple[Changed, ...]:
    """What makes older trials speak less, the newest first."""
    return tuple(Changed.model_validate(e.payload) for e in reversed(standing.of_kind(CHANGE)))


def broken_seals(standing: Standing) -> frozenset[int]:
    """The editions whose text isn't any more what was sealed."""
    found: frozenset[int] = standing.kept("broken seals", lambda: frozenset(
        int(e.payload["number"]) for e in standing.of_kind(EDITION) if not seal_holds(e.payload)))
    return found


def warning_of(standing: Standing, edition: Edition) -> str:
    """What an edition must show on top: that its seal is broken, a correction about safety; empty when there is neither."""
    seal = BROKEN.format(number=edition.number) if edition.number in broken_seals(standing) else ""
    return " ".join(s for s in (seal, warning_on(edition, editions_of(standing))) if s)


def dates_of(edition: Edition) -> str:
    """When it was first published and when it was changed, in sentences; under embargo, when it was frozen and may be published."""
    if edition.published is None:
        return ""
    held = edition.embargo is not None and edition.embargo > edition.published
    first = f"Frozen {edition.published:%-d %B %Y}, not to be published before {edition.embargo:%-d %B %Y}." if held else (
        f"First published {edition.published:%-d %B %Y}.")
    return first + (f" Changed {edition.modified:%-d %B %Y}." if edition.modified else "")


def state_of(edition: Edition, today: object) -> str:
    """Whether an edition is final, in a sentence."""
    day = today if isinstance(today, date) else None
    if not edition.approved_by:
        return "Nobody has approved it yet: whatever is made from it is marked as a draft."
    by = f"Approved by {edition.approved_by}" + (f" on {edition.approved_on:%-d %B %Y}." if edition.approved_on else ".")
    if not edition.is_final(day) and edition.embargo is not None:
        return f"{by} Under embargo until {edition.embargo:%-d %B %Y}: marked as a draft until then."
    return by


def as_published(standing: Standing, version: Version) -> Edition | None:
    """The newest edition, if what stands in the study is still its text."""
    edition = newest_of(standing, version)
    if edition is None or edition.recipe != recipe_of(standing.study, version):
        return None
    return edition.model_copy(update={"warning": warning_of(standing, edition) or None})
