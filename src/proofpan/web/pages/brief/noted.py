"""Notes that come before anything is typed: photographs of pages, kept as they came, and words."""

from __future__ import annotations

from dataclasses import dataclass

from proofpan.study.errors import TrialError
from proofpan.web.desk import Desk, Typed
from proofpan.web.pages.cook.photographs import checked_photograph
from proofpan.web.shelfcache import Standing

PAGE_OF_NOTES, NOTE = "page of notes", "note"
MOST_PAGES = 8


@dataclass(frozen=True)
class Notes:
    """Pages by their digests, oldest first, and notes that belong to no trial."""

    photographs: tuple[str, ...]
    words: tuple[str, ...]


def notes_of(standing: Standing) -> Notes:
    """What was noted before, or beside, the trials."""
    words = (str(e.payload["words"]) for e in standing.of_kind(NOTE) if not e.payload.get("trial"))
    return Notes(tuple(dict.fromkeys(str(e.payload["digest"]) for e in standing.of_kind(PAGE_OF_NOTES))), tuple(words))


def photographed_notes(form: Typed) -> list[tuple[bytes, str, str]]:
    """Pages that a form brings: bytes, name, media type.

    Raises: TrialError for a file that is no photograph; nothing is then kept.
    """
    files = form.files("photograph")
    if len(files) > MOST_PAGES:
        raise TrialError(f"{len(files)} photographs at once are many: at most {MOST_PAGES}.", field="photograph")
    datas = [(f.file.read(), f.filename or "notes") for f in files]
    return [(data, name, checked_photograph(data)) for data, name in datas]


def keep_notes(desk: Desk, study_id: str, form: Typed) -> None:
    """Keep photographs of notes; the same again is kept once.

    Raises: TrialError where none was chosen, or a file is no photograph.
    """
    pages = photographed_notes(form)
    if not pages:
        raise TrialError("Choose or take a photograph first.", field="photograph")
    keep_pages(desk, study_id, pages)


def keep_pages(desk: Desk, study_id: str, pages: list[tuple[bytes, str, str]]) -> None:
    """Keep pages that were checked."""
    for data, name, media_type in pages:
        digest = desk.book.keep_file(data, name=name, media_type=media_type).digest
        desk.book.append(study_id, PAGE_OF_NOTES, {"digest": digest}, key=f"notes:{digest}")
