"""proofpan backup."""

from __future__ import annotations

from pathlib import Path

import click

from proofpan.cli.options import notebook_option, one_sentence, open_notebook


@click.command(epilog="Example: proofpan backup ~/notebook-june.zip")
@click.argument("file", type=click.Path(path_type=Path))
@notebook_option
@one_sentence
def command(file: Path, notebook: str | None) -> None:
    """Keep a copy of the whole notebook, originals and all."""
    with open_notebook(notebook) as book:
        click.echo(f"Kept as {book.backup(file)}.")
