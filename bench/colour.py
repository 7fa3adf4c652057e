"""Colour: seconds for a 12-megapixel photograph, and how far known colours come out wrong. `.venv/bin/python -m bench.colour`.

Single thread (set OPENBLAS_NUM_THREADS=1 OMP_NUM_THREADS=1). Processor seconds of the best of five runs and the wall clock's.
"""

import io
import time

import numpy as np
from PIL import Image
from tests.science.colour.table import BROWN, DARK, GOLDEN, LAMPS, Table, saved

from proofpan.science.colour import ciede2000, measure
from proofpan.science.colour.decode import decode


def twelve_megapixels():
    """A photograph of 4000 × 3000 with a chart and five pieces, as JPEG."""
    table = Table(rows=750, columns=1000).chart(700, 60)
    for k, (x, y) in enumerate([(200, 180), (450, 180), (200, 420), (450, 420), (700, 550)]):
        table.piece(x, y, 90, GOLDEN, seed=k)
    small = table.shot("warm", exposure=0.8)
    big = np.asarray(Image.fromarray(small).resize((4000, 3000), Image.Resampling.BICUBIC)).astype(int)
    big = np.clip(big + np.random.default_rng(3).normal(0, 3, big.shape), 0, 255).astype(np.uint8)
    file = io.BytesIO()
    Image.fromarray(big).save(file, "JPEG", quality=92)
    return file.getvalue()


def timed(call):
    """Processor and clock seconds, best of five."""
    call()
    runs = []
    for _ in range(5):
        wall, work = time.perf_counter(), time.process_time()
        call()
        runs.append((time.process_time() - work, time.perf_counter() - wall))
    return min(runs)[0], min(r[1] for r in runs)


def peer(pixels):
    """What a general-purpose library takes for the same steps without a reference: CIELAB, Otsu's threshold, regions and their means."""
    from skimage.color import rgb2lab
    from skimage.filters import threshold_otsu
    from skimage.measure import label, regionprops_table

    lab = rgb2lab(pixels)
    regions = label(lab[..., 0] < threshold_otsu(lab[..., 0]))
    return regionprops_table(regions, lab, properties=("area", "intensity_mean"))


def main():
    """Print every figure."""
    data = twelve_megapixels()
    photo = decode(data)
    for name, call in (
        ("decode the JPEG", lambda: decode(data)),
        ("measure (chart found, segmented, 5 pieces)", lambda: measure(photo)),
        ("both", lambda: measure(decode(data))),
    ):
        work, wall = timed(call)
        print(f"12 megapixels, {name}: {work:.2f} s of processor, {wall:.2f} s by the clock")
    pixels = np.asarray(Image.open(io.BytesIO(data)))
    work, wall = timed(lambda: peer(pixels))
    print(f"peer, scikit-image's CIELAB, threshold and regions of the same pixels: {work:.2f} s of processor, {wall:.2f} s by the clock")
    for quality in (95, 75, 50):
        for reference in ("card", "chart", "plate"):
            worst, total = 0.0, []
            for lamp in LAMPS:
                for lab in (GOLDEN, BROWN, DARK):
                    table = Table(lab=(45.0, 3.0, 8.0)) if reference == "plate" else Table()
                    if reference == "card":
                        table.card(620, 250, 120, 90)
                    elif reference == "chart":
                        table.chart(560, 40)
                    else:
                        table.disc(400, 300, 270, 0.8)
                    for k, (x, y) in enumerate([(300, 220), (470, 240), (390, 400)]):
                        table.piece(x, y, 70, lab, seed=k)
                    reading = measure(decode(saved(table.shot(lamp, exposure=0.8), quality=quality)))
                    got = [reading.readings[n].value for n in ("lightness", "a", "b")]
                    total.append(float(ciede2000(got, lab)))
                    worst = max(worst, total[-1])
            print(f"JPEG {quality}, {reference}, 4 lamps × 3 colours: ΔE00 {np.mean(total):.2f} on average, {worst:.2f} at worst")


if __name__ == "__main__":
    main()
