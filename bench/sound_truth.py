"""Sound against known truth, by level of noise: `.venv/bin/python -m bench.sound_truth`.

Bites found, false alarms, cracks, levels and durations; then what must not be taken for a bite; then levels against a reference tap.
"""

import sys

import numpy as np
from bench import kitchen_sounds as made

from proofpan.science.sound import analyse, recording

RATE = made.RATE


def one(seed, snr_db, wet, kind, gap_ms):
    """Truth and analysis of one recording."""
    rng = np.random.default_rng(seed)
    dry, truth = made.bites(rng, gap_ms=gap_ms)
    heard = made.room(dry, rng) if wet else dry
    x, gain, noise = made.mixed(heard, truth, made.kitchen(rng, heard.size, kind), snr_db)
    return truth, heard * gain, noise, analyse(recording(x, RATE))


def compared(truth, clean, noise, analysis):
    """(bites found, false, cracks counted less true, level error, duration error) of one recording."""
    used, counts, levels, lengths = set(), [], [], []
    weighted = made.a_weighted(clean) ** 2
    floor = made.a_level_db(noise)
    for (start, stop), cracks in zip(truth.spans_s, truth.cracks_s, strict=True):
        near = [j for j, b in enumerate(analysis.bites) if b.start_s < stop + 0.03 and b.start_s + b.duration_s > start - 0.03 and j not in used]
        if not near:
            continue
        j = min(near, key=lambda k: abs(analysis.bites[k].start_s - start))
        used.add(j)
        bite = analysis.bites[j]
        counts.append((bite.pulses - len(cracks), len(cracks)))
        a, b = int(bite.start_s * RATE), int((bite.start_s + bite.duration_s) * RATE)
        true = 10 * np.log10(weighted[max(a - 96, 0) : b + 96].sum() / RATE) - floor
        levels.append(bite.exposure_db - true)
        lengths.append(bite.duration_s - (stop - start))
    return len(used), len(analysis.bites) - len(used), counts, levels, lengths


def table(seeds):
    """A row a level of noise."""
    print("| cracks apart | room | noise | dB | found | false a minute | cracks off, in 100 (net) | exposure off, dB (worst) | duration off, ms |")
    print("|---|---|---|--:|--:|--:|--:|--:|--:|")
    for gap in ((12, 45), (6, 12)):
        for wet in (False, True):
            for kind in ("fridge", "fan", "water"):
                for snr_db in (30, 20, 10, 0):
                    true = found = false = 0
                    counts, levels, lengths, minutes = [], [], [], 0.0
                    for seed in range(seeds):
                        truth, clean, noise, analysis = one(seed, snr_db, wet, kind, gap)
                        f, extra, c, lv, ln = compared(truth, clean, noise, analysis)
                        true, found, false, minutes = true + len(truth.spans_s), found + f, false + extra, minutes + analysis.duration_s / 60
                        counts, levels, lengths = counts + c, levels + lv, lengths + ln
                    off = sum(abs(d) for d, _ in counts) / max(sum(n for _, n in counts), 1)
                    net = sum(d for d, _ in counts) / max(sum(n for _, n in counts), 1)
                    lv = np.array(levels)
                    lv = lv[np.isfinite(lv)]
                    mean, worst = (np.abs(lv).mean(), np.abs(lv).max()) if lv.size else (np.nan, np.nan)
                    print(
                        f"| {gap[0]}–{gap[1]} ms | {'room' if wet else 'dry'} | {kind} | {snr_db} | {found}/{true} | {false / minutes:.1f} | "
                        f"{100 * off:.1f} ({100 * net:+.1f}) | {mean:.2f} ({worst:.1f}) | {1000 * np.mean(np.abs(lengths)):.0f} |", flush=True,
                    )  # fmt: skip


def not_bites(seeds):
    """Sounds in which nothing is bitten: false alarms in a minute of each."""
    def beep(rng, n):
        t = np.arange(n) / RATE
        return ((t % 1.5) < 0.2) * np.sin(2 * np.pi * rng.uniform(800, 4000) * t)

    def compressor(rng, n):
        return made.hum(rng, n) * (np.arange(n) > n // 2)

    kinds = {
        "noise alone": lambda rng, n: np.zeros(n),
        "speech": lambda rng, n: made.speech(rng, n / RATE)[0],
        "beeps": beep,
        "a compressor that starts": compressor,
    }
    print("\n| nothing bitten | dB over the noise | false a minute (said to be under a voice) |")
    print("|---|--:|--:|")
    for name, make in kinds.items():
        for over_db in (10, 25, 40):
            wrong = spoken = 0
            minutes = 0.0
            for seed in range(seeds):
                rng = np.random.default_rng(1000 + seed)
                n = 12 * RATE
                sound, noise = make(rng, n), made.kitchen(rng, n, ("fridge", "fan", "water")[seed % 3])
                noise *= 10 ** ((made.a_level_db(sound) - over_db - made.a_level_db(noise)) / 20) if sound.any() else 0.05
                x = sound + noise
                analysis = analyse(recording(0.5 * x / np.abs(x).max(), RATE))
                wrong += len(analysis.counted)
                spoken += len(analysis.bites) - len(analysis.counted)
                minutes += n / RATE / 60
            print(f"| {name} | {over_db if name != 'noise alone' else '–'} | {wrong / minutes:.1f} ({spoken / minutes:.1f}) |", flush=True)
            if name == "noise alone":
                break


def spoken_over(seeds):
    """Half the bites under a voice: how many of those are said to be, and how many free ones are lost."""
    print("\n| voice against bites, dB | bites under it: said, counted, lost | free bites: counted, said to be under it, lost |")
    print("|--:|--:|--:|")
    for over_db in (-10, 0, 10):
        tally = {True: [0, 0, 0], False: [0, 0, 0]}
        for seed in range(seeds):
            rng = np.random.default_rng(2000 + seed)
            dry, truth = made.bites(rng, count=6)
            talk, words = made.speech(rng, dry.size / RATE)
            half = truth.spans_s[3][0] - 0.35
            talk = np.pad(talk, (0, max(dry.size - talk.size, 0)))[: dry.size]
            talk[int(half * RATE) :] = 0
            inside = np.mean(np.concatenate([dry[int(a * RATE) : int(b * RATE)] ** 2 for a, b in truth.spans_s]))
            talk *= np.sqrt(inside * 10 ** (over_db / 10) / np.mean(talk[: int(half * RATE)] ** 2))
            x, _, _ = made.mixed(dry, truth, made.kitchen(rng, dry.size, "fridge"), 25)
            x = x + talk * (0.5 / np.abs(dry).max())
            analysis = analyse(recording(0.5 * x / np.abs(x).max(), RATE))
            for start, stop in truth.spans_s:
                under = any(a < stop and start < b for a, b in words if b < half)
                near = [b for b in analysis.bites if b.start_s < stop and b.start_s + b.duration_s > start]
                kind = 2 if not near else 0 if any(b.speech for b in near) else 1
                tally[under][kind if under else {0: 1, 1: 0, 2: 2}[kind]] += 1
        print(f"| {over_db} | {', '.join(map(str, tally[True]))} | {', '.join(map(str, tally[False]))} |", flush=True)


def main(seeds=6):
    """Every table."""
    table(seeds)
    not_bites(seeds)
    spoken_over(seeds)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 6)
