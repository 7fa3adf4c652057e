"""One reading: its picture, the table behind it, and its originals."""

from __future__ import annotations

from urllib.parse import quote

from fastapi import APIRouter, Depends
from starlette.responses import Response

from proofpan.notebook import NotebookError
from proofpan.notebook.photographs import digests_of
from proofpan.study.errors import TrialError
from proofpan.study.words import version_words
from proofpan.web.desk import Desk, lead
from proofpan.web.pages.reading.page import Original, ReadingPage
from proofpan.web.pages.readings.drawn import Drawn, drawn
from proofpan.web.pages.readings.route import KINDS, report_part, the_report
from proofpan.web.rendering import show

router = APIRouter()


@router.get("/study/{study_id}/reading/{number}")
def get_reading(study_id: str, number: int, desk: Desk = Depends(lead)) -> Response:
    """A reading by itself."""
    standing = desk.standing(study_id)
    event = the_report(standing, number)
    root = f"/study/{study_id}"
    words = {t.trial: f"Trial {t.trial}: {version_words(t.version)}" for t in standing.study.trial_records}
    part = report_part(desk, root, words, event)
    files = []
    for i, digest in enumerate(digests_of(event.payload)):
        try:
            entry = desk.book.file_entry(digest)
            files.append(Original(entry.name, f"{root}/reading/{number}/original/{i}", f"{entry.size / 1e6:.1f} MB"))
        except NotebookError:
            continue
    first = part.figures[0] if part.figures else None
    model = ReadingPage(
        headline=f"{KINDS[str(event.payload['kind'])]}: {first.name} {first.value}." if first else "No figure was taken.",
        under=part.headline,
        drawn=Drawn(wanting=part.wanting) if part.wanting else standing.kept(("drawn", number), lambda: drawn(desk, event)),
        figures=part.figures,
        common=part.common,
        warnings=part.warnings,
        outlined=tuple(p.replace("/photograph/", "/outlined/") for p in part.photographs),
        originals=tuple(files),
        back_href=f"{root}/readings",
    )
    return show("reading", model, desk.frame("Reading", standing, "readings"))


@router.get("/study/{study_id}/reading/{number}/original/{which}")
def get_original(study_id: str, number: int, which: int, desk: Desk = Depends(lead)) -> Response:
    """A file as it came, to keep."""
    digests = digests_of(the_report(desk.standing(study_id), number).payload)
    if which >= len(digests):
        raise TrialError("That reading has fewer files.")
    entry = desk.book.file_entry(digests[which])
    headers = {"content-disposition": f"attachment; filename*=UTF-8''{quote(entry.name)}"}
    return Response(desk.book.read_file(digests[which]), media_type="application/octet-stream", headers=headers)
