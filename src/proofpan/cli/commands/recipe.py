"""proofpan recipe."""

from __future__ import annotations

import click

from proofpan.cli.options import json_option, language_option, load, notebook_option, one_sentence, say_json, study_argument


@click.command(epilog='Example: proofpan recipe crackers.yaml "fat=olive oil; oven=170" --in US --makes "60 crackers"')
@study_argument
@click.argument("version", required=False)
@click.option("--in", "region", type=click.Choice(["US", "UK", "AU", "NZ", "metric"], case_sensitive=False), help="In whose measures and names.")
@click.option("--style", help="As a house writes it: AU, NZ, UK, US, own (the kitchen's), or your own JSON or TOML file.")
@click.option("--serves", type=float, help="Scaled to so many serves.")
@click.option("--makes", help="Scaled to a yield, such as “60 crackers”.")
@click.option("--by", type=float, help="Scaled by a factor.")
@click.option("--tin", help="Scaled to a tin, such as “23 x 33 cm”.")
@click.option("--using", help="Scaled to so much of one ingredient, such as “180 g rolled oats”.")
@click.option("--test-batch", is_flag=True, help="Scaled to what one trial makes.")
@click.option("--cross-tests", type=click.Path(exists=True, dir_okay=False), metavar="CSV", help="What other kitchens reported of it.")
@click.option("--whole", is_flag=True, help="With --json: lines, statuses, cost and nutrition instead of structured data.")
@language_option
@notebook_option
@json_option
@one_sentence
def command(
    study: str, version: str | None, region: str | None, style: str | None, serves: float | None, makes: str | None, by: float | None,
    tin: str | None, using: str | None, test_batch: bool, cross_tests: str | None, whole: bool, notebook: str | None, as_json: bool,
) -> None:
    """A version's recipe (by default the one to publish today), in any reader's measures or a house's style."""
    from proofpan.steps.crosstest import cross_test
    from proofpan.steps.making import recipe_of
    from proofpan.steps.recipe import recipe
    from proofpan.steps.verdict import judge

    if region and style:
        raise click.UsageError("Give --in or --style: a style brings its own measures.")
    found = load(study, notebook)
    chosen = found.version(version) if version is not None else judge(found).publish.version
    tests = None if cross_tests is None else cross_test(recipe_of(found, chosen), cross_tests)
    made = recipe(found, chosen, cross_tests=tests)
    if any(x is not None for x in (serves, makes, by, tin, using)) or test_batch:
        made = made.scaled(serves=serves, makes=makes, by=by, tin=tin, using=using, test_batch=test_batch or None)
    if style:
        made = made.shown_as("style:own") if style == "own" else made.in_house(style)
    made = made.to(region) if region else made
    if as_json:
        say_json(made if whole else made.jsonld())
        return
    click.echo(made.text())
