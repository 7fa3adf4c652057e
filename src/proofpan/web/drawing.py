"""Pictures in a page: drawn with attributes alone, as the page's policy allows no inline style; colours come from the sheet by class."""

from __future__ import annotations

from markupsafe import Markup, escape

from proofpan.study.verdict import Answer, Interaction, Verdict

WIDE, TALL = 312, 84
HATCH = Markup(
    '<defs><pattern id="{0}" width="7" height="7" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
    '<line x1="0" y1="0" x2="0" y2="7" class="c-hatch" stroke-width="3"/></pattern></defs>'
)


def verdict_charts(verdict: Verdict) -> dict[str, Markup]:
    """Every picture of a verdict by its place."""
    out = {f"answer {i}": asked(a, verdict.worth, f"h{i}") for i, a in enumerate(verdict.answers)}
    out |= {f"pair {i}": crossing(p) for i, p in enumerate(verdict.interactions) if p.points}
    row = next((r for r in verdict.rows if r.version == verdict.publish.version), None)
    if row is not None and row.odds_publish is not None:
        out["crackers"] = hundred(row.odds_publish, row.odds_within_worth or 0.0)
    return out


def hundred(best: float, within: float) -> Markup:
    """A hundred crackers in five rows: filled = best, ringed = within worth, crumb = neither."""
    filled, ringed = round(100 * best), max(round(100 * best), round(100 * within))
    dots = []
    for n in range(100):
        x, y = 8 + 15.6 * (n // 5), 8 + 15.6 * (n % 5)
        if n < filled:
            dots.append(f'<circle cx="{x:.1f}" cy="{y:.1f}" r="5.5" class="c-enamel"/>')
        elif n < ringed:
            dots.append(
                f'<circle cx="{x:.1f}" cy="{y:.1f}" r="5" class="c-ring"/><circle cx="{x:.1f}" cy="{y:.1f}" r="1.8" class="c-enamel"/>'
            )
        else:
            dots.append(f'<circle cx="{x:.1f}" cy="{y:.1f}" r="1.6" class="c-soft"/>')
    says = f"{filled} of 100 filled, {ringed} of 100 ringed or filled."
    return Markup('<svg viewBox="0 0 312 78" role="img" aria-label="{}">').format(says) + Markup("".join(dots)) + Markup("</svg>")


def asked(answer: Answer, worth: float, name: str) -> Markup:
    """A difference on a rule with 0; what is asked sets the hatch, the answer sets the mark."""
    row = answer.row
    bar = row.worth or worth
    ends = [row.low, row.high, -bar, bar, row.price, 0.0]
    pad = 0.12 * (max(ends) - min(ends))
    low, high = min(ends) - pad, max(ends) + pad

    def x(value: float) -> float:
        return (value - low) / (high - low) * WIDE

    if row.asks == "best":
        band = (-bar, bar)
    elif row.asks == "worth it":
        band = (low, row.price or bar)
    else:
        band = (low, -bar)
    parts = [
        HATCH.format(name),
        Markup('<rect x="{:.1f}" y="2" width="{:.1f}" height="36" fill="url(#{})"/>').format(x(band[0]), x(band[1]) - x(band[0]), name),
    ]
    parts.append(Markup('<line x1="{0:.1f}" x2="{0:.1f}" y1="2" y2="38" class="s-ink" stroke-width="1"/>').format(x(0)))
    if row.asks != "best":
        parts.append(Markup('<line x1="{0:.1f}" x2="{0:.1f}" y1="2" y2="38" class="s-ink" stroke-width="2.5"/>').format(x(band[1])))
    parts.append(Markup('<line x1="0" x2="{}" y1="38" y2="38" class="s-ink" stroke-width="1.5"/>').format(WIDE))
    parts.append(_interval(x(row.low), x(row.high), x(row.difference), "yes" if row.yes else "no" if row.settled else "unsettled"))
    step = next(s for s in (0.5, 1, 2, 5, 10, 20, 50) if (high - low) / s <= 5)
    mark = step * round(low / step)
    while mark <= high:
        if low <= mark <= high:
            words = "0" if abs(mark) < 1e-9 else f"{mark:+g}".replace("-", "−")
            parts.append(
                Markup('<text x="{:.1f}" y="56" text-anchor="middle" class="t-soft">{}</text>').format(
                    min(max(x(mark), 12), WIDE - 12), words
                )
            )
        mark += step
    left, right = _sides(answer)
    parts.append(
        Markup('<text x="0" y="76" class="t-soft">← {}</text><text x="{}" y="76" text-anchor="end" class="t-soft">{} →</text>').format(
            left, WIDE, right
        )
    )
    says = f"{answer.numbers} {answer.outcome}."
    return (
        Markup('<svg viewBox="0 0 {} {}" role="img" aria-label="{}">').format(WIDE, TALL, says) + Markup("").join(parts) + Markup("</svg>")
    )


def _sides(answer: Answer) -> tuple[str, str]:
    row = answer.row
    if row.asks == "best":
        return _short(row.against), f"{_short(row.option)} better"
    if row.asks == "worth it":
        return "does harm", "earns"
    return f"{_short(row.option)} worse", "better"


def _short(text: str) -> str:
    return text if len(text) <= 16 else text[:15] + "…"


def _interval(low: float, high: float, middle: float, kind: str) -> Markup:
    if kind == "yes":
        return Markup(
            '<rect x="{:.1f}" y="15" width="{:.1f}" height="10" class="c-enamel"/><circle cx="{:.1f}" cy="20" r="9" class="c-enamel c-rim"/>'
        ).format(low, high - low, middle)
    if kind == "no":
        return Markup(
            '<rect x="{:.1f}" y="14" width="{:.1f}" height="12" class="c-open"/><circle cx="{:.1f}" cy="20" r="9" class="c-open"/>'
        ).format(low, high - low, middle)
    return Markup(
        '<line x1="{0:.1f}" x2="{1:.1f}" y1="20" y2="20" class="s-ink" stroke-width="3" stroke-dasharray="8 6"/>'
        '<line x1="{0:.1f}" x2="{0:.1f}" y1="12" y2="28" class="s-ink" stroke-width="3"/>'
        '<line x1="{1:.1f}" x2="{1:.1f}" y1="12" y2="28" class="s-ink" stroke-width="3"/>'
        '<rect x="{3:.1f}" y="8" width="16" height="24" class="c-paper"/><text x="{2:.1f}" y="27" text-anchor="middle" class="t-mark">?</text>'
    ).format(low, high, middle, middle - 8)


def crossing(pair: Interaction) -> Markup:
    """Scores by one factor, a line for each option of the other, its interval nudged apart."""
    firsts = list(dict.fromkeys(p[0] for p in pair.points))
    seconds = list(dict.fromkeys(p[1] for p in pair.points))
    low, high = min(p[3] for p in pair.points), max(p[4] for p in pair.points)
    span = (high - low) or 1.0

    def y(value: float) -> float:
        return 200 - (value - low) / span * 180

    def x(which: int) -> float:
        return 90 + which * (360 / max(1, len(seconds) - 1))

    parts: list[Markup] = []
    for n, first in enumerate(firsts):
        style = ("s-enamel", "c-enamel", "") if n == 0 else ("s-ink", "c-open", "8 6" if n == 1 else "2 5")
        at = {p[1]: p for p in pair.points if p[0] == first}
        nudge = 7 * (n - (len(firsts) - 1) / 2) * 2
        here = [(x(i) + nudge, at[s]) for i, s in enumerate(seconds) if s in at]
        path = " ".join(f"{cx:.1f},{y(p[2]):.1f}" for cx, p in here)
        parts.append(
            Markup('<polyline points="{}" class="{}" fill="none" stroke-width="3" stroke-dasharray="{}"/>').format(path, style[0], style[2])
        )
        for cx, p in here:
            parts.append(
                Markup('<line x1="{0:.1f}" x2="{0:.1f}" y1="{1:.1f}" y2="{2:.1f}" class="{3}" stroke-width="3"/>').format(
                    cx, y(p[3]), y(p[4]), style[0]
                )
            )
            parts.append(Markup('<circle cx="{:.1f}" cy="{:.1f}" r="8" class="{}"/>').format(cx, y(p[2]), style[1]))
        if here:
            parts.append(
                Markup('<text x="{:.1f}" y="{:.1f}" class="t-bold">{}, {:.1f}</text>').format(
                    here[-1][0] + 18, y(here[-1][1][2]) + 5, first, here[-1][1][2]
                )
            )
    parts += [Markup('<text x="{:.1f}" y="232" text-anchor="middle">{}</text>').format(x(i), s) for i, s in enumerate(seconds)]
    return (
        Markup('<svg viewBox="0 0 640 240" role="img" aria-label="{}">').format(escape(pair.says))
        + Markup("").join(parts)
        + Markup("</svg>")
    )
