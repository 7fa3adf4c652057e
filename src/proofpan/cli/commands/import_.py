"""proofpan import."""

from __future__ import annotations

from pathlib import Path

import click

from proofpan.cli.options import notebook_option, one_sentence, open_notebook


@click.command(epilog="Example: proofpan import crackers.yaml")
@click.argument("file", type=click.Path(path_type=Path))
@notebook_option
@one_sentence
def command(file: Path, notebook: str | None) -> None:
    """Take a study file into the notebook; it is kept as written, to the byte."""
    from proofpan.notebook.shelf import keep_study
    from proofpan.study.source import read_text
    from proofpan.study.study import Study

    study = Study.load(file)
    text = read_text(file)
    with open_notebook(notebook) as book:
        kept = study.to_yaml() if file.suffix.lower() == ".toml" else text
        entry = keep_study(book, study, note=f"from {file.name}", text=kept)
    click.echo(f"{study.title} is in the notebook as {entry.id}.")
