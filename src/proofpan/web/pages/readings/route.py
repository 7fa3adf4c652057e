"""Readings brought in: two weighings, a probe's log, photographs, a recording."""

from __future__ import annotations

import io
from typing import Any

from fastapi import APIRouter, Depends
from starlette.responses import Response

from proofpan.notebook.shelf import add_readings
from proofpan.steps.readings import ReadingReport, agreements, read_colour, read_probe, read_sound, read_weights
from proofpan.study.errors import TrialError
from proofpan.study.words import counted, version_words
from proofpan.web.desk import Desk, Typed, go, lead, typed
from proofpan.web.pages.cook.photographs import checked_photograph
from proofpan.web.pages.readings.page import FigureLine, ReadingsPage, ReportPart
from proofpan.web.rendering import show

router = APIRouter()
REPORT = "report"
SHOWN = 12
LARGEST_LOG = 4_000_000
KINDS = {"weights": "Weights", "probe": "Probe", "colour": "Colour", "sound": "Crunch"}


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
                words.get(int(event.payload["trial"]), ""), KINDS.get(str(event.payload["kind"]), ""), figures, tuple(warnings), event.id
            )
        )
    held = [(words.get(r.trial, ""), r.attribute, f"{r.value:.3g}") for r in study.reading_records]
    model = ReadingsPage(
        headline=f"{counted(len(standing.of_kind(REPORT)), 'reading')} taken."
        if reports
        else "No readings yet. Weigh something, or record one snapping.",
        under=""
        if reports
        else "A scale, a probe, a phone’s photograph or recording becomes a number with its interval. Tasters’ marks do without.",
        reports=tuple(reports),
        counted=tuple(held),
        agreements=tuple(a.says for a in agreements(study)) if study.reading_records else (),
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
        report = read_colour([data])
    elif kind == "sound":
        report, media_type = read_sound([io.BytesIO(data)]), "application/octet-stream"
    else:
        raise TrialError("That kind of reading isn’t known: weights, probe, colour or sound.", field="kind")
    return report, desk.book.keep_file(data, name=file.filename or kind, media_type=media_type).digest


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
