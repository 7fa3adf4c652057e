"""Files → recordings; the only module of this room that reads anything."""

from __future__ import annotations

from os import SEEK_END
from typing import BinaryIO

import numpy as np

from .errors import SoundError
from .recording import LONGEST_S, Recording, recording

# A playlist or a list of files would make the decoder open other addresses: only containers that hold their own sound are let in.
_CONTAINERS = "wav,w64,aiff,caf,mov,mp4,m4a,3gp,3g2,mj2,matroska,webm,ogg,flac,mp3,aac,amr,avi,mpegts"
_OPTIONS = {"format_whitelist": _CONTAINERS, "protocol_whitelist": "none"}


def decode(file: BinaryIO) -> Recording:
    """Decode the first sound stream of any phone recording or video, at its own sampling rate.

    Parameters: file, an open binary file that can seek; never a name or an address (the decoder would follow it).
    Raises: SoundError, in one sentence, where there is no sound, the file is cut short or damaged, or it is too long.
    """
    import av

    if isinstance(file, (str, bytes)):
        raise SoundError("Give an open file, not a name.")
    _refuse_cut_wav(file)
    notes = _notes(file)
    held = file.seek(0, SEEK_END)
    file.seek(0)
    try:
        container = av.open(file, mode="r", options=_OPTIONS)
    except (av.error.FFmpegError, ValueError, EOFError) as error:
        raise SoundError("This file isn't a recording that can be read; use wav, flac, m4a, mp4, mov, ogg or opus.") from error
    with container:
        if not container.streams.audio:
            raise SoundError("There is no sound in this file.")
        stream = container.streams.audio[0]
        rate, codec = int(stream.rate or 0), stream.codec_context.name
        promised = float(stream.duration * stream.time_base) if stream.duration and stream.time_base else 0.0
        if len(container.streams) == 1 and container.duration:
            promised = max(promised, container.duration / av.time_base)
        if promised > LONGEST_S:
            raise SoundError(f"The recording is longer than {LONGEST_S / 60:g} minutes; cut it to the bites.")
        resampler = av.AudioResampler(format="fltp")  # sample format only: no change of rate, no mixing
        pieces: list[np.ndarray] = []
        count = 0
        try:
            for frame in container.decode(stream):
                for made in resampler.resample(frame):
                    pieces.append(made.to_ndarray())
                    count += pieces[-1].shape[1]
                if rate and count > LONGEST_S * rate:
                    raise SoundError(f"The recording is longer than {LONGEST_S / 60:g} minutes; cut it to the bites.")
            pieces += [made.to_ndarray() for made in resampler.resample(None)]
        except (av.error.FFmpegError, ValueError) as error:
            raise SoundError("The recording is damaged part of the way through; copy it from the phone again.") from error
        bit_rate = int(stream.codec_context.bit_rate or 0)
        alone = len(container.streams) == 1
    if not pieces:
        raise SoundError("The recording holds no sound that can be decoded; copy it from the phone again.")
    if len({piece.shape[0] for piece in pieces}) > 1:
        raise SoundError("The recording changes its number of channels part of the way; record it again.")
    samples = np.concatenate(pieces, axis=1)
    if promised and samples.shape[1] / rate < 0.95 * promised - 0.1:
        raise SoundError(
            f"The recording is cut short: {samples.shape[1] / rate:.1f} of {promised:.1f} seconds; copy it from the phone again."
        )
    if alone and not bit_rate:
        bit_rate = int(8 * held * rate / samples.shape[1])
    return recording(samples, rate, codec=codec, bit_rate=bit_rate, notes=notes)


def _notes(file: BinaryIO) -> tuple[str, ...]:
    """An Ogg file marks its last page (RFC 3533, section 6): without that mark it was cut off, and nothing else would tell."""
    head = file.read(4)
    held = file.seek(0, SEEK_END)
    file.seek(max(held - 70_000, 0))
    tail = file.read() if head == b"OggS" else b""
    file.seek(0)
    at = tail.rfind(b"OggS")
    if head == b"OggS" and (at < 0 or at + 6 > len(tail) or not tail[at + 5] & 4):
        return ("The recording ends without its end mark: it may be cut short. Copy it from the phone again.",)
    return ()


def _refuse_cut_wav(file: BinaryIO) -> None:
    """A RIFF file says how long it is; the decoder takes what there is without a word."""
    head = file.read(8)
    held = file.seek(0, SEEK_END)
    file.seek(0)
    promised = int.from_bytes(head[4:8], "little") if head[:4] == b"RIFF" else 0
    if 0 < promised < 0xFFFFFF00 and held < 0.95 * promised:
        raise SoundError(f"The recording is cut short: {held} of {promised} bytes; copy it from the phone again.")
