"""Readings from what a kitchen has: a scale, a probe, a phone's photograph or recording; and whether they agree with the tasters."""

from __future__ import annotations

import io
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from proofpan.steps.observing import attribute_points
from proofpan.steps.reading_photographs import colour_reading, cut_face_reading, read_colour, read_cut_face
from proofpan.steps.reading_reports import Figure, ReadingReport, figure_of
from proofpan.steps.reading_sound import read_sound, sound_comparison, sound_reading
from proofpan.steps.reading_weights import read_weights
from proofpan.study.errors import TrialError, did_you_mean, quoted
from proofpan.study.fields import Doc
from proofpan.study.study import Study

if TYPE_CHECKING:
    from proofpan.science.probe import ProbeLog

__all__ = ["Figure", "ReadingReport", "read_colour", "read_cut_face", "read_sound", "read_weights", "sound_comparison"]  # and all that stands below

KINDS = ("weights", "probe", "colour", "sound", "cut-face")
LEAST_PAIRS = 4
PROBE_C = 0.5  # half-width of a kitchen probe's accuracy, as in the sums of the probe room
LARGEST_LOG = 4_000_000
ABOVE_C = (63.0, 74.0)  # thresholds of the Food Code for whole cuts and poultry (FDA 2022, 3-401.11)

def log_text(data: bytes) -> str:
    """A log's bytes as text: UTF-8, or what older loggers and spreadsheets write (UTF-16, Windows-1252).

    Raises: TrialError for what isn't text, or is over 4 MB.
    """
    if len(data) > LARGEST_LOG:
        raise TrialError("A log holds at most 4 MB.", field="file")
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        text = data.decode("utf-16", errors="replace")
    else:
        try:
            text = data.decode("utf-8-sig")
        except UnicodeDecodeError:
            text = data.decode("cp1252", errors="replace")
    if "\0" in text:
        raise TrialError("The log isn’t text: export it as CSV.", field="file")
    return text


def read_probe(
    text: str, *, time_column: str, temperature_column: str, time_unit: str = "s", temperature_unit: str = "",
    time_constant_s: float | None = None, above_c: Sequence[float] = ABOVE_C, cooling: bool = False,
) -> ReadingReport:
    """A probe's log: highest temperature, time above thresholds, lethality, and cooling against the Food Code.

    Parameters: temperature_unit, C or F; empty takes it from the column's name, else C.
    Raises: TrialError when the log can't be read.
    """
    return probe_reading(text, time_column=time_column, temperature_column=temperature_column, time_unit=time_unit,
                         temperature_unit=temperature_unit, time_constant_s=time_constant_s, above_c=above_c, cooling=cooling)[0]


def probe_reading(
    text: str, *, time_column: str, temperature_column: str, time_unit: str = "s", temperature_unit: str = "",
    time_constant_s: float | None = None, above_c: Sequence[float] = ABOVE_C, cooling: bool = False,
) -> tuple[ReadingReport, ProbeLog]:
    """As `read_probe`, with the log that it rests on, to be drawn.

    Raises: TrialError when the log can't be read.
    """
    from proofpan.science import probe

    try:
        log = probe.read_log(text, time_column=time_column, temperature_column=temperature_column, time_unit=time_unit,
                             temperature_unit=temperature_unit)
        if time_constant_s:
            log = replace(probe.lag_corrected(log, time_constant_s).log, notes=log.notes)
        most = float(np.max(log.temperature_c))
        figures = [Figure(name="highest temperature", value=most, low=most - PROBE_C, high=most + PROBE_C, error_sd=PROBE_C / math.sqrt(3),
                          unit="°C", n=len(log.times_s), how=f"the highest reading of the log; the probe taken as good to ±{PROBE_C:g} °C")]
        figures += [figure_of(probe.time_above(log, limit)) for limit in above_c]
        figures.append(figure_of(probe.lethality(log, reference_c=70.0, z_c=7.5)))
        cautions = ["A log is of one piece where the probe stood: check the thickest. Follow your local food-safety authority."]
        if cooling:
            found = probe.cooling_check(np.asarray(log.times_s) / 3600, log.temperature_c)
            cautions = [found.says, found.caution]
    except probe.ProbeError as error:
        raise TrialError(str(error)) from None
    return ReadingReport(kind="probe", figures=tuple(figures), warnings=log.notes, cautions=tuple(cautions)), log


def read_file(kind: str, paths: Sequence[Path], **options: Any) -> ReadingReport:
    """A reading from files by its kind.

    Raises: TrialError for an unknown kind or a file that can't be read.
    """
    return measured(kind, paths, **options)[0]


def measured(kind: str, paths: Sequence[Path], **options: Any) -> tuple[ReadingReport, Any]:
    """As `read_file`, with what was measured, to be drawn: a probe's log, a colour reading, a cut face, or (recording, analysis) pairs.

    Raises: TrialError for an unknown kind or a file that can't be read.
    """
    if kind not in KINDS:
        raise TrialError(f"{quoted(kind)} isn't a kind of reading. {did_you_mean(kind, KINDS)}")
    if kind == "colour":
        return colour_reading([p.read_bytes() for p in paths], **options)
    if kind == "cut-face":
        if len(paths) != 1:
            raise TrialError("A cut face is one photograph.")
        return cut_face_reading(paths[0].read_bytes(), **options)
    if kind == "sound":
        from contextlib import ExitStack

        with ExitStack() as stack:
            opened = [stack.enter_context(p.open("rb")) for p in paths]
            tap_file = options.pop("tap_file", None)
            return sound_reading(opened, tap_file=stack.enter_context(tap_file.open("rb")) if tap_file else None, **options)
    if kind == "probe":
        return probe_reading(log_text(paths[0].read_bytes()), **options)
    raise TrialError("Weights are given as numbers: raw and cooked, in grams.")


def read_data(kind: str, files: Sequence[bytes], options: Mapping[str, Any], tell: Callable[[int, int], None] | None = None) -> ReadingReport:
    """A reading from the bytes of its files.

    Parameters: options, as for the reading of that kind; "tap_last" says that the last file is the reference tap alone; tell, called
        with how many files were measured, of how many.
    Raises: TrialError for an unknown kind or a file that can't be read.
    """
    given = dict(options)
    if kind == "colour":
        return read_colour(files, tell=tell, **given)
    if kind == "cut-face":
        return read_cut_face(files[0], **given)
    if kind == "probe":
        return read_probe(log_text(files[0]), **given)
    if kind == "sound":
        tap = io.BytesIO(files[-1]) if given.pop("tap_last", False) else None
        heard = files[:-1] if tap is not None else files
        tap_s = given.pop("tap_s", None)
        return read_sound([io.BytesIO(f) for f in heard], tap_s=tuple(tap_s) if tap_s else None, tap_file=tap, tell=tell, **given)
    raise TrialError(f"{quoted(kind)} isn't a kind of reading with files. {did_you_mean(kind, KINDS)}")


class Agreement(Doc):
    """How a measured attribute and the tasters' marks go together."""

    attribute: str
    marks: str
    correlation: float
    low: float
    high: float
    trials: int
    says: str
    points: tuple[tuple[int, float, float], ...] = ()  # trial, measured, marked


def agreements(study: Study) -> tuple[Agreement, ...]:
    """For each measured and each tasted attribute: their correlation over trials, with its interval (Fisher's z, 1921)."""
    out = []
    means = {a.name: _by_trial(study, a.name) for a in study.attributes}
    for one in (a for a in study.attributes if a.measured):
        for other in (a for a in study.attributes if not a.measured):
            shared = sorted(set(means[one.name]) & set(means[other.name]))
            if len(shared) < LEAST_PAIRS:
                continue
            x, y = (np.array([means[n][t] for t in shared]) for n in (one.name, other.name))
            if np.std(x) == 0 or np.std(y) == 0:
                continue
            r = float(np.corrcoef(x, y)[0, 1])
            half = 1.96 / math.sqrt(len(shared) - 3)
            z = math.atanh(min(max(r, -0.999999), 0.999999))
            low, high = math.tanh(z - half), math.tanh(z + half)
            trust = ("they go together" if low > 0.3 else "they go against each other" if high < -0.3
                     else "too few trials to trust one for the other")
            out.append(Agreement(attribute=one.name, marks=other.name, correlation=r, low=low, high=high, trials=len(shared),
                                 says=f"{one.name} and {other.name}: {trust} (correlation {r:.2f}, {low:.2f} to {high:.2f}, "
                                      f"{len(shared)} trials).",
                                 points=tuple((t, float(a), float(b)) for t, a, b in zip(shared, x, y, strict=True))))
    return tuple(out)


def _by_trial(study: Study, name: str) -> dict[int, float]:
    attribute = next(a for a in study.attributes if a.name == name)
    found = attribute_points(study, attribute)
    sums: dict[int, list[float]] = {}
    for b, x in zip(found.ballots, found.points, strict=True):
        sums.setdefault(b.trial, []).append(float(x))
    return {t: float(np.mean(xs)) for t, xs in sums.items()}
