"""proofpan export."""

from __future__ import annotations

from pathlib import Path

import click

from proofpan.cli.options import notebook_option, one_sentence, open_notebook


@click.command(epilog="Example: proofpan export seeded-oat-crackers crackers.yaml --record")
@click.argument("study")
@click.argument("file", type=click.Path(path_type=Path), required=False)
@click.option("--record", is_flag=True, help="With rounds, trials and ballots; else the document as it was written.")
@click.option("--with-people", is_flag=True, help="With what tasters don't eat and their words: for your own keeping.")
@notebook_option
@one_sentence
def command(study: str, file: Path | None, record: bool, with_people: bool, notebook: str | None) -> None:
    """Write a study out of the notebook as a file."""
    from proofpan.notebook.shelf import read_study
    from proofpan.study.private import shareable, text_without_no_lists

    with open_notebook(notebook) as book:
        if with_people:
            text = read_study(book, study).to_yaml(record=record)
        else:
            text = shareable(read_study(book, study)).to_yaml() if record else text_without_no_lists(book.document(study).text)
    if file is None:
        click.echo(text, nl=False)
    else:
        file.write_bytes(text.encode("utf-8"))
        click.echo(f"{file} is written.")
