"""proofpan studies."""

from __future__ import annotations

import click

from proofpan.cli.options import json_option, notebook_option, one_sentence, open_notebook, say_json, table


@click.command(epilog="Example: proofpan studies")
@notebook_option
@json_option
@one_sentence
def command(notebook: str | None, as_json: bool) -> None:
    """List the studies of the notebook."""
    with open_notebook(notebook) as book:
        entries = book.studies()
    if as_json:
        say_json(entries)
        return
    if not entries:
        click.echo("No studies yet. Start with: proofpan compare “salted” “not salted”, or proofpan import FILE.")
        return
    table([[e.id, e.title, e.changed[:16].replace("T", " ")] for e in entries], ["study", "title", "changed"])
