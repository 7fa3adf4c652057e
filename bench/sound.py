"""Sound: times real time, and bites and cracks found in kitchen noise. `.venv/bin/python -m bench.sound`.

Single thread (set OPENBLAS_NUM_THREADS=1 OMP_NUM_THREADS=1). Processor seconds, best of five; decoding is timed apart.
"""

import io
import time

import numpy as np
from tests.science.sound.kitchen import RATE, at_snr, bites, echo, kitchen_noise
from tests.science.sound.test_decode import encode

from proofpan.science.sound import analyse, recording
from proofpan.science.sound.decode import decode


def best(call):
    """Processor seconds, best of five."""
    call()
    runs = []
    for _ in range(5):
        work = time.process_time()
        call()
        runs.append(time.process_time() - work)
    return min(runs)


def peer(samples, rate):
    """What a general-purpose library takes to look for bursts alone: a short-time spectrum, its loudness and its peaks, nothing measured."""
    from scipy.signal import ShortTimeFFT, find_peaks, get_window

    spectrum = ShortTimeFFT(get_window("hann", 512), 128, rate).spectrogram(samples)
    level = 10 * np.log10(spectrum.sum(axis=0) + 1e-20)
    return find_peaks(level, prominence=12, distance=10)[0]


def accuracy(snr_db, wet, gap_ms, seeds=12):
    """Bites found and cracks counted against the truth."""
    true = found = extra = cracks = wrong = over = 0
    for seed in range(seeds):
        rng = np.random.default_rng(seed)
        dry, truth = bites(rng, gap_ms=gap_ms)
        heard = echo(dry, rng) if wet else dry
        analysis = analyse(recording(at_snr(heard, truth, kitchen_noise(rng, heard.size), snr_db), RATE))
        used = set()
        for start, n in zip(truth.starts_s, truth.pulses, strict=True):
            true += 1
            near = [j for j, b in enumerate(analysis.bites) if abs(b.start_s - start) < 0.05]
            if near:
                found, cracks = found + 1, cracks + n
                wrong += abs(analysis.bites[near[0]].pulses - n)
                over += analysis.bites[near[0]].pulses - n
                used.add(near[0])
        extra += len(analysis.bites) - len(used)
    return f"{found}/{true} bites, {extra} false; cracks off by {100 * wrong / max(cracks, 1):.1f} % ({100 * over / max(cracks, 1):+.1f} %)"


def main():
    """Print every figure."""
    rng = np.random.default_rng(0)
    dry, truth = bites(rng, count=64)
    mixed = at_snr(dry, truth, kitchen_noise(rng, dry.size), 20)
    made = recording(mixed, RATE)
    seconds = best(lambda: analyse(made))
    print(f"analysis of {made.duration_s:.0f} s with 64 bites: {seconds:.3f} s, {made.duration_s / seconds:.0f}× real time")
    plain = best(lambda: peer(np.asarray(mixed, dtype=float), RATE))
    print(f"peer, SciPy's short-time spectrum and peaks alone: {plain:.3f} s, {made.duration_s / plain:.0f}× real time; ours takes {seconds / plain:.1f}× that")
    for kind in (("wav", "pcm_s16le", "s16"), ("mp4", "aac", "fltp"), ("ogg", "libopus", "s16")):
        data = encode(mixed, *kind, RATE)
        seconds = best(lambda data=data: decode(io.BytesIO(data)))
        print(f"decoding {kind[0]} ({kind[1]}): {made.duration_s / seconds:.0f}× real time")
    for wet in (False, True):
        for gap in ((12, 40), (6, 12)):
            for snr_db in (30, 20, 10, 0):
                room = "echo (0.3 s, 6 dB under)" if wet else "dry"
                print(f"{room}, cracks {gap[0]}–{gap[1]} ms apart, {snr_db} dB: {accuracy(snr_db, wet, gap)}")


if __name__ == "__main__":
    main()
