"""Readings brought in, drawn, corrected, and counted in the verdict."""

from __future__ import annotations

import io
from collections.abc import Sequence
from functools import partial
from typing import Any

from fastapi import APIRouter, Depends
from starlette.responses import Response

from proofpan.notebook import Event, NotebookError
from proofpan.notebook.photographs import ON_PHOTOGRAPHS, REPORT, digests_of
from proofpan.notebook.shelf import add_readings
from proofpan.publish.reading_plots import agreement
from proofpan.publish.reading_tables import Table
from proofpan.steps.reading_reports import rounded
from proofpan.steps.reading_sound import SetUp, heard_again, sound_comparison
from proofpan.steps.readings import LEAST_PAIRS, Agreement, agreements
from proofpan.study.errors import TrialError
from proofpan.study.words import counted, version_words
from proofpan.web.desk import Desk, Typed, go, lead, typed
from proofpan.web.pages.cook.photographs import shown_photograph
from proofpan.web.pages.readings.bring import Brought, brought, keep_reading, measured
from proofpan.web.pages.readings.drawn import in_page, originals, outlined_photograph, taps_for
from proofpan.web.pages.readings.page import AgreementPart, FigureLine, PicturePart, ReadingsPage, ReportPart, SheetPart, next_step
from proofpan.web.pages.readings.sheets import blind_now, pictures_of
from proofpan.web.pages.readings.sheets import router as sheets
from proofpan.web.pages.readings.taps import crumb_of, taps_of
from proofpan.web.rendering import show
from proofpan.web.shelfcache import Standing

router = APIRouter()
router.include_router(sheets)
SHOWN = 12
MOST_COMPARED = 24
MOST_OF, MINUS = 3, "−"
IN_WORDS = {"a": "a*, green to red", "b": "b*, blue to yellow"}
KINDS = {"weights": "Weights", "probe": "Probe", "colour": "Colour", "sound": "Crunch", "cut-face": "Cut face"}


def readings(desk: Desk, study_id: str) -> Response:
    """The page."""
    standing = desk.standing(study_id)
    study = standing.study
    root = f"/study/{study_id}"
    words = {t.trial: f"Trial {t.trial}: {version_words(t.version)}" for t in study.trial_records}
    reports = [report_part(desk, root, words, event) for event in standing.of_kind(REPORT)[-SHOWN:][::-1]]
    held = [(words.get(r.trial, ""), r.attribute, rounded(r.value)) for r in study.reading_records]
    found = agreements(study) if study.reading_records else ()
    next_page, next_words = next_step(study)
    measured_trials = len({r.trial for r in study.reading_records})
    model = ReadingsPage(
        headline=f"{counted(len(standing.of_kind(REPORT)), 'reading')} taken."
        if reports
        else "No readings yet. Weigh something, or record one snapping."
        if words
        else "Nothing is cooked yet, so there is nothing to measure.",
        under=""
        if reports
        else "A scale, a probe, a phone’s photograph or recording becomes a number with its interval. Tasters’ marks do without.",
        reports=tuple(reports),
        counted=tuple(held),
        agreements=tuple(_agreement_part(a) for a in found),
        agreements_wait=f"Whether readings and tasters agree shows from {LEAST_PAIRS} trials on that have both; {measured_trials} so far."
        if measured_trials and not found
        else "",
        sound_says=standing.kept("sound says", lambda: _sound_says(desk, standing)),
        sheets=_sheet_part(desk, standing, root, words),
        trials=tuple(words.items()),
        measured=tuple(a.name for a in study.attributes if a.measured),
        action=f"{root}/readings",
        next_href=f"{root}/{next_page}",
        next_words=next_words,
    )
    return show("readings", model, desk.frame("Readings", standing, "readings", scripts=("keep", "upload")))


def in_common(hows: Sequence[str]) -> tuple[str, ...]:
    """What most figures of a reading say of how they were got: said once beneath them, not in every row."""
    parts = [how.split("; ") for how in hows if how]
    if len(parts) < MOST_OF:
        return ()
    return tuple(said for said in dict.fromkeys(s for part in parts for s in part) if 2 * sum(said in part for part in parts) > len(parts))


def report_part(desk: Desk, root: str, words: dict[int, str], event: Event) -> ReportPart:
    """One reading as the page shows it."""
    payload = event.payload
    common = in_common([str(f.get("how") or "") for f in payload["figures"]])
    figures = tuple(
        FigureLine(
            IN_WORDS.get(str(f["name"]), str(f["name"])),
            f"{rounded(f['value'])} {f.get('unit') or ''}".strip().replace("-", MINUS),
            "one piece, so it speaks for that piece" if f.get("low") is None else f"{rounded(f['low'])} to {rounded(f['high'])}".replace("-", MINUS),
            "; ".join(said for said in str(f.get("how") or "").split("; ") if said not in common),
            event.id,
            i,
        )
        for i, f in enumerate(payload["figures"])
    )
    here = f"{root}/reading/{event.id}"
    wanting = ""
    for digest in digests_of(event.payload):
        try:
            desk.book.file_path(digest)
        except NotebookError as error:
            wanting = f"{error} The figures stand as they were read."
    on_photograph = payload["kind"] in ON_PHOTOGRAPHS and not wanting
    return ReportPart(
        words.get(int(payload["trial"]), ""),
        KINDS.get(str(payload["kind"]), ""),
        figures,
        "; ".join(common),
        (*payload.get("warnings", ()), *payload.get("cautions", ())),
        event.id,
        bool(payload.get("comparable", True)),
        tuple(f"{here}/photograph/{i}" for i in range(len(digests_of(event.payload)))) if on_photograph else (),
        f"{here}/again",
        here if digests_of(event.payload) and not wanting else "",
        wanting,
    )


def _agreement_part(a: Agreement) -> AgreementPart:
    rows = tuple((str(t), rounded(x), rounded(y)) for t, x, y in a.points)
    return AgreementPart(a.says, in_page(agreement(a.says, a.points, a.attribute, a.marks)), Table("", ("Trial", a.attribute, a.marks), rows))


def _sheet_part(desk: Desk, standing: Standing, root: str, words: dict[int, str]) -> tuple[SheetPart, ...]:
    pictures = pictures_of(standing)
    if not pictures:
        return ()
    blind = blind_now(desk, standing, set(pictures))
    shown = []
    for trial, known in sorted(pictures.items()):
        for i, (digest, said) in enumerate(known.items(), start=1):
            marks = " ".join(f"{100 * x:.1f},{100 * y:.1f}" for x, y in said.get("marks", ()))
            mm, plate = said.get("mm"), said.get("plate_mm")
            name = f"{words.get(trial, f'Trial {trial}')}, photograph {i}"
            at = f"{root}/kept/{digest}"
            shown.append(
                PicturePart(at, digest, trial, name, said.get("view", ""), marks, f"{mm:g}" if mm else "", f"{plate:g}" if plate else "")
            )
    says = "Shuffled and without a word on it until all of them are tasted." if blind else "Each under its version."
    made = standing._kept.get(("contact sheet", blind))
    warnings = made.warnings if made is not None else ()
    return (SheetPart(f"{root}/contact-sheet.png", f"{root}/contact-sheet.pdf", says, tuple(warnings), tuple(shown)),)


@router.get("/study/{study_id}/readings")
def get_readings(study_id: str, desk: Desk = Depends(lead)) -> Response:
    """What was measured."""
    return readings(desk, study_id)


@router.post("/study/{study_id}/reading")
def post_reading(study_id: str, form: Typed = Depends(typed), desk: Desk = Depends(lead)) -> Response:
    """A reading of one trial, from one file or several: the originals are kept as they came."""
    desk.typed = form.texts
    desk.again = lambda: readings(desk, study_id)
    trial = form.whole("trial", 0, 1, 100_000)
    if desk.standing(study_id).study.trial(trial) is None:
        raise TrialError("Say which trial was measured.", field="trial")
    return measure(desk, study_id, brought(form), trial, form.get("once"))


def measure(desk: Desk, study_id: str, what: Brought, trial: int, once: str) -> Response:
    """Measure what was brought: at once, or, where that takes longer than a page may wait, behind a page that says how far it is.

    Raises: TrialError for a file that can't be read, naming the field; nothing is then kept.
    """
    asked = what.asked(trial, once)
    if what.takes_long:
        work = desk.kitchen.works.start("reading", study_id, asked, f"/study/{study_id}/readings", what.files, desk.session)
        return go(f"/study/{study_id}/work/{work.name}")
    keep_reading(desk.book, study_id, asked, measured(what).model_dump(mode="json"), what.files)
    return go(f"/study/{study_id}/readings")


def _sound_says(desk: Desk, standing: Standing) -> tuple[str, ...]:
    """Whether the last recordings of different trials may be compared at all; nothing where there is one trial."""
    last = {int(e.payload["trial"]): e for e in standing.of_kind(REPORT) if e.payload["kind"] == "sound" and e.payload.get("digest")}
    heard, missing = [], 0
    for event in sorted(last.values(), key=lambda e: e.id)[-MOST_COMPARED:]:
        noted, tap_s, tap = event.payload.get("setup") or {}, event.payload.get("tap_s"), event.payload.get("tap_digest")
        setup = SetUp(
            str(noted.get("session") or ""), str(noted.get("device") or ""), noted.get("distance_cm"), bool(noted.get("gain_locked"))
        )
        try:
            files = [desk.book.read_file(d) for d in (digests_of(event.payload)[0], *([str(tap)] if tap else []))]
            if len(last) < 2:
                continue  # nothing to compare it with; only that its file is there matters
            # hearing a recording takes a second: once for each, whatever else happens to the study meanwhile
            again = standing.lasting(
                ("heard again", event.id), partial(heard_again, io.BytesIO(files[0]), tuple(tap_s) if tap_s else None, io.BytesIO(files[1]) if tap else None)
            )
        except (NotebookError, TrialError):
            missing += 1
            continue
        heard.append((again, setup))
    lost = (f"{counted(missing, 'recording')} can’t be heard again: the file is missing; restore it from a backup.",) if missing else ()
    if len(heard) < 2:
        return lost
    same, says = sound_comparison(heard)
    return (f"The recordings of {len(heard)} trials {'may' if same else 'may not'} be compared.", *says, *lost)


def the_report(standing: Standing, number: int, kinds: tuple[str, ...] = tuple(KINDS)) -> Event:
    """A reading by its number.

    Raises: TrialError where it isn't one of this study, of these kinds.
    """
    event = next((e for e in standing.of_kind(REPORT) if e.id == number and e.payload["kind"] in kinds), None)
    if event is None:
        raise TrialError("That reading isn’t in this study." if kinds == tuple(KINDS) else "That reading isn’t of a photograph of this study.")
    return event


def _photograph(desk: Desk, study_id: str, number: int, which: int) -> Event:
    event = the_report(desk.standing(study_id), number, ON_PHOTOGRAPHS)
    if which >= len(digests_of(event.payload)):
        raise TrialError("That reading has fewer photographs.")
    return event


@router.get("/study/{study_id}/reading/{number}/photograph")
@router.get("/study/{study_id}/reading/{number}/photograph/{which}")
def get_measured(study_id: str, number: int, which: int = 0, desk: Desk = Depends(lead)) -> Response:
    """A photograph that was measured, to tap on."""
    event = _photograph(desk, study_id, number, which)
    return Response(shown_photograph(desk.book.read_file(digests_of(event.payload)[which])), media_type="image/jpeg")


@router.get("/study/{study_id}/reading/{number}/outlined/{which}")
def get_outlined(study_id: str, number: int, which: int, desk: Desk = Depends(lead)) -> Response:
    """The same with what was taken for food and for the card outlined."""
    event = _photograph(desk, study_id, number, which)
    standing = desk.standing(study_id)
    made = standing.kept(("outlined", number, which), lambda: outlined_photograph(desk, event, which))
    return Response(made, media_type="image/jpeg")


@router.post("/study/{study_id}/reading/{number}/again")
def post_again(study_id: str, number: int, form: Typed = Depends(typed), desk: Desk = Depends(lead)) -> Response:
    """The same photographs measured again, with taps on one of them: a reading of its own beside the first."""
    desk.again = lambda: readings(desk, study_id)
    event = the_report(desk.standing(study_id), number, ON_PHOTOGRAPHS)
    datas, held = originals(desk, event), digests_of(event.payload)
    which = form.whole("which", 0, 0, len(datas) - 1)
    kind, options = "colour", {}
    beside: dict[str, Any] = {k: event.payload[k] for k in ("view", "plate_mm") if event.payload.get(k)}
    if form.get("kind", "colour") == "cut-face":
        kind, options, datas, held = "cut-face", crumb_of(form), [datas[which]], [held[which]]
        beside |= {"crumb": options}
    else:
        each = [taps_of(form) if i == which else taps_for(event, i) for i in range(len(datas))]
        options = {"each": each}
        beside |= {"each": each}
    what = Brought(kind, tuple(datas), (), (), options, beside, tuple(held))
    return measure(desk, study_id, what, int(event.payload["trial"]), form.get("once"))


@router.post("/study/{study_id}/readings")
def count_reading(study_id: str, form: Typed = Depends(typed), desk: Desk = Depends(lead)) -> Response:
    """Let one figure count as a measured attribute."""
    desk.again = lambda: readings(desk, study_id)
    standing = desk.standing(study_id)
    event = next((e for e in standing.of_kind(REPORT) if str(e.id) == form.get("report")), None)
    index = form.whole("index", 0, 0, 1000)
    if event is None or index >= len(event.payload["figures"]):
        raise TrialError("That figure isn’t there.")
    figure = event.payload["figures"][index]
    row = {
        "trial": event.payload["trial"],
        "attribute": form.get("attribute"),
        "value": figure["value"],
        "error_sd": figure.get("error_sd"),
        "n": figure.get("n", 1),
        "how": figure.get("how", ""),
        "file": event.payload.get("digest", ""),
    }
    add_readings(desk.book, study_id, [row])
    return go(f"/study/{study_id}/readings")
