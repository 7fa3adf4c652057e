"""What is brought in: two weighings, logs, photographs, recordings; checked, measured, and only then kept as it came."""

from __future__ import annotations

import mimetypes
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from proofpan.notebook import Notebook
from proofpan.notebook.photographs import ON_PHOTOGRAPHS, REPORT
from proofpan.steps.reading_reports import ReadingReport
from proofpan.steps.reading_sheets import VIEWS
from proofpan.steps.reading_weights import read_weights
from proofpan.steps.readings import read_data
from proofpan.study.errors import TrialError
from proofpan.web.desk import Typed
from proofpan.web.pages.cook.photographs import checked_photograph, points_of
from proofpan.web.pages.readings.taps import crumb_of, taps_of

LARGEST_RECORDING = 25_000_000
MOST_FILES = 8
SOON_POINTS, SOON_BYTES = 3_000_000, 3_000_000  # of photographs, of a recording: measured while the page waits, about a second
NO_MARKS = "Kept. Open “Correct it by tapping on the photograph”, tap two marks of the ruler, and measure the crumb."


@dataclass(frozen=True)
class Brought:
    """What a form brings, before it is measured: the files as they came, how they are to be read, and what is noted beside the figures."""

    kind: str
    files: tuple[bytes, ...]
    names: tuple[str, ...]
    types: tuple[str, ...]
    options: dict[str, Any] = field(default_factory=dict)
    beside: dict[str, Any] = field(default_factory=dict)
    digests: tuple[str, ...] = ()  # where the files are kept already

    @property
    def takes_long(self) -> bool:
        """Whether measuring takes longer than a page may wait."""
        if self.kind in ON_PHOTOGRAPHS:
            return sum(map(points_of, self.files)) > SOON_POINTS
        return self.kind == "sound" and sum(map(len, self.files)) > SOON_BYTES

    def asked(self, trial: int, once: str) -> dict[str, Any]:
        """All but the files, as JSON."""
        return {"kind": self.kind, "names": self.names, "types": self.types, "options": self.options, "beside": self.beside,
                "digests": self.digests, "trial": trial, "once": once}


def measured(brought: Brought) -> ReadingReport:
    """The report of what was brought.

    Raises: TrialError for a file that can't be read, naming the field; nothing is then kept.
    """
    if not brought.files:
        return read_weights(**brought.options)
    if brought.kind == "cut-face" and "scale" not in brought.options:
        return ReadingReport(kind="cut-face", figures=(), warnings=(NO_MARKS,))
    return read_data(brought.kind, brought.files, brought.options)


def keep_reading(book: Notebook, study_id: str, asked: Mapping[str, Any], report: Mapping[str, Any], files: Sequence[bytes]) -> None:
    """Keep the originals and the report; the same again is kept once."""
    kept = list(asked["digests"])
    if not kept:
        kept = [book.keep_file(d, name=n, media_type=t).digest for d, n, t in zip(files, asked["names"], asked["types"], strict=True)]
    beside = dict(asked["beside"])
    if asked["options"].get("tap_last"):
        beside["tap_digest"] = kept.pop()
    digests = {"digest": kept[0] if kept else "", **({"digests": kept} if len(kept) > 1 else {})}
    payload = {**report, "trial": asked["trial"], **digests, **beside}
    book.append(study_id, REPORT, payload, key=f"report:{asked['once']}")


def brought(form: Typed) -> Brought:
    """What a form brings, checked.

    Raises: TrialError for a file that isn't what it says, naming the field; nothing is then kept.
    """
    kind = form.get("kind", "weights")
    if kind == "weights":
        return _weights(form)
    files = form.files("file")
    if not files:
        raise TrialError("Choose a file first.", field="file")
    if len(files) > MOST_FILES:
        raise TrialError(f"{len(files)} files at once are many: at most {MOST_FILES}, all of one trial.", field="file")
    if kind not in _KINDS:
        raise TrialError("That kind of reading isn’t known: weights, probe, colour, sound or cut face.", field="kind")
    return _KINDS[kind](form, tuple(f.filename or kind for f in files), tuple(f.file.read() for f in files))


def _weights(form: Typed) -> Brought:
    raw, cooked = weights_in(form, "raw"), weights_in(form, "cooked")
    bought, trimmed = weights_in(form, "bought"), weights_in(form, "trimmed")
    scale = weights_in(form, "scale_g") or [1.0]
    given = {"bought_g": sum(bought) if bought else None, "trimmed_g": sum(trimmed) if trimmed else None}
    return Brought("weights", (), (), (), {"raw_g": raw, "cooked_g": cooked, "resolution_g": scale[0], **given})


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


def _probe(form: Typed, names: tuple[str, ...], files: tuple[bytes, ...]) -> Brought:
    if len(files) > 1:
        raise TrialError("A probe’s log is one file: bring them in one after another.", field="file")
    options = probe_options(form)
    return Brought("probe", files, names, ("text/csv",), options, {"options": options})


def _colour(form: Typed, names: tuple[str, ...], files: tuple[bytes, ...]) -> Brought:
    types, beside, taps = _photographs(form, files)
    options = taps if len(files) == 1 else {"reference": taps["reference"], "share": True}
    return Brought("colour", files, names, types, options, {**beside, "each": [taps]})


def _cut_face(form: Typed, names: tuple[str, ...], files: tuple[bytes, ...]) -> Brought:
    types, beside, _ = _photographs(form, files)
    if len(files) > 1:
        raise TrialError("A cut face is one photograph: bring them in one after another.", field="file")
    beside["view"] = beside["view"] or "cut"
    if not form.get("marks"):
        return Brought("cut-face", files, names, types, {}, beside)
    crumb = crumb_of(form)
    return Brought("cut-face", files, names, types, crumb, {**beside, "crumb": crumb})


def _photographs(form: Typed, files: tuple[bytes, ...]) -> tuple[tuple[str, ...], dict[str, Any], dict[str, Any]]:
    types = tuple(checked_photograph(d) for d in files)
    view = form.get("view")
    return types, {"view": view if view in VIEWS else "", "plate_mm": number_in(form, "plate_mm", 20, 1000)}, taps_of(form)


def _sound(form: Typed, names: tuple[str, ...], files: tuple[bytes, ...]) -> Brought:
    tap = form.file("tap_file")
    tap_data = tap.file.read() if tap is not None else b""
    if any(len(d) > LARGEST_RECORDING for d in (*files, tap_data)):
        raise TrialError("A recording holds at most 25 MB: cut it to the bites.", field="file")
    tap_s = seconds_of(form)
    setup = {
        "session": form.get("session")[:80],
        "device": form.get("device")[:80],
        "distance_cm": number_in(form, "distance_cm", 0.5, 500),
        "gain_locked": bool(form.get("gain_locked")),
    }
    options: dict[str, Any] = {"tap_s": tap_s, "gain_locked": setup["gain_locked"]}
    if tap is not None and tap_data:
        options, files, names = {**options, "tap_last": True}, (*files, tap_data), (*names, tap.filename or "tap")
    return Brought("sound", files, names, tuple(sound_type(n) for n in names), options, {"setup": setup, "tap_s": tap_s})


_KINDS = {"probe": _probe, "colour": _colour, "cut-face": _cut_face, "sound": _sound}


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
