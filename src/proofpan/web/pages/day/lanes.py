"""The picture of the day: a lane a person, an oven, a hob, and what waits by itself; a line at now."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from markupsafe import Markup

from proofpan.study.day import DayPlan, DayTask, moment_words
from proofpan.study.words import capital

WIDE, LANE, TOP, LEFT, CHARACTER = 1300, 50, 32, 130, 8.2
NOW_HALF = 48       # half the width of the words at now
OF_A_TRIAL = {"plate": "Portion", "keep": "Wrap"}
SHORT = {"taste": "Taste"}
STEPS = (15, 30, 60, 120, 240, 480, 1440, 2880, 10_080)


@dataclass(frozen=True)
class Bar:
    """One bar: its words, its span, and how it is drawn."""

    words: str
    start: datetime
    end: datetime
    look: str
    slope: bool = False
    short: str = ""
    step: str = ""
    trials: tuple[int, ...] = ()


def hours(moment: datetime) -> str:
    """`9:05`."""
    return f"{moment.hour}:{moment.minute:02d}"


def state_of(task: DayTask, done: frozenset[str]) -> str:
    """Done, in hand, or to come."""
    return "done" if task.task in done else "now" if task.started else ""


def bar_of(task: DayTask, start: datetime, end: datetime, look: str) -> Bar:
    """A task's bar: in its own words, and in short by its step and trials, `Roll 2, 6`."""
    name, _, number = task.task.rpartition(" ")
    if task.trials:
        step, trials = capital(name), task.trials
    elif name in OF_A_TRIAL and number.isdigit():
        step, trials = OF_A_TRIAL[name], (int(number),)
    else:
        step, trials = "", ()
    return Bar(task.what, start, end, look, short=in_short(step, trials) or SHORT.get(task.task, task.what), step=step, trials=trials)


def in_short(step: str, trials: tuple[int, ...]) -> str:
    """`Roll 2, 6`."""
    return f"{step} {', '.join(map(str, trials))}" if step else ""


def run_together(bars: list[Bar]) -> list[Bar]:
    """Bars of one lane in order, those that are the same step one right after another as one: four plates of three minutes are one bar to read."""
    out: list[Bar] = []
    for bar in sorted(bars, key=lambda b: (b.start, b.end)):
        last = out[-1] if out else None
        if last is not None and bar.step and (bar.step, bar.look) == (last.step, last.look) and bar.start <= last.end + timedelta(minutes=1):
            trials = tuple(sorted({*last.trials, *bar.trials}))
            short = in_short(bar.step, trials)
            out[-1] = Bar(short, last.start, max(last.end, bar.end), bar.look, short=short, step=bar.step, trials=trials)
        else:
            out.append(bar)
    return out


def side_by_side(bars: list[Bar]) -> list[Bar]:
    """What waits by itself, the same step over the same minutes as one."""
    groups: dict[tuple[str, datetime, datetime, str], list[Bar]] = {}
    for bar in bars:
        groups.setdefault((bar.step or bar.words, bar.start, bar.end, bar.look), []).append(bar)
    return [run_together(found)[0] for found in groups.values()]


def bars_of(plan: DayPlan, done: frozenset[str]) -> list[tuple[str, list[Bar]]]:
    """Lanes in order: people (their busy minutes), ovens (heating, loads), other places, what waits."""
    people: dict[str, list[Bar]] = {}
    places: dict[str, list[Bar]] = {}
    alone: list[Bar] = []
    loads: dict[tuple[str, str, datetime], list[DayTask]] = {}
    ovens = list(dict.fromkeys(t.oven for t in plan.ovens))
    for task in plan.day_tasks:
        state = state_of(task, done)
        until = task.hands_until or task.end
        for name in task.people:
            people.setdefault(name, []).append(bar_of(task, task.start, until, f"bar {state}"))
        if task.resource in ovens and task.load:
            loads.setdefault((task.resource, task.load, task.start), []).append(task)
        elif task.resource:
            places.setdefault(task.resource, []).append(bar_of(task, task.start, task.end, f"bar place {state}"))
        elif until < task.end or not task.people:
            alone.append(bar_of(task, until if task.people else task.start, task.end, f"bar wait {state}"))
    for turn in plan.ovens:
        places.setdefault(turn.oven, []).append(Bar(f"to {turn.temperature_c}", turn.turn, turn.ready, "bar wait", slope=True))
    for (oven, load, start), tasks in loads.items():
        state = "done" if all(t.task in done for t in tasks) else "now" if any(t.started for t in tasks) else ""
        name = load.split(" at ")[0].capitalize()
        places.setdefault(oven, []).append(Bar(f"{name}: {len(tasks)}", start, max(t.end for t in tasks), f"bar place {state}"))
    lanes = [(name, run_together(bars)) for name, bars in (*sorted(people.items()), *sorted(places.items()))]
    return [*lanes, *stacked(side_by_side(alone))]


def stacked(bars: list[Bar]) -> list[tuple[str, list[Bar]]]:
    """What waits by itself, on as many lanes as overlap."""
    lanes: list[list[Bar]] = []
    for bar in sorted(bars, key=lambda b: (b.start, b.end)):
        lane = next((x for x in lanes if x[-1].end <= bar.start), None)
        if lane is None:
            lanes.append([bar])
        else:
            lane.append(bar)
    return [("Waiting" if i == 0 else "", lane) for i, lane in enumerate(lanes[:6])]


def lanes_of(plan: DayPlan, done: frozenset[str] = frozenset(), now: datetime | None = None) -> Markup:
    """The picture: solid edge = hands busy, hatch = waiting, slope = heating; what is done is grey, what is in hand is marked.

    What is tasted days later is left out: the run sheet has it.
    """
    lanes = bars_of(_of_the_day(plan), done)
    every = [b for _, bars in lanes for b in bars]
    if not every:
        return Markup("")
    first, last = min(b.start for b in every), max(b.end for b in every)
    span = max(1.0, (last - first) / timedelta(minutes=1))

    def x(moment: datetime) -> float:
        return LEFT + (moment - first) / timedelta(minutes=1) / span * (WIDE - LEFT)

    tall = TOP + LANE * len(lanes)
    names = [Markup('<line x1="0" x2="{}" y1="{}" y2="{}" class="{}"/><text x="0" y="{}" class="t-lane">{}</text>').format(
        LEFT, TOP + i * LANE, TOP + i * LANE, "s-hair" if i else "s-ink", TOP + i * LANE + 31, name[:14]) for i, (name, _) in enumerate(lanes)]
    parts = [
        Markup(
            '<defs><pattern id="wait" width="7" height="7" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
            '<line x1="0" y1="0" x2="0" y2="7" class="s-hatch" stroke-width="3"/></pattern></defs>'
        ),
        *_marks(first, span, tall, x, now),
    ]
    for i, (_, bars) in enumerate(lanes):
        y = TOP + i * LANE
        parts.append(
            Markup('<line x1="{}" x2="{}" y1="{}" y2="{}" class="{}"/>').format(LEFT, WIDE, y, y, "s-hair" if i else "s-ink")
        )
        ends = [*(x(b.start) for b in bars[1:]), float(WIDE)]
        parts += [_bar(bar, x(bar.start), x(bar.end), y, free) for bar, free in zip(bars, ends, strict=True)]
    if now is not None and first - timedelta(minutes=30) <= now <= last:
        parts.append(_now(max(LEFT, x(now)), tall, now))
    label = "The day in lanes; the run sheet below says the same."
    at = Markup(' data-first="{}" data-span="{}"').format(f"{first:%Y-%m-%dT%H:%M}", f"{span:g}") if now is not None else Markup("")
    # the names stand apart, so that they stay where the lanes are scrolled
    left = Markup('<svg class="names" viewBox="0 0 {} {}" aria-hidden="true">{}</svg>').format(LEFT, tall + 4, Markup("").join(names))
    drawn = Markup('<svg viewBox="{} 0 {} {}" role="img" aria-label="{}"{}>{}</svg>')
    lanes_drawn = drawn.format(LEFT, WIDE - LEFT, tall + 4, label, at, Markup("").join(parts))
    return Markup('<div class="lanes">{}{}</div>').format(left, lanes_drawn)


def _of_the_day(plan: DayPlan) -> DayPlan:
    tasks = tuple(t for t in plan.day_tasks if t.kind != "keep" or t.start.date() == plan.day_tasks[0].start.date())
    return plan.model_copy(update={"day_tasks": tasks})


def _marks(first: datetime, span: float, tall: int, x, now: datetime | None) -> list[Markup]:  # type: ignore[no-untyped-def]
    """Hair lines at round clock times."""
    step = next((s for s in STEPS if span / s <= 14), STEPS[-1])
    midnight = datetime(first.year, first.month, first.day)
    at = midnight + timedelta(minutes=-(-int((first - midnight) / timedelta(minutes=1)) // step) * step)
    out = []
    while at <= first + timedelta(minutes=span):
        words = moment_words(at, int(span // 1440)) if span >= 2880 else hours(at)
        if now is not None and abs(max(x(now), LEFT + NOW_HALF) - x(at)) < NOW_HALF + CHARACTER * len(words) / 2:
            words = ""      # the words at now stand there
        out.append(
            Markup(
                '<line x1="{0:.1f}" x2="{0:.1f}" y1="{1}" y2="{2}" class="s-hair"/><text x="{4:.1f}" y="18" text-anchor="{5}" class="t-soft">{3}</text>'
            ).format(x(at), TOP - 4, tall, words, *_kept_inside(x(at), words))
        )
        at += timedelta(minutes=step)
    return out


def _kept_inside(at: float, words: str) -> tuple[float, str]:
    """Where a mark's words stand, and by which end: the first and the last mark's would run out of the picture."""
    half = CHARACTER * len(words) / 2
    return (float(WIDE), "end") if at + half > WIDE else (float(LEFT), "start") if at - half < LEFT else (at, "middle")


def words_on(bar: Bar, width: float, free: float) -> tuple[str, bool]:
    """A bar's words and whether they stand in it: else beside it, where nothing else stands, else its trials alone, else cut.

    Parameters: width, of the bar; free, up to the next bar's start; both in the picture's units.
    """
    room, beside = int((width - 12) / CHARACTER), int((free - 8) / CHARACTER)
    numbers = ", ".join(map(str, bar.trials))
    for words in (bar.words, bar.short):
        if words and len(words) <= room:
            return words, True
    if bar.short and len(bar.short) <= beside:
        return bar.short, False
    if numbers and len(numbers) <= room:
        return numbers, True
    given = bar.short or bar.words
    return (given[: room - 1] + "…", True) if room > 4 else (numbers, False) if numbers and len(numbers) <= beside else ("", True)


def _bar(bar: Bar, left: float, right: float, y: int, free: float) -> Markup:
    left, width = left + 1, max(3.0, right - left - 2)
    words, inside = words_on(bar, width, free - right)
    days = (bar.end.date() - bar.start.date()).days
    title = Markup("<title>{} to {}: {}</title>").format(moment_words(bar.start, days), moment_words(bar.end, days), bar.words)
    if bar.slope:
        shape = Markup('<path d="M{0:.1f} {1} L{2:.1f} {3} L{2:.1f} {1} Z" class="bar" stroke-width="1.5"/>').format(left, y + LANE - 5, left + width, y + 8)
        return Markup("<g>{}{}</g>").format(title, shape)
    return Markup(
        '<g>{}<rect x="{:.1f}" y="{}" width="{:.1f}" height="{}" class="{}" stroke-width="1.5"/><text x="{:.1f}" y="{}">{}</text></g>'
    ).format(title, left, y + 5, width, LANE - 10, bar.look.strip(), left + 7 if inside else left + width + 5, y + 30, words)


def _now(at: float, tall: int, now: datetime) -> Markup:
    """The line at now, and its clock time."""
    left = min(max(at - NOW_HALF, LEFT), WIDE - 2 * NOW_HALF)
    return Markup(
        '<g class="now" data-now><line x1="{0:.1f}" x2="{0:.1f}" y1="26" y2="{1}"/><rect x="{2:.1f}" y="2" width="96" height="24"/>'
        '<text x="{3:.1f}" y="19" text-anchor="middle">now {4}</text></g>'
    ).format(at, tall, left, left + 48, hours(now))
