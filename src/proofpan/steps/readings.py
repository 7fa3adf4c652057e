"""Readings from what a kitchen has: a scale, a probe, a phone's photograph or recording; and whether they agree with the tasters."""

from __future__ import annotations

import math
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, BinaryIO

import numpy as np

from proofpan.steps.observing import attribute_points
from proofpan.study.errors import TrialError, did_you_mean, quoted
from proofpan.study.fields import Doc
from proofpan.study.study import Study

if TYPE_CHECKING:
    from proofpan.science.colour import ColourReading
    from proofpan.science.probe import ProbeLog
    from proofpan.science.reading import Reading
    from proofpan.science.sound import Analysis, Recording

Point = tuple[float, float]

KINDS = ("weights", "probe", "colour", "sound", "cut-face")
LEAST_PAIRS = 4
ABOVE_C = (63.0, 74.0)  # thresholds of the Food Code for whole cuts and poultry (FDA 2022, 3-401.11)
UNIT_WORDS = {"db", "s", "hz", "percent", "de"}


class Figure(Doc):
    """One figure with its interval and how it was obtained."""

    name: str
    value: float
    low: float | None = None
    high: float | None = None
    error_sd: float | None = None
    unit: str = ""
    n: int = 1
    how: str = ""

    @property
    def says(self) -> str:
        """`weight loss 18.2 % (17.9 to 18.5)`."""
        spread = "; one piece, so it speaks for that piece" if self.low is None else f" ({self.low:.3g} to {self.high:.3g})"
        return f"{self.name} {self.value:.3g}{' ' + self.unit if self.unit else ''}{spread}"


class ReadingReport(Doc):
    """What one file or weighing gave."""

    kind: str
    figures: tuple[Figure, ...]
    warnings: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    comparable: bool = True


def _figure(r: Reading) -> Figure:
    def finite(x: float) -> float | None:
        return float(x) if math.isfinite(x) else None

    words = r.name.split("_")
    shown = words[:-1] if words[-1] in UNIT_WORDS and r.unit and "per" not in words else words
    return Figure(name=" ".join(shown), value=float(r.value), low=finite(r.low), high=finite(r.high), error_sd=finite(r.error_sd),
                  unit=r.unit, n=r.n, how=r.how)


def read_weights(raw_g: float, cooked_g: float, resolution_g: float = 1.0) -> ReadingReport:
    """Yield and cooking loss, the balance's resolution carried through.

    Raises: TrialError for a weight that isn't above zero, or more cooked than raw by far.
    """
    from proofpan.science.measures import QuantityError
    from proofpan.science.measures.weighing import cooking_loss_percent, scale_is_fine_enough

    try:
        loss = cooking_loss_percent(raw_g, cooked_g, resolution_g)
        half, fine = scale_is_fine_enough(min(raw_g, cooked_g), resolution_g, 0.05)
    except QuantityError as error:
        raise TrialError(str(error)) from None
    spread = loss.expanded_uncertainty_k2_percent
    how = f"weighed before and after on a scale of {resolution_g:g} g; twice the standard uncertainty of its resolution"
    figures = [Figure(name=n, value=v, low=v - spread, high=v + spread, error_sd=loss.standard_uncertainty_percent, unit="%", how=how)
               for n, v in (("cooking loss", loss.loss_percent), ("yield", loss.yield_percent))]
    warnings = () if fine else (f"The scale is coarse for this: half a division is ±{100 * half:.0f} % of what was weighed.",)
    return ReadingReport(kind="weights", figures=tuple(figures), warnings=warnings)


def read_probe(
    text: str, *, time_column: str, temperature_column: str, time_unit: str = "s", temperature_unit: str = "C",
    time_constant_s: float | None = None, above_c: Sequence[float] = ABOVE_C, cooling: bool = False,
) -> ReadingReport:
    """A probe's log: highest temperature, time above thresholds, lethality, and cooling against the Food Code.

    Raises: TrialError when the log can't be read.
    """
    return probe_reading(text, time_column=time_column, temperature_column=temperature_column, time_unit=time_unit,
                         temperature_unit=temperature_unit, time_constant_s=time_constant_s, above_c=above_c, cooling=cooling)[0]


def probe_reading(
    text: str, *, time_column: str, temperature_column: str, time_unit: str = "s", temperature_unit: str = "C",
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
            log = probe.lag_corrected(log, time_constant_s).log
        figures = [Figure(name="highest temperature", value=float(np.max(log.temperature_c)), unit="°C", n=len(log.times_s),
                          how="the highest reading of the log, good to the probe's own accuracy")]
        figures += [_figure(probe.time_above(log, limit)) for limit in above_c]
        figures.append(_figure(probe.lethality(log, reference_c=70.0, z_c=7.5)))
        cautions = ["A log is of one piece where the probe stood: check the thickest. Follow your local food-safety authority."]
        if cooling:
            found = probe.cooling_check(np.asarray(log.times_s) / 3600, log.temperature_c)
            cautions = [found.says, found.caution]
    except probe.ProbeError as error:
        raise TrialError(str(error)) from None
    return ReadingReport(kind="probe", figures=tuple(figures), cautions=tuple(cautions)), log


def read_colour(photographs: Sequence[bytes], **taps: Any) -> ReadingReport:
    """Photographs of one trial: lightness, colour, browning, evenness, share over-browned.

    Parameters: taps, as for `colour_reading`.
    Raises: TrialError when a photograph can't be read or shows no food.
    """
    return colour_reading(photographs, **taps)[0]


def colour_reading(
    photographs: Sequence[bytes], *, reference: str | None = None, card: Sequence[Point] = (), include: Sequence[Point] = (),
    exclude: Sequence[Point] = (), share: bool = False,
) -> tuple[ReadingReport, ColourReading]:
    """As `read_colour`, with what it rests on, to be drawn.

    Parameters: reference, "grey card", "white plate", "24-patch chart", "none", or None to look for one; card, taps on it; include,
        exclude, taps on what is food and what isn't; share, taps are shares (0 to 1) of the width and height, not pixels.
    Raises: TrialError when a photograph can't be read or shows no food, and for taps on more than one photograph.
    """
    from proofpan.science import colour
    from proofpan.science.colour.decode import decode

    if len(photographs) > 1 and (card or include or exclude):
        raise TrialError("Taps belong to one photograph: give one at a time.")
    try:
        measured = []
        for data in photographs:
            picture = decode(data)
            deep, wide = picture.srgb.shape[:2]
            on_card, food, other = (_in_pixels(points, wide, deep, share) for points in (card, include, exclude))
            measured.append(colour.measure(picture, reference=reference, reference_points=on_card or None, include=food, exclude=other))
        found = measured[0] if len(measured) == 1 else colour.join(measured)
    except colour.ColourError as error:
        raise TrialError(str(error)) from None
    return ReadingReport(kind="colour", figures=tuple(_figure(r) for r in _readings_of(found)), warnings=tuple(found.warnings),
                         cautions=(found.caution,) if found.caution else ()), found


def _in_pixels(points: Sequence[Point], wide: int, deep: int, share: bool) -> list[Point]:
    out = [(x * (wide - 1), y * (deep - 1)) if share else (x, y) for x, y in points]
    if any(not (0 <= x < wide and 0 <= y < deep) for x, y in out):
        raise TrialError(f"A tap lies outside the photograph, which is {wide} by {deep} points.")
    return out


def read_cut_face(
    photograph: bytes, scale: tuple[float, float, float, float, float], *, crop: tuple[int, int, int, int] | None = None,
    share: bool = False,
) -> ReadingReport:
    """A cut or broken face lit from the side: porosity, size and number of cells.

    Parameters: scale, x and y of two marks a known length apart, in pixels, and that length in mm; crop, (left, top, right, bottom) of
        nothing but crumb; share, the two marks are shares (0 to 1) of the width and height, not pixels.
    Raises: TrialError when the photograph can't be read or no pore is seen.
    """
    from proofpan.science import colour
    from proofpan.science.colour.decode import decode

    x1, y1, x2, y2, length_mm = scale
    try:
        picture = decode(photograph)
        one, two = _in_pixels([(x1, y1), (x2, y2)], picture.srgb.shape[1], picture.srgb.shape[0], share)
        found = colour.cut_face(picture, colour.scale_from_marker(one, two, length_mm), crop=crop)
    except colour.ColourError as error:
        raise TrialError(str(error)) from None
    return ReadingReport(kind="cut-face", figures=tuple(_figure(r) for r in _readings_of(found)), warnings=tuple(found.warnings))


def read_sound(recordings: Sequence[BinaryIO]) -> ReadingReport:
    """Recordings of one trial's bites or snaps: peak, duration, fracture pulses, octave bands.

    Raises: TrialError when a recording can't be read.
    """
    return sound_reading(recordings)[0]


def sound_reading(recordings: Sequence[BinaryIO]) -> tuple[ReadingReport, tuple[tuple[Recording, Analysis], ...]]:
    """As `read_sound`, with each recording and what was heard in it, to be drawn.

    Raises: TrialError when a recording can't be read.
    """
    from proofpan.science import sound
    from proofpan.science.sound.decode import decode

    try:
        heard = tuple((made, sound.analyse(made)) for made in map(decode, recordings))
        found = sound.trial_reading([a for _, a in heard])
    except sound.SoundError as error:
        raise TrialError(str(error)) from None
    figures = tuple(_figure(r) for r in _readings_of(found)) if found.comparable else ()
    return ReadingReport(kind="sound", figures=figures, warnings=(*found.warnings, *([] if found.comparable else [_why(found)])),
                         comparable=bool(found.comparable)), heard


def sound_comparison(recordings: Sequence[tuple[BinaryIO, str, bool]]) -> tuple[bool, tuple[str, ...]]:
    """Whether the sound of several trials may be set side by side, and what to know of it: asked before any number is believed.

    Parameters: recordings, each with its session's name (empty when not noted) and whether the recorder's gain was locked.
    Raises: TrialError when a recording can't be read.
    """
    from proofpan.science import sound
    from proofpan.science.sound.decode import decode

    try:
        heard = [(sound.analyse(decode(file)), sound.Setup(session=session or None, gain_locked=locked)) for file, session, locked in recordings]
    except sound.SoundError as error:
        raise TrialError(str(error)) from None
    found = sound.compare_setups(heard)
    return found.comparable, (*found.why, *found.warnings)


def _why(found: Any) -> str:
    return "Not comparable: " + (found.why if isinstance(found.why, str) else "; ".join(found.why))


def _readings_of(found: Any) -> list[Reading]:
    readings = found.readings
    return list(readings.values()) if hasattr(readings, "values") else list(readings)


def read_file(kind: str, paths: Sequence[Path], **options: Any) -> ReadingReport:
    """A reading from files by its kind.

    Raises: TrialError for an unknown kind or a file that can't be read.
    """
    return measured(kind, paths, **options)[0]


def measured(kind: str, paths: Sequence[Path], **options: Any) -> tuple[ReadingReport, Any]:
    """As `read_file`, with what was measured, to be drawn: a probe's log, a colour reading, (recording, analysis) pairs, or None.

    Raises: TrialError for an unknown kind or a file that can't be read.
    """
    if kind not in KINDS:
        raise TrialError(f"{quoted(kind)} isn't a kind of reading. {did_you_mean(kind, KINDS)}")
    if kind == "colour":
        return colour_reading([p.read_bytes() for p in paths], **options)
    if kind == "cut-face":
        if len(paths) != 1:
            raise TrialError("A cut face is one photograph.")
        return read_cut_face(paths[0].read_bytes(), **options), None
    if kind == "sound":
        from contextlib import ExitStack

        with ExitStack() as stack:
            return sound_reading([stack.enter_context(p.open("rb")) for p in paths])
    if kind == "probe":
        return probe_reading(paths[0].read_text(encoding="utf-8-sig", errors="replace"), **options)
    raise TrialError("Weights are given as numbers: raw and cooked, in grams.")


class Agreement(Doc):
    """How a measured attribute and the tasters' marks go together."""

    attribute: str
    marks: str
    correlation: float
    low: float
    high: float
    trials: int
    says: str


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
                                      f"{len(shared)} trials)."))
    return tuple(out)


def _by_trial(study: Study, name: str) -> dict[int, float]:
    attribute = next(a for a in study.attributes if a.name == name)
    found = attribute_points(study, attribute)
    sums: dict[int, list[float]] = {}
    for b, x in zip(found.ballots, found.points, strict=True):
        sums.setdefault(b.trial, []).append(float(x))
    return {t: float(np.mean(xs)) for t, xs in sums.items()}
