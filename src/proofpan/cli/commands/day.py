"""proofpan day."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

import click

from proofpan.cli.options import json_option, language_option, load, notebook_option, one_sentence, say_json, study_argument, table
from proofpan.study.day import moment_words
from proofpan.study.errors import DayError
from proofpan.study.wording import spoken

if TYPE_CHECKING:
    from proofpan.study.day import DayLists
    from proofpan.study.rounds import Round
    from proofpan.study.study import Study


@click.command(epilog="Example: proofpan day seeded-oat-crackers --round 1 --start 2026-06-05T09:00")
@study_argument
@click.option("--round", "number", type=int, help="Which round (default: the newest).")
@click.option("--start", help="Earliest hands-on, ISO local time.")
@click.option("--eat", help="Plates on the table, ISO local time.")
@click.option("--now", help="The time it is: nothing begins before it; with --done, --begun, --late or --gone the rest is planned again.")
@click.option("--begun", multiple=True, help="What has begun, as “mix 1=2026-06-05T09:00”; may be given several times.")
@click.option("--done", multiple=True, help="What is over, as “mix 1=2026-06-05T09:11”; it was begun as planned unless --begun says.")
@click.option("--late", multiple=True, help="What takes longer, as “bake 1=10” minutes.")
@click.option("--gone", multiple=True, help="Who went home, or which oven doesn't work any more, by name.")
@language_option
@click.option("--zone", help="Whose danger zone counts: US Food Code, Australia and New Zealand, United Kingdom (default: the kitchen's).")
@click.option("--lists", is_flag=True, help="Also what to buy, in packs and with its cost, what to weigh for which task, what is left over.")
@notebook_option
@json_option
@one_sentence
def command(study: str, number: int | None, start: str | None, eat: str | None, now: str | None, begun: tuple[str, ...], done: tuple[str, ...],
            late: tuple[str, ...], gone: tuple[str, ...], zone: str | None, lists: bool, notebook: str | None, as_json: bool) -> None:
    """Plan the kitchen day for a round, to the minute; or what is left of it."""
    from proofpan.steps.day import plan_day, replan
    from proofpan.steps.day_lists import day_lists
    from proofpan.steps.rounds import next_round

    found = load(study, notebook)
    round_ = number if number is not None else (found.rounds[-1] if found.rounds else next_round(found))
    running = bool(begun or done or late or gone)
    if running and now is None:
        raise DayError("Say what time it is: --now 2026-06-05T10:20.")
    if running and not found.rounds:
        raise DayError("Only a round that is kept in the study can be planned again: make one with proofpan round --keep.")
    plan = plan_day(found, round=round_, start=start, eat=eat, now=None if running else now, zone=zone)
    if running and now is not None:
        planned = {t.task: t for t in plan.day_tasks}
        starts, ends = _pairs(begun), _pairs(done)
        happened = [(t, starts.get(t) or (planned[t].start if t in planned else ends[t]), ends.get(t)) for t in {**starts, **ends}]
        plan = replan(plan, found, happened, now, late={t: _minutes(m) for t, m in _pairs(late).items()}, gone=gone)
    if as_json:
        found_lists = {"lists": day_lists(found, planned_round(found, round_)).model_dump(mode="json")} if lists else {}
        say_json({"tasks": plan.tasks, "optimal": plan.optimal, "gap": plan.gap, "says": plan.says, "tied": plan.tied, "cautions": plan.cautions,
                  **found_lists})
        return
    rows = [[_clock(t.start, plan.days), _clock(t.end, plan.days), t.what, t.who, t.where] for t in plan.day_tasks]
    table(rows, ["from", "to", "what", "who", "where"])
    for line in plan.tied:
        click.echo(f"Before you cook: {line}")
    for line in plan.says:
        click.echo(line)
    for caution in plan.cautions:
        click.echo(f"Careful: {caution}")
    if lists:
        _tell(day_lists(found, planned_round(found, round_)), found)


def planned_round(study: Study, given: Round | int) -> Round:
    """The round itself, where its number was given."""
    found = study.round_of(given) if isinstance(given, int) else given
    assert found is not None     # the day is planned for it
    return found


def _tell(lists: DayLists, study: Study) -> None:
    """What to buy, what to weigh, what is left over."""
    from proofpan.study.house_words import our_words

    for name, lines in (("To buy", lists.shopping), ("To weigh", lists.prep), ("Left over", lists.left_over)):
        if lines:
            click.secho(f"\n{name}", bold=True)
            table([[our_words(x.section, study), x.what, x.amount, x.note, x.cost] for x in lines], ["for", "what", "amount", "note", "cost"])
    if lists.cost:
        click.echo(lists.cost)


def _clock(moment: datetime, days: int) -> str:
    """The time, with its day where the plan spans several."""
    return moment_words(moment, days) if days else spoken().clock(moment, padded=True)


def _pairs(given: tuple[str, ...]) -> dict[str, str]:
    """{task: text} of “task=text”."""
    bad = next((g for g in given if "=" not in g), None)
    if bad is not None:
        raise DayError(f"“{bad[:40]}” can't be read: write the task, =, and when, as mix 1=2026-06-05T09:00.")
    return {t.strip(): v.strip() for t, _, v in (g.partition("=") for g in given)}


def _minutes(text: str) -> int:
    if not text.lstrip("-").isdigit():
        raise DayError(f"“{text[:20]}” isn't a whole number of minutes.")
    return int(text)
