"""proofpan tie-break."""

from __future__ import annotations

import click

from proofpan.cli.options import json_option, load, notebook_option, one_sentence, say_json, study_argument


@click.command("tie-break", epilog='Example: proofpan tie-break crackers.yaml "fat=butter; oven=170" "fat=olive oil; oven=170"')
@study_argument
@click.argument("one")
@click.argument("other")
@click.option("--seed", default=0, show_default=True)
@notebook_option
@json_option
@one_sentence
def command(study: str, one: str, other: str, seed: int, notebook: str | None, as_json: bool) -> None:
    """Two plates, one colleague: codes, both orders, and what that one vote moves."""
    from proofpan.steps.tie_break import tie_break

    done = tie_break(load(study, notebook), [one, other], seed=seed)
    if as_json:
        say_json({"codes": done.codes, "orders": done.orders, "odds_now": done.odds_now, "odds_after": done.odds_after,
                  "says": done.says})
        return
    for number, order in enumerate(done.orders, 1):
        click.echo(f"Turn {number}: " + " then ".join(order))
    for line in done.says:
        click.echo(line)
