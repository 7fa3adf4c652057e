"""proofpan search."""

from __future__ import annotations

import click

from proofpan.cli.options import json_option, notebook_option, one_sentence, open_notebook, say_json


@click.command(epilog="Example: proofpan search 'olive oil'")
@click.argument("words")
@notebook_option
@json_option
@one_sentence
def command(words: str, notebook: str | None, as_json: bool) -> None:
    """Find studies in the notebook."""
    from proofpan.study.errors import StudyError

    if not any(c.isalnum() for c in words):
        raise StudyError("Give a word to look for, such as butter: signs alone find nothing.")
    with open_notebook(notebook) as book:
        found = book.search(words)
    if as_json:
        say_json(found)
        return
    for hit in found:
        click.echo(f"{hit.study}: {hit.title}\n  {' '.join(hit.snippet.split())}")
    if not found:
        click.echo(f"Nothing holds “{words}”.")
