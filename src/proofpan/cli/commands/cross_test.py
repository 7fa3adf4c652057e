"""proofpan cross-test."""

from __future__ import annotations

import click

from proofpan.cli.options import json_option, load, notebook_option, one_sentence, say_json, study_argument


@click.command("cross-test", epilog="Example: proofpan cross-test crackers.yaml answers.csv")
@study_argument
@click.argument("csv", type=click.Path())
@click.option("--version", help="Which version was cooked (default: the one to publish today).")
@notebook_option
@json_option
@one_sentence
def command(study: str, csv: str, version: str | None, notebook: str | None, as_json: bool) -> None:
    """Read what other kitchens report of the recipe as written."""
    from proofpan.steps.crosstest import cross_test
    from proofpan.steps.making import recipe_of
    from proofpan.steps.verdict import judge

    found = load(study, notebook)
    made = recipe_of(found, found.version(version) if version else judge(found).publish.version)
    done = cross_test(made, csv)
    if as_json:
        say_json(done)
        return
    for line in done.says:
        click.echo(line)
