"""proofpan restore."""

from __future__ import annotations

from pathlib import Path

import click

from proofpan.cli.options import notebook_option, one_sentence, open_notebook


@click.command(epilog="Example: proofpan restore ~/notebook-june.zip")
@click.argument("file", type=click.Path(path_type=Path))
@notebook_option
@one_sentence
def command(file: Path, notebook: str | None) -> None:
    """Take a backup back as the notebook; what stood there is kept beside it."""
    with open_notebook(notebook) as book:
        kept = book.restore_from(file)
    click.echo(f"The notebook is {file.name}'s again. What stood there is kept as {kept}.")
