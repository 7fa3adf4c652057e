"""Files of every kind a phone makes, whole, cut short, damaged or pretending."""

import io
import struct

import av
import numpy as np
import pytest

from proofpan.science.sound import SoundError, analyse
from proofpan.science.sound.decode import decode

from .kitchen import RATE, at_snr, bites, kitchen_noise

KINDS = [
    ("wav", "pcm_s16le", "s16", 48000),
    ("flac", "flac", "s16", 48000),
    ("mp4", "aac", "fltp", 44100),
    ("mov", "aac", "fltp", 48000),
    ("ogg", "libopus", "s16", 48000),
    ("webm", "libopus", "s16", 48000),
    ("mp3", "libmp3lame", "fltp", 44100),
]


def encode(samples, container, codec, form, rate, video=False):
    """An invented recording as a file, by the same library's encoders."""
    file = io.BytesIO()
    with av.open(file, "w", format=container) as out:
        stream = out.add_stream(codec, rate=rate, layout="mono")
        stream.bit_rate = 128000
        if video:
            picture = out.add_stream("mpeg4", rate=10, width=32, height=32, pix_fmt="yuv420p")
            for _ in range(5):
                shot = av.VideoFrame.from_ndarray(np.full((32, 32, 3), 90, np.uint8), format="rgb24")
                out.mux(picture.encode(shot))
            out.mux(picture.encode(None))
        whole = (np.clip(samples, -1, 1) * 32767).astype(np.int16)
        resampler = av.AudioResampler(format=form, layout="mono", rate=rate, frame_size=stream.codec_context.frame_size or 1024)
        frame = av.AudioFrame.from_ndarray(whole[None], format="s16", layout="mono")
        frame.sample_rate = rate
        for piece in [*resampler.resample(frame), *resampler.resample(None)]:
            out.mux(stream.encode(piece))
        out.mux(stream.encode(None))
    return file.getvalue()


@pytest.fixture(scope="module")
def scene():
    rng = np.random.default_rng(31)
    dry, truth = bites(rng, count=4)
    return at_snr(dry, truth, kitchen_noise(rng, dry.size), 25), truth


@pytest.mark.parametrize("container, codec, form, rate", KINDS, ids=[f"{k[0]}-{k[1]}" for k in KINDS])
def test_every_kind_is_read_at_its_own_rate_and_counts_the_bites(scene, container, codec, form, rate):
    samples, truth = scene
    at = np.interp(np.arange(0, samples.size, RATE / rate), np.arange(samples.size), samples)
    recording = decode(io.BytesIO(encode(at, container, codec, form, rate)))
    assert recording.rate_hz == rate and recording.channels == 1
    assert recording.duration_s == pytest.approx(samples.size / RATE, abs=0.1)
    analysis = analyse(recording)
    assert len(analysis.bites) == 4
    if container == "mp3":  # its noise ahead of each crack is heard as cracks: said, not hidden
        assert any("counted high" in w for w in analysis.warnings)
        return
    assert sum(abs(b.pulses - n) for b, n in zip(analysis.bites, truth.pulses, strict=True)) <= 0.15 * sum(truth.pulses)


def test_the_sound_of_a_video_is_read(scene):
    recording = decode(io.BytesIO(encode(scene[0], "mp4", "aac", "fltp", 48000, video=True)))
    assert recording.codec == "aac" and len(analyse(recording).bites) == 4


def test_a_video_without_sound_is_refused():
    file = io.BytesIO()
    with av.open(file, "w", format="mp4") as out:
        stream = out.add_stream("mpeg4", rate=10, width=32, height=32, pix_fmt="yuv420p")
        out.mux(stream.encode(av.VideoFrame.from_ndarray(np.zeros((32, 32, 3), np.uint8), format="rgb24")))
        out.mux(stream.encode(None))
    with pytest.raises(SoundError, match="no sound"):
        decode(io.BytesIO(file.getvalue()))


@pytest.mark.parametrize("container, codec, form, rate", KINDS, ids=[f"{k[0]}-{k[1]}" for k in KINDS])
@pytest.mark.parametrize("keep", [0.0, 0.02, 0.5])
def test_a_file_cut_short_is_refused_in_one_sentence_or_read_as_far_as_it_goes(scene, container, codec, form, rate, keep):
    whole = encode(scene[0], container, codec, form, rate)
    try:
        recording = decode(io.BytesIO(whole[: int(len(whole) * keep)]))
    except SoundError as error:
        assert str(error).endswith(".") and len(str(error)) < 200
    else:
        assert keep == 0.5 and recording.duration_s < 0.8 * scene[0].size / RATE


def test_damaged_bytes_never_end_in_a_traceback(scene):
    rng = np.random.default_rng(32)
    for container, codec, form, rate in KINDS:
        whole = bytearray(encode(scene[0][: 2 * RATE], container, codec, form, rate))
        for _ in range(6):
            hurt = bytearray(whole)
            for at in rng.integers(0, len(hurt), 40):
                hurt[at] = int(rng.integers(256))
            try:
                decode(io.BytesIO(bytes(hurt)))
            except SoundError as error:
                assert len(str(error)) < 200


def test_a_list_of_addresses_is_not_followed(tmp_path):
    """A playlist inside a file would make the decoder open what it names."""
    secret = tmp_path / "secret.wav"
    secret.write_bytes(encode(np.full(RATE, 0.1), "wav", "pcm_s16le", "s16", RATE))
    lists = [
        f"#EXTM3U\n#EXT-X-TARGETDURATION:5\n#EXTINF:5,\nfile://{secret}\n#EXT-X-ENDLIST\n",
        f"ffconcat version 1.0\nfile '{secret}'\n",
    ]
    for text in lists:
        with pytest.raises(SoundError, match="can be read"):
            decode(io.BytesIO(text.encode()))


def test_a_name_is_not_a_file():
    with pytest.raises(SoundError, match="open file"):
        decode("http://kitchen.test/bite.wav")


def test_clipping_of_one_channel_is_seen_through_the_mix():
    t = np.arange(RATE) / RATE
    left = np.clip(3 * np.sin(2 * np.pi * 440 * t), -1, 1)
    frames = np.stack([left, np.zeros(RATE)], axis=1)
    data = (frames * 32767).astype("<i2").tobytes()
    header = struct.pack(
        "<4sI4s4sIHHIIHH4sI", b"RIFF", 36 + len(data), b"WAVE", b"fmt ", 16, 1, 2, RATE, RATE * 4, 4, 16, b"data", len(data)
    )
    recording = decode(io.BytesIO(header + data))
    assert recording.channels == 2 and recording.clipped_share > 0.5
