"""proofpan audit."""

from __future__ import annotations

import click

from proofpan.cli.options import json_option, load, notebook_option, one_sentence, say_json, study_argument


@click.command(epilog="Example: proofpan audit crackers.yaml")
@study_argument
@notebook_option
@json_option
@one_sentence
def command(study: str, notebook: str | None, as_json: bool) -> None:
    """Read a recipe's text for what would trip a reader, each finding by line with its fix."""
    from proofpan.steps.audit import audit

    found = audit(load(study, notebook))
    if as_json:
        say_json(found)
        return
    if not found:
        click.echo("Nothing found: the text reads clean.")
    for f in found:
        click.echo(f"{f.where}: {f.says} {f.fix}")
