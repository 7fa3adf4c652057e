"""All photographed versions in one picture: what the kitchen says of each photograph, and the sheet as PNG or PDF."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Depends
from starlette.responses import Response

from proofpan.notebook import NotebookError
from proofpan.notebook.photographs import PHOTOGRAPH_NOTED, photographs_of
from proofpan.steps.reading_sheets import VIEWS, Sheet, Shot, contact_sheet, is_blind
from proofpan.study.errors import TrialError
from proofpan.web.desk import Desk, Typed, go, lead, typed
from proofpan.web.pages.cook.photographs import shown_photograph
from proofpan.web.pages.readings.bring import number_in
from proofpan.web.pages.readings.taps import marks_of, taps_in
from proofpan.web.shelfcache import Standing

router = APIRouter()


def pictures_of(standing: Standing) -> dict[int, dict[str, dict[str, Any]]]:
    """{trial: {digest: what is known of the photograph}}, in the order they were taken."""
    return photographs_of(standing.events)


def blind_now(desk: Desk, standing: Standing, trials: set[int]) -> bool:
    """Whether anything on the sheet is still to be tasted blind."""
    open_rounds = {t.round for t in desk.book.tastings(standing.study_id) if t.closed is None}
    return is_blind(standing.study, trials, open_rounds)


def the_sheet(desk: Desk, standing: Standing) -> Sheet:
    """The sheet as it stands; photographs whose file is missing are left out, and that is said.

    Raises: TrialError where there is none left.
    """
    pictures = pictures_of(standing)
    blind = blind_now(desk, standing, set(pictures))

    def make() -> Sheet:
        shots: dict[int, list[bytes | Shot]] = {}
        missing = 0
        for trial, known in pictures.items():
            for digest, said in known.items():
                try:
                    shots.setdefault(trial, []).append(Shot(data=desk.book.read_file(digest), **said))
                except NotebookError:
                    missing += 1
        if missing and not any(shots.values()):
            raise TrialError("The files of these photographs are missing from the notebook’s folder: restore them from a backup.")
        made = contact_sheet(standing.study, shots, blind=blind, seed=standing.revision)
        lost = f"{missing} photograph{'s' * (missing > 1)} left out: the file is missing; restore it from a backup."
        return made.model_copy(update={"warnings": (*made.warnings, lost)}) if missing else made

    # opening a tasting is no event of the study, so whether it is blind belongs to the key
    made: Sheet = standing.kept(("contact sheet", blind), make)
    return made


def labelled_sheet(desk: Desk, standing: Standing) -> bytes | None:
    """The sheet for readers, each picture under its version; none while any is still to be tasted, or where there is no photograph."""
    if not pictures_of(standing):
        return None
    try:
        made = the_sheet(desk, standing)
    except TrialError:
        return None
    return made.png if made.labelled else None


@router.get("/study/{study_id}/contact-sheet.png")
def get_sheet(study_id: str, desk: Desk = Depends(lead)) -> Response:
    """All photographed versions in one picture; not a word on it while any is still to be tasted."""
    made = the_sheet(desk, desk.standing(study_id))
    return Response(made.png, media_type="image/png", headers={"cache-control": "no-store"})


@router.get("/study/{study_id}/contact-sheet.pdf")
def get_sheet_pdf(study_id: str, desk: Desk = Depends(lead), paper: str = "a4") -> Response:
    """The same on paper."""
    from proofpan.publish.sheets import contact_sheet_pdf

    standing = desk.standing(study_id)
    made = the_sheet(desk, standing)
    paper = paper if paper == "us-letter" else "a4"
    page = contact_sheet_pdf(
        standing.study, made.png, labelled=made.labelled, px_per_mm=made.px_per_mm, warnings=made.warnings, paper=paper
    )
    return Response(page, media_type="application/pdf", headers={"content-disposition": 'inline; filename="contact-sheet.pdf"'})


@router.get("/study/{study_id}/kept/{digest}")
def get_kept(study_id: str, digest: str, desk: Desk = Depends(lead)) -> Response:
    """A photograph on the sheet, to tap on."""
    if not any(digest in known for known in pictures_of(desk.standing(study_id)).values()):
        raise TrialError("That photograph isn’t in this study.")
    return Response(shown_photograph(desk.book.read_file(digest)), media_type="image/jpeg")


@router.post("/study/{study_id}/kept/{digest}")
def note_kept(study_id: str, digest: str, form: Typed = Depends(typed), desk: Desk = Depends(lead)) -> Response:
    """What a photograph shows, and its scale."""
    from proofpan.web.pages.readings.route import readings

    desk.typed = form.texts
    desk.again = lambda: readings(desk, study_id)
    trial = form.whole("trial", 0, 1, 100_000)
    if digest not in pictures_of(desk.standing(study_id)).get(trial, {}):
        raise TrialError("That photograph isn’t in this study.")
    payload: dict[str, Any] = {"trial": trial, "digest": digest, "view": form.get("view") if form.get("view") in VIEWS else ""}
    if form.get("marks") or form.get("mm"):
        marks, mm = marks_of(form)
        if not 1 <= mm <= 2000:
            raise TrialError(f"“{mm:g}” isn’t a number of millimetres from 1 to 2,000.", field="mm")
        payload |= {"marks": marks, "mm": mm}
    payload["plate_mm"] = number_in(form, "plate_mm", 20, 1000)
    if form.get("card"):
        payload["card"] = taps_in(form, "card")
    desk.book.append(study_id, PHOTOGRAPH_NOTED, payload, key=f"noted:{form.get('once')}")
    return go(f"/study/{study_id}/readings#sheet")
