"""proofpan export."""

from __future__ import annotations

from pathlib import Path

import click

from proofpan.cli.options import notebook_option, one_sentence, open_notebook


@click.command(epilog="Example: proofpan export seeded-oat-crackers crackers.yaml --record")
@click.argument("study", required=False)
@click.argument("file", type=click.Path(path_type=Path), required=False)
@click.option("--all", "folder", type=click.Path(path_type=Path), help="Write every study, deleted ones too, as open files into a new folder.")
@click.option("--record", is_flag=True, help="With rounds, trials and ballots; else the document as it was written.")
@click.option("--with-people", is_flag=True, help="With tasters' names, what they don't eat and their words: for your own keeping.")
@notebook_option
@one_sentence
def command(study: str | None, file: Path | None, folder: Path | None, record: bool, with_people: bool, notebook: str | None) -> None:
    """Write a study out of the notebook as a file, or all of them into a folder.

    Names, what tasters don't eat and their words stay here unless --with-people is said. A whole copy is proofpan backup.
    """
    from proofpan.notebook.shelf import read_study
    from proofpan.study.labelled import taster_labels, text_with_labels
    from proofpan.study.private import no_lists, shareable, text_without_no_lists
    from proofpan.study.words import counted

    if (study is None) == (folder is None):
        raise click.UsageError("Name one study, or give --all and a folder.")
    with open_notebook(notebook) as book:
        if folder is not None:
            book.export_all(folder, with_people=with_people)
            click.echo(f"{counted(len(book.studies(with_deleted=True)), 'study', 'studies')} written to {folder}: README.txt says what is what.")
            return
        assert study is not None
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
