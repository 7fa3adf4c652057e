"""The table behind each picture of a reading."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from proofpan.science.colour import ColourReading, CutFace
    from proofpan.science.probe import ProbeLog
    from proofpan.science.sound import Analysis

MOST_ROWS = 30


@dataclass(frozen=True)
class Table:
    """A caption, the names of its columns, and its rows."""

    caption: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


def _plain(value: float, digits: int = 1) -> str:
    return f"{value:.{digits}f}".replace("-", "−") if math.isfinite(value) else "not measured"


def probe_table(log: ProbeLog) -> Table:
    """Times and temperatures, thinned to thirty rows."""
    keep = np.unique(np.linspace(0, log.times_s.size - 1, min(log.times_s.size, MOST_ROWS)).astype(int))
    rows = tuple((_plain(float(log.times_s[i]) / 60), _plain(float(log.temperature_c[i]))) for i in keep)
    said = f"{log.times_s.size} readings" if keep.size == log.times_s.size else f"{keep.size} of {log.times_s.size} readings"
    return Table(said, ("Minute", "Temperature, °C"), rows)


def bites_table(analysis: Analysis) -> Table:
    """A row a bite, those under a voice included, then what was heard and isn't a bite."""
    reference = {"tap": "the reference tap", "floor": "the recording’s own floor", "calibrated": "20 µPa"}[analysis.reference]
    rows = [
        (str(i), _plain(b.start_s, 2), _plain(1000 * b.duration_s, 0), str(b.pulses), _plain(b.peak_db), _plain(b.level_db),
         "under a voice, not counted" if b.speech else "clipped, no level" if b.clipped else "counted")
        for i, b in enumerate(analysis.bites[:200], start=1)
    ]  # fmt: skip
    rows += [("–", _plain(r.start_s, 2), _plain(1000 * (r.stop_s - r.start_s), 0), "–", "–", "–", r.why) for r in analysis.rejected[:MOST_ROWS]]
    names = ("Bite", "From, s", "Lasts, ms", "Cracks", "Peak, dB", "Level, dB", "What it is")
    return Table(f"Levels are A-weighted, over {reference}", names, tuple(rows))


def pieces_table(reading: ColourReading) -> Table:
    """A row a piece."""
    rows = tuple(
        (str(i), _plain(p.lab[0]), _plain(p.lab[1]), _plain(p.lab[2]), _plain(p.browning_index, 0), _plain(p.evenness_de),
         f"{100 * p.over_browned_share:.0f} %")
        for i, p in enumerate(reading.pieces, start=1)
    )  # fmt: skip
    names = ("Piece", "Lightness L*", "Red a*", "Yellow b*", "Browning index", "Unevenness, ΔE00", "Over-browned")
    return Table("CIELAB, D65 and the 2° observer", names, rows)


def cells_table(face: CutFace) -> Table:
    """How many cells of each size, on a doubling scale."""
    d = face.diameters_mm
    if not d.size:
        return Table("Whole cells by their diameter", ("Diameter, mm", "Cells"), ())
    first = math.floor(math.log2(float(d.min())))
    last = math.floor(math.log2(float(d.max())))
    rows = tuple(
        (f"{2.0**k:.3g} to {2.0 ** (k + 1):.3g}", str(int(((d >= 2.0**k) & (d < 2.0 ** (k + 1))).sum()))) for k in range(first, last + 1)
    )
    return Table("Whole cells by their diameter", ("Diameter, mm", "Cells"), rows)
