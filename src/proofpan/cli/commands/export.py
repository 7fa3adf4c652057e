"""proofpan export."""

from __future__ import annotations

from pathlib import Path

import click

from proofpan.cli.options import notebook_option, one_sentence, open_notebook


@click.command(epilog="Example: proofpan export seeded-oat-crackers crackers.yaml --record")
@click.argument("study")
@click.argument("file", type=click.Path(path_type=Path), required=False)
@click.option("--record", is_flag=True, help="With rounds, trials and ballots; else the document as it was written.")
@click.option("--with-people", is_flag=True, help="With tasters' names, what they don't eat and their words: for your own keeping.")
@notebook_option
@one_sentence
def command(study: str, file: Path | None, record: bool, with_people: bool, notebook: str | None) -> None:
    """Write a study out of the notebook as a file."""
    from proofpan.notebook.shelf import read_study
    from proofpan.study.labelled import taster_labels, text_with_labels
    from proofpan.study.private import no_lists, shareable, text_without_no_lists

    with open_notebook(notebook) as book:
        if with_people:
            whole = read_study(book, study)
            text = whole.to_yaml(record=record) if record or any(no_lists(whole).values()) else book.document(study).text
        else:
            found = read_study(book, study)
            text = shareable(found).to_yaml() if record else text_without_no_lists(book.document(study).text)
            text = text_with_labels(text, taster_labels(found))
    if file is None:
        click.echo(text, nl=False)
    else:
        file.write_bytes(text.encode("utf-8"))
        click.echo(f"{file} is written.")
