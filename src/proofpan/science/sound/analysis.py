"""One recording → its bites, each with its figures; what was rejected and why."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .errors import SoundError
from .events import Span, candidate_spans, voiced_spans
from .frames import Frames, frames
from .levels import REFERENCE_PRESSURE_PA
from .pulses import CHANCE_OVER, Envelope, envelope, pulse_positions
from .recording import Recording
from .spectrum import Energy, bands_carried, carried_up_to_hz, energy, quiet_noise
from .weighting import NOMINAL_OCTAVES_HZ

HIGH_FROM_HZ = 4000  # octaves 4 and 8 kHz against 500 Hz to 2 kHz
LOW_HZ = (500, 1000, 2000)
HIGH_HZ = (4000, 8000)
GAIN_DRIFT_DB = 4.0
ABRUPT_DB = 15.0  # a crack over what surrounds it, where a voice is near
TONE_SHARE = 0.7
TAPS_WITHIN_DB = 10.0
RING_OUT_S = 0.002
DIED_AWAY_DB = 15.0
EDGE_S = 0.03  # a codec fades in and out here, and a bite cut by the edge has no level
FEWEST_OPUS_BITS = 48_000
SILENT_DB = -105.0  # below the 16-bit converter's own noise: a gate, not a room


@dataclass(frozen=True)
class Bite:
    """One bite or snap. Levels in dB(A) relative to the analysis's reference; not a number where not measured.

    Attributes:
        start_s: when it begins.
        duration_s: from the first crack's rise to where the last has died away: 15 dB under its peak, or in the floor.
        peak_db: largest A-weighted sample.
        level_db: equivalent level over its duration, noise taken off.
        level_sd_db: standard error of that level from the noise.
        exposure_db: exposure level, re 1 s.
        pulses: fracture pulses (cracks).
        bands_db: exposure in each octave of `NOMINAL_OCTAVES_HZ`.
        high_low_db: octaves 4 and 8 kHz over 500 Hz to 2 kHz.
        centroid_hz: power-weighted mean frequency from 200 Hz up to what the recording carries.
        snr_db: equivalent level over the floor, both A-weighted.
        clipped: the recorder ran into its limit; levels are then not a number.
        speech: a voice lies over it; it isn't counted.
    """

    start_s: float
    duration_s: float
    peak_db: float
    level_db: float
    level_sd_db: float
    exposure_db: float
    pulses: int
    bands_db: tuple[float, ...]
    high_low_db: float
    centroid_hz: float
    snr_db: float
    clipped: bool
    speech: bool


@dataclass(frozen=True)
class Tap:
    """A reference tap: a spoon let fall on the board from a marked height.

    Attributes:
        power: its A-weighted peak, full scale being 1; the mean of the decibels of several.
        error_sd_db: standard error over the taps; 0 where there was one, which can't tell.
        taps: how many it rests on.
        clipped: the recorder ran into its limit.
    """

    power: float
    error_sd_db: float
    taps: int
    clipped: bool


@dataclass(frozen=True)
class Rejected:
    """Something heard that isn't a bite."""

    start_s: float
    stop_s: float
    why: str


@dataclass(frozen=True)
class Analysis:
    """What one recording holds.

    Attributes:
        bites: in order, those under a voice included (`speech`).
        rejected: voices, beeps, hiss.
        reference: "tap", "floor" or "calibrated": what 0 dB is.
        floor_db: the quiet parts, A-weighted, re full scale (dB re 20 µPa when calibrated).
        reference_db: the reference on that scale.
        reference_sd_db: standard error of the reference, shared by all levels.
        bands_hz: nominal octaves that the recording carries.
        carried_up_to_hz: what rate and codec carry.
        gain_drift_db: how far the floor moves within the recording.
        warnings: sentences.
        duration_s, rate_hz, codec: of the recording.
    """

    bites: tuple[Bite, ...]
    rejected: tuple[Rejected, ...]
    reference: str
    floor_db: float
    reference_db: float
    reference_sd_db: float
    bands_hz: tuple[int, ...]
    carried_up_to_hz: float
    gain_drift_db: float
    warnings: tuple[str, ...]
    duration_s: float
    rate_hz: int
    codec: str

    @property
    def counted(self) -> tuple[Bite, ...]:
        """The bites that speak for the food: no voice over them."""
        return tuple(b for b in self.bites if not b.speech)


def _db(power: float) -> float:
    return 10 * math.log10(power) if power > 0 else math.nan


@dataclass(frozen=True, eq=False)
class _Found:
    """A bite before its levels are made relative."""

    span: Span
    pulses: int
    energy: Energy
    speech: bool


def _active(e: Envelope, rate: int, first_crack: int, last_crack: int) -> Span:
    """From where the first crack rises to where the last has died away: over the floor, and not further under its peak than the room's echo."""
    gap = RING_OUT_S * rate / e.step
    first, last = (first_crack - e.first) // e.step, (last_crack - e.first) // e.step

    def ends(crack: int) -> tuple[int, int]:
        at = np.flatnonzero(e.values > max(e.height(CHANCE_OVER), float(e.values[crack]) * 10 ** (-DIED_AWAY_DB / 10)))
        runs = np.split(at, np.flatnonzero(np.diff(at) > gap) + 1)
        return next(((int(r[0]), int(r[-1])) for r in runs if r.size and r[0] - gap <= crack <= r[-1] + gap), (crack, crack))

    start, stop = ends(first)[0], ends(last)[1]
    return Span(e.first + min(start, first) * e.step, e.first + (max(stop, last) + 1) * e.step)


def _is_tone(one: Energy) -> bool:
    """A beep or a ringing bowl: most of the energy over 1 kHz in a tenth of an octave or two."""
    edges = np.geomspace(1000, 11000, 36)
    slot = np.digitize(one.hz, edges) - 1
    ok = (slot >= 0) & (slot < edges.size - 1)
    shares = np.sort(np.bincount(slot[ok], np.maximum(one.power[ok], 0), edges.size - 1))[::-1]
    total = float(shares.sum())
    return total > 0 and float(shares[:2].sum()) > TONE_SHARE * total


def _find(
    x: NDArray[np.float32], rate: int, f: Frames, skip: Span | None
) -> tuple[list[tuple[Span, NDArray[np.int64], bool]], list[Rejected], list[Span]]:
    """Bites (stretch, cracks, under a voice), what was rejected, and everything that isn't quiet."""
    voices = voiced_spans(x, f, rate)
    margin = int(0.15 * rate)
    kept, rejected = [], []
    busy = [Span(s.start - int(0.05 * rate), s.stop + margin) for s in voices]
    for span in candidate_spans(f, rate):
        busy.append(Span(span.start - int(0.01 * rate), span.stop + int(0.03 * rate)))
        if skip and span.touches(skip):
            continue
        if span.start < EDGE_S * rate or span.stop > x.size - EDGE_S * rate:
            rejected.append(Rejected(span.start / rate, span.stop / rate, "cut off by the start or the end of the recording"))
            continue
        e = envelope(x, f, rate, span.start, span.stop)
        cracks = pulse_positions(e, rate)
        spoken = any(span.touches(v, margin) for v in voices)
        where = (span.start / rate, span.stop / rate)
        if not cracks.size:
            rejected.append(Rejected(*where, "a voice" if spoken else "hiss or a slow sound: nothing in it cracks"))
            continue
        if spoken:
            around = float(np.quantile(e.values, 0.75))
            if 10 * math.log10(float(e.values.max()) / max(around, 1.0)) < ABRUPT_DB:
                rejected.append(Rejected(*where, "a voice"))
                continue
        kept.append((_active(e, rate, int(cracks[0]), int(cracks[-1])), cracks, spoken))
    covered = [Rejected(v.start / rate, v.stop / rate, "a voice or a machine") for v in voices]
    rejected += [v for v in covered if not any(r.start_s <= v.stop_s and v.start_s <= r.stop_s for r in rejected)]
    return kept, rejected, busy


def _bite(found: _Found, clipped: bool, carried: tuple[bool, ...], up_to_hz: float, zero: float, rate: int) -> Bite:
    """Levels relative to `zero`, a power."""
    one, span = found.energy, found.span
    seconds = (span.stop - span.start) / rate
    mean = one.weighted / (span.stop - span.start)
    bands = tuple(_db(e / rate / zero) if ok and not clipped else math.nan for e, ok in zip(one.bands, carried, strict=True))
    by_hz = dict(zip(NOMINAL_OCTAVES_HZ, zip(one.bands, carried, strict=True), strict=True))
    high = sum(by_hz[hz][0] for hz in HIGH_HZ if by_hz[hz][1] and math.isfinite(by_hz[hz][0]))
    low = sum(by_hz[hz][0] for hz in LOW_HZ if math.isfinite(by_hz[hz][0]))
    ratio = _db(high / low) if low > 0 and all(by_hz[hz][1] for hz in HIGH_HZ) else math.nan
    inside = (one.hz >= 200) & (one.hz <= up_to_hz)
    total = float(one.power[inside].sum())
    centroid = float((one.hz[inside] * one.power[inside]).sum()) / total if total > 0 else math.nan
    noise = one.weighted_noise / (span.stop - span.start)
    return Bite(
        start_s=span.start / rate,
        duration_s=seconds,
        peak_db=math.nan if clipped else _db(one.peak / zero),
        level_db=math.nan if clipped else _db(mean / zero),
        level_sd_db=math.nan if one.weighted <= 0 else 10 / math.log(10) * one.weighted_sd / one.weighted,
        exposure_db=math.nan if clipped else _db(one.weighted / rate / zero),
        pulses=found.pulses,
        bands_db=bands,
        high_low_db=math.nan if clipped else ratio,
        centroid_hz=math.nan if clipped else centroid,
        snr_db=_db(mean / noise),
        clipped=clipped,
        speech=found.speech,
    )


def find_tap(recording: Recording, tap_s: tuple[float, float] | None = None) -> Tap:
    """The reference tap of a recording: between two moments, or, in a file of its own, all that is as loud as the loudest (within 10 dB).

    Raises: SoundError, where the moments lie outside the recording, or nothing is heard there.
    """
    x, rate = recording.samples, recording.rate_hz
    if tap_s is None:
        found = [b for b in analyse(recording, full_scale_pa=REFERENCE_PRESSURE_PA).bites if not b.speech]
        loudest = max((b.snr_db for b in found), default=math.nan)
        taps = [b for b in found if b.snr_db > loudest - TAPS_WITHIN_DB]
        if not taps:
            raise SoundError("No tap is heard in that recording; let the spoon fall closer, in a quieter room.")
        clipped = any(b.clipped for b in taps)
        peaks = np.array([b.peak_db for b in taps if not b.clipped] or [0.0])
        spread = float(peaks.std(ddof=1)) / math.sqrt(peaks.size) if peaks.size > 1 else 0.0
        return Tap(10 ** (float(peaks.mean()) / 10), spread, len(taps), clipped)
    if not 0 <= tap_s[0] < tap_s[1] <= recording.duration_s + 1e-6:
        raise SoundError(f"The tap, {tap_s[0]:g} to {tap_s[1]:g} s, doesn't lie within {recording.duration_s:.1f} s.")
    span = Span(int(tap_s[0] * rate), int(tap_s[1] * rate))
    f = frames(x, rate)
    _, _, busy = _find(x, rate, f, span)
    hit = energy(x, rate, quiet_noise(x, rate, [*busy, span]), span.start, span.stop)
    if not hit.weighted > 5 * hit.weighted_sd:
        raise SoundError("There is nothing to hear where the reference tap should be; check its seconds.")
    clipped = bool(np.diff(np.searchsorted(recording.clipped_at, (span.start, span.stop)))[0])
    return Tap(hit.peak, 0.0, 1, clipped)


def analyse(
    recording: Recording, *, tap_s: tuple[float, float] | None = None, tap: Tap | None = None, full_scale_pa: float | None = None
) -> Analysis:
    """Find the bites or snaps of one recording and measure each.

    Parameters:
        tap_s: from and to, in seconds, of the reference tap (a spoon let fall on the board from a marked height): 0 dB is
            then its A-weighted peak, so that a different gain cancels out.
        tap: the same from a file of its own (`find_tap`), recorded with the same set-up and gain.
        full_scale_pa: sound pressure at full scale, where the microphone was calibrated; levels are then re 20 µPa. With
            none of these, 0 dB is the recording's own floor.
    Returns: the analysis; no bite found is an empty one with a warning, not an error.
    Raises: SoundError, where the tap lies outside the recording or is silent, or several references are given.
    Source: docs/method/sound.md.
    """
    if sum(x is not None for x in (tap_s, tap, full_scale_pa)) > 1:
        raise SoundError("Give one reference: a tap in the recording, a tap in a file of its own, or a calibration.")
    if full_scale_pa is not None and not full_scale_pa > 0:
        raise SoundError("The pressure at full scale must be positive.")
    x, rate = recording.samples, recording.rate_hz
    skip = None
    if tap_s:
        tap = find_tap(recording, tap_s)
        skip = Span(int(tap_s[0] * rate), int(tap_s[1] * rate))
    f = frames(x, rate)
    spans, rejected, busy = _find(x, rate, f, skip)
    noise = quiet_noise(x, rate, [*busy, *([skip] if skip else [])])
    found = []
    for span, cracks, spoken in spans:
        one = energy(x, rate, noise, span.start, span.stop)
        if _is_tone(one):
            rejected.append(Rejected(span.start / rate, span.stop / rate, "a beep or something ringing"))
        else:
            found.append(_Found(span, int(cracks.size), one, spoken))
    up_to = carried_up_to_hz([b.energy for b in found if not b.speech], rate)
    carried = bands_carried(up_to, rate)
    floor = noise.level_a()
    reference, zero, unit = "floor", floor, 1.0
    if tap:
        reference, zero = "tap", tap.power
    elif full_scale_pa:
        reference, unit = "calibrated", full_scale_pa**2 / REFERENCE_PRESSURE_PA**2
        zero = 1 / unit
    gated = reference == "floor" and _db(floor) < SILENT_DB
    zero = math.nan if gated else zero
    clipped_at = recording.clipped_at
    bites = []
    for bite in found:
        a, b = np.searchsorted(clipped_at, (bite.span.start, bite.span.stop))
        bites.append(_bite(bite, bool(b > a), carried, up_to, zero, rate))
    drift = _gain_drift_db(f)
    return Analysis(
        bites=tuple(bites),
        rejected=tuple(sorted(rejected, key=lambda r: r.start_s)),
        reference=reference,
        floor_db=_db(floor * unit),
        reference_db=_db(zero * unit),
        reference_sd_db=tap.error_sd_db if tap else 0.0,
        bands_hz=tuple(hz for hz, ok in zip(NOMINAL_OCTAVES_HZ, carried, strict=True) if ok),
        carried_up_to_hz=up_to,
        gain_drift_db=drift,
        warnings=_warnings(recording, bites, carried, up_to, drift, tap, gated),
        duration_s=recording.duration_s,
        rate_hz=rate,
        codec=recording.codec,
    )


def _gain_drift_db(f: Frames) -> float:
    """How far the floor between 1 and 12 kHz moves over the recording."""
    level = 10 * np.log10(f.floor.mean(axis=1))
    return float(level.max() - level.min())


def _warnings(
    recording: Recording, bites: list[Bite], carried: tuple[bool, ...], up_to: float, drift: float, tap: Tap | None, gated: bool
) -> tuple[str, ...]:
    said = list(recording.notes)
    if recording.codec.startswith("mp3"):
        said.append("An mp3 smears noise ahead of each crack, so cracks are counted high; record m4a, wav or flac.")
    if recording.codec == "opus" and 0 < recording.bit_rate < FEWEST_OPUS_BITS:
        said.append(
            f"A voice message of {recording.bit_rate / 1000:.0f} kbit/s smears each crack, so cracks are counted high; use the phone's recorder."
        )
    if gated:
        said.append(
            "Between the bites the recorder wrote nothing at all (a noise gate), so there is no floor to measure levels from: "
            "turn noise reduction off, or use a reference tap."
        )
    if not bites:
        said.append("No bite was found: record closer, in a quieter room.")
    clipped = sum(b.clipped for b in bites)
    if clipped:
        said.append(f"{clipped} of {len(bites)} bites ran into the recorder's limit; their levels aren't known. Turn the gain down.")
    if tap and tap.taps == 1:
        said.append("One reference tap: let the spoon fall three times, so that its own spread is known.")
    if tap and tap.clipped:
        said.append("The reference tap ran into the recorder's limit: levels relative to it are too high.")
    spoken = sum(b.speech for b in bites)
    if spoken:
        said.append(f"Speech over {spoken} of {len(bites)} bites: not comparable, and not counted.")
    if drift > GAIN_DRIFT_DB:
        said.append(f"The noise floor moves by {drift:.0f} dB: the recorder may set its own gain. Lock it, or use a reference tap.")
    missing = [hz for hz, ok in zip(NOMINAL_OCTAVES_HZ, carried, strict=True) if not ok]
    if missing:
        *most, last = [f"{hz / 1000:g}" for hz in missing]
        bands = f"octaves at {', '.join(most)} and {last} kHz are" if most else f"octave at {last} kHz is"
        said.append(
            f"The {bands} left out: this recording ({recording.codec}, {recording.rate_hz} Hz) carries sound up to about "
            f"{up_to / 1000:.1f} kHz."
        )
    return tuple(said)
