"""Pictures as SVG: one ink and one accent, the conclusion in the title, a table behind each. Decides nothing."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from html import escape
from itertools import product
from textwrap import wrap

from proofpan.publish.phrases import PHRASES
from proofpan.study.verdict import NO_WORDS, YES_WORDS, Answer, Interaction, VersionRow
from proofpan.study.wording import figure, say
from proofpan.study.words import capital, option_words, version_words

INK, SOFT, ENAMEL, HATCH, PAPER = ("var(--ink, #17191b)", "var(--ink-soft, #474c50)", "var(--enamel, #1746a2)", "var(--hatch, #a9aea9)",
                                   "var(--paper, #fcfcf9)")
FONT = "font-family=\"'Atkinson Hyperlegible Next', system-ui, sans-serif\""
WIDE, NARROW, SLIM = 440, 340, 480


def svg_picture(width: float, height: float, title: str, description: str, body: str) -> str:
    """An SVG as wide as its place up to `width`, with what it shows as title and description."""
    return (f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:g} {height:g}" role="img" aria-label="{escape(title, quote=True)}" '
            f'width="100%" style="max-width:{width:g}px"><title>{escape(title)}</title><desc>{escape(description)}</desc>{body}</svg>')


def words_at(x: float, y: float, words: str, *, anchor: str = "middle", size: float = 14, fill: str = INK, bold: bool = False) -> str:
    """Words in a picture, at a point of its baseline."""
    weight = ' font-weight="700"' if bold else ""
    return f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}" font-size="{size:g}" fill="{fill}" {FONT}{weight}>{escape(words)}</text>'


def mark(outcome: str) -> str:
    """The mark of an answer as a small SVG: filled dot yes, ring no, a question mark where it isn't settled."""
    if outcome in YES_WORDS:
        body = f'<circle cx="8" cy="8" r="7" fill="{ENAMEL}"/>'
    elif outcome in NO_WORDS:
        body = f'<circle cx="8" cy="8" r="6" fill="{PAPER}" stroke="{INK}" stroke-width="2"/>'
    else:
        body = words_at(8, 14, "?", size=17, bold=True)
    return f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 16 16" width="16" height="16" aria-hidden="true">{body}</svg>'


def difference(answer: Answer, *, name: str = "d", width: float = WIDE) -> str:
    """A rule with 0, its sides named; what is asked sets the hatch, the answer sets the mark."""
    row = answer.row
    bar = {"best": row.worth, "worth it": row.price, "good enough": -row.worth}[row.asks]
    reach = max(abs(row.low), abs(row.high), abs(bar) * 1.6, 0.5) * 1.12
    left, right, top = 10.0, width - 10.0, 8.0

    def x(value: float) -> float:
        return left + (value + reach) / (2 * reach) * (right - left)

    ends = (-row.worth, row.worth) if row.asks == "best" else (-reach, bar)
    parts = [
        f'<defs><pattern id="{name}" width="7" height="7" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
        f'<line x1="0" y1="0" x2="0" y2="7" stroke="{HATCH}" stroke-width="3"/></pattern></defs>',
        f'<rect x="{x(ends[0]):.1f}" y="{top}" width="{x(ends[1]) - x(ends[0]):.1f}" height="30" fill="url(#{name})"/>',
        f'<line x1="{x(0):.1f}" x2="{x(0):.1f}" y1="{top}" y2="{top + 34}" stroke="{INK}"/>',
        f'<line x1="{left}" x2="{right}" y1="{top + 34}" y2="{top + 34}" stroke="{INK}"/>',
    ]
    if row.asks != "best":
        parts.append(f'<line x1="{x(bar):.1f}" x2="{x(bar):.1f}" y1="{top}" y2="{top + 30}" stroke="{INK}" stroke-width="2.5"/>')
    parts.append(_interval(x(row.low), x(row.high), x(row.difference), top + 15, row.outcome))
    step = next(s for s in (0.25, 0.5, 1, 2, 5, 10, 20, 50, 100, 1000) if reach / s <= 3.5)
    ticks = [k * step for k in range(-4, 5) if abs(k * step) <= reach]
    parts += [words_at(x(t), top + 50, figure(t, "+g").replace("-", "−") if t else "0", size=13, fill=SOFT) for t in ticks]
    one, other = option_words(row.factor, row.option), option_words(row.factor, row.against)
    sides = _sides(row.asks, one, other)
    fits = (len(sides[0]) + len(sides[1])) * 6.6 + 50 < right - left
    lower = top + (68 if fits else 86)
    longest = int((right - left - 20) / 6.6)
    parts += [_arrow(left, top + 64, -1), words_at(left + 16, top + 68, _cut(sides[0], longest), anchor="start", size=13, fill=SOFT),
              _arrow(right, lower - 4, 1), words_at(right - 16, lower, _cut(sides[1], longest), anchor="end", size=13, fill=SOFT)]
    said = say("{difference:.2f} ({low:.2f} to {high:.2f}), {outcome}", difference=row.difference, low=row.low, high=row.high, outcome=say(row.outcome))
    return svg_picture(width, lower + 6, answer.headline, said, "".join(parts))


def _sides(asks: str, one: str, other: str) -> tuple[str, str]:
    """What stands at the left end of the rule and at the right."""
    if asks == "worth it":
        return say("{option} harms", option=one), say("{option} earns", option=one)
    if asks == "best":
        return say("{option} better", option=other), say("{option} better", option=one)
    return say("{option} worse", option=one), say("{option} better", option=one)


def _arrow(x: float, y: float, way: int) -> str:
    """A small arrow whose head stands at x; drawn, because not every font holds one."""
    return f'<path d="M{x - way * 12:g} {y:g}H{x:g}m{-way * 4} -4l{way * 4} 4l{-way * 4} 4" fill="none" stroke="{SOFT}" stroke-width="1.3"/>'


def _cut(words: str, longest: int = 30) -> str:
    return words if len(words) <= longest else words[: longest - 1] + "…"


def _interval(low: float, high: float, middle: float, y: float, outcome: str) -> str:
    if outcome in YES_WORDS:
        return (f'<rect x="{low:.1f}" y="{y - 4}" width="{high - low:.1f}" height="8" fill="{ENAMEL}"/>'
                f'<circle cx="{middle:.1f}" cy="{y}" r="8" fill="{ENAMEL}" stroke="{PAPER}" stroke-width="2"/>')
    if outcome in NO_WORDS:
        return (f'<rect x="{low:.1f}" y="{y - 5}" width="{high - low:.1f}" height="10" fill="{PAPER}" stroke="{INK}" stroke-width="2"/>'
                f'<circle cx="{middle:.1f}" cy="{y}" r="7" fill="{PAPER}" stroke="{INK}" stroke-width="2.5"/>')
    ends = "".join(f'<line x1="{e:.1f}" x2="{e:.1f}" y1="{y - 7}" y2="{y + 7}" stroke="{INK}" stroke-width="3"/>' for e in (low, high))
    return (f'<line x1="{low:.1f}" x2="{high:.1f}" y1="{y}" y2="{y}" stroke="{INK}" stroke-width="3" stroke-dasharray="9 6"/>{ends}'
            f'<rect x="{middle - 9:.1f}" y="{y - 10}" width="18" height="20" fill="{PAPER}"/>{words_at(middle, y + 6, "?", size=18, bold=True)}')


def _counts(best: float, within: float) -> tuple[int, int]:
    """(filled, filled or ringed) of a hundred."""
    filled = round(100 * best)
    return filled, max(filled, round(100 * within))


def hundred_title(best: float, within: float) -> str:
    """What the hundred dots show."""
    filled, ringed = _counts(best, within)
    return PHRASES["odds_title"].format(best=filled, within=ringed)


def score_title(rows: Sequence[VersionRow], most: int = 12) -> str:
    """What the lines of the versions show: the likeliest, and how many share the rest."""
    shown = [r for r in rows if not r.benchmark]
    if not shown:
        return ""
    first = max(shown, key=lambda r: r.odds_publish or 0)
    rest = len(shown) - min(most, len(shown))
    return PHRASES["share" if rest else "likeliest"].format(version=capital(version_words(first.version)), rest=rest)


def hundred(best: float, within: float) -> str:
    """A hundred crackers in five rows: filled = the best, ringed = within `worth`, crumb = neither."""
    filled, ringed = _counts(best, within)
    dots = []
    for n in range(100):
        x, y = 9 + 15 * (n // 5), 9 + 15 * (n % 5)
        if n < filled:
            dots.append(f'<circle cx="{x}" cy="{y}" r="5.5" fill="{ENAMEL}"/>')
        elif n < ringed:
            dots.append(f'<circle cx="{x}" cy="{y}" r="4.8" fill="none" stroke="{ENAMEL}" stroke-width="1.6"/><circle cx="{x}" cy="{y}" r="1.6" '
                        f'fill="{ENAMEL}"/>')
        else:
            dots.append(f'<circle cx="{x}" cy="{y}" r="1.3" fill="{SOFT}"/>')
    title = hundred_title(best, within)
    return svg_picture(304, 78, title, title, "".join(dots))


def interaction(pair: Interaction, *, width: float = WIDE) -> str:
    """Crossing lines; the option told by dash and fill and named at its end, intervals nudged apart."""
    if len(pair.points) != 4:
        return ""
    lows, highs = min(p[3] for p in pair.points), max(p[4] for p in pair.points)
    span = max(highs - lows, 0.5)
    height, left, right = 230.0, 60.0, width - 150.0

    def y(value: float) -> float:
        return 12 + (highs + 0.06 * span - value) / (span * 1.12) * (height - 52)

    wheres = list(dict.fromkeys(p[1] for p in pair.points))
    parts = [words_at(left if i == 0 else right, height - 8, _cut(w, 26), size=14, fill=SOFT) for i, w in enumerate(wheres)]
    whole = [v for v in range(int(lows) - 1, int(highs) + 2) if lows <= v <= highs][:6]
    parts += [f'<line x1="{left - 30}" x2="{right + 20}" y1="{y(v):.1f}" y2="{y(v):.1f}" stroke="{HATCH}" '
              'stroke-width=".8"/>'
              + words_at(left - 36, y(v) + 5, str(v), anchor="end", size=13, fill=SOFT) for v in whole]
    for k, option in enumerate(dict.fromkeys(p[0] for p in pair.points)):
        ink, nudge = (ENAMEL, 5.0) if k else (INK, -5.0)
        own = [p for p in pair.points if p[0] == option]
        xs = [left + nudge, right + nudge]
        dash = "" if k else ' stroke-dasharray="6 5"'
        parts.append(f'<line x1="{xs[0]}" y1="{y(own[0][2]):.1f}" x2="{xs[1]}" y2="{y(own[1][2]):.1f}" stroke="{ink}" '
                     f'stroke-width="2.2"{dash}/>')
        for x, p in zip(xs, own, strict=True):
            fill = ink if k else PAPER
            parts.append(f'<line x1="{x}" x2="{x}" y1="{y(p[3]):.1f}" y2="{y(p[4]):.1f}" stroke="{ink}" stroke-width="2.2"/>'
                         f'<circle cx="{x}" cy="{y(p[2]):.1f}" r="6.5" fill="{fill}" stroke="{ink}" stroke-width="2.2"/>')
        parts.append(words_at(right + 18, y(own[1][2]) + 5, f"{_cut(option, 16)}, {figure(own[1][2], '.1f')}", anchor="start", fill=ink, bold=bool(k)))
    return svg_picture(width, height, pair.headline, pair.says, "".join(parts))


def score_lines(rows: Sequence[VersionRow], *, most: int = 12, width: float = 640) -> str:
    """The likeliest versions: line = 95 %, filled dot cooked, open dot not cooked yet, odds in figures; names stand whole."""
    shown = sorted((r for r in rows if not r.benchmark), key=lambda r: -(r.odds_publish or 0))[:most]
    if not shown:
        return ""
    low, high = min(r.low for r in shown), max(r.high for r in shown)
    slim = width < SLIM
    left, right = (6.0 if slim else width * 0.52), width - 50.0
    longest = int((width if slim else width * 0.5) / 7.2)

    def x(value: float) -> float:
        return left + (value - low) / max(high - low, 1e-9) * (right - left)

    parts, top = [], 4.0
    for i, r in enumerate(shown):
        first = i == 0
        ink = ENAMEL if first else INK
        lines = wrap(version_words(r.version), longest)
        tall = 18.0 * len(lines)
        y = top + tall + 9 if slim else top + max(tall, 20) / 2
        for n, words in enumerate(lines):
            at = (6.0, top + 14 + 18 * n, "start") if slim else (width * 0.5, y + 5 + 18 * (n - (len(lines) - 1) / 2), "end")
            parts.append(words_at(at[0], at[1], words, anchor=at[2], size=14, bold=first))
        parts.append(f'<line x1="{x(r.low):.1f}" x2="{x(r.high):.1f}" y1="{y}" y2="{y}" stroke="{ink}" stroke-width="2"/>'
                     f'<circle cx="{x(r.score):.1f}" cy="{y}" r="6" fill="{ink if r.cooked else PAPER}" stroke="{ink}" stroke-width="2"/>'
                     + words_at(width - 6, y + 5, odds_figure(r.odds_publish or 0), anchor="end", size=14, bold=first))
        top += tall + 24 if slim else max(tall, 20) + 8
    return svg_picture(width, top + 4, score_title(rows, most), say("Odds of being the best to print, in 100, at the right."), "".join(parts))


def odds_figure(value: float) -> str:
    """Odds in 100 as a figure; below one “<1”."""
    count = round(100 * value)
    return "<1" if count < 1 else str(count)


MOST_IN_A_GRID = 36


def versions_grid(
    rows: Sequence[VersionRow], factors: Sequence[tuple[str, Sequence[str]]], *, trays: str = "",
    coming: Sequence[Mapping[str, str]] = (), width: float = 640,
) -> str:
    """Every version in its place up to 36 of them: odds in figures, the score line beneath; beyond that the likeliest twelve.

    Parameters: factors, (name, its options); trays, the factor of the load, a tray each of its options; coming, the next trials' versions.
    """
    shown = {frozenset(r.version.items()): r for r in rows if not r.benchmark}
    if not shown:
        return ""
    if len(shown) > MOST_IN_A_GRID:
        return _likeliest_and_rest(list(shown.values()), width)
    by_tray = [(n, o) for n, o in factors if n == trays]
    rest = sorted((f for f in factors if f[0] != trays), key=lambda f: -len(f[1]))
    across, down = rest[:1], rest[1:]
    if width >= SLIM and len(rest) > 2:
        across, down = [rest[0], rest[-1]], rest[1:-1]
    columns, lines = _combined(across), _combined(down)
    low, high = min(r.low for r in shown.values()), max(r.high for r in shown.values())
    ringed = {frozenset(v.items()) for v in coming}
    side = min(150.0, width * 0.28)
    cell = (width - side - 4) / max(len(columns), 1)
    top, parts = 4.0, []
    for tray in _combined(by_tray):
        if tray:
            parts.append(words_at(4, top + 16, version_words(tray), anchor="start", size=15, bold=True))
            top += 24
        heads = [wrap(version_words(c), max(8, int(cell / 7))) for c in columns]
        for n, head in enumerate(heads):
            for k, words in enumerate(head):
                parts.append(words_at(side + cell * (n + 0.5), top + 13 + 15 * k, words, size=13, fill=SOFT))
        top += 6 + 15 * max(len(h) for h in heads)
        for line in lines:
            for k, words in enumerate(wrap(version_words(line), max(10, int(side / 6.8)))[:3]):
                parts.append(words_at(4, top + 18 + 15 * k, words, anchor="start", size=13, fill=SOFT))
            for n, column in enumerate(columns):
                key = frozenset({**tray, **line, **column}.items())
                if key in shown:
                    parts.append(_cell(shown[key], side + cell * n, top, cell, (low, high), key in ringed))
            top += 62
        parts.append(f'<line x1="4" x2="{width - 4:g}" y1="{top - 2:g}" y2="{top - 2:g}" stroke="{INK}"/>')
        top += 12
    best = max(shown.values(), key=lambda r: r.odds_publish or 0)
    title = say("{version} is likeliest, {odds} in 100", version=version_words(best.version), odds=odds_figure(best.odds_publish or 0))
    return svg_picture(width, top, title, say("Odds of being the best to print, in 100; the line is the score. Ringed: cooked next."), "".join(parts))


def _combined(factors: Sequence[tuple[str, Sequence[str]]]) -> list[dict[str, str]]:
    return [dict(zip((n for n, _ in factors), options, strict=True)) for options in product(*(o for _, o in factors))]


def _cell(row: VersionRow, left: float, top: float, wide: float, scale: tuple[float, float], next_up: bool) -> str:
    low, high = scale

    def x(value: float) -> float:
        return left + 12 + (value - low) / max(high - low, 1e-9) * (wide - 24)

    count = odds_figure(row.odds_publish or 0)
    parts = [words_at(left + wide / 2, top + 20, count, size=17, bold=(row.odds_publish or 0) >= 0.1),
             f'<line x1="{x(row.low):.1f}" x2="{x(row.high):.1f}" y1="{top + 33:g}" y2="{top + 33:g}" stroke="{INK}" stroke-width="2"/>',
             f'<circle cx="{x(row.score):.1f}" cy="{top + 33:g}" r="4.5" fill="{INK if row.cooked else PAPER}" stroke="{INK}" '
             'stroke-width="1.8"/>']
    if next_up:
        parts.append(f'<rect x="{left + 3:.1f}" y="{top + 1:g}" width="{wide - 6:.1f}" height="56" rx="14" fill="none" stroke="{ENAMEL}" '
                     f'stroke-width="2.5"/>' + words_at(left + wide / 2, top + 51, say("next"), size=13, fill=ENAMEL, bold=True))
    return "".join(parts)


def _likeliest_and_rest(rows: Sequence[VersionRow], width: float) -> str:
    """The likeliest dozen as lines, with what the others hold together beneath."""
    drawn = score_lines(rows, width=width)
    first = sorted((r.odds_publish or 0 for r in rows), reverse=True)
    tall = float(drawn.split('viewBox="', 1)[1].split('"', 1)[0].split()[3])
    words = say("the other {number} together: {odds} in 100", number=len(rows) - 12, odds=odds_figure(max(0.0, 1 - sum(first[:12]))))
    grown = drawn.replace(f'viewBox="0 0 {width:g} {tall:g}"', f'viewBox="0 0 {width:g} {tall + 26:g}"', 1)
    return grown.removesuffix("</svg>") + words_at(6, tall + 14, words, anchor="start", size=14, fill=SOFT) + "</svg>"
