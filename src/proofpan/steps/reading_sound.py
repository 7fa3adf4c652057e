"""Recordings of bites and snaps: one trial's figures, and whether those of several trials may be set side by side."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, BinaryIO

from proofpan.steps.reading_reports import ReadingReport, figure_of
from proofpan.study.errors import TrialError

if TYPE_CHECKING:
    from proofpan.science.sound import Analysis, Recording, Tap

LOCK_IT = "Lock the recorder’s gain, or record a reference tap: an automatic gain makes a quiet snap loud."


@dataclass(frozen=True)
class SetUp:
    """How a trial was recorded, as the kitchen noted it; empty where it wasn't."""

    session: str = ""
    device: str = ""
    distance_cm: float | None = None
    gain_locked: bool = False
    tap_s: tuple[float, float] | None = None


def read_sound(recordings: Sequence[BinaryIO], **how: object) -> ReadingReport:
    """Recordings of one trial's bites or snaps: peak, duration, fracture pulses, octave bands.

    Parameters: how, as for `sound_reading`.
    Raises: TrialError when a recording can't be read.
    """
    return sound_reading(recordings, **how)[0]  # type: ignore[arg-type]


def sound_reading(
    recordings: Sequence[BinaryIO], *, tap_s: tuple[float, float] | None = None, tap_file: BinaryIO | None = None,
    gain_locked: bool | None = None, tell: Callable[[int, int], None] | None = None,
) -> tuple[ReadingReport, tuple[tuple[Recording, Analysis], ...]]:
    """As `read_sound`, with each recording and what was heard in it, to be drawn.

    Parameters: tap_s, from and to in seconds of the reference tap, in the first recording; tap_file, a recording of the tap alone, made
        with the same gain: levels are then relative to it; gain_locked, False warns where levels rest on the recording's own floor;
        tell, called with how many were heard, of how many.
    Raises: TrialError when a recording can't be read, or no tap is heard.
    """
    from proofpan.science import sound
    from proofpan.science.sound.decode import decode

    if tap_s and tap_file is not None:
        raise TrialError("Give the reference tap in the recording or in a file of its own, not both.", field="tap")
    try:
        made = [decode(file) for file in recordings]
        tap = _tap(made, tap_s, tap_file)
        heard = []
        for i, one in enumerate(made):
            if tell is not None:
                tell(i, len(made))
            marked = tap_s if tap_s and i == 0 else None
            heard.append((one, sound.analyse(one, tap_s=marked, tap=None if marked else tap)))
        found = sound.trial_reading([a for _, a in heard])
    except sound.SoundError as error:
        raise TrialError(str(error)) from None
    warnings = list(found.warnings)
    if gain_locked is False and tap is None and found.comparable:
        warnings.append(LOCK_IT)
    if not found.comparable:
        warnings.append("Not comparable: " + "; ".join(found.why))
    figures = tuple(figure_of(r) for r in found.readings.values()) if found.comparable else ()
    return ReadingReport(kind="sound", figures=figures, warnings=tuple(warnings), comparable=bool(found.comparable)), tuple(heard)


def _tap(made: Sequence[Recording], tap_s: tuple[float, float] | None, tap_file: BinaryIO | None) -> Tap | None:
    from proofpan.science import sound
    from proofpan.science.sound.decode import decode

    if tap_file is not None:
        return sound.find_tap(decode(tap_file))
    return sound.find_tap(made[0], tap_s) if tap_s and made else None


def heard_again(recording: BinaryIO, tap_s: tuple[float, float] | None = None, tap_file: BinaryIO | None = None) -> Analysis:
    """One recording as it was analysed, to be compared or drawn.

    Raises: TrialError when it can't be read.
    """
    return sound_reading([recording], tap_s=tap_s, tap_file=tap_file)[1][0][1]


def sound_comparison(trials: Sequence[tuple[Analysis, SetUp]]) -> tuple[bool, tuple[str, ...]]:
    """Whether the sound of several trials may be set side by side, and what to know of it: asked before any number is believed."""
    from proofpan.science import sound

    setups = [
        (a, sound.Setup(session=s.session or None, device=s.device or None, distance_cm=s.distance_cm, gain_locked=s.gain_locked))
        for a, s in trials
    ]
    found = sound.compare_setups(setups)
    return found.comparable, (*found.why, *found.warnings)
