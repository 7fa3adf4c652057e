"""Colour against known truth from spectra, by lamp, reference, light and JPEG: `.venv/bin/python -m bench.colour_truth`."""

import sys

import numpy as np
from bench import kitchen_photographs as made

from proofpan.science.colour import ColourError, ciede2000, measure
from proofpan.science.colour.decode import decode


def one(lamp, food, reference, quality=92, **scene):
    """(ΔE00 from the truth, whether L* a* b* intervals hold it, pieces found), or the sentence."""
    named = {"card": "grey card", "plate": "white plate", "chart": "24-patch chart", "none": "none"}[reference]
    try:
        reading = measure(decode(made.jpeg(made.scene(lamp, food, reference=reference, **scene), quality)))
    except ColourError as error:
        return str(error)
    truth = made.truth_lab(food)
    figures = [reading.readings[n] for n in ("lightness", "a", "b")]
    holds = [f.low <= t <= f.high for f, t in zip(figures, truth, strict=True)]
    found = reading.balances[0].kind == named
    return float(ciede2000([f.value for f in figures], truth)), holds, len(reading.pieces), found


def row(title, results):
    """One line of the table."""
    said = [r for r in results if isinstance(r, str)]
    got = [r for r in results if not isinstance(r, str)]
    if not got:
        print(f"| {title} | – | – | – | – | {len(said)} refused: {said[0]} |", flush=True)
        return
    off = [r[0] for r in got]
    held = np.mean([h for r in got for h in r[1]])
    pieces = f"{sum(r[2] == 4 for r in got)}/{len(results)}"
    print(f"| {title} | {np.mean(off):.2f} ({max(off):.2f}) | {100 * held:.0f} | {pieces} | {sum(r[3] for r in got)}/{len(results)} | "
          f"{len(said)} refused |", flush=True)


def main(seeds=1):
    """Every table."""
    print("| photograph | ΔE00 from the truth (worst) | truth within the 95 % range, in 100 | all pieces found | reference found | |")
    print("|---|--:|--:|--:|--:|---|")
    for reference in ("card", "plate", "chart", "none"):
        for lamp in made.LAMPS:
            row(f"{reference}, {lamp}", [one(lamp, food, reference, seed=s) for food in made.FOODS for s in range(seeds)])
    for quality in (95, 75, 50, 25):
        row(f"card, JPEG {quality}", [one("A", food, "card", quality) for food in made.FOODS])
    for fall_off in (0.2, 0.4):
        row(f"card, light falls off by {fall_off:.0%}", [one("D50", food, "card", fall_off=fall_off) for food in made.FOODS])
    for exposure in (0.25, 1.2):
        row(f"card, exposure {exposure:g}", [one("D50", food, "card", exposure=exposure) for food in made.FOODS])
    for noise in (6, 12):
        row(f"card, noise of {noise} steps", [one("D50", food, "card", noise=noise) for food in made.FOODS])


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 1)
