"""The bites of one trial → figures with intervals, and whether trials may be set side by side."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from ..reading import Reading, mean_reading
from .analysis import HIGH_FROM_HZ, Analysis
from .errors import SoundError
from .weighting import NOMINAL_OCTAVES_HZ

FEWEST_BITES = 3
FLOORS_APART_DB = 6.0


@dataclass(frozen=True)
class Setup:
    """How a recording was made, as the kitchen noted it; None = not noted.

    Attributes:
        session: one name for recordings made in one go.
        device: the phone or recorder.
        distance_cm: microphone to mouth or to the snap.
        gain_locked: whether automatic gain was off.
    """

    session: str | None = None
    device: str | None = None
    distance_cm: float | None = None
    gain_locked: bool | None = None


@dataclass(frozen=True)
class SoundReading:
    """One trial's crispness figures.

    Attributes:
        readings: by name: peak_db, level_db, exposure_db, duration_s, pulses, pulses_per_s, high_low_db, centroid_hz, and
            octave_125_db … octave_16000_db where carried; each a mean over bites with a 95 % interval and error_sd.
        bites: how many bites count.
        comparable: False where the recording itself rules a comparison out.
        why: sentences, why not.
        warnings: sentences.
    """

    readings: Mapping[str, Reading]
    bites: int
    comparable: bool
    why: tuple[str, ...]
    warnings: tuple[str, ...]


def _reference_words(a: Analysis) -> str:
    return {
        "tap": "A-weighted, 0 dB = the peak of the reference tap",
        "floor": "A-weighted, 0 dB = the recording's own noise floor",
        "calibrated": "A-weighted, re 20 µPa",
    }[a.reference]


def trial_reading(analyses: Analysis | Sequence[Analysis], *, borrowed: Mapping[str, tuple[float, int]] | None = None) -> SoundReading:
    """Mean and interval over the bites of one trial, of one recording or several made alike.

    Parameters: borrowed, spread within other trials by name of the figure (see `spread_within`), for a trial of one bite.
    Returns: figures; with `comparable` False and no figure where a voice lies over every bite or none was found.
    Raises: SoundError, where the recordings have different references.
    Source: means of decibels, bite by bite, with Student's interval; docs/method/sound.md.
    """
    made = [analyses] if isinstance(analyses, Analysis) else list(analyses)
    if not made:
        raise SoundError("There is no recording of this trial.")
    if len({a.reference for a in made}) > 1:
        raise SoundError("The recordings of one trial have different references; give all of them a tap, or none.")
    bites = [b for a in made for b in a.counted]
    warnings = [w for a in made for w in a.warnings]
    spoken = sum(b.speech for a in made for b in a.bites)
    why = []
    if not bites:
        why.append("Speech over every bite: not comparable." if spoken else "No bite was found: nothing to compare.")
    elif all(b.clipped for b in bites):
        why.append("Every bite ran into the recorder's limit: its level isn't known. Turn the gain down and record again.")
    elif len(bites) < FEWEST_BITES:
        warnings.append(f"{len(bites)} bite{'s' * (len(bites) > 1)}: take at least {FEWEST_BITES} a trial; the interval says so.")
    reference = _reference_words(made[0])
    named: dict[str, tuple[list[float], str, str]] = {
        "peak_db": ([b.peak_db for b in bites], "dB", f"largest sample; {reference}"),
        "level_db": ([b.level_db for b in bites], "dB", f"equivalent level over the bite, noise taken off; {reference}"),
        "exposure_db": ([b.exposure_db for b in bites], "dB", f"sound exposure, re 1 s; {reference}"),
        "duration_s": ([b.duration_s for b in bites], "s", "from the first crack to where the last has died away by 15 dB or into the floor"),
        "pulses": ([float(b.pulses) for b in bites], "", "cracks at least 3 ms apart, 1–12 kHz, over the echo of louder ones"),
        "pulses_per_s": ([b.pulses / b.duration_s for b in bites], "1/s", "cracks over the bite's duration"),
        "high_low_db": (
            [b.high_low_db for b in bites], "dB", f"octaves from {HIGH_FROM_HZ / 1000:g} kHz over those of 0.5–2 kHz",
        ),
        "centroid_hz": ([b.centroid_hz for b in bites], "Hz", "power-weighted mean frequency over 200 Hz, noise taken off"),
    }  # fmt: skip
    reference_sd = math.sqrt(sum(a.reference_sd_db**2 for a in made)) / len(made)
    carried = set.intersection(*(set(a.bands_hz) for a in made))
    for i, hz in enumerate(NOMINAL_OCTAVES_HZ):
        if hz in carried:
            named[f"octave_{hz}_db"] = ([b.bands_db[i] for b in bites], "dB", f"sound exposure in the octave; {reference}")
    readings = {}
    if not why:
        for name, (values, unit, how) in named.items():
            shared = reference_sd if name in ("peak_db", "level_db", "exposure_db") or name.startswith("octave_") else 0.0
            reading = mean_reading(name, values, unit=unit, how=how, each="bite", instrument_sd=shared, borrowed=(borrowed or {}).get(name))
            if reading.n:
                readings[name] = reading
    return SoundReading(MappingProxyType(readings), len(bites), not why, tuple(why), tuple(dict.fromkeys(warnings)))


@dataclass(frozen=True)
class Comparability:
    """Whether recordings may be compared.

    Attributes:
        comparable: all of them with each other.
        why: what forbids it, one sentence each.
        warnings: what to bear in mind.
    """

    comparable: bool
    why: tuple[str, ...]
    warnings: tuple[str, ...]


def compare_setups(recordings: Sequence[tuple[Analysis, Setup]]) -> Comparability:
    """Whether figures of several recordings may be set side by side: asked before any number is shown.

    Source: common practice, no source; the thresholds stand in docs/method/sound.md.
    """
    if len(recordings) < 2:
        return Comparability(True, (), ())
    analyses = [a for a, _ in recordings]
    setups = [s for _, s in recordings]
    why, warnings = [], []
    for label, key in (("session", "session"), ("recorder", "device"), ("distance", "distance_cm")):
        noted = [getattr(s, key) for s in setups]
        if len({n for n in noted if n is not None}) > 1:
            why.append(f"Not comparable: the recordings differ in {label} ({', '.join(str(n) for n in dict.fromkeys(noted))}).")
        elif any(n is None for n in noted):
            warnings.append(f"The {label} wasn't noted for every recording.")
    if len({a.reference for a in analyses}) > 1:
        why.append("Not comparable: some levels are relative to a tap and some aren't.")
    if len({(a.codec, a.rate_hz) for a in analyses}) > 1:
        kinds = ", ".join(dict.fromkeys(f"{a.codec} at {a.rate_hz} Hz" for a in analyses))
        why.append(f"Not comparable: recorded in different ways ({kinds}).")
    tap = all(a.reference == "tap" for a in analyses)
    floors = [a.floor_db for a in analyses]
    apart = max(floors) - min(floors)
    locked = all(s.gain_locked for s in setups)
    if not locked:
        warnings.append(
            "The gain wasn't locked; the tap makes up for it only where it was recorded just before the bites."
            if tap
            else "Lock the recorder's gain: an automatic one makes a quiet snap loud."
        )
    if math.isfinite(apart) and apart > FLOORS_APART_DB and not tap:
        said = f"the noise floors lie {apart:.0f} dB apart"
        if locked:
            warnings.append(f"A louder room in some recordings: {said}; levels over the floor are not the same thing.")
        else:
            why.append(f"Not comparable in level: {said} and the gain wasn't locked. Record a reference tap.")
    for i, a in enumerate(analyses, 1):
        if a.bites and not a.counted:
            why.append(f"Not comparable: speech over every bite of recording {i}.")
        if not a.bites:
            why.append(f"Not comparable: no bite was found in recording {i}.")
        if any(b.clipped for b in a.counted):
            warnings.append(f"Recording {i} ran into the recorder's limit in places; those levels are left out.")
    return Comparability(not why, tuple(why), tuple(dict.fromkeys(warnings)))
