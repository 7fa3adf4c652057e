"""proofpan export."""

from __future__ import annotations

from pathlib import Path

import click

from proofpan.cli.options import notebook_option, one_sentence, open_notebook


@click.command(epilog="Example: proofpan export seeded-oat-crackers crackers.yaml --record")
@click.argument("study")
@click.argument("file", type=click.Path(path_type=Path), required=False)
@click.option("--record", is_flag=True, help="With rounds, trials and ballots; else the document as it was written.")
@notebook_option
@one_sentence
def command(study: str, file: Path | None, record: bool, notebook: str | None) -> None:
    """Write a study out of the notebook as a file."""
    from proofpan.notebook.shelf import read_study

    with open_notebook(notebook) as book:
        text = read_study(book, study).to_yaml() if record else book.document(study).text
    if file is None:
        click.echo(text, nl=False)
    else:
        file.write_bytes(text.encode("utf-8"))
        click.echo(f"{file} is written.")
