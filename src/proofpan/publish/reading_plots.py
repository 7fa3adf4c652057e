"""Readings as SVG: a probe's curve, a recording's level with its bites and octaves, a strip of the colours of the pieces. Decides nothing."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike

from proofpan.publish.charts import ENAMEL, HATCH, INK, PAPER, SOFT, svg_picture, words_at
from proofpan.study.words import counted

if TYPE_CHECKING:
    from proofpan.publish.reading_tables import Table
    from proofpan.science.colour import ColourReading
    from proofpan.science.probe import ProbeLog
    from proofpan.science.reading import Reading
    from proofpan.science.sound import Analysis

WIDTH, LEFT, RIGHT = 640.0, 52.0, 16.0
MOST_POINTS = 900
STEPS = (0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500, 1000)


class _Scale:
    """One axis: values to places on the paper."""

    def __init__(self, low: float, high: float, start: float, stop: float) -> None:
        self.low, self.high = low, high if high > low else low + 1.0
        self.start, self.stop = start, stop

    def __call__(self, value: float) -> float:
        return self.start + (value - self.low) / (self.high - self.low) * (self.stop - self.start)

    def ticks(self, about: int = 6) -> list[float]:
        step = next((s for s in STEPS if (self.high - self.low) / s <= about), STEPS[-1])
        first = math.ceil(self.low / step - 1e-9)
        return [k * step for k in range(first, math.floor(self.high / step + 1e-9) + 1)]


def _line(x1: float, y1: float, x2: float, y2: float, ink: str = HATCH, width: float = 0.8, dash: str = "") -> str:
    broken = f' stroke-dasharray="{dash}"' if dash else ""
    return f'<line x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}" stroke="{ink}" stroke-width="{width:g}"{broken}/>'


def _axes(x: _Scale, y: _Scale, under: str, beside: str) -> list[str]:
    return [*_rules(y, beside), *(words_at(x(t), y.start + 20, _plain(t), size=13, fill=SOFT) for t in x.ticks(8)),
            words_at((x.start + x.stop) / 2, y.start + 40, under, size=13, fill=SOFT)]


def _rules(y: _Scale, beside: str) -> list[str]:
    out = [_line(LEFT, y(t), WIDTH - RIGHT, y(t)) + words_at(LEFT - 8, y(t) + 5, _plain(t), anchor="end", size=13, fill=SOFT) for t in y.ticks(5)]
    return [*out, words_at(LEFT - 40, y.stop - 18, beside, anchor="start", size=13, fill=SOFT)]


def _plain(value: float) -> str:
    return f"{value:g}".replace("-", "−")


def _path(x: _Scale, y: _Scale, xs: ArrayLike, ys: ArrayLike) -> str:
    a, b = np.asarray(xs, dtype=float), np.asarray(ys, dtype=float)
    keep = np.unique(np.linspace(0, a.size - 1, min(a.size, MOST_POINTS)).astype(int))
    points = " ".join(f"{x(float(a[i])):.1f},{y(float(b[i])):.1f}" for i in keep)
    return f'<polyline points="{points}" fill="none" stroke="{INK}" stroke-width="1.8" stroke-linejoin="round"/>'


def probe_curve(log: ProbeLog, thresholds_c: Sequence[float] = (63.0, 74.0)) -> str:
    """Temperature over time, with the thresholds it is held against."""
    minutes, core = np.asarray(log.times_s, dtype=float) / 60, np.asarray(log.temperature_c, dtype=float)
    most = float(core.max())
    ends = (min(float(core.min()), *thresholds_c), max(most, *thresholds_c))
    margin = 0.06 * (ends[1] - ends[0])
    x = _Scale(float(minutes.min()), float(minutes.max()), LEFT, WIDTH - RIGHT)
    y = _Scale(ends[0] - margin, ends[1] + margin, 250.0, 34.0)
    parts = _axes(x, y, "minutes", "°C")
    for limit in thresholds_c:
        parts.append(_line(x.start, y(limit), x.stop, y(limit), ENAMEL, 1.6, "7 5")
                     + words_at(x.start + 4, y(limit) - 5, f"{limit:g} °C", anchor="start", size=13, fill=ENAMEL, bold=True))
    parts.append(_path(x, y, minutes, core))
    reached = [f"{t:g}" for t in thresholds_c if most >= t]
    title = f"The probe reached {most:.0f} °C" + (f", past {' and '.join(reached)} °C" if reached else "")
    return svg_picture(WIDTH, 300, title, "Temperature where the probe stood; dashed, the thresholds it is held against.", "".join(parts))


def sound_levels(times_s: ArrayLike, levels_db: ArrayLike, analysis: Analysis, octaves: Sequence[Reading] = ()) -> str:
    """Level over time with the bites marked (speech hatched and not counted), and the mean energy in each octave with its range.

    Parameters: times_s and levels_db, shape (stretches,), re full scale; octaves, the readings named octave_…_db.
    """
    levels = np.asarray(levels_db, dtype=float)
    x = _Scale(0.0, float(analysis.duration_s), LEFT, WIDTH - RIGHT)
    y = _Scale(float(levels.min()) - 2, float(levels.max()) + 4, 220.0, 34.0)
    parts = _axes(x, y, "seconds", "dB of full scale")
    for i, bite in enumerate(analysis.bites, start=1):
        left, right = x(bite.start_s), x(min(bite.start_s + bite.duration_s, analysis.duration_s))
        wide = max(right - left, 2.0)
        look = f'fill="none" stroke="{SOFT}" stroke-dasharray="3 3"' if bite.speech else f'fill="{ENAMEL}" fill-opacity="0.18"'
        parts.append(f'<rect class="bite" x="{left:.1f}" y="{y.stop:.1f}" width="{wide:.1f}" height="{y.start - y.stop:.1f}" {look}/>')
        if len(analysis.bites) <= 24:
            parts.append(words_at(left + wide / 2, y.stop - 4, "voice" if bite.speech else str(i), size=12, fill=ENAMEL, bold=True))
    parts.append(_path(x, y, times_s, levels))
    height = 268.0
    if octaves:
        parts += _octaves(octaves, height + 20)
        height += 200
    left_out = len(analysis.bites) - len(analysis.counted)
    title = f"{counted(len(analysis.counted), 'bite')} heard" + (f", {left_out} under a voice left out" if left_out else "")
    return svg_picture(WIDTH, height, title, "Level of the recording over time, each bite shaded; below, energy in octaves with its 95 % range.",
                "".join(parts))


def _octaves(octaves: Sequence[Reading], top: float) -> list[str]:
    ends = [v for r in octaves for v in (r.low, r.high, r.value) if math.isfinite(v)]
    y = _Scale(min(ends) - 2, max(ends) + 2, top + 130, top + 10)
    step = (WIDTH - RIGHT - LEFT) / len(octaves)
    out = _rules(y, "dB")
    for i, r in enumerate(octaves):
        x = LEFT + step * (i + 0.5)
        if math.isfinite(r.low) and math.isfinite(r.high):
            out.append(_line(x, y(r.low), x, y(r.high), ENAMEL, 2.2))
        out.append(f'<circle class="octave" cx="{x:.1f}" cy="{y(r.value):.1f}" r="5.5" fill="{ENAMEL}" stroke="{PAPER}" stroke-width="1.5"/>')
        hz = float(r.name.split("_")[1])
        out.append(words_at(x, y.start + 20, f"{hz / 1000:g} kHz" if hz >= 1000 else f"{hz:g} Hz", size=13, fill=SOFT))
    return out


def colour_strip(reading: ColourReading) -> str:
    """A swatch of each piece and, below, its lightness; the mean with its 95 % range as a line across."""
    from proofpan.science.colour import lab_to_srgb_8bit

    pieces = reading.pieces
    cells = lab_to_srgb_8bit(np.array([p.lab for p in pieces], dtype=float))
    mean = reading.readings["lightness"]
    lightness = [p.lab[0] for p in pieces]
    ends = [v for v in (*lightness, mean.low, mean.high) if math.isfinite(v)]
    y = _Scale(max(min(ends) - 4, 0), min(max(ends) + 4, 100), 250.0, 112.0)
    step = (WIDTH - RIGHT - LEFT) / len(pieces)
    parts = _rules(y, "lightness L*")
    for i, (piece, cell) in enumerate(zip(pieces, cells, strict=True)):
        left, middle = LEFT + step * i, LEFT + step * (i + 0.5)
        ink = "#" + "".join(f"{int(c):02x}" for c in cell)
        parts.append(f'<rect class="swatch" x="{left:.1f}" y="24" width="{step:.1f}" height="60" fill="{ink}" stroke="{PAPER}" stroke-width="2"/>')
        parts.append(f'<circle class="piece" cx="{middle:.1f}" cy="{y(piece.lab[0]):.1f}" r="6" fill="{ink}" stroke="{INK}" stroke-width="2"/>')
        if len(pieces) <= 24:
            parts.append(words_at(middle, y.start + 20, str(i + 1), size=13, fill=SOFT))
    parts.append(_line(LEFT, y(mean.value), WIDTH - RIGHT, y(mean.value), ENAMEL, 1.8))
    if math.isfinite(mean.low) and math.isfinite(mean.high):
        parts += [_line(LEFT, y(v), WIDTH - RIGHT, y(v), ENAMEL, 1.2, "7 5") for v in (mean.low, mean.high)]
        spread = f" ({mean.low:.0f} to {mean.high:.0f})"
    else:
        spread = "; one piece, so it speaks for that piece"
    title = f"{counted(len(pieces), 'piece')}: lightness {mean.value:.0f}{spread}"
    return svg_picture(WIDTH, 284, title, "A swatch of each piece, its lightness below; the line is their mean, dashed its 95 % range.", "".join(parts))


def cell_sizes(table: Table) -> str:
    """How many cells of each size, as bars."""
    counts = [int(count) for _, count in table.rows]
    y = _Scale(0.0, float(max(counts, default=1)), 220.0, 34.0)
    parts = _rules(y, "cells")
    step = (WIDTH - RIGHT - LEFT) / max(len(counts), 1)
    for i, (size, count) in enumerate(table.rows):
        left = LEFT + step * i
        parts.append(f'<rect x="{left + 4:.1f}" y="{y(int(count)):.1f}" width="{step - 8:.1f}" height="{y.start - y(int(count)):.1f}" fill="{ENAMEL}"/>')
        parts.append(words_at(left + step / 2, y.start + 20, size, size=13, fill=SOFT))
    parts.append(words_at((LEFT + WIDTH - RIGHT) / 2, y.start + 40, "diameter, mm", size=13, fill=SOFT))
    return svg_picture(WIDTH, 268, f"{counted(sum(counts), 'whole cell')}", "Cells of the cut face by diameter, each class twice the last.", "".join(parts))


def agreement(says: str, points: Sequence[tuple[int, float, float]], across: str, up: str) -> str:
    """A measured attribute against the tasters' marks, a dot a trial with its number."""
    xs, ys = [p[1] for p in points], [p[2] for p in points]
    pad_x, pad_y = 0.08 * (max(xs) - min(xs) or 1), 0.12 * (max(ys) - min(ys) or 1)
    x = _Scale(min(xs) - pad_x, max(xs) + pad_x, LEFT, WIDTH - RIGHT)
    y = _Scale(min(ys) - pad_y, max(ys) + pad_y, 240.0, 34.0)
    parts = _axes(x, y, across, up)
    for trial, a, b in points:
        parts.append(f'<circle cx="{x(a):.1f}" cy="{y(b):.1f}" r="6" fill="{ENAMEL}" stroke="{PAPER}" stroke-width="1.5"/>')
        parts.append(words_at(x(a) + 9, y(b) - 7, str(trial), anchor="start", size=12, fill=SOFT))
    return svg_picture(WIDTH, 290, says, f"{across} against {up}, a dot a trial with its number.", "".join(parts))
