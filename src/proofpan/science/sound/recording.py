"""A recording as arrays: what the rest of this room works on."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .errors import SoundError

LONGEST_S = 1800.0


@dataclass(frozen=True, eq=False)
class Recording:
    """One recording, mixed to one channel.

    Attributes:
        samples: shape (n,), float32, ±1 full scale.
        rate_hz: samples a second.
        channels: how many there were.
        codec: as named by the decoder, e.g. "aac", "opus", "pcm_s16le"; "arrays" where none.
        bit_rate: bits a second, 0 where unknown.
        clipped_at: sample numbers at which any channel was cut off at its limit.
        notes: sentences on the file.
    """

    samples: NDArray[np.float32]
    rate_hz: int
    channels: int
    codec: str
    bit_rate: int
    clipped_at: NDArray[np.int64]
    notes: tuple[str, ...] = ()

    @property
    def duration_s(self) -> float:
        """Length in seconds."""
        return self.samples.size / self.rate_hz

    @property
    def clipped_share(self) -> float:
        """Share of samples cut off, 0–1."""
        return self.clipped_at.size / max(self.samples.size, 1)


def clipped_samples(channel: NDArray[np.floating]) -> NDArray[np.int64]:
    """Where a channel is cut off: at full scale twice running, or flat for four samples at its own largest value.

    The second kind is a recording that was clipped first and turned down later.
    """
    size = np.abs(channel)
    top = float(size.max(initial=0.0))
    if top < 0.05:
        return np.zeros(0, dtype=np.int64)
    if top >= 0.999:
        full = size >= 0.999
        inside = full.copy()
        inside[1:] &= full[:-1]
        inside[:-1] |= inside[1:]
        return np.flatnonzero(inside)
    high = np.flatnonzero(size >= top * (1 - 1e-6))
    runs = np.split(high, np.flatnonzero(np.diff(high) != 1) + 1)
    flat = [run for run in runs if run.size >= 4]
    return np.concatenate(flat) if flat else np.zeros(0, dtype=np.int64)


def recording(
    samples: ArrayLike, rate_hz: int, *, codec: str = "arrays", bit_rate: int = 0, clipped_at: ArrayLike | None = None,
    notes: tuple[str, ...] = (),
) -> Recording:
    """Check samples and mix them to one channel.

    Parameters: samples, shape (n,) or (channels, n), ±1 full scale.
    Raises: SoundError, for an empty, silent or overlong recording, a rate below 8 kHz, or samples that aren't numbers.
    """
    x = np.asarray(samples, dtype=np.float32)
    x = x[None] if x.ndim == 1 else x
    if x.ndim != 2 or not x.size:
        raise SoundError("The recording is empty.")
    if rate_hz < 8000:
        raise SoundError(f"A recording at {rate_hz} samples a second carries no crispness; record at 44,100 or 48,000.")
    if x.shape[1] > LONGEST_S * rate_hz:
        raise SoundError(f"The recording is longer than {LONGEST_S / 60:g} minutes; cut it to the bites.")
    if not np.isfinite(x).all():
        raise SoundError("The recording holds samples that aren't numbers.")
    if clipped_at is None:
        clipped = np.unique(np.concatenate([clipped_samples(channel) for channel in x]))
    else:
        clipped = np.asarray(clipped_at, dtype=np.int64)
    mono = x[0].copy() if x.shape[0] == 1 else _one_channel(x)
    if not np.any(mono):
        raise SoundError("The recording is silent from end to end; check the microphone.")
    mono.setflags(write=False)
    return Recording(mono, int(rate_hz), x.shape[0], codec, int(bit_rate), clipped, notes)


def _one_channel(x: NDArray[np.float32]) -> NDArray[np.float32]:
    """The channels' mean; the loudest channel where they cancel (one wired the wrong way round) or one is dead."""
    mean = x.mean(axis=0)
    powers = (x**2).mean(axis=1)
    return mean if float((mean**2).mean()) > 0.3 * float(powers.max()) else x[int(powers.argmax())].copy()
