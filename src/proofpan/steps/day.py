"""The kitchen day: tasks from the recipes' steps, shared ones once, each load in and out of the oven, plates together."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import datetime, time, timedelta
from typing import TYPE_CHECKING

from proofpan.steps.cautions import cooking_cautions
from proofpan.steps.day_clash import Clash, clash_lines, clash_words, read_clash
from proofpan.steps.day_easing import what_would_do
from proofpan.steps.day_gone import elsewhere, handed_on, without_people
from proofpan.steps.day_hours import ROUND_THE_CLOCK, Moments, daily_hours, nights_asked_for, still_at_work
from proofpan.steps.day_keeping import keeping_of, kept_names, tasks_of
from proofpan.steps.day_lacking import lacking, too_large
from proofpan.steps.day_model import day_model, hands_each, longest_way, to_the_table
from proofpan.steps.day_order import before_cooking
from proofpan.steps.day_slipped import unsafe_words
from proofpan.steps.day_tasks import DayWork, day_work
from proofpan.steps.day_waits import DISHED_UP
from proofpan.steps.day_words import day_words
from proofpan.study.day import DayPlan, DayTask, OvenTurn, clock
from proofpan.study.degrees import dial_words, in_its_degrees
from proofpan.study.errors import DayError, did_you_mean, quoted
from proofpan.study.house_words import our_words
from proofpan.study.rounds import Round
from proofpan.study.study import Study
from proofpan.study.wording import say
from proofpan.study.words import joined

if TYPE_CHECKING:
    from proofpan.science.daywork import DayModel, Infeasible, Started, Task
    from proofpan.science.daywork import DayPlan as Planned

EFFORT_S = 3.0
BEND_S, FEW, EARLIER_H = 2.0, 4, 12
# a press and its page are answered in about two seconds, as the thumb is still on the screen; the rare press that finds no plan waits
REPLAN_S, LONGER_S = 0.2, 2.0
SLACK_MINUTES, WITHOUT_MINUTES = 120, 240
Time = str | datetime
Happened = Sequence[tuple[str, Time, Time | None]]
Asked = tuple[datetime | None, datetime | None, datetime | None]      # hands on from, plates on the table, now


def plan_day(study: Study, round: Round | int, start: Time | None = None, eat: Time | None = None, now: Time | None = None,
             zone: str | None = None) -> DayPlan:
    """Plan the day of a round, to the minute.

    Parameters: round, a Round or its number; start, earliest hands-on, and eat, plates on the table, ISO local time (with neither,
        09:00 or the kitchen's first hour of no day in particular); now, nothing is begun before it; zone, whose danger zone counts
        (“US Food Code”, “Australia and New Zealand”, “United Kingdom”; else by the kitchen's country).

    Raises: DayError with `.conflict` when the day can't be cooked; for a round that isn't there or a time that can't be read.
    """
    from proofpan.science.daywork import DayworkError, Infeasible, NotFound, plan

    chosen = _round(study, round)
    begin, table, clock = _time(start, "start"), _time(eat, "eat"), _time(now, "now")
    if begin is not None and clock is not None:
        begin = max(begin, clock)
    work = day_work(study, chosen)
    for lacks, where in (lacking(study.brief.kitchen, work), too_large(study.brief.kitchen, work)):
        if lacks:
            raise _refused(study, lacks, (lacks,), (where,))
    if table is not None and clock is not None and table <= clock:
        late = _too_late(tuple(work.tasks.values()), table, clock, daily_hours(study.brief.kitchen))
        raise _refused(study, late, (late,), (late,))

    def modelled(nights: Moments) -> DayModel:
        return day_model(study.brief.kitchen, work, start=begin, eat=table, now=clock, zone=zone, serve_within=study.plan.serve_within, asked=nights)

    model, given_up = modelled(_nights(study, work, begin, table)), False
    try:
        try:
            found = plan(model, seconds=EFFORT_S, why=bool(study.brief.kitchen.hours))
        except (Infeasible, NotFound):
            if study.brief.kitchen.hours:
                raise
            # nobody gave the usual hours: they forbid nothing that can be cooked without them
            model, given_up = modelled(ROUND_THE_CLOCK), True
            found = plan(model, seconds=EFFORT_S)
    except Infeasible as error:
        raise _clash(study, work, model, (begin, table, clock), error, zone) from None
    except DayworkError as error:
        raise DayError(str(error), conflict=(str(error),)) from None
    return _document(study, chosen, work, model, found, table, hours_given_up=given_up)


def _clash(study: Study, work: DayWork, model: DayModel, asked: Asked, error: Infeasible, zone: str | None) -> DayError:
    """Why the day can't be cooked, and what would do: another meal, an earlier start, one limit eased by so much."""
    begin, eat, now = asked
    late = _too_late(model.tasks, eat, now, daily_hours(study.brief.kitchen) if study.brief.kitchen.hours else None)
    clash, conflict = _limits(study, work, asked, error, () if error.conflict else _bent(model))
    if late:
        return _refused(study, late, conflict, clash_lines(clash))
    # where the meal's hour is no part of the clash, no other hour would do
    meals = [] if eat is None or not (clash.of("meal") or clash.of("early")) else _meals_that_can_be(study, work, model, asked, zone)
    ways = [say("Plates can be on the table {times}.", times=joined(meals, "or"))] if meals else []
    ways += _sooner(study, work, asked, zone) if meals else []
    if eat is not None and not meals and (at_no_hour := _without_a_meal(study, work, asked, zone)) is not None:
        # the meal's hour is not what is wrong: what would clash at any hour is said instead
        model, found = at_no_hour
        clash, conflict = _limits(study, work, asked, found)
    ways += [said] if not ways and (said := what_would_do(model, clash)) else []
    return _refused(study, clash_words(clash, *ways[:2]), conflict, (*ways, *clash_lines(clash)))


def _nights(study: Study, work: DayWork, start: datetime | None, eat: datetime | None) -> Moments:
    """The nights that are worked in all the same, as something was asked for in them."""
    tasks = tuple(work.tasks.values())
    tasting = max((t.minutes for t in tasks if t.kind == "taste"), default=0)
    nights = nights_asked_for(study.brief.kitchen, start, eat, longest_way(to_the_table(tasks)), hands_each(study.brief.kitchen, tasks), tasting)
    # what is kept is tasted again at the same hour
    again = [timedelta(days=kept.days) for kept in keeping_of(study)]
    return (*nights, *((a + later, b + later) for a, b in nights for later in again))


def _refused(study: Study, words: str, conflict: tuple[str, ...], ease: Sequence[str]) -> DayError:
    """A day that can't be, in the kitchen's own words and degrees."""
    return DayError(_as_said_here(study, words), conflict=conflict, ease=tuple(_as_said_here(study, line) for line in ease))


def _as_said_here(study: Study, sentence: str) -> str:
    """A sentence of ours as this kitchen says it: its °F, its burner for a hob."""
    return our_words(in_its_degrees(sentence, study.brief.kitchen), study)


def _sooner(study: Study, work: DayWork, asked: Asked, zone: str | None) -> list[str]:
    """When to begin for the meal that was asked for, where it was asked to begin later."""
    from proofpan.science.daywork import DayworkError, plan

    begin, eat, now = asked
    if begin is None or eat is None:
        return []
    try:
        model = day_model(study.brief.kitchen, work, start=None, eat=eat, now=now, zone=zone, serve_within=study.plan.serve_within,
                          asked=_nights(study, work, None, eat))
        first = model.at(min(t.start_min for t in plan(model, seconds=BEND_S, why=False).tasks))
    except (DayworkError, DayError):
        return []
    return [say("For the meal at {meal} begin {time}.", time=clock(first, 7), meal=clock(eat, 0))] if first < begin else []


def _without_a_meal(study: Study, work: DayWork, asked: Asked, zone: str | None) -> tuple[DayModel, Infeasible] | None:
    """The day with its meal at any hour, and why even that can't be cooked; none where it can, or where that wasn't shown."""
    from proofpan.science.daywork import DayworkError, Infeasible, backward, plan

    begin, eat, now = asked
    assert eat is not None
    begins = [t for t in (begin or backward(to_the_table(tuple(work.tasks.values())), eat).start - timedelta(hours=EARLIER_H), now) if t is not None]
    model = day_model(study.brief.kitchen, work, start=max(begins), eat=None, now=now, zone=zone, serve_within=study.plan.serve_within,
                      asked=ROUND_THE_CLOCK)
    try:
        plan(model, seconds=BEND_S)
    except Infeasible as error:
        return (model, error) if error.conflict else None
    except DayworkError:
        pass
    return None


def _limits(study: Study, work: DayWork, asked: Asked, error: Infeasible, bent: tuple[str, ...] = ()) -> tuple[Clash, tuple[str, ...]]:
    """The limits that clash, in the kitchen's words and in the solver's."""
    from proofpan.science.daywork import in_short

    conflict = tuple(error.conflict) or bent or (str(error).rstrip("."),)
    ours = {"plate": say("portioning"), "taste": say("the tasting"), "keep": say("wrapping")} | kept_names(study)
    steps = {in_short(t.words): work.steps[k].id if k in work.steps else ours.get(k) or ours.get(k.split()[0], in_short(t.words, 40))
             for k, t in work.tasks.items()}
    clash, (begin, eat, _) = read_clash(conflict, steps), asked
    clash.opens = joined(hours.strip().replace("-", "–") for hours in study.brief.kitchen.hours)
    clash.kept = tuple(test.said for test in keeping_of(study) if any(
        in_short(work.tasks[key].words) in sentence for key in tasks_of(test) if key in work.tasks for sentence in conflict))
    clash.begins = clock(begin, 0 if eat is None or begin.date() == eat.date() else 7) if begin is not None else ""
    clash.minimal = error.minimal
    return clash, conflict


def _bent(model: DayModel) -> tuple[str, ...]:
    """The few limits that would have to bend, where which of them clash wasn't found in time."""
    from proofpan.science.daywork import DayworkError, plan

    try:
        broken = plan(model, seconds=BEND_S, now=0, why=False).broken
    except DayworkError:
        return ()
    return tuple(sentence.rpartition(": ")[0] for sentence in broken) if len(broken) <= FEW else ()


def _meals_that_can_be(study: Study, work: DayWork, model: DayModel, asked: Asked, zone: str | None) -> list[str]:
    """The meals nearest to the one that is asked for: begun when that was asked for, else half a day sooner than the meal has it, and just then."""
    from proofpan.science.daywork import DayworkError, backward, plan

    begin, eat, now = asked
    assert eat is not None
    latest = backward(to_the_table(model.tasks), eat).start
    out = _before_closing(study, work, model, asked, zone)
    for begins in (latest - timedelta(hours=EARLIER_H), latest)[len(out):] if begin is None else (begin,):
        try:
            free = day_model(study.brief.kitchen, work, start=begins if now is None else max(begins, now), eat=None, now=now, zone=zone,
                             serve_within=study.plan.serve_within, asked=_nights(study, work, begin, None))
            # the soonest meal is asked for: what follows it must be possible, and counts for nothing
            cooking = {t.key for t in to_the_table(free.tasks)}
            free = replace(free, tasks=tuple(t if t.key in cooking else replace(t, afterwards=True) for t in free.tasks))
            found = plan(free, seconds=BEND_S, why=False)
        except DayworkError:
            continue
        plates = {t.key for t in free.tasks if t.serve_group == DISHED_UP}
        out.append(free.at(max(t.end_min for t in found.tasks if t.key in plates)))
        if out[-1] >= eat:      # begun even sooner it is later than asked for: a later start has nothing sooner to offer
            break
    return [clock(meal, 7) for meal in sorted(set(out))]


def _before_closing(study: Study, work: DayWork, model: DayModel, asked: Asked, zone: str | None) -> list[datetime]:
    """The last meal before the kitchen closes, where it was asked for later than that and the day is free to begin sooner."""
    from proofpan.science.daywork import DayworkError, plan

    begin, eat, now = asked
    closes = max((b for _, b in model.opening), default=0)
    tasting = max((t.minutes for t in model.tasks if t.kind == "taste"), default=0)
    last = model.at(closes - tasting)
    if begin is not None or eat is None or not model.opening or last >= eat:
        return []
    try:
        sooner = day_model(study.brief.kitchen, work, start=None, eat=last, now=now, zone=zone, serve_within=study.plan.serve_within)
        plan(sooner, seconds=BEND_S, why=False)
    except (DayworkError, DayError):
        return []
    return [last]


def replan(day: DayPlan, study: Study, happened: Happened, now: Time, late: Mapping[str, int] | None = None, gone: Sequence[str] = ()) -> DayPlan:
    """The rest of a day that has begun, planned again; what has started is kept as it was.

    Parameters: day, the plan so far; happened, (task, start, end or None while it goes on) of everything begun; now, the time. A task
        that was planned for earlier and isn't reported is taken not to have begun; late, {task: minutes that it takes longer}; gone, people who
        went home and ovens that don't work any more, by name.

    Returns: a plan whose limits bend by as few minutes as can be where they can't be kept any more; `.says` names which.

    Raises: DayError for a task that isn't of this day, a time that can't be read, a name that isn't known, or when nobody or no oven is left.
    """
    from proofpan.science.daywork import DayworkError, Infeasible, NotFound

    study = without_people(study, gone)
    clock = _time(now, "now")
    if clock is None:
        raise DayError("A re-plan needs the time: now, as 2026-06-05T09:00.")
    planned = {t.task: t for t in day.day_tasks}
    facts = {t: (_time(s, "start"), _time(e, "end")) for t, s, e in happened}
    late = dict(late or {})
    unknown = next((t for t in (*facts, *late) if t not in planned), None)
    if unknown is not None:
        raise DayError(f"{quoted(unknown)} isn't a task of this day. {did_you_mean(unknown, list(planned))}")
    chosen = _round(study, day.round)
    work = day_work(study, chosen)
    lacks, where = lacking(study.brief.kitchen, work)
    if lacks:
        raise _refused(study, lacks, (lacks,), (where,))
    work.tasks = {k: _longer(t, late.get(k, 0)) for k, t in work.tasks.items()}
    work.tasks, moved = elsewhere(study.brief.kitchen, work.tasks, gone, facts)
    planned = handed_on(planned, {t for t, (_, end) in facts.items() if end is not None}, gone)
    begun = [s for s, _ in facts.values() if s is not None]
    start = min([day.start, clock, *begun])
    open_ = [t for t in day.day_tasks if t.task not in facts]
    behind = max([timedelta(0), *(clock - t.start for t in open_)]) + timedelta(minutes=sum(max(0, m) for m in late.values()))
    # a near end makes the search short: nothing of the plan takes longer than it did, only later
    # and where the kitchen closes over night, what is late today may have to wait for the next opening
    nights = timedelta(days=1) if study.brief.kitchen.hours or day.days else timedelta(0)
    nights += timedelta(minutes=WITHOUT_MINUTES) if gone else timedelta(0)
    until = nights + max([clock, *(t.end for t in day.day_tasks), *(e for _, e in facts.values() if e)]) + behind + timedelta(minutes=SLACK_MINUTES)

    def modelled(nights: Moments) -> DayModel:
        return day_model(study.brief.kitchen, work, start=start, eat=day.eat, now=clock, zone=day.zone or None, until=until,
                         serve_within=study.plan.serve_within, asked=nights)

    model = within = modelled(still_at_work([(t.start, t.hands_until or t.end) for t in open_ if t.people], clock, behind))
    freed = None if study.brief.kitchen.hours else modelled(ROUND_THE_CLOCK)
    started = {t: _started(model, planned[t], s, e) for t, (s, e) in facts.items()}
    try:
        stood = {t.task: model.minute(t.start) for t in open_ if t.task in work.tasks}
        model, found = _rest(within, freed, max(0, within.minute(clock)), started, stood)
    except Infeasible as error:
        clash, conflict = _limits(study, work, (None, day.eat, clock), error)
        raise _refused(study, clash_words(clash), conflict, clash_lines(clash)) from None
    except NotFound:
        unknown = say("No plan for the rest was found in time: take back what was said last, or say it again when more is done.")
        raise DayError(unknown, conflict=(unknown,)) from None
    except DayworkError as error:
        raise DayError(str(error), conflict=(str(error),)) from None
    out = _document(study, chosen, work, model, found, day.eat, planned, hours_given_up=model is freed)
    return out.model_copy(update={"says": (*out.says[:1], *moved, *out.says[1:])}) if moved else out


def _rest(within: DayModel, freed: DayModel | None, now: int, started: Mapping[str, Started], stood: Mapping[str, int]) -> tuple[DayModel, Planned]:
    """The rest of a running day, at once where it can be; else looked for longer, and without hours that nobody gave.

    Parameters: freed, the same day without any hours, where the kitchen gave none.
    """
    from proofpan.science.daywork import Infeasible, NotFound, plan

    try:
        return within, plan(within, seconds=REPLAN_S, now=now, started=started, stood=stood, why=freed is None)
    except (Infeasible, NotFound) as missed:
        if freed is None and isinstance(missed, Infeasible):
            raise
        model = freed or within
        return model, plan(model, seconds=LONGER_S, now=now, started=started, stood=stood)


def _longer(task: Task, minutes: int) -> Task:
    """The task taking so many minutes more (or fewer), the hands' share as long as it was."""
    if not minutes:
        return task
    length = max(1, task.minutes + minutes)
    most = None if task.high_minutes is None else max(length, task.high_minutes + minutes)
    spans = tuple((min(a, length - 1), min(b, length)) for a, b in task.hands_spans)
    return replace(task, minutes=length, high_minutes=most, hands=length if task.hands == task.minutes else min(task.hands, length),
                   hands_spans=spans)


def _round(study: Study, given: Round | int) -> Round:
    if isinstance(given, Round):
        return given
    found = study.round_of(given)
    if found is None:
        known = ", ".join(map(str, sorted({r.number for r in study.rounds} | {t.round for t in study.trial_records}))) or "none"
        raise DayError(f"There is no round {given}: planned are {known}.")
    return found


def _time(given: Time | None, name: str) -> datetime | None:
    if given is None:
        return None
    try:
        return (given if isinstance(given, datetime) else datetime.fromisoformat(str(given))).replace(tzinfo=None)
    except ValueError:
        raise DayError(f"{name} is {quoted(given)}: write a local time as 2026-06-05T09:00.") from None


def _started(model: DayModel, task: DayTask, start: datetime | None, end: datetime | None) -> Started:
    from proofpan.science.daywork import Started

    if start is None:
        raise DayError(f"When was {quoted(task.task)} begun? Write a local time as 2026-06-05T09:00.")
    oven = task.resource if task.resource in {o.name for o in model.kitchen.ovens} else None
    here = {p.name for p in model.kitchen.people}
    return Started(model.minute(start), None if end is None else model.minute(end), tuple(p for p in task.people if p in here), oven)


def _too_late(tasks: tuple[Task, ...], eat: datetime | None, now: datetime | None, hours: tuple[time, time] | None) -> str:
    """When the first proof or soak should have begun already: since when, and the next meal that can be made."""
    from proofpan.science.daywork import backward

    cooking = to_the_table(tasks)
    if eat is None or now is None or not cooking:
        return ""
    counted_back = backward(cooking, eat, now=now, hours=hours)
    return counted_back.says[0] if counted_back.past else ""


def _document(study: Study, round_: Round, work: DayWork, model: DayModel, found: Planned, eat: datetime | None,
              before: Mapping[str, DayTask] | None = None, *, hours_given_up: bool = False) -> DayPlan:
    kitchen = study.brief.kitchen
    tasks, hob_here = [], our_words("hob", study)
    for planned in found.tasks:
        task = work.tasks[planned.key]
        start, end = model.at(planned.start_min), model.at(planned.end_min)
        people = planned.who or (before[planned.key].people if before and planned.started else ())
        hob = "hob" if any(n.name == "hob" for n in task.needs) else ""
        tasks.append(DayTask(
            task=planned.key, what=task.words, who=joined(people), people=tuple(people), resource=planned.oven or hob, start=start, end=end,
            called=hob_here if hob and not planned.oven else "",
            versions=task.versions, trials=work.trial_numbers(planned.key), hands_until=start + timedelta(minutes=task.busy[-1][1]) if task.busy else None,
            latest_end=start + timedelta(minutes=task.hold_minutes) if task.hold_minutes > task.minutes and not planned.started else None,
            load=task.group or "", started=planned.started, kind=task.kind,
        ))
    tasks.sort(key=lambda t: (t.start, t.end, t.task))
    turns = tuple(OvenTurn(oven=s.oven, temperature_c=int(s.temperature_c), turn=model.at(s.turn_min), ready=model.at(s.ready_min),
                           until=model.at(s.until_min), dial=dial_words(s.temperature_c, kitchen)) for s in found.settings)
    versions = dict.fromkeys(t.version for t in round_.trials)

    def said(sentences: Iterable[str]) -> tuple[str, ...]:
        return tuple(_as_said_here(study, s) for s in sentences)

    return DayPlan(
        day_tasks=tuple(tasks), ovens=turns, optimal=found.optimal, gap=float(found.gap), start=tasks[0].start if tasks else model.start,
        says=said(day_words(study, round_, tasks, turns, found, model, hours_given_up=hours_given_up)),
        tied=said(before_cooking(study, round_, tasks, work.steps)),
        cautions=said(cooking_cautions(study, versions)), unsafe=said(unsafe_words(found.unsafe)), eat=eat, round=round_.number, zone=model.zone.name,
    )
