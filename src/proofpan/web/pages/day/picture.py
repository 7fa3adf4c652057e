"""The picture of the day: its lanes drawn, as wide as its words ask for, with the clock above and a line at now."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from markupsafe import Markup

from proofpan.study.day import DayPlan, moment_words
from proofpan.study.wording import spoken
from proofpan.web.pages.day.lanes import CHARACTER, RIMS, Bar, bars_of, hours, of_the_day, words_on

LEFT, LANE, TOP, NOW_HALF = 130, 50, 32, 48     # how wide the names are, how tall a lane, where the first begins, half the words at now
WIDTHS = {1300: "lanes", 1885: "lanes long", 2470: "lanes longest"}
SILENT = 0.1        # where more bars than this have no room for a word, the picture grows wider and is scrolled
STEPS = (15, 30, 60, 120, 240, 480, 1440, 2880, 4320, 10_080)


@dataclass(frozen=True)
class Scale:
    """Where a moment lies: the first moment, minutes from it to the last, the width with the names."""

    first: datetime
    span: float
    wide: int

    def x(self, moment: datetime) -> float:
        """A moment's place from the left."""
        return LEFT + (moment - self.first) / timedelta(minutes=1) / self.span * (self.wide - LEFT)


def lanes_of(plan: DayPlan, done: frozenset[str] = frozenset(), now: datetime | None = None) -> Markup:
    """The picture: solid edge = hands busy, hatch = waiting, slope = heating; what is done is grey, what is in hand is marked.

    What is tasted days later is left out: the run sheet has it.
    """
    lanes = bars_of(of_the_day(plan), done)
    every = [b for _, bars in lanes for b in bars]
    if not every:
        return Markup("")
    first, last = min(b.start for b in every), max(b.end for b in every)
    span = max(1.0, (last - first) / timedelta(minutes=1))
    scale = fitting(lanes, first, span)
    tall = TOP + LANE * len(lanes)
    parts = [
        Markup(
            '<defs><pattern id="wait" width="7" height="7" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
            '<line x1="0" y1="0" x2="0" y2="7" class="s-hatch" stroke-width="3"/></pattern></defs>'
        ),
        *_marks(scale, tall, now),
    ]
    for i, (_, bars) in enumerate(lanes):
        y = TOP + i * LANE
        parts.append(Markup('<line x1="{}" x2="{}" y1="{}" y2="{}" class="{}"/>').format(LEFT, scale.wide, y, y, "s-hair" if i else "s-ink"))
        parts += [_bar(bar, scale, y, free) for bar, free in zip(bars, _free(bars, scale), strict=True)]
    if now is not None and first - timedelta(minutes=30) <= now <= last:
        parts.append(_now(max(LEFT, scale.x(now)), tall, now, scale.wide))
    label = "The day in lanes; the run sheet below says the same."
    at = Markup(' data-first="{}" data-span="{}" data-wide="{}"').format(f"{first:%Y-%m-%dT%H:%M}", f"{span:g}", scale.wide) if now is not None else Markup("")
    drawn = Markup('<svg viewBox="{} 0 {} {}" role="img" aria-label="{}"{}>{}</svg>').format(
        LEFT, scale.wide - LEFT, tall + 4, label, at, Markup("").join(parts))
    return Markup('<div class="{}">{}{}</div>').format(WIDTHS[scale.wide], _names([name for name, _ in lanes], tall), drawn)


def fitting(lanes: Sequence[tuple[str, list[Bar]]], first: datetime, span: float) -> Scale:
    """The narrowest scale on which nearly every bar has room for its words; of several days the usual one, for no width would do."""
    for wide in WIDTHS:
        scale = Scale(first, span, wide)
        bars = [(bar, free) for _, found in lanes for bar, free in zip(found, _free(found, scale), strict=True) if not bar.slope]
        silent = sum(not says(words_on(bar, _width(bar, scale), free[1] - scale.x(bar.end))[0], bar) for bar, free in bars)
        if silent <= SILENT * len(bars) or span >= 1440:
            break
    return scale if span < 1440 else Scale(first, span, min(WIDTHS))


def says(lines: tuple[str, ...], bar: Bar) -> bool:
    """Whether a bar's words say what is done, and not its trials alone or a part of a word."""
    return bool(lines) and lines in ((bar.words,), (bar.short,), bar.lines)


def _free(bars: Sequence[Bar], scale: Scale) -> list[tuple[float, float]]:
    """For each bar of a lane where the one before it ends and the next one begins."""
    befores, afters = [float(LEFT), *(scale.x(b.end) for b in bars[:-1])], [*(scale.x(b.start) for b in bars[1:]), float(scale.wide)]
    return list(zip(befores, afters, strict=True))


def _width(bar: Bar, scale: Scale) -> float:
    return max(3.0, scale.x(bar.end) - scale.x(bar.start) - 2)


def _names(names: Sequence[str], tall: int) -> Markup:
    """The lanes' names, which stand apart, so that they stay where the lanes are scrolled."""
    line = Markup('<line x1="0" x2="{}" y1="{}" y2="{}" class="{}"/><text x="0" y="{}" class="t-lane">{}</text>')
    drawn = [line.format(LEFT, TOP + i * LANE, TOP + i * LANE, "s-hair" if i else "s-ink", TOP + i * LANE + 31, name[:14]) for i, name in enumerate(names)]
    return Markup('<svg class="names" viewBox="0 0 {} {}" aria-hidden="true">{}</svg>').format(LEFT, tall + 4, Markup("").join(drawn))


def _marks(scale: Scale, tall: int, now: datetime | None) -> list[Markup]:
    """Hair lines at round clock times, as many as have room for their words; over days, the days."""
    def words_at(moment: datetime, step: int) -> str:
        if step >= 1440:
            return f"{spoken().weekday(moment, short=True)} {moment.day}"
        return moment_words(moment, int(scale.span // 1440)) if scale.span >= 2880 else hours(moment)

    room = (scale.wide - LEFT) / scale.span
    step = next((s for s in STEPS if s * room >= CHARACTER * len(words_at(scale.first, s)) + 2 * RIMS), STEPS[-1])
    midnight = datetime(scale.first.year, scale.first.month, scale.first.day)
    at = midnight + timedelta(minutes=-(-int((scale.first - midnight) / timedelta(minutes=1)) // step) * step)
    line = Markup('<line x1="{0:.1f}" x2="{0:.1f}" y1="{1}" y2="{2}" class="s-hair"/><text x="{4:.1f}" y="18" text-anchor="{5}" class="t-soft">{3}</text>')
    out = []
    while at <= scale.first + timedelta(minutes=scale.span):
        words, x = words_at(at, step), scale.x(at)
        if now is not None and abs(max(scale.x(now), LEFT + NOW_HALF) - x) < NOW_HALF + CHARACTER * len(words) / 2:
            words = ""      # the words at now stand there
        out.append(line.format(x, TOP - 4, tall, words, *_kept_inside(x, words, scale.wide)))
        at += timedelta(minutes=step)
    return out


def _kept_inside(at: float, words: str, wide: int) -> tuple[float, str]:
    """Where a mark's words stand, and by which end: the first and the last mark's would run out of the picture."""
    half = CHARACTER * len(words) / 2
    return (float(wide), "end") if at + half > wide else (float(LEFT), "start") if at - half < LEFT else (at, "middle")


def _bar(bar: Bar, scale: Scale, y: int, free: tuple[float, float]) -> Markup:
    """A bar with its words. Parameters: y, its lane; free, where the bar before it ends and the next begins."""
    left, width = scale.x(bar.start) + 1, _width(bar, scale)
    days = (bar.end.date() - bar.start.date()).days
    title = Markup("<title>{} to {}: {}</title>").format(moment_words(bar.start, days), moment_words(bar.end, days), bar.words)
    if bar.slope:
        shape = Markup('<path d="M{0:.1f} {1} L{2:.1f} {3} L{2:.1f} {1} Z" class="bar" stroke-width="1.5"/>').format(left, y + LANE - 5, left + width, y + 8)
        stands = (left - 4, y + 34, "end") if left - free[0] >= CHARACTER * len(bar.words) + RIMS else (left, y + 18, "start")
        words = Markup('<text x="{:.1f}" y="{}" text-anchor="{}">{}</text>').format(*stands, bar.words)
        return Markup("<g>{}{}{}</g>").format(title, shape, words)
    lines, inside = words_on(bar, width, free[1] - scale.x(bar.end))
    at = left + RIMS / 2 + 1 if inside else left + width + RIMS / 2
    ys = (y + 22, y + 38) if len(lines) > 1 else (y + 30,)
    words = Markup("").join(Markup('<text x="{:.1f}" y="{}">{}</text>').format(at, line_y, line) for line_y, line in zip(ys, lines, strict=False))
    return Markup(
        '<g>{}<rect x="{:.1f}" y="{}" width="{:.1f}" height="{}" class="{}" stroke-width="1.5"/>{}</g>'
    ).format(title, left, y + 5, width, LANE - 10, bar.look.strip(), words)


def _now(at: float, tall: int, now: datetime, wide: int) -> Markup:
    """The line at now, and its clock time."""
    left = min(max(at - NOW_HALF, LEFT), wide - 2 * NOW_HALF)
    return Markup(
        '<g class="now" data-now><line x1="{0:.1f}" x2="{0:.1f}" y1="26" y2="{1}"/><rect x="{2:.1f}" y="2" width="96" height="24"/>'
        '<text x="{3:.1f}" y="19" text-anchor="middle">now {4}</text></g>'
    ).format(at, tall, left, left + NOW_HALF, hours(now))
