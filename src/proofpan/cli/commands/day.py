"""proofpan day."""

from __future__ import annotations

import click

from proofpan.cli.options import json_option, load, notebook_option, one_sentence, say_json, study_argument, table


@click.command(epilog="Example: proofpan day seeded-oat-crackers --round 1 --start 2026-06-05T09:00")
@study_argument
@click.option("--round", "number", type=int, help="Which round (default: the newest).")
@click.option("--start", help="Earliest hands-on, ISO local time.")
@click.option("--eat", help="Plates on the table, ISO local time.")
@notebook_option
@json_option
@one_sentence
def command(study: str, number: int | None, start: str | None, eat: str | None, notebook: str | None, as_json: bool) -> None:
    """Plan the kitchen day for a round, to the minute."""
    from proofpan.steps.day import plan_day
    from proofpan.steps.rounds import next_round

    found = load(study, notebook)
    round_ = number if number is not None else (found.rounds[-1] if found.rounds else next_round(found))
    plan = plan_day(found, round=round_, start=start, eat=eat)
    if as_json:
        say_json({"tasks": plan.tasks, "optimal": plan.optimal, "gap": plan.gap, "says": plan.says})
        return
    rows = [[f"{t.start:%H:%M}", f"{t.end:%H:%M}", str(t.what), str(t.who or ""), str(t.resource or "")]
            for t in plan.tasks.itertuples()]
    table(rows, ["from", "to", "what", "who", "where"])
    for line in plan.says:
        click.echo(line)
