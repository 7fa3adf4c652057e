"""Readings brought in: two weighings, a probe's log, photographs, a recording."""

from __future__ import annotations

import io
import mimetypes
from typing import Any

from fastapi import APIRouter, Depends
from starlette.responses import Response

from proofpan.notebook.shelf import add_readings
from proofpan.steps.reading_sheets import contact_sheet, is_blind
from proofpan.steps.readings import LEAST_PAIRS, ReadingReport, agreements, read_colour, read_probe, read_sound, read_weights, sound_comparison
from proofpan.study.errors import TrialError
from proofpan.study.words import counted, version_words
from proofpan.web.desk import Desk, Typed, go, lead, typed
from proofpan.web.pages.cook.photographs import checked_photograph, shown_photograph
from proofpan.web.pages.readings.page import FigureLine, ReadingsPage, ReportPart
from proofpan.web.pages.readings.taps import photograph_again, taps_of
from proofpan.web.rendering import show
from proofpan.web.shelfcache import Standing

router = APIRouter()
REPORT, PHOTOGRAPH = "report", "photograph"
ON_PHOTOGRAPHS = ("colour", "cut-face")
SHOWN = 12
LARGEST_LOG = 4_000_000
LARGEST_RECORDING = 25_000_000
MOST_COMPARED = 24
KINDS = {"weights": "Weights", "probe": "Probe", "colour": "Colour", "sound": "Crunch", "cut-face": "Cut face"}


def readings(desk: Desk, study_id: str) -> Response:
    """The page."""
    standing = desk.standing(study_id)
    study = standing.study
    root = f"/study/{study_id}"
    words = {t.trial: f"Trial {t.trial}: {version_words(t.version)}" for t in study.trial_records}
    reports = []
    for event in standing.of_kind(REPORT)[-SHOWN:][::-1]:
        figures = tuple(
            FigureLine(
                str(f["name"]),
                f"{f['value']:.3g} {f.get('unit') or ''}".strip(),
                "one piece, so it speaks for that piece" if f.get("low") is None else f"{f['low']:.3g} to {f['high']:.3g}",
                str(f.get("how") or ""),
                event.id,
                i,
            )
            for i, f in enumerate(event.payload["figures"])
        )
        warnings = (*event.payload.get("warnings", ()), *event.payload.get("cautions", ()))
        reports.append(
            ReportPart(
                words.get(int(event.payload["trial"]), ""),
                KINDS.get(str(event.payload["kind"]), ""),
                figures,
                tuple(warnings),
                event.id,
                bool(event.payload.get("comparable", True)),
                f"{root}/reading/{event.id}/photograph" if event.payload["kind"] in ON_PHOTOGRAPHS else "",
                f"{root}/reading/{event.id}/again",
            )
        )
    held = [(words.get(r.trial, ""), r.attribute, f"{r.value:.3g}") for r in study.reading_records]
    found = agreements(study) if study.reading_records else ()
    measured_trials = len({r.trial for r in study.reading_records})
    pictures = _pictures(standing)
    blind = bool(pictures) and _blind(desk, standing, pictures)
    model = ReadingsPage(
        headline=f"{counted(len(standing.of_kind(REPORT)), 'reading')} taken."
        if reports
        else "No readings yet. Weigh something, or record one snapping.",
        under=""
        if reports
        else "A scale, a probe, a phone’s photograph or recording becomes a number with its interval. Tasters’ marks do without.",
        reports=tuple(reports),
        counted=tuple(held),
        agreements=tuple(a.says for a in found),
        agreements_wait=f"Whether readings and tasters agree shows from {LEAST_PAIRS} trials on that have both; {measured_trials} so far."
        if measured_trials and not found
        else "",
        sound_says=standing.kept("sound says", lambda: _sound_says(desk, standing)),
        sheet_href=f"{root}/contact-sheet.png" if pictures else "",
        sheet_says="Shuffled and without a word on it until all of them are tasted." if blind else "Each under its version.",
        trials=tuple(words.items()),
        measured=tuple(a.name for a in study.attributes if a.measured),
        action=f"{root}/readings",
        verdict_href=f"{root}/verdict",
    )
    return show("readings", model, desk.frame("Readings", standing, "readings"))


@router.get("/study/{study_id}/readings")
def get_readings(study_id: str, desk: Desk = Depends(lead)) -> Response:
    """What was measured."""
    return readings(desk, study_id)


@router.post("/study/{study_id}/reading")
def post_reading(study_id: str, form: Typed = Depends(typed), desk: Desk = Depends(lead)) -> Response:
    """A reading of one trial: the original is kept as it came."""
    desk.typed = form.texts
    desk.again = lambda: readings(desk, study_id)
    trial = form.whole("trial", 0, 1, 100_000)
    if desk.standing(study_id).study.trial(trial) is None:
        raise TrialError("Say which trial was measured.", field="trial")
    report, digest = _measured(desk, form)
    payload: dict[str, Any] = {**report.model_dump(mode="json"), "trial": trial, "digest": digest}
    if report.kind == "sound":
        payload["setup"] = {"session": form.get("session")[:80], "gain_locked": bool(form.get("gain_locked"))}
    desk.book.append(study_id, REPORT, payload, key=f"report:{form.get('once')}")
    return go(f"/study/{study_id}/readings")


def _measured(desk: Desk, form: Typed) -> tuple[ReadingReport, str]:
    kind = form.get("kind", "weights")
    if kind == "weights":
        return read_weights(_grams(form, "raw"), _grams(form, "cooked"), _grams(form, "scale_g", 1.0)), ""
    file = form.file("file")
    if file is None:
        raise TrialError("Choose a file first.", field="file")
    data = file.file.read()
    if kind == "probe":
        try:
            text = data[: LARGEST_LOG + 1].decode("utf-8-sig")
        except UnicodeDecodeError:
            raise TrialError("The log isn’t UTF-8 text: export it as CSV.", field="file") from None
        if "\0" in text:
            raise TrialError("The log isn’t text: export it as CSV.", field="file")
        if len(text) > LARGEST_LOG:
            raise TrialError("A log holds at most 4 MB.", field="file")
        report = read_probe(
            text,
            time_column=form.get("time_column", "time") or "time",
            temperature_column=form.get("temperature_column") or "temperature",
            time_unit=form.get("time_unit", "s"),
            temperature_unit=form.get("temperature_unit", "C"),
        )
        media_type = "text/csv"
    elif kind == "colour":
        media_type = checked_photograph(data)
        report = read_colour([data], **taps_of(form))
    elif kind == "sound":
        if len(data) > LARGEST_RECORDING:
            raise TrialError("A recording holds at most 25 MB: cut it to the bites.", field="file")
        report, media_type = read_sound([io.BytesIO(data)]), _sound_type(file.filename or "")
    else:
        raise TrialError("That kind of reading isn’t known: weights, probe, colour or sound.", field="kind")
    return report, desk.book.keep_file(data, name=file.filename or kind, media_type=media_type).digest


def _sound_type(name: str) -> str:
    """Of a file that was decoded as sound: its media type by name, never one that a browser would run."""
    guessed = mimetypes.guess_type(name)[0] or ""
    return guessed if guessed.startswith(("audio/", "video/")) else "application/octet-stream"


def _pictures(standing: Standing) -> dict[int, list[str]]:
    """{trial: digests of its photographs}, from its test sheet first, then those that were measured."""
    out: dict[int, list[str]] = {}
    taken = [*standing.of_kind(PHOTOGRAPH), *(e for e in standing.of_kind(REPORT) if e.payload["kind"] in ON_PHOTOGRAPHS)]
    for event in taken:
        held = out.setdefault(int(event.payload["trial"]), [])
        if event.payload["digest"] not in held:
            held.append(str(event.payload["digest"]))
    return out


def _blind(desk: Desk, standing: Standing, pictures: dict[int, list[str]]) -> bool:
    open_rounds = {t.round for t in desk.book.tastings(standing.study_id) if t.closed is None}
    return is_blind(standing.study, set(pictures), open_rounds)


def _sound_says(desk: Desk, standing: Standing) -> tuple[str, ...]:
    """Whether the last recordings of different trials may be compared at all; nothing where there is one trial."""
    last = {int(e.payload["trial"]): e for e in standing.of_kind(REPORT) if e.payload["kind"] == "sound" and e.payload.get("digest")}
    events = sorted(last.values(), key=lambda e: e.id)[-MOST_COMPARED:]
    if len(events) < 2:
        return ()
    setups = [e.payload.get("setup") or {} for e in events]
    same, says = sound_comparison(
        [
            (io.BytesIO(desk.book.read_file(str(e.payload["digest"]))), str(s.get("session") or ""), bool(s.get("gain_locked")))
            for e, s in zip(events, setups, strict=True)
        ]
    )
    return (f"The recordings of {len(events)} trials {'may' if same else 'may not'} be compared.", *says)


def _report(standing: Standing, number: int) -> Any:
    event = next((e for e in standing.of_kind(REPORT) if e.id == number and e.payload["kind"] in ON_PHOTOGRAPHS), None)
    if event is None:
        raise TrialError("That reading isn’t of a photograph of this study.")
    return event


@router.get("/study/{study_id}/reading/{number}/photograph")
def get_measured(study_id: str, number: int, desk: Desk = Depends(lead)) -> Response:
    """A photograph that was measured, to tap on."""
    event = _report(desk.standing(study_id), number)
    return Response(shown_photograph(desk.book.read_file(str(event.payload["digest"]))), media_type="image/jpeg")


@router.post("/study/{study_id}/reading/{number}/again")
def post_again(study_id: str, number: int, form: Typed = Depends(typed), desk: Desk = Depends(lead)) -> Response:
    """The same photograph measured again, with taps: a reading of its own beside the first."""
    desk.again = lambda: readings(desk, study_id)
    event = _report(desk.standing(study_id), number)
    digest = str(event.payload["digest"])
    report = photograph_again(desk.book.read_file(digest), form)
    payload: dict[str, Any] = {**report.model_dump(mode="json"), "trial": event.payload["trial"], "digest": digest}
    desk.book.append(study_id, REPORT, payload, key=f"report:{form.get('once')}")
    return go(f"/study/{study_id}/readings")


@router.get("/study/{study_id}/contact-sheet.png")
def get_sheet(study_id: str, desk: Desk = Depends(lead)) -> Response:
    """All photographed versions in one picture; not a word on it while any is still to be tasted."""
    standing = desk.standing(study_id)
    pictures = _pictures(standing)
    blind = _blind(desk, standing, pictures)

    def make() -> bytes:
        photographs = {trial: [desk.book.read_file(d) for d in digests[:2]] for trial, digests in pictures.items()}
        return contact_sheet(standing.study, photographs, blind=blind, seed=standing.revision).png

    # opening a tasting is no event of the study, so whether it is blind belongs to the key
    return Response(standing.kept(("contact sheet", blind), make), media_type="image/png", headers={"cache-control": "no-store"})


def _grams(form: Typed, name: str, else_: float | None = None) -> float:
    text = form.get(name).replace(",", ".")
    if not text and else_ is not None:
        return else_
    try:
        return float(text)
    except ValueError:
        raise TrialError(f"“{text[:20]}” isn’t a weight in grams.", field=name) from None


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
