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
    from proofpan.science.reading import Reading

KINDS = ("weights", "probe", "colour", "sound")
LEAST_PAIRS = 4
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
    time_constant_s: float | None = None, above_c: Sequence[float] = (63.0, 74.0), cooling: bool = False,
) -> ReadingReport:
    """A probe's log: highest temperature, time above thresholds, lethality, and cooling against the Food Code.

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
    return ReadingReport(kind="probe", figures=tuple(figures), cautions=tuple(cautions))


def read_colour(photographs: Sequence[bytes]) -> ReadingReport:
    """Photographs of one trial: lightness, colour, browning, evenness, share over-browned.

    Raises: TrialError when a photograph can't be read or shows no food.
    """
    from proofpan.science import colour
    from proofpan.science.colour.decode import decode

    try:
        measured = [colour.measure(decode(p)) for p in photographs]
        found = measured[0] if len(measured) == 1 else colour.join(measured)
    except colour.ColourError as error:
        raise TrialError(str(error)) from None
    return ReadingReport(kind="colour", figures=tuple(_figure(r) for r in _readings_of(found)), warnings=tuple(found.warnings),
                         cautions=(found.caution,) if found.caution else ())


def read_sound(recordings: Sequence[BinaryIO]) -> ReadingReport:
    """Recordings of one trial's bites or snaps: peak, duration, fracture pulses, octave bands.

    Raises: TrialError when a recording can't be read or holds no bite.
    """
    from proofpan.science import sound
    from proofpan.science.sound.decode import decode

    try:
        found = sound.trial_reading([sound.analyse(decode(r)) for r in recordings])
    except sound.SoundError as error:
        raise TrialError(str(error)) from None
    figures = tuple(_figure(r) for r in _readings_of(found)) if found.comparable else ()
    return ReadingReport(kind="sound", figures=figures, warnings=(*found.warnings, *([] if found.comparable else [_why(found)])),
                         comparable=bool(found.comparable))


def _why(found: Any) -> str:
    return "Not comparable: " + (found.why if isinstance(found.why, str) else "; ".join(found.why))


def _readings_of(found: Any) -> list[Reading]:
    readings = found.readings
    return list(readings.values()) if hasattr(readings, "values") else list(readings)


def read_file(kind: str, paths: Sequence[Path], **options: Any) -> ReadingReport:
    """A reading from files by its kind.

    Raises: TrialError for an unknown kind or a file that can't be read.
    """
    if kind not in KINDS:
        raise TrialError(f"{quoted(kind)} isn't a kind of reading. {did_you_mean(kind, KINDS)}")
    if kind == "colour":
        return read_colour([p.read_bytes() for p in paths])
    if kind == "sound":
        from contextlib import ExitStack

        with ExitStack() as stack:
            return read_sound([stack.enter_context(p.open("rb")) for p in paths])
    if kind == "probe":
        return read_probe(paths[0].read_text(encoding="utf-8-sig", errors="replace"), **options)
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
