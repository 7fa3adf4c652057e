"""proofpan recipe."""

from __future__ import annotations

import click

from proofpan.cli.options import json_option, load, notebook_option, one_sentence, say_json, study_argument


@click.command(epilog='Example: proofpan recipe crackers.yaml "fat=olive oil; oven=170" --in US --makes "60 crackers"')
@study_argument
@click.argument("version", required=False)
@click.option("--in", "region", type=click.Choice(["US", "UK", "AU", "metric"]), help="In whose measures and names.")
@click.option("--serves", type=int, help="Scaled to so many serves.")
@click.option("--makes", help="Scaled to a yield, such as “60 crackers”.")
@click.option("--by", type=float, help="Scaled by a factor.")
@click.option("--tin", help="Scaled to a tin, such as “23 x 33 cm”.")
@notebook_option
@json_option
@one_sentence
def command(
    study: str, version: str | None, region: str | None, serves: int | None, makes: str | None, by: float | None, tin: str | None,
    notebook: str | None, as_json: bool,
) -> None:
    """A version's recipe (by default the one to publish today), in any reader's measures."""
    from proofpan.steps.recipe import recipe
    from proofpan.steps.verdict import judge

    found = load(study, notebook)
    made = recipe(found, version if version is not None else judge(found).publish.version)
    if any(x is not None for x in (serves, makes, by, tin)):
        made = made.scaled(serves=serves, makes=makes, by=by, tin=tin)
    made = made.to(region) if region else made
    if as_json:
        say_json(made.jsonld())
        return
    click.echo(made.text())
