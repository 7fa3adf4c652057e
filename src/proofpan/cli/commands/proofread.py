"""proofpan proofread."""

from __future__ import annotations

from pathlib import Path

import click

from proofpan.cli.options import json_option, load, notebook_option, one_sentence, say_json, study_argument


@click.command(epilog="Example: proofpan proofread seeded-oat-crackers from-the-copy-desk.txt")
@study_argument
@click.argument("text", type=click.Path(path_type=Path, exists=True, dir_okay=False))
@click.option("--version", help="Which version was sent (default: the one to publish today).")
@notebook_option
@json_option
@one_sentence
def command(study: str, text: Path, version: str | None, notebook: str | None, as_json: bool) -> None:
    """Hold a text that came back against ours: every changed number, unit or order, every lost line."""
    from proofpan.steps.making import recipe_of
    from proofpan.steps.proofreading import text_changes
    from proofpan.steps.recipe import recipe as worked
    from proofpan.steps.verdict import judge
    from proofpan.study.edition import Edition

    found = load(study, notebook)
    chosen = found.version(version) if version else judge(found).publish.version
    recipe = recipe_of(found, chosen)
    edition = Edition(number=1, title=recipe.title, version=chosen, recipe=recipe, country=found.brief.kitchen.country)
    changes = text_changes(edition, text.read_text(encoding="utf-8"), worked(found, chosen))
    if as_json:
        say_json(changes)
        return
    for change in changes:
        click.echo(change.says)
    if not changes:
        click.echo("Nothing changed.")
