"""What is brought in: two weighings, logs, photographs, recordings; checked, measured, and only then kept as it came."""

from __future__ import annotations

import io
import mimetypes
from typing import Any

from starlette.datastructures import UploadFile

from proofpan.notebook import Notebook
from proofpan.steps.reading_reports import ReadingReport
from proofpan.steps.reading_sheets import VIEWS
from proofpan.steps.reading_weights import read_weights
from proofpan.steps.readings import log_text, read_colour, read_cut_face, read_probe, read_sound
from proofpan.study.errors import TrialError
from proofpan.web.desk import Desk, Typed
from proofpan.web.pages.cook.photographs import checked_photograph
from proofpan.web.pages.readings.taps import taps_of

LARGEST_RECORDING = 25_000_000
MOST_FILES = 8
NO_MARKS = "Kept. Open “Correct it by tapping on the photograph”, tap two marks of the ruler, and measure the crumb."


def brought(desk: Desk, form: Typed) -> tuple[ReadingReport, dict[str, Any]]:
    """The report of what a form brings, and what belongs beside it in the notebook: digests of the originals and how they were read.

    Raises: TrialError for a file that isn't what it says, naming the field; nothing is then kept.
    """
    kind = form.get("kind", "weights")
    if kind == "weights":
        return _weights(form), {"digest": ""}
    files = form.files("file")
    if not files:
        raise TrialError("Choose a file first.", field="file")
    if len(files) > MOST_FILES:
        raise TrialError(f"{len(files)} files at once are many: at most {MOST_FILES}, all of one trial.", field="file")
    datas = [f.file.read() for f in files]
    if kind == "probe":
        report, types, beside = _probe(form, datas)
    elif kind in ("colour", "cut-face"):
        report, types, beside = _photographs(form, kind, datas)
    elif kind == "sound":
        report, types, beside = _sound(desk.book, form, files, datas)
    else:
        raise TrialError("That kind of reading isn’t known: weights, probe, colour, sound or cut face.", field="kind")
    names = [f.filename or kind for f in files]
    kept = [desk.book.keep_file(d, name=n, media_type=t).digest for d, n, t in zip(datas, names, types, strict=True)]
    return report, {"digest": kept[0], **({"digests": kept} if len(kept) > 1 else {}), **beside}


def _weights(form: Typed) -> ReadingReport:
    raw, cooked = weights_in(form, "raw"), weights_in(form, "cooked")
    bought, trimmed = weights_in(form, "bought"), weights_in(form, "trimmed")
    scale = weights_in(form, "scale_g") or [1.0]
    return read_weights(raw, cooked, scale[0], bought_g=sum(bought) if bought else None, trimmed_g=sum(trimmed) if trimmed else None)


def weights_in(form: Typed, name: str) -> list[float]:
    """The weights of one field: one, or several with spaces between; a comma may be the decimal sign.

    Raises: TrialError for what isn't a weight.
    """
    out = []
    for word in form.get(name).replace(";", " ").split():
        try:
            out.append(float(word.replace(",", ".").removesuffix("g") or "g"))
        except ValueError:
            raise TrialError(f"“{word[:20]}” isn’t a weight in grams.", field=name) from None
    return out


def number_in(form: Typed, name: str, low: float, high: float) -> float | None:
    """A number, or nothing where the field is empty.

    Raises: TrialError for what isn't one between the two ends.
    """
    text = form.get(name).replace(",", ".")
    if not text:
        return None
    try:
        value = float(text)
    except ValueError:
        value = float("nan")
    if not low <= value <= high:
        raise TrialError(f"“{text[:20]}” isn’t a number from {low:g} to {high:g}.", field=name)
    return value


def probe_options(form: Typed) -> dict[str, Any]:
    """How a log is to be read."""
    unit = form.get("temperature_unit")
    return {
        "time_column": form.get("time_column", "time") or "time",
        "temperature_column": form.get("temperature_column") or "temperature",
        "time_unit": form.get("time_unit", "s") or "s",
        "temperature_unit": unit if unit in ("C", "F") else "",
        "cooling": bool(form.get("cooling")),
        "time_constant_s": number_in(form, "lag_s", 0, 600),
    }


def _probe(form: Typed, datas: list[bytes]) -> tuple[ReadingReport, list[str], dict[str, Any]]:
    if len(datas) > 1:
        raise TrialError("A probe’s log is one file: bring them in one after another.", field="file")
    options = probe_options(form)
    return read_probe(log_text(datas[0]), **options), ["text/csv"], {"options": options}


def _photographs(form: Typed, kind: str, datas: list[bytes]) -> tuple[ReadingReport, list[str], dict[str, Any]]:
    types = [checked_photograph(d) for d in datas]
    view = form.get("view")
    view = view if view in VIEWS else "cut" if kind == "cut-face" else ""
    plate = number_in(form, "plate_mm", 20, 1000)
    beside: dict[str, Any] = {"view": view, "plate_mm": plate}
    taps = taps_of(form)
    if kind == "colour":
        report = read_colour(datas, **taps) if len(datas) == 1 else read_colour(datas, reference=taps["reference"], share=True)
        return report, types, {**beside, "each": [taps]}
    if len(datas) > 1:
        raise TrialError("A cut face is one photograph: bring them in one after another.", field="file")
    if not form.get("marks"):
        return ReadingReport(kind="cut-face", figures=(), warnings=(NO_MARKS,)), types, beside
    from proofpan.web.pages.readings.taps import crumb_of

    crumb = crumb_of(form)
    return read_cut_face(datas[0], **crumb), types, {**beside, "crumb": crumb}


def _sound(book: Notebook, form: Typed, files: list[UploadFile], datas: list[bytes]) -> tuple[ReadingReport, list[str], dict[str, Any]]:
    tap = form.file("tap_file")
    tap_data = tap.file.read() if tap is not None else b""
    if any(len(d) > LARGEST_RECORDING for d in (*datas, tap_data)):
        raise TrialError("A recording holds at most 25 MB: cut it to the bites.", field="file")
    tap_s = seconds_of(form)
    setup = {
        "session": form.get("session")[:80],
        "device": form.get("device")[:80],
        "distance_cm": number_in(form, "distance_cm", 0.5, 500),
        "gain_locked": bool(form.get("gain_locked")),
    }
    report = read_sound(
        [io.BytesIO(d) for d in datas], tap_s=tap_s, tap_file=io.BytesIO(tap_data) if tap_data else None, gain_locked=setup["gain_locked"]
    )
    beside: dict[str, Any] = {"setup": setup, "tap_s": tap_s}
    if tap is not None and tap_data:
        name = tap.filename or "tap"
        beside["tap_digest"] = book.keep_file(tap_data, name=name, media_type=sound_type(name)).digest
    return report, [sound_type(f.filename or "") for f in files], beside


def seconds_of(form: Typed) -> tuple[float, float] | None:
    """From and to of the reference tap, in seconds.

    Raises: TrialError where only one of them is given, or they are the wrong way round.
    """
    start, stop = number_in(form, "tap_from", 0, 1800), number_in(form, "tap_to", 0, 1800)
    if start is None and stop is None:
        return None
    if start is None or stop is None or stop <= start:
        raise TrialError("The reference tap lies between two moments: say from which second to which.", field="tap_from")
    return start, stop


def sound_type(name: str) -> str:
    """The media type by the name's end: a recording may be a video."""
    guessed = mimetypes.guess_type(name)[0] or ""
    return guessed if guessed.startswith(("audio/", "video/")) else "audio/unknown"
