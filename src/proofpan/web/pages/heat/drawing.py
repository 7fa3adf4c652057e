"""The heat page's pictures: one piece over minutes, and how many readers' kitchens are ready when."""

from __future__ import annotations

from collections.abc import Sequence

from markupsafe import Markup

from proofpan.steps.heat_curve import HeatCurve

WIDE, TALL, LEFT, FOOT, TOP = 640, 300, 44, 30, 16
READY_TALL = 200
NEARLY_ALL = 0.95


def picture(
    curve: HeatCurve, overlay: tuple[tuple[float, float], ...], us: bool = False, fitted: tuple[tuple[float, float], ...] = ()
) -> Markup:
    """Core (thick) and surface (thin) over minutes, the minutes in which it is done as a band, and a probe's readings as rings.

    A core fitted to those readings is dashed. `us` draws degrees Fahrenheit.
    """
    def shown(degrees: float) -> float:
        return degrees * 1.8 + 32 if us else degrees

    rows = [(minute, shown(core), shown(surface)) for minute, core, surface in curve.curve]
    overlay, fitted = (tuple((m, shown(d)) for m, d in pairs) for pairs in (overlay, fitted))
    last = max([rows[-1][0], *(m for m, _ in overlay)])
    hottest = 20 * (int(max([*(s for _, _, s in rows), *(t for _, t in overlay)]) // 20) + 1)
    coldest = min(0.0, *(c for _, c, _ in rows))

    def x(minute: float) -> float:
        return LEFT + (WIDE - LEFT - 10) * minute / last

    def y(degrees: float) -> float:
        return TALL - FOOT - (TALL - FOOT - TOP) * (degrees - coldest) / (hottest - coldest)

    parts = []
    begin, end = curve.window_min
    a, b = x(curve.begins_min + begin), x(min(last, curve.begins_min + (end if end is not None else last)))
    parts.append(f'<rect x="{a:.1f}" y="{TOP}" width="{max(b - a, 2):.1f}" height="{TALL - FOOT - TOP}" class="c-wash"/>')
    for degrees in range(0, int(hottest) + 1, 20 if hottest <= 140 else 40):
        parts.append(f'<line x1="{LEFT}" x2="{WIDE - 10}" y1="{y(degrees):.1f}" y2="{y(degrees):.1f}" class="s-hair"/>')
        parts.append(f'<text x="{LEFT - 8}" y="{y(degrees) + 5:.1f}" text-anchor="end" class="t-soft" font-size="15">{degrees}</text>')
    step = next(s for s in (1, 2, 5, 10, 20, 30, 60, 120, 300, 600, 1500) if last / s <= 8)
    for minute in range(0, int(last) + 1, step):
        parts.append(f'<text x="{x(minute):.1f}" y="{TALL - 8}" text-anchor="middle" class="t-soft" font-size="15">{minute}</text>')
    for column, width, name in ((2, 1.5, "s-ink"), (1, 4, "s-enamel")):
        line = " ".join(f"{x(row[0]):.1f},{y(row[column]):.1f}" for row in rows)
        parts.append(f'<polyline points="{line}" fill="none" stroke-width="{width}" class="{name}"/>')
    if fitted:
        line = " ".join(f"{x(m):.1f},{y(d):.1f}" for m, d in fitted)
        parts.append(f'<polyline points="{line}" fill="none" stroke-width="2.5" stroke-dasharray="8 5" class="s-ink"/>')
    parts += [f'<circle cx="{x(m):.1f}" cy="{y(t):.1f}" r="4" class="c-open"/>' for m, t in overlay[:400]]
    done = f"from {begin:.0f} minutes" + (f" to {end:.0f}" if end is not None else " on")
    notes = (" Rings are the probe’s readings." if overlay else "") + (" Dashed: the oven read from them." if fitted else "")
    label = f"Core and surface temperature over minutes; done {done}.{notes}"
    return Markup('<svg viewBox="0 0 {} {}" role="img" aria-label="{}">').format(WIDE, TALL, label) + Markup("".join(parts)) + Markup("</svg>")


def ready_picture(ready: Sequence[tuple[float, float]], window_min: tuple[float, float], out_min: Sequence[float] = ()) -> Markup:
    """Of 100 readers' kitchens, how many find it done at each minute; the minutes to print as a band; the conclusion is the title.

    out_min, when it really came out: rings along the foot, so that kitchens and sum are seen side by side.
    """
    if len(ready) < 2:
        return Markup()
    first, last = min([ready[0][0], *(0.9 * m for m in out_min)]), max([ready[-1][0], *(1.05 * m for m in out_min)])
    floor = READY_TALL - FOOT

    def x(minute: float) -> float:
        return LEFT + (WIDE - LEFT - 10) * (min(max(minute, first), last) - first) / (last - first)

    def y(share: float) -> float:
        return floor - (floor - TOP) * share

    a, b = x(window_min[0]), x(window_min[1])
    parts = [f'<rect x="{a:.1f}" y="{TOP}" width="{max(b - a, 2):.1f}" height="{floor - TOP}" class="c-wash"/>']
    for level in (0.0, 0.5, 1.0):
        parts.append(f'<line x1="{LEFT}" x2="{WIDE - 10}" y1="{y(level):.1f}" y2="{y(level):.1f}" class="s-hair"/>')
        parts.append(f'<text x="{LEFT - 8}" y="{y(level) + 5:.1f}" text-anchor="end" class="t-soft" font-size="15">{100 * level:.0f}</text>')
    step = next(s for s in (1, 2, 5, 10, 20, 30, 60, 120, 300, 600, 1500) if (last - first) / s <= 8)
    for minute in range(step * (int(first) // step + 1), int(last) + 1, step):
        parts.append(f'<text x="{x(minute):.1f}" y="{READY_TALL - 8}" text-anchor="middle" class="t-soft" font-size="15">{minute}</text>')
    line = " ".join(f"{x(m):.1f},{y(s):.1f}" for m, s in ready)
    parts.append(f'<polyline points="{line}" fill="none" stroke-width="4" class="s-enamel"/>')
    parts += [f'<circle cx="{x(m):.1f}" cy="{floor:.1f}" r="6" class="c-open"/>' for m in out_min]
    best, most = max(ready, key=lambda r: r[1])
    label = f"At {best:.0f} minutes {100 * most:.0f} of 100 readers’ kitchens find it done, the most at any one minute."
    if out_min:
        label += f" It really came out after {', '.join(f'{m:g}' for m in sorted(out_min))} minutes: rings."
    return Markup('<svg viewBox="0 0 {} {}" role="img" aria-label="{}">').format(WIDE, READY_TALL, label) + Markup("".join(parts)) + Markup("</svg>")


def ready_words(ready: Sequence[tuple[float, float]]) -> str:
    """What the second picture concludes."""
    minute, share = max(ready, key=lambda r: r[1])
    if share >= NEARLY_ALL:
        first = next(m for m, s in ready if s >= NEARLY_ALL)
        return f"By {first:.0f} min it is done in nearly all readers’ kitchens."
    return f"No one minute suits everybody: at {minute:.0f} min it is done in {100 * share:.0f} of 100 readers’ kitchens."
